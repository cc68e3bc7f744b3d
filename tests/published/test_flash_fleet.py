"""A flash plant beside what plants in service make of the heat that wells bring up.

Source: S. J. Zarrouk and H. Moon, Geothermics 51 (2014), p. 142: net power over the heat of what comes up above 0 degC, from 34
plants with one flash and 18 with two; coefficients of their curves are from memory and were not seen. Plants lie some 20 % around
the curves (recalled), which is the tolerance.
"""

import numpy as np
import pytest

from geoecon.plant.flash import Water, ordered
from geoecon.plant.steam import SteamTerms, saturated
from geoecon.resource.silica import quartz_silica

PLANT = SteamTerms(0.82, 0.95, 20.0, 35.0, 0.009, 0.015, 4.0, 0.6, 1.0, 0.75)
SPREAD = 0.2
GAS = 0.002  # of what comes, 1 % of a fifth of it as steam


@pytest.mark.parametrize(
    ("kind", "slope", "base"), [("single-flash", 8.7007, 52.335), ("double-flash", 10.166, 61.680)]
)
def test_power_of_the_heat_that_comes_up(kind, slope, base):
    brine, sink = np.array([215.0, 230.0, 245.0]), np.full(3, 18.0)
    plant = ordered(kind, PLANT, Water(quartz_silica(brine), gas=np.array([GAS])), (None, None), brine, sink)
    heat = saturated(brine).liquid
    net = plant.at(brine, sink)[1]
    assert 100 * net / heat == pytest.approx(slope * np.log(heat) - base, rel=SPREAD)

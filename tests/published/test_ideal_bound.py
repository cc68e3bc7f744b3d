"""No cycle passes what the second law allows. The bound is thermodynamics, no source; everything is computed here.

Brine that cools from T_in to T_out against a sink at T0 gives at most 1 - T0 ln(T_in / T_out) / (T_in - T_out) of its heat
as work (its heat capacity taken as constant, an error of about one hundredth of the bound), and never more than its exergy.
Plants of ordinary parts and of parts far better than any that are sold are both below it.
"""

import numpy as np
import pytest

from geoecon.plant.binary import CycleTerms, cycles
from geoecon.plant.properties import fluid_table
from geoecon.resource.water import KELVIN
from geoecon.tables import table
from tests.published.brine import exergy

BRINE = np.arange(90.0, 201.0, 10.0)
AIR = np.arange(-10.0, 36.0, 5.0)
ORDINARY = CycleTerms(0.82, 0.72, 0.95, 5.0, 18.0, 0.011, 0.015, floor_degC=20.0)
DREAM = CycleTerms(0.95, 0.95, 1.0, 1.0, 3.0, 0.0, 0.0, floor_degC=20.0)


@pytest.mark.parametrize("terms", [ORDINARY, DREAM], ids=["ordinary", "dream"])
@pytest.mark.parametrize("fluid", [r["fluid"] for r in table("fluids")])
def test_no_cycle_passes_the_ideal_one(fluid, terms):
    runs = 0
    for air, most in zip(AIR, exergy(BRINE, AIR[:, None]), strict=True):
        made = cycles(fluid_table(fluid), terms, BRINE, air)
        on = made.net > 0
        runs += on.sum()
        hot, cool = BRINE[on] + KELVIN, made.injection[on] + KELVIN
        bound = 1 - (air + KELVIN) * np.log(hot / cool) / (hot - cool)
        share = made.net[on] / made.heat_in[on] / bound
        assert (share < 0.95).all(), f"{fluid}, air {air}: {share.max():.3f} of the ideal"
        assert (made.net[on] < 0.95 * most[on]).all(), f"{fluid}, air {air}: {(made.net[on] / most[on]).max():.3f}"
        assert (made.gross >= made.net).all()
        assert (made.turbine[on] < made.heat_in[on] * bound + made.pump[on]).all()
    assert runs > 0.9 * BRINE.size * AIR.size


def test_best_parts_come_nearer_to_the_ideal():
    ordinary, dream = (cycles(fluid_table("isobutane"), terms, BRINE, 10.0).net for terms in (ORDINARY, DREAM))
    assert (dream > 1.2 * ordinary).all()

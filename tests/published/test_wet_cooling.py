"""Wet bulb and the water of a tower.

Sources
- CoolProp's humid air (HAPropsSI; the virial equation of ASHRAE research project 1485), installed: the wet bulb of real air.
- R. Stull, Wet-Bulb Temperature from Relative Humidity and Air Temperature, J. Appl. Meteor. Climatol. 50 (2011), p. 2267:
  formula, its example (20 degC and 50 % give 13.7 degC) and its error (-1 to 0.65 K, 0.3 K on average) from memory.
- The equation of a psychrometer at sea level, e = e_w - 6.53e-4 (1 + 9.44e-4 t_w) p (t - t_w), from memory; solved here.
- Handbooks' rule for make-up water: evaporation 0.00085 x circulation x range in degF; recalled.
"""

import numpy as np
import pytest
from CoolProp.HumidAirProp import HAPropsSI

from geoecon.plant.cooling import Tower, humidity_at, wet_bulb
from geoecon.resource.water import air_pressure, saturation_pressure

AIR = np.arange(1.0, 51.0, 7.0)
HUMIDITY = np.array([0.05, 0.15, 0.3, 0.5, 0.75, 0.99])


def stull(air, humidity):
    percent = 100 * humidity
    return (
        air * np.arctan(0.151977 * np.sqrt(percent + 8.313659)) + np.arctan(air + percent)
        - np.arctan(percent - 1.676331) + 0.00391838 * percent**1.5 * np.arctan(0.023101 * percent) - 4.686035
    )  # fmt: skip


@pytest.mark.parametrize("elevation", [0.0, 2000.0])
def test_wet_bulb_beside_real_moist_air(elevation):
    """0.1 K is what the docstring claims; below freezing only that it is 0 degC, as the library's bulb turns to ice there."""
    pressure = float(air_pressure(elevation))
    air, humidity = (grid.ravel() for grid in np.meshgrid(AIR, HUMIDITY))
    ours = wet_bulb(air, humidity, pressure)
    real = HAPropsSI("Twb", "T", air + 273.15, "R", humidity, "P", pressure * 1e5) - 273.15
    above = real > 0.1
    assert np.abs(ours - real)[above].max() < 0.1
    assert above.sum() > 30
    assert (ours[real < -0.1] < 0.1).all()


def test_wet_bulb_beside_an_empirical_formula(agree):
    agree(stull(20.0, 0.5), 13.7, digits=3, what="degC, the example of the paper (recalled)")
    air, humidity = (grid.ravel() for grid in np.meshgrid(np.arange(10.0, 36.0, 5.0), HUMIDITY[1:]))
    off = stull(air, humidity) - wet_bulb(air, humidity, 1.01325)
    assert off.min() > -1.0
    assert off.max() < 0.65


@pytest.mark.parametrize("air", [10.0, 20.0, 30.0, 40.0])
@pytest.mark.parametrize("humidity", [0.3, 0.6, 0.9])
def test_wet_bulb_beside_a_psychrometer(air, humidity):
    """A thermometer in a wet sock reads up to 0.15 K above the thermodynamic wet bulb where air is dry; ours beside it."""
    tried = np.linspace(0.01, air, 4001)
    held = saturation_pressure(tried) - 6.53e-4 * (1 + 9.44e-4 * tried) * 1.01325 * (air - tried)
    read = tried[np.abs(held - humidity * saturation_pressure(air)).argmin()]
    assert float(wet_bulb(air, humidity, 1.01325)) == pytest.approx(read, abs=0.2)


def test_warm_hours_are_dry_hours():
    """As much vapour in the afternoon as at dawn: the wet bulb moves less than the air does."""
    hours = np.array([8.0, 15.0, 22.0])
    humidity = humidity_at(hours, 15.0, 0.5)
    assert humidity[1] == pytest.approx(0.5)
    assert (np.diff(humidity) < 0).all()
    assert np.ptp(wet_bulb(hours, humidity, 1.0)) < 0.5 * np.ptp(hours)
    assert humidity_at(np.array([0.0]), 15.0, 0.9)[0] == 1.0


def test_water_of_a_tower(agree):
    """100 kg/s over 18 degF: 1.53 kg/s go into the air; with four cycles a third of that is let out (computed by the rule)."""
    tower = Tower(5.0, 10.0, 4.0, 0.004, 15.0, 0.75, 4.0)
    heat_kw = 100 / tower.circulating
    agree(heat_kw, 4186, digits=4, what="kW of 100 kg/s over 10 K")
    agree(heat_kw * tower.evaporated, 0.00085 * 100 * 18, digits=3.5, what="kg/s into the air")
    agree(heat_kw * tower.makeup, 1.53 * 4 / 3, digits=3.5, what="kg/s of make-up")
    assert tower.above_wet_bulb == 19.0
    agree(heat_kw * (tower.power_share - 0.004), 100 * 9.81 * 15 / 750, digits=4, what="kW of the pump")

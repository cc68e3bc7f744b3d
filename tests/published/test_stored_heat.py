"""Stored heat, the work in it and power by area against published figures.

US Geological Survey Circular 790 (1979), a system of 265 degC and 47 km3: 32e18 J in place, 8.0e18 J at the wells, 970 MWe for 30
years (from memory; heat capacity 2.7 MJ/m3/K, recovery 0.25, reference 15 degC, utilization 0.4). M. Wilmarth and J. Stimac
2014 (abstract, seen): 53 fields above 200 degC, median 12.0 MW/km2, about 2 MW/km2 more for 10 K. R. DiPippo, table 8.5 (seen):
basic binary cycles make 31.9 and 30.5 % of the work of brine at 93 degC, 48.8 % at 149 degC.
"""

import numpy as np
import pytest
from iapws import IAPWS97

from geoecon.resource.stored_heat import (
    density_range,
    heat_in_place,
    stored_heat_power,
    utilization_at,
    work_per_heat,
)
from geoecon.resource.water import water_entropy

HOT, COLD = np.array(265.0), np.array(15.0)


def test_the_system_of_970_megawatts(agree):
    heat = heat_in_place(np.array(47.0), HOT, COLD, np.array(2.7))
    agree(heat, 32.0, digits=2, what="heat in place, EJ")
    agree(heat * 0.25, 8.0, digits=2, what="heat at the wells, EJ")
    power = stored_heat_power(heat, HOT, COLD, np.array(0.25), np.array(0.4), 30)
    agree(power, 970.0, within=0.01, what="power for 30 years, MW")


@pytest.mark.parametrize("temperature", [90.0, 150.0, 265.0, 320.0])
def test_work_and_entropy_by_another_equation_of_state(agree, temperature):
    hot, cold = IAPWS97(T=temperature + 273.15, x=0), IAPWS97(T=288.15, x=0)
    agree(water_entropy(temperature), hot.s, digits=3.5, what=f"entropy at {temperature:g} degC, kJ/kg/K")
    work = (hot.h - cold.h - 288.15 * (hot.s - cold.s)) / (hot.h - cold.h)
    agree(work_per_heat(np.array(temperature), COLD), work, digits=3, what=f"work over heat at {temperature:g} degC")


def test_utilization_is_no_more_than_good_cycles_make():
    """The printed shares are of cycles before pumps and fans, so that whole plants lie below them."""
    assert 0.15 < utilization_at(np.array(93.0), np.array(0.4)) < 0.305
    assert 0.3 < utilization_at(np.array(149.0), np.array(0.4)) < 0.488


def test_power_by_area_of_hot_fields():
    temperatures = np.array([220.0, 255.0])
    low, high = density_range(temperatures)
    middles = np.sqrt(low * high)
    assert (low < 12.0).all()
    assert (high > 12.0).all()
    assert (middles[1] - middles[0]) / 35 * 10 == pytest.approx(2.0, abs=0.6)


def test_power_by_area_covers_every_temperature():
    low, high = density_range(np.linspace(0.0, 400.0, 101))
    assert (low > 0).all()
    assert (high > low).all()

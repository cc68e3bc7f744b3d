"""Well pumps: head by hand, depth of setting, wells that flow by themselves and injectors that need no pump."""

from dataclasses import replace

import numpy as np
import pytest

from geoecon.resource.water import saturation_pressure, water_density
from geoecon.wells.pumping import GRAVITY, PASCAL, Pumping, friction_bar, hydraulic_kw


def each(value):
    return np.array([float(value)])


WELL = Pumping(
    productivity=each(9), injectivity=each(6), static_m=each(60), depth_m=each(1650), bore_m=each(0.22),
    temperature=each(147), wellhead_bar=each(5.9), air_bar=each(0.865), plant_drop_bar=each(3), efficiency=each(0.68),
    margin_bar=each(1),
)  # fmt: skip
FLOW = np.linspace(1.0, 90.0, 90)


def test_drawdown_is_flow_over_productivity():
    """5 kg/s/bar and 80 kg/s: 16 bar."""
    well = replace(WELL, productivity=each(5))
    assert well.drawdown_m(each(80)) * well.column_bar_per_m == pytest.approx(16.0)


def test_production_pump_by_hand():
    """Height of the water, drawdown, what is kept at the wellhead above the air, friction: 17 bar."""
    density = float(water_density(147.0))
    standing = 60 * density * GRAVITY / PASCAL
    speed = 50 / density / (np.pi * 0.22**2 / 4)
    friction = (
        0.0143 * 1650 / 0.22 * density * speed**2 / 2 / PASCAL
    )  # friction factor at a Reynolds number of 1.6 million
    head = standing + 50 / 9 + 5.9 - 0.865 + friction
    assert head == pytest.approx(16.99, abs=0.1)
    assert WELL.production_kw(each(50))[0] == pytest.approx(50 * head * 1e5 / density / 1000 / 0.68, rel=2e-3)


def test_pump_hangs_where_water_stays_liquid():
    """At the intake: air, water above it, less nothing: saturation and the margin."""
    setting = WELL.setting_m(each(50))
    above = setting - WELL.static_m - WELL.drawdown_m(each(50))
    intake = WELL.air_bar + above * WELL.column_bar_per_m
    assert intake == pytest.approx(saturation_pressure(WELL.temperature) + 1.0)


def test_water_that_does_not_boil_needs_no_depth_for_it():
    cool = replace(WELL, temperature=each(40), margin_bar=each(0))
    assert cool.setting_m(each(50)) == pytest.approx(cool.static_m + cool.drawdown_m(each(50)))


def test_more_flow_takes_more_than_its_share():
    power = WELL.production_kw(FLOW)
    assert (np.diff(power) > 0).all()
    assert (np.diff(power / FLOW) > 0).all()
    injection = WELL.injection_kw(FLOW, each(70))
    assert (np.diff(injection) >= 0).all()


def test_well_that_flows_by_itself_takes_nothing():
    """The head below nothing is not turned into power."""
    flowing = replace(WELL, static_m=each(0), wellhead_bar=each(0.5), productivity=each(500))
    assert flowing.production_kw(each(5))[0] == 0
    assert flowing.production_kw(each(200))[0] > 0


def test_cool_brine_goes_down_by_its_own_weight():
    assert WELL.injection_kw(each(50), each(70))[0] == 0
    tight = replace(WELL, injectivity=each(0.8))
    assert tight.injection_kw(each(50), each(70))[0] > 0


def test_warmer_brine_is_lighter_and_takes_more():
    tight = replace(WELL, injectivity=each(0.8))
    assert tight.injection_kw(each(50), each(110))[0] > tight.injection_kw(each(50), each(60))[0]


def test_injection_pump_by_hand():
    """Pressure at the bottom and friction, less the weight of the brine and what is left of the wellhead's pressure."""
    tight = replace(WELL, injectivity=each(0.8))
    density = float(water_density(70.0))
    bottom = 0.865 + (1650 - 60) * float(WELL.column_bar_per_m[0]) + 50 / 0.8
    speed = 50 / density / (np.pi * 0.22**2 / 4)
    friction = 0.0149 * 1650 / 0.22 * density * speed**2 / 2 / PASCAL
    head = bottom + friction - density * GRAVITY * 1650 / PASCAL - (5.9 - 3)
    power = 50 * head * 1e5 / density / 1000 / 0.68
    assert tight.injection_kw(each(50), each(70))[0] == pytest.approx(power, rel=5e-3)


def test_better_pumps_take_less_in_proportion():
    better = replace(WELL, efficiency=WELL.efficiency * 1.25)
    assert better.production_kw(FLOW) * 1.25 == pytest.approx(WELL.production_kw(FLOW))


def test_friction_grows_with_flow_and_shrinks_with_bore():
    density, viscosity = 917.0, 1.82e-4
    lost = friction_bar(np.geomspace(1e-4, 300, 400), 0.22, 1000.0, density, viscosity)
    assert (np.diff(lost) > 0).all()
    bores = friction_bar(80.0, np.linspace(0.1, 0.4, 50), 1000.0, density, viscosity)
    assert (np.diff(bores) < 0).all()
    assert friction_bar(0.0, 0.22, 1000.0, density, viscosity) == 0


def test_hydraulic_power_is_flow_times_pressure_over_density():
    assert hydraulic_kw(each(80), each(10), each(1000))[0] == pytest.approx(80.0)


def test_unknown_stays_unknown():
    flow = np.array([50.0, np.nan])
    assert np.isnan(WELL.production_kw(flow)).tolist() == [False, True]
    assert np.isnan(WELL.injection_kw(flow, each(70))).tolist() == [False, True]

"""A plant as built: its design point, its limits, and its map."""

from dataclasses import replace

import numpy as np
import pytest
from CoolProp import CoolProp

from geoecon.plant.binary import CycleTerms, cycles
from geoecon.plant.built import Fluid, Keeping, bought
from geoecon.plant.designed import FINE_AIR_STEP, PART_FLOW, BuiltPlant
from geoecon.plant.in_service import Plant, in_service
from geoecon.plant.mapped import AIR_STEP, BRINE_STEP, BinaryPlant
from geoecon.plant.properties import fine_table, fluid_table
from geoecon.resource.water import KELVIN

TERMS = CycleTerms(0.82, 0.72, 0.95, 5.0, 18.0, 0.011, 0.015)
DESIGNS = [
    ("isopentane", 156.0, 10.1), ("isobutane", 150.0, 12.0), ("n-butane", 150.0, 8.0), ("n-pentane", 175.0, 10.0),
    ("R245fa", 105.0, 5.0), ("R1233zd(E)", 104.0, -3.0), ("R1234ze(E)", 120.0, 15.0), ("R134a", 110.0, 10.0),
]  # fmt: skip


def plant(fluid, brine, air, terms=TERMS, keeping=None):
    best = cycles(fine_table(fluid), terms, np.array([brine]), air)
    rows = Fluid(fluid_table(fluid), float(best.superheat[0]))
    return Plant(rows, terms, bought(rows, terms, best, brine, air), keeping or Keeping()), best


@pytest.mark.parametrize(("fluid", "brine", "air"), DESIGNS)
def test_at_its_design_point_it_is_the_best_cycle(fluid, brine, air):
    made, best = plant(fluid, brine, air)
    state = in_service(made, np.array([brine]), np.array([air]))
    for ours, cycle in (("gross", "gross"), ("net", "net"), ("pump", "pump"), ("fans", "fans"), ("flow", "fluid_ratio"),
                        ("evaporating", "evaporating"), ("heat_in", "heat_in")):  # fmt: skip
        assert getattr(state, ours) == pytest.approx(getattr(best, cycle), rel=2e-5), ours
    assert state.injection == pytest.approx(best.injection, abs=1e-2)
    assert state.condensing == pytest.approx(air + TERMS.approach_K, abs=1e-2)


@pytest.mark.parametrize(("fluid", "brine", "air"), DESIGNS)
def test_heat_and_work_balance_everywhere(fluid, brine, air):
    made, _ = plant(fluid, brine, air)
    brines, airs = (
        grid.ravel() for grid in np.meshgrid(brine + np.arange(-20, 11, 5.0), air + np.arange(-30, 25, 5.0))
    )
    state = in_service(made, brines, airs)
    assert state.heat_in + state.pump == pytest.approx(state.turbine + state.heat_out, abs=1e-9)
    assert (state.net > 0).any()
    assert (state.injection <= brines).all()


@pytest.mark.parametrize("fluid", ["isopentane", "R245fa", "isobutane"])
def test_volume_of_vapour_is_that_of_the_library(fluid):
    held = Fluid(fluid_table(fluid), 0.0)
    name = {"isopentane": "Isopentane", "isobutane": "IsoButane"}.get(fluid, fluid)
    for degc in (40.0, 70.0, 100.0, 115.0):
        library = 1 / CoolProp.PropsSI("D", "T", degc + KELVIN, "Q", 1, name)
        assert float(held.vapour(np.array([degc])).volume[0]) == pytest.approx(library, rel=0.005), degc


def test_brine_goes_back_no_cooler_than_it_may():
    terms = replace(TERMS, floor_degC=70.0)
    made, _ = plant("isopentane", 156.0, 10.0, terms)
    air = np.arange(-30.0, 31.0, 1.0)
    state = in_service(made, np.full(air.shape, 156.0), air)
    assert (state.injection >= 70.0 - 1e-3).all()
    assert (state.injection[air < 5] < 70.5).all(), "in cold air the floor holds"
    assert (np.diff(state.net) < 0).all(), "and the power still rises as air cools"


def test_least_condensing_pressure_stops_fans_in_the_cold():
    least = 1.1
    made, _ = plant("isopentane", 156.0, 10.0, keeping=Keeping(least_bar=least))
    free, _ = plant("isopentane", 156.0, 10.0)
    air = np.arange(-30.0, 31.0, 1.0)
    brine = np.full(air.shape, 156.0)
    held, other = in_service(made, brine, air), in_service(free, brine, air)
    boils = CoolProp.PropsSI("T", "P", least * 1e5, "Q", 0, "Isopentane") - KELVIN
    binds = other.condensing < boils - 0.01
    assert binds.any()
    assert (~binds).any()
    assert held.condensing[binds] == pytest.approx(boils, abs=0.05)
    assert (held.fans[binds] < other.fans[binds]).all()
    assert held.net[~binds] == pytest.approx(other.net[~binds], rel=1e-4)
    assert (held.gross[binds] < other.gross[binds]).all()


def test_the_generator_gives_at_most_its_most():
    made, best = plant("isopentane", 156.0, 10.0, keeping=Keeping(most_gross=1.1))
    free, _ = plant("isopentane", 156.0, 10.0)
    air = np.arange(-30.0, 31.0, 1.0)
    brine = np.full(air.shape, 156.0)
    held, other = in_service(made, brine, air), in_service(free, brine, air)
    assert held.gross.max() == pytest.approx(1.1 * best.gross[0], rel=1e-5)
    below = other.gross <= 1.1 * best.gross[0] * (1 - 1e-4)
    assert np.array_equal(held.net[below], other.net[below])
    assert (held.net <= other.net).all()


def test_slower_fans_save_power_in_the_cold_and_follow_the_cube():
    made, _ = plant("R245fa", 100.0, 12.0, keeping=Keeping(variable_fans=True))
    free, _ = plant("R245fa", 100.0, 12.0)
    brine = np.full(9, 92.0)
    air = np.linspace(-25.0, 30.0, 9)
    slow, full = in_service(made, brine, air), in_service(free, brine, air)
    assert (slow.net >= full.net).all()
    changed = slow.speed < 1
    assert slow.fans[changed] == pytest.approx(full.fans[changed] * slow.speed[changed] ** 3, rel=1e-9)
    wasteful = replace(TERMS, fan_share=0.03)
    costly, _ = plant("R245fa", 100.0, 12.0, wasteful, Keeping(variable_fans=True))
    assert in_service(costly, brine, air).speed[0] < 0.9


# --- the map ---------------------------------------------------------------------------------------------------------------

IDEAL = BinaryPlant("isopentane", TERMS)


def ordered(brine, air, keeping=None):
    return BuiltPlant(IDEAL, keeping or Keeping(), np.atleast_1d(brine), np.atleast_1d(air))


@pytest.mark.parametrize(("brine", "air"), [(156.0, 10.1), (155.0, 9.0), (131.7, -4.4), (120.1, 29.9)])
def test_the_map_agrees_with_the_best_cycle_at_the_design_point(brine, air):
    at = np.array([brine]), np.array([air])
    built, ideal = ordered(*at).over(*at).at(*at), IDEAL.over(*at).at(*at)
    for ours, best in zip(built, ideal, strict=True):
        assert ours == pytest.approx(best, rel=1e-12)


@pytest.mark.parametrize("keeping", [Keeping(), Keeping(least_bar=1.0, most_gross=1.1)], ids=["free", "limits"])
def test_the_map_follows_the_plant_between_its_points_and_over_its_bends(keeping):
    """Design point off the lattice, brine and air off the grid, where the floor and stated limits begin to bind."""
    made, _ = plant("isopentane", 156.3, 10.6, keeping=keeping)
    draws = np.random.default_rng(3)
    brine, air = draws.uniform(140, 160, 400), draws.uniform(-25, 30, 400)
    exact = in_service(made, brine, air)
    powers = ordered(156.3, 10.6, keeping).over(brine, air)
    gross, net, injection = powers.at(brine, air)
    assert net == pytest.approx(exact.net, rel=0.006)
    assert np.abs(net / exact.net - 1).mean() < 0.003
    assert gross == pytest.approx(exact.gross, rel=0.006)
    assert injection == pytest.approx(exact.injection, abs=0.6)


def test_steps_of_the_grids_stand_on_each_other():
    assert AIR_STEP % FINE_AIR_STEP == 0
    assert BRINE_STEP > 0


def test_a_design_among_others_has_the_same_map():
    """Bit for bit, whether the others have another design point or not."""
    brine, air = np.array([150.0, 152.0, 156.3]), np.array([[-4.0], [3.3], [21.0]])
    flow = np.array([[1.0, 0.93, 0.8]])
    many = BuiltPlant(IDEAL, Keeping(), np.array([148.0, 157.7, 156.3]), np.array([10.0, 4.0, 10.6]))
    alone = ordered(156.3, 10.6)
    among = list(many.over(brine, air).monthly(brine.reshape(1, -1), np.tile(air, 3), flow))
    by_itself = list(alone.over(brine, air).monthly(brine[2:].reshape(1, 1), air, flow[:, 2:]))
    for (gross, net), (its_gross, its_net) in zip(among, by_itself, strict=True):
        assert gross[0, 2] == its_gross[0, 0]
        assert net[0, 2] == its_net[0, 0]


def test_the_map_does_not_depend_on_what_else_is_asked():
    at = np.array([151.3]), np.array([7.7])
    own = [values[0] for values in ordered(156.0, 10.0).over(*at).at(*at)]
    for brine, air in ((95.0, 7.7), (199.0, -31.0), (np.nan, np.nan)):
        wide = ordered(156.0, 10.0).over(np.array([brine, 151.3]), np.array([air, 7.7]))
        assert [values[0] for values in wide.at(*at)] == pytest.approx(own, rel=1e-12)


def test_unknown_design_points_leave_the_others_alone():
    plants = BuiltPlant(IDEAL, Keeping(), np.array([np.nan, 156.0]), np.array([10.0, 10.0]))
    at = np.array([150.0, 150.0]), np.array([5.0, 5.0])
    net = plants.over(*at).at(*at)[1]
    assert np.isnan(net[0])
    assert net[1] == ordered(156.0, 10.0).over(*at).at(*at)[1][1]


def test_part_flow_is_solved_and_linear_to_the_design():
    made, _ = plant("isopentane", 155.0, 9.0)
    brine, air = np.array([[150.0]]), np.array([[6.0]])
    powers = ordered(155.0, 9.0).over(brine, air)

    def net(flow):
        return float(next(powers.monthly(brine, air, np.full((1, 1), flow)))[1][0, 0])

    for flow in (1.0, PART_FLOW):
        exact = float(in_service(made, brine[0], air[0], flow).net[0]) / flow
        assert net(flow) == pytest.approx(exact, rel=1e-4)
    assert net(0.925) == pytest.approx((net(1.0) + net(PART_FLOW)) / 2, rel=1e-12)
    assert net(0.5) == net(PART_FLOW)
    assert net(2.0) == net(1.0)
    between = float(in_service(made, brine[0], air[0], 0.925).net[0]) / 0.925
    assert net(0.925) == pytest.approx(between, rel=0.01)

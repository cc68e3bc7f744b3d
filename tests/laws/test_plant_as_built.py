"""Whatever plant is built: it is the best cycle at its design point, and its turbine never helps away from it."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from geoecon.plant.binary import CycleTerms, cycles
from geoecon.plant.built import Fluid, Keeping, bought
from geoecon.plant.in_service import Conditions, Plant, in_service, settled, state_at, surplus
from geoecon.plant.properties import fine_table, fluid_table

FLUIDS = ("isopentane", "isobutane", "n-pentane", "R245fa", "R1233zd(E)", "R134a")


@st.composite
def plants(draw):
    """A plant and its design point."""
    fluid, brine = draw(st.sampled_from(FLUIDS)), draw(st.floats(90.0, 185.0))
    air = draw(st.floats(-10.0, 25.0))
    terms = CycleTerms(
        draw(st.floats(0.7, 0.88)), 0.72, 0.95, draw(st.floats(3.0, 12.0)), draw(st.floats(10.0, 25.0)),
        draw(st.floats(0.0, 0.03)), 0.015, floor_degC=draw(st.sampled_from([None, 40.0, 65.0])),
    )  # fmt: skip
    best = cycles(fine_table(fluid), terms, np.array([brine]), air)
    assume(best.net[0] > 1.0)
    rows = Fluid(fluid_table(fluid), float(best.superheat[0]))
    return Plant(rows, terms, bought(rows, terms, best, brine, air), Keeping()), best


AWAY = st.tuples(st.floats(-20.0, 10.0), st.floats(-25.0, 25.0))


@given(plants())
def test_at_the_design_point_it_is_the_best_cycle(made):
    plant, best = made
    state = in_service(plant, np.array([plant.hardware.brine]), np.array([plant.hardware.air]))
    assert state.net == pytest.approx(best.net, rel=1e-4)
    assert state.gross == pytest.approx(best.gross, rel=1e-4)


@given(plants(), AWAY)
def test_never_beats_the_same_exchangers_and_fans_with_the_turbine_free(made, away):
    """With the turbine free any evaporation may be chosen, and the flow is what the exchangers raise there."""
    plant, _ = made
    brine, air = plant.hardware.brine + away[0], plant.hardware.air + away[1]
    state = in_service(plant, np.array([brine]), np.array([air]))
    assume(state.net[0] > 0)
    own = float(state.evaporating[0])
    evaporating = np.concatenate([np.linspace(max(own - 15, air + 8, 27), own + 10, 60), [own]])
    evaporating = evaporating[evaporating < min(brine - plant.fluid.superheat - 0.5, plant.fluid.hottest)]
    free = with_turbine_free(plant, brine, air, evaporating)
    assert state.net[0] <= free.max() * (1 + 1e-4)


def with_turbine_free(plant, brine, air, evaporating):
    """Net power at each evaporation with the flow that exchangers and the coolest brine allow, by bisection  [kW]."""
    ones = np.ones_like(evaporating)
    met = Conditions(brine * ones, air * ones, ones, ones)
    vapour, floor = plant.fluid.vapour(evaporating), float(plant.terms.floor(np.array([brine]))[0])
    low, high = 0 * ones, 10 * ones
    for _ in range(60):
        flow = (low + high) / 2
        state = state_at(plant, met, evaporating, flow)
        liquid = plant.fluid.condensed(state.condensing)
        much = surplus(plant, met, evaporating, flow, vapour, state.condensing, liquid) > 0
        much |= state.injection < min(floor, brine)
        low, high = np.where(much, low, flow), np.where(much, flow, high)
    return state_at(plant, met, evaporating, low).net


@given(plants(), AWAY)
def test_slower_fans_where_allowed_never_cost_power(made, away):
    plant, _ = made
    at = np.array([plant.hardware.brine + away[0]]), np.array([plant.hardware.air + away[1]])
    slow = in_service(replace(plant, keeping=Keeping(variable_fans=True)), *at)
    assert slow.net[0] >= in_service(plant, *at).net[0]


@given(plants(), AWAY)
def test_limits_never_give_gross_power(made, away):
    plant, _ = made
    at = np.array([plant.hardware.brine + away[0]]), np.array([plant.hardware.air + away[1]])
    limited = in_service(replace(plant, keeping=Keeping(least_bar=1.2, most_gross=1.05)), *at)
    assert limited.gross[0] <= in_service(plant, *at).gross[0] * (1 + 1e-6)
    assert limited.gross[0] <= 1.05 * plant.hardware.gross * (1 + 1e-9)


@given(plants(), AWAY, st.floats(0.6, 0.99))
def test_less_brine_gives_less_power_but_more_for_each_kilogram_of_heat_that_is_left(made, away, flow):
    plant, _ = made
    at = np.array([plant.hardware.brine + away[0]]), np.array([plant.hardware.air + away[1]])
    less, whole = in_service(plant, *at, flow), in_service(plant, *at)
    assert less.gross[0] <= whole.gross[0] * (1 + 1e-6)


@given(plants(), st.floats(-20.0, 10.0))
def test_hotter_air_costs_gross_power(made, cooler):
    plant, _ = made
    air = plant.hardware.air + np.linspace(-25.0, 25.0, 11)
    state = in_service(plant, np.full(air.shape, plant.hardware.brine + cooler), air)
    assert (np.diff(state.gross) <= 1e-6 * state.gross.max()).all()


@given(plants())
def test_what_settles_swallows_what_is_raised(made):
    """At most what the exchangers raise, and all of it unless the floor or the fluid's own limit holds."""
    plant, _ = made
    brine = plant.hardware.brine + np.linspace(-15.0, 5.0, 9)
    ones = np.ones_like(brine)
    met = Conditions(brine, plant.hardware.air * ones, ones, ones)
    state = settled(plant, met)
    runs = state.flow > 0
    vapour, liquid = plant.fluid.vapour(state.evaporating), plant.fluid.condensed(state.condensing)
    over = surplus(plant, met, state.evaporating, state.flow, vapour, state.condensing, liquid)
    assert (over[runs] <= 1e-3 * state.heat_in[runs]).all()
    free = (state.injection > plant.terms.floor(brine) + 0.01) & (state.evaporating < plant.fluid.hottest - 1e-6)
    assert (np.abs(over[runs & free]) <= 1e-3 * state.heat_in[runs & free]).all()

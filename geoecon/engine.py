"""The story: one pass from a case to a result. It reads from top to bottom; start here.

case -> design (sizing) -> field and energy over the years -> costs -> streams -> financing -> statement -> result
"""

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from geoecon import summary
from geoecon.arrays import Bools, Floats
from geoecon.case import Case
from geoecon.energy import Ledger, Running, mapped_ledger, stated_ledger
from geoecon.errors import CaseError, Fault
from geoecon.finance.statement import Financing, arrange, state
from geoecon.obstacles import Obstacle, not_built, obstacles
from geoecon.passed import Pass
from geoecon.plant.designed import PART_FLOW, share_of_part
from geoecon.plant.stated import StatedPlant
from geoecon.preparing.basics import Calendar, calendar, index_of, late, wide
from geoecon.preparing.climate import air_above_design, design_sink, sink_in_parts
from geoecon.preparing.field import inlet_temperature, producer_flow
from geoecon.preparing.plants import in_map, plant_map
from geoecon.preparing.service import running
from geoecon.pricing import delivery_factors, price_path
from geoecon.purchasing import buy, overnight
from geoecon.reservoir import fall
from geoecon.resource.decline import remaining_flow
from geoecon.result import Result
from geoecon.sizing import (
    Design,
    FieldYears,
    cooled_beyond_map,
    drilled_as_it_turns_out,
    extraction,
    plant_and_pumps,
    size,
    too_small_a_field,
)
from geoecon.terms import financing_terms, rates, with_better_credit
from geoecon.wells.field import plan_field


def evaluate(case: Case, design: Design | None = None, *, unsolved: str = "nan") -> Result:
    """One pass over all scenarios of a case.

    design : from `size`; without one every scenario is sized for itself, with one it is held
    unsolved : "nan" gives NaN with a reason code where a scenario is impossible; "raise" raises `CaseError`

    Raises `CaseError` where the case states a choice that cannot be worked out yet.
    """
    if missing := not_built(case):
        raise CaseError([Fault(path, words, case.line(path)) for path, words in missing], case.source)
    found = list(obstacles(case))
    _stop(case, found, unsolved)
    when, index = calendar(case), index_of(case, calendar(case))
    held, design = design is not None, drilled_as_it_turns_out(case, design) if design else size(case)
    found += (short := too_small_a_field(case, design))
    _stop(case, short, unsolved)

    field = plan_years(case, design, when)
    found += (cooled := cooled_beyond_map(case, design.plant, field))
    _stop(case, cooled, unsolved)
    ledger = make_energy(case, design, field)
    purchases = overnight(case, design)
    streams = buy(case, design, field, ledger, purchases, when, index)

    terms = financing_terms(case, design.net_kw)
    path = price_path(case, when, index, usual_months(case, design, field, ledger))
    at = rates(case, terms.tax)
    if case.tax.credit == "best":
        terms = with_better_credit(streams, terms, path, at.discount)
    financing = arrange(streams, terms, path.nominal)
    _stop(case, unpaid := _not_financed(financing), unsolved)
    statement = state(financing, path)

    passed = Pass(case, design, when, field, ledger, purchases, financing, at, path, statement)
    return summary.result(passed, held, _impossible(case, [*found, *unpaid]))


def plan_years(case: Case, design: Design, when: Calendar) -> FieldYears:
    """Wells, flow and temperature year by year; make-up wells enter where flow is what is missing."""
    wells, years = case.wells, when.operating_years
    taken = extraction(case, design)
    cooler = fall(case, taken)
    brine = inlet_temperature(case) - cooler
    nothing = FieldYears(taken, cooler, brine, None, np.full_like(cooler, np.nan))
    if design.wells is None:
        return nothing
    remaining = remaining_flow(
        wells.decline_shape, wide(case, wells.flow_decline), wide(case, wells.decline_exponent), years
    )
    limit = design.brine_flow * case.plant.max_brine_flow
    plan = plan_field(
        wide(case, design.wells.producers), producer_flow(case), remaining,
        output_at_design_air(case, design, nothing), case.wells.makeup_threshold * design.net_kw, limit,
        wells.makeup_stop_years, wells.makeup_per_year,
    )  # fmt: skip
    return FieldYears(taken, cooler, brine, plan, np.minimum(plan.flow, limit))


def output_at_design_air(case: Case, design: Design, field: FieldYears) -> Callable[[int, Floats, Floats], Floats]:
    """Unit net of a year for a flow from so many producers, at design air with that year's brine  [kW]."""
    plant, limit = design.plant, design.brine_flow * case.plant.max_brine_flow
    if isinstance(plant, StatedPlant):
        full, colder = plant.net_kw * case.plant.performance_factor, colder_than_ordered(case, design, field.cooler_K)
        return lambda year, flow, _: full * plant.share_left(colder[year], flow, limit)
    net = _net_by_flow(case, design, field.brine)
    unit = plant_and_pumps(case, plant, design.inlet)

    def at(year: int, flow: Floats, producers: Floats) -> Floats:
        taken = np.minimum(flow, limit)
        production, injection = unit.pump_kw(producers, taken)
        return np.asarray(net(year, taken) * taken - production - injection)

    return at


def _net_by_flow(case: Case, design: Design, life: Floats) -> Callable[[int, Floats], Floats]:
    """Plant net of a year for each kg/s of a flow, at design air with that year's brine, (year, scenario) `life`  [kW]."""
    assert not isinstance(design.plant, StatedPlant)
    sink, brine = design_sink(case).reshape(1, -1), in_map(case, design.plant, life, life)
    powers = plant_map(case, design.plant, design.inlet, life)
    whole, part = (next(powers.monthly(brine, sink, np.full_like(brine, flow)))[1] for flow in (1.0, PART_FLOW))

    def at(year: int, flow: Floats) -> Floats:
        of_part = (part[year] - whole[year]) * share_of_part(flow / design.brine_flow)
        return np.asarray((whole[year] + of_part) * case.plant.performance_factor)

    return at


def make_energy(case: Case, design: Design, field: FieldYears) -> Ledger:
    """The energy ledger of a plant known by its map, or of a stated one."""
    run, factor = running(case, design.net_kw), wide(case, case.plant.performance_factor)
    plant, limit = design.plant, design.brine_flow * case.plant.max_brine_flow
    if isinstance(plant, StatedPlant):
        left = plant.share_left(colder_than_ordered(case, design, field.cooler_K), field.flow, limit)
        in_first = plant.share_left(field.cooler_K[:1], field.flow[:1], limit)
        return _stated_energy(case, replace(plant, factor=factor), left, in_first, run)
    assert field.plan is not None
    sink, brine = sink_in_parts(case), in_map(case, plant, field.brine, field.brine)
    powers = plant_map(case, plant, design.inlet, field.brine)
    pumps = plant_and_pumps(case, plant, design.inlet).pump_kw(field.plan.producers, field.flow)
    return mapped_ledger(
        powers, factor, sink, design.inlet, design.brine_flow, brine, field.flow, *pumps, design.gross_kw, run
    )


def usual_months(case: Case, design: Design, field: FieldYears, ledger: Ledger) -> Floats:
    """Energy of the months of year 1, those that a late unit misses included, (month, scenario)  [MWh]."""
    if late(case) is None or delivery_factors(case) is None:
        return ledger.monthly
    return make_energy(case.with_values({"timeline.delay": 0.0}), design, field).monthly


def colder_than_ordered(case: Case, design: Design, cooler_K: Floats) -> Floats:
    """How much colder the brine of each year is than that the plant is ordered for, (year, scenario)  [K].

    cooler_K : what the field has lost since year 1. A field that turns out cooler than the one of the design starts below it.
    """
    return cooler_K + np.nan_to_num(design.inlet - inlet_temperature(case))


def _stated_energy(case: Case, plant: StatedPlant, left: Floats, in_first: Floats, run: Running) -> Ledger:
    """A stated capacity factor holds weather and every loss of year 1; outages are taken out of it.

    in_first : (1, scenario) what is left in year 1 of a field that is as it was thought to be  [1]
    """
    stated = case.plant.stated_capacity_factor
    if stated is None:
        return stated_ledger(plant, air_above_design(case), left, run)
    availability = (1 - run.planned) * (1 - run.forced)
    whole = replace(plant, factor=plant.factor * stated / availability)
    return stated_ledger(whole, air_above_design(case), left / in_first, run)


def _not_financed(financing: Financing) -> list[Obstacle]:
    """Where sources cannot equal uses, because a loan eats up what it brings."""
    where = np.isnan(financing.loan.amount)
    words = (
        "a loan of this share of all uses would not pay for its own interest, fees and first reserve; lower "
        "finance.debt_share, reserve_months or upfront_fee, or repay over more years"
    )
    return [Obstacle("finance.debt_share", words, where)] if where.any() else []


def _stop(case: Case, found: list[Obstacle], unsolved: str) -> None:
    """Raise what stands in the way, where the caller wants that."""
    if unsolved == "raise" and found:
        raise CaseError([Fault(o.path, o.message, case.line(o.path)) for o in found], case.source)


def _impossible(case: Case, found: list[Obstacle]) -> Bools:
    anywhere = np.zeros(case.scenarios, dtype=bool)
    for obstacle in found:  # that of a held design may be one for all scenarios
        anywhere = anywhere | obstacle.where
    return anywhere

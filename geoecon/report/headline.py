"""What each kind of owner looks at first: the figure that decides for it, with what stands beside it."""

from collections.abc import Iterator

import numpy as np

from geoecon.report.lines import Line, Section, asked, have, or_reason, price
from geoecon.report.words import money, share
from geoecon.result import Result

TITLES = {
    "private": "For a developer", "utility": "For a utility", "cooperative": "For a cooperative",
    "public": "For a public owner",
}  # fmt: skip


def headline(result: Result) -> Section:
    """The figures of the case's kind of owner."""
    lines = {"private": _developer, "utility": _utility, "public": _public}.get(result.owner, _cooperative)
    return Section(TITLES[result.owner], (*lines(result), *_cover(result)))


def _required(result: Result) -> Iterator[Line]:
    metric = result.metrics["required_price"]
    yield or_reason(
        result, "required_price", "Required price", price(result.value("required_price"), result.currency), metric.note
    )


def return_on_equity(result: Result) -> Line:
    """What the owner's money earns, beside what was asked."""
    wanted = f"nominal, after tax; {share(asked(result, 'equity_return'))} asked"
    return or_reason(result, "irr_equity", "Return on equity", f"{share(result.value('irr_equity'))} a year", wanted)


def _developer(result: Result) -> Iterator[Line]:
    yield from _required(result)
    if have(result, "npv"):
        yield return_on_equity(result)


def level_at_requirement(result: Result) -> float | None:
    """The level price that the stated prices of a utility are worth at its own rate  [money/MWh]; None for other owners."""
    level = result.price_at_own_rate
    return None if level is None or not have(result, "revenue_requirement_levelized", "npv") else float(level[0])


def _utility(result: Result) -> Iterator[Line]:
    v, currency = result.value, result.currency
    rate = share(asked(result, "requirement_rate"), 2)
    yield or_reason(
        result, "revenue_requirement_levelized", "Revenue required",
        price(v("revenue_requirement_levelized"), currency),
        f"nominal, one level price, at the utility's own {rate} a year after tax",
    )  # fmt: skip
    first = sum(float(part[result.build_years, 0]) for part in result.requirement.values())
    yield Line("", f"{money(first, currency)}/yr", "in year 1, nominal; it falls as the plant is written off")
    if (level := level_at_requirement(result)) is not None:
        basis = "the stated price as one level price at the same rate, to hold against the revenue required"
        yield Line("Revenue at the price", price(level, currency), basis)
    yield from _required(result)


def _cooperative(result: Result) -> Iterator[Line]:
    """The price of cover and, apart from it, that of a return, which decides nothing where there is a loan."""
    yield from _required(result)
    needed = float(result.found_prices["price_for_return"].path.first[0])
    if result.value("debt") > 0 and np.isfinite(needed):
        basis = f"in year 1, for {share(asked(result, 'equity_return'))} a year on the owner's money"
        yield Line("Price for the return", price(needed, result.currency), basis)


def _public(result: Result) -> Iterator[Line]:
    yield from _cooperative(result)
    if not have(result, "total_commitment"):
        return
    total, currency = result.value("total_commitment"), result.currency
    cap = asked(result, "commitment_cap")
    within = f"; {money(cap, currency)} is the most allowed" if np.isfinite(cap) else ""
    basis = f"debt, the owner's money, and what years in the red want, nominal{within}"
    yield Line("Total commitment", money(total, currency), basis)


def _cover(result: Result) -> Iterator[Line]:
    """How well debt and interest are covered at the stated price."""
    v = result.value
    if not have(result, "dscr_min"):
        return
    mean = f"mean {v('dscr_mean'):.2f}, loan life {v('llcr'):.2f}, {asked(result, 'target_dscr'):.2f} asked"
    yield Line("Cover of debt service", f"{v('dscr_min'):.2f} times", f"in the least year, at the stated price; {mean}")
    if result.owner in {"cooperative", "public"} and have(result, "tier_min"):
        target = asked(result, "target_tier")
        wanted = f"{target:.2f} asked" if np.isfinite(target) else "none asked"
        words = f"in the least year, at the stated price, after book depreciation; {wanted}"
        yield Line("Interest earned", f"{v('tier_min'):.2f} times", words)

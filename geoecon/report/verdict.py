"""What the numbers of an answer mean, in a few sentences, by what the kind of owner asks."""

from collections.abc import Iterator

import numpy as np

from geoecon.passed import PUBLIC_OWNERS
from geoecon.report.headline import level_at_requirement
from geoecon.report.lines import asked, first_price, have, price
from geoecon.report.words import money, share
from geoecon.result import Result
from geoecon.warned import FAILED

SAME = 1e-9  # of a price, which is rounding


def verdict(result: Result) -> str:
    """What the numbers mean; a figure that cannot be right is said before all else."""
    failed = [warning for warning in result.warnings if warning.startswith(FAILED)]
    if failed:
        return f"No answer: {failed[0].removeprefix(FAILED).strip()}."
    if not have(result, "required_price"):
        return f"There is no required price: {result.metrics['required_price'].reason}."
    if not have(result, "npv"):
        needed = price(result.value("required_price"), result.currency)
        return f"The owner needs {needed} in year 1. The case states no price to hold against it."
    return " ".join((_answer(result), *_besides(result), *_with_grant(result)))


def _answer(result: Result) -> str:
    """Whether the stated price gives what this kind of owner asks."""
    shortfalls, above_cap = list(_shortfalls(result)), _above_cap(result)
    if shortfalls:
        return f"At the stated price it does not give what is asked: {'; '.join([*above_cap, *shortfalls])}."
    but = f", but {above_cap[0]}" if above_cap else ""
    return f"At the stated price it pays{but}: {_enough(result)}."


def _enough(result: Result) -> str:
    """What is enough for this owner, and how far the stated price is above it."""
    currency, stated = result.currency, first_price(result)
    if (level := level_at_requirement(result)) is not None:
        collected = price(result.value("revenue_requirement_levelized"), currency)
        return (
            f"one level price of {collected} collects the revenue required, and {price(stated, currency)} in year 1 is worth "
            f"one of {price(level, currency)} at the utility's own rate"
        )
    required = result.value("required_price")
    above = f", and {price(stated, currency)} is {share(stated / required - 1)} above that" if required > 0 else ""
    return f"{_needs(result)} {price(required, currency)} in year 1{above}"


def _needs(result: Result) -> str:
    return "to cover the debt service as asked, the owner needs" if _asks_cover(result) else "the owner needs"


def _asks_cover(result: Result) -> bool:
    """Whether the required price is that of cover, which a public owner or a cooperative with a loan asks."""
    return result.owner in PUBLIC_OWNERS and result.value("debt") > 0


def _above_cap(result: Result) -> list[str]:
    over = result.value("total_commitment") - asked(result, "commitment_cap")
    if not over > 0:
        return []
    return [f"the owner is committed to {money(over, result.currency)} more than is allowed (finance.commitment_cap)"]


def _shortfalls(result: Result) -> Iterator[str]:
    """What the stated price does not give."""
    v, currency, stated = result.value, result.currency, first_price(result)
    level = level_at_requirement(result)
    if level is not None:
        needed = v("revenue_requirement_levelized")
        if level < needed * (1 - SAME):
            yield (
                f"one level price of {price(needed, currency)} collects the revenue required, and {price(stated, currency)} in "
                f"year 1 is worth one of {price(level, currency)} at the utility's own rate, {share(1 - level / needed)} short"
            )
    elif stated < v("required_price") * (1 - SAME):
        yield (
            f"{_needs(result)} {price(v('required_price'), currency)} in year 1, and {price(stated, currency)} is "
            f"{share(1 - stated / v('required_price'))} short of it"
        )
        if v("npv") > 0 and not _asks_cover(result):
            yield "the project as a whole earns more than its discount rate, but not what the owner asks of the equity"
    if have(result, "dscr_min") and v("dscr_min") < 1:
        yield f"in the least year cash covers only {v('dscr_min'):.2f} of the debt service"


def _besides(result: Result) -> Iterator[str]:
    """The price that gives the return asked on equity, where it is not what this owner's answer rests on."""
    rests_on_it = not _asks_cover(result) and level_at_requirement(result) is None
    if rests_on_it or not (have(result, "npv_equity") and result.value("equity") > 0):
        return
    needed, wanted = result.found_prices["price_for_return"].path.first, share(asked(result, "equity_return"))
    takes = (
        f"takes {price(float(needed[0]), result.currency)} in year 1"
        if np.isfinite(needed[0])
        else "is not reached by any price"
    )
    earned = (
        f"earns {share(result.value('irr_equity'))} a year" if have(result, "irr_equity") else "has no rate of return"
    )
    below = result.value("npv_equity") < -1e-6 * result.value("equity")
    put_in = money(result.value("equity"), result.currency)
    alone = "With the project's own loan, which is repaid, the" if result.owner == "utility" else "The"
    return_asked = f"below the {wanted} asked, which {takes}" if below else f"and the {wanted} asked {takes}"
    yield f"{alone} owner's {put_in} {earned} at the stated price, {return_asked}."


def _with_grant(result: Result) -> Iterator[str]:
    grant = float(result.annual["grant"][:, 0].sum())
    if grant > 0.5:
        yield f"A grant of {money(grant, result.currency)} is counted in."

"""What is odd in a case without being a fault, in words."""

from collections.abc import Iterator

import numpy as np

from geoecon import units
from geoecon.case.fields import Stated, about
from geoecon.case.schema import TABLES, CaseTables
from geoecon.case.uncertainty import ends, numbers
from geoecon.case.well_cost import BUILT_UP
from geoecon.tables import table

LARGE = 1e4  # from which a number is shown whole
DEEPER = 1.5  # times the depth of a well, above which a slim hole is likely a slip
LONG_BUILT = 10  # years from the begin of construction to operation, above which a year is likely a slip
LONG_AFTER = 25  # years that costs are moved before operation begins, above which a year is likely a slip


def remarks(case: CaseTables) -> Iterator[str]:
    """What is odd in a case: values that hardly fit, and values that have no part."""
    yield from _far_from_usual(case)
    yield from _years(case)
    yield from _even_air(case)
    yield from _unused(case)
    yield from _outside_own_range(case)
    yield from _below_the_first(case)
    yield from _deep_slim_holes(case)


def far_from_usual(path: str, value: float, currency: str) -> str:
    """That a value lies far from what is usual at its path, and what to check; empty where it does not, or nothing is known."""
    known = next((r for r in table("unusual") if r["path"] == path), None)
    if known is None or float(known["low"]) <= value <= float(known["high"]):
        return ""
    side, end = ("below", "low") if value < float(known["low"]) else ("above", "high")
    came, usual = (_in_words(number, known["kind"], currency) for number in (value, float(known[end])))
    return f"{path} is {came}, {side} the usual {usual}: {known['check']}"


def _far_from_usual(case: CaseTables) -> Iterator[str]:
    for known in table("unusual"):
        name, _, leaf = known["path"].partition(".")
        now = getattr(getattr(case, name), leaf)
        own = np.atleast_1d(np.asarray(now, dtype=np.float64))
        if (
            now is not None
            and own.size == 1
            and (words := far_from_usual(known["path"], float(own[0]), case.money.currency))
        ):
            yield words


def _years(case: CaseTables) -> Iterator[str]:
    """Years of operation, of prices and of construction that hardly go together."""
    ahead = case.timeline.first_year - case.money.price_year
    if ahead < 0 or ahead > LONG_AFTER:
        how = f"{-ahead} years before" if ahead < 0 else f"{ahead} years after"
        yield (
            f"operating year 1, {case.timeline.first_year}, is {how} the price year, {case.money.price_year}: inflation moves "
            "every cost over these years; look at both (timeline.first_year, money.price_year)"
        )
    begins = case.tax.construction_begins
    if begins is not None and case.timeline.first_year - begins > LONG_BUILT:
        yield (
            f"construction begins in {begins}, {case.timeline.first_year - begins} years before operating year 1: rules of "
            "credits go by that year and ask that work went on without a break; look at both (tax.construction_begins, "
            "timeline.first_year)"
        )


def _even_air(case: CaseTables) -> Iterator[str]:
    """One temperature for all months, which no place has."""
    air = case.site.air_temperature
    if air is not None and len(set(air)) == 1:
        yield (
            f"the air has {air[0]:.4g} degC in every month: what summer takes and winter gives is not seen; state twelve "
            "means, January first (site.air_temperature)"
        )


def _unused(case: CaseTables) -> Iterator[str]:
    """Values that have no part in the answer, or count twice."""
    market, life = case.market, case.timeline.operating_years
    term = len(market.price_schedule) if market.price_schedule else market.term_years or life
    if market.price_after_term is not None and market.price_form != "file" and term >= life:
        yield (
            f"market.price_after_term is not used: the price holds for all {life} operating years; state market.term_years, or "
            "leave it out"
        )
    capital, operation = case.capital, case.operation
    closing = capital.decommissioning
    if capital.decommissioning_bond is not None and closing is not None and not closing.any():
        yield "capital.decommissioning_bond is not used: the cost of decommissioning that it is for is zero"
    if operation.lease != "none" and operation.lease_acres is None:
        yield f"the lease {operation.lease!r} is charged without rent, which asks for its acres (operation.lease_acres)"
    named = (capital.contingency or {}).get("wells")
    if case.wells.cost_method == BUILT_UP and named is not None and named.any():
        yield (
            "trouble in the hole is in the cost of a well that is built up, and capital.contingency adds a share on wells "
            "again: look at both (wells.trouble)"
        )


def _outside_own_range(case: CaseTables) -> Iterator[str]:
    """Numbers of a case of one scenario that lie outside the range in which the case itself says they are."""
    for path, declared in case.uncertainty.inputs.items():
        table, _, leaf = path.partition(".")
        now, described = getattr(getattr(case, table), leaf), about(TABLES[table], leaf)
        own = now.values if isinstance(now, Stated) else np.atleast_1d(np.asarray(now, dtype=np.float64))
        if now is None or own.size != 1:
            continue
        low, high = ends(numbers(declared, described, now, case.money.currency))
        if low <= own[0] <= high:
            continue
        kind = now.kind if isinstance(now, Stated) else (described.kinds or ("",))[0]
        came, least, most = (_in_words(value, kind, case.money.currency) for value in (float(own[0]), low, high))
        side = f"below the least of it, {least}" if own[0] < low else f"above the most of it, {most}"
        words = "the case's own value lies outside what it says of how sure it is"
        yield f"{path} is {came}, {side}: {words} (uncertainty.{path})"


def _below_the_first(case: CaseTables) -> Iterator[str]:
    """A chance of success that is unsure down to where nothing would be left to learn."""
    path, first = "wells.success", case.wells.success_first
    if first is None or path not in case.uncertainty.inputs:
        return
    described = about(TABLES["wells"], "success")
    low, _ = ends(numbers(case.uncertainty.inputs[path], described, case.wells.success, case.money.currency))
    if low < first.max():
        came, begins = (_in_words(value, "share", case.money.currency) for value in (low, float(first.max())))
        yield (
            f"{path} may be as low as {came}, below the {begins} from which it rises (wells.success_first): such draws "
            "contradict the case and have no result; raise the low end, or lower success_first"
        )


def _deep_slim_holes(case: CaseTables) -> Iterator[str]:
    """Holes that explore far below what the wells reach."""
    slim, full = case.wells.slim_hole_depth, case.wells.depth
    if slim is not None and full is not None and (slim > DEEPER * full).any():
        yield (
            "slim holes go far deeper than the wells that they are drilled for: look at both (wells.slim_hole_depth, "
            "wells.depth)"
        )


def _in_words(value: float, kind: str, currency: str) -> str:
    unit = units.unit_shown(kind, units.SYSTEMS[0], currency) if kind else ""
    shown = units.from_inside(value, kind, unit, currency) if kind else value
    return f"{shown:,.0f} {unit}".strip() if abs(shown) >= LARGE else f"{shown:.4g} {unit}".strip()

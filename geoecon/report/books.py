"""The books of a result as tables: sources and uses, statement by section, waterfall, balance sheet."""

import re
from collections.abc import Iterable, Mapping

import numpy as np

from geoecon.arrays import Floats
from geoecon.errors import CaseError, Fault
from geoecon.finance.books import Lines
from geoecon.report.ruled import HEAD, LINE, SUM, UNKNOWN, Entry, Ledger, Ruled, footing
from geoecon.report.tables import Column
from geoecon.report.words import account_words
from geoecon.result import Result

SIGNS = "What comes in is positive, what goes out negative. Rounded to thousands; sums are of exact amounts."
YEARS = "Year 0 and before are build years; operation begins with year 1."
NO_PRICE = "The case states no price, so what depends on sales is none."
FOOTED = "rounded so that both sides foot; until the end of year 0"
STEPS = {  # the step of the waterfall after which a sum is drawn, and what is left there
    "income tax less credits": "Cash from operation",
    "fees of lenders": "Left after debt service",
    "debt service reserve": "Left after the debt service reserve",
    "withheld of what is paid out": "Left for the owner",
    "locked up": "Paid to the owner, or in where negative",
}
ORDER = (
    "Each step is served before the next. Cover ratios count what is paid or saved for later wells and pumps before debt "
    "service, which is more careful than this order; cash locked up is paid out in a later year."
)
BOOKED = (
    "At the end of each year. Cost with interest and fees while building, less a grant, is written off in equal parts over "
    "the operating years; tax is booked as it is paid. Equity is rolled forward from what the owner paid and what was "
    "earned, and knows nothing of the assets, so the difference is a check."
)

REQUIRED = (
    "What a utility must collect each year to earn its own rate and nothing over. Capital is written off in equal parts; what "
    "tax defers is taken off the rate base; a credit goes to customers in its year. Decommissioning is in the operating cost."
)


def sources_and_uses(result: Result) -> tuple[Ruled, Ruled]:
    """Uses and sources until the end of year 0, in whole units of money, each with its share; both foot."""
    books = result.books
    return _footed("Uses", books.uses, result.currency), _footed("Sources", books.sources, result.currency)


def _footed(title: str, lines: Lines, currency: str) -> Ruled:
    amounts = {label(name): float(values[0]) for name, values in lines.items() if values[0] != 0}
    heads = (f"{title}, nominal", currency, "share")
    if not np.isfinite(list(amounts.values())).all():
        return Ruled(title, heads, tuple((LINE, (name, UNKNOWN, "")) for name in amounts), (NO_PRICE,))
    whole, total = footing(list(amounts.values())), sum(amounts.values())
    shares = footing([amount / total * 100 for amount in amounts.values()], 1) if total else [0.0] * len(amounts)
    rows = [
        (LINE, (name, f"{amount:,.0f}", f"{part:.1f} %"))
        for name, amount, part in zip(amounts, whole, shares, strict=True)
    ]
    end = (SUM, (f"Total {title.lower()}", f"{sum(whole):,.0f}", f"{sum(shares):.1f} %"))
    return Ruled(title, heads, (*rows, end))


def statement(result: Result) -> Ledger:
    """The statement by section, each with its sum; all of them together are what the owner gets or puts in."""
    *sections, (last, equity) = result.books.sections.items()
    entries = [entry for name, lines in sections for entry in _section(label(name), lines, result)]
    owner = sum(_total(lines) for _, lines in sections)
    entries.append(Entry("Sum of all sections", np.asarray(owner), SUM))
    entries += _section(label(last), equity, result, "Paid out less paid in")
    entries.append(Entry("Difference", np.asarray(owner) - _total(equity), SUM))
    return _ledger(result, "Statement", entries, notes=(SIGNS, YEARS))


def waterfall(result: Result) -> Ledger:
    """Who is served before whom from the cash of operating years, with what is left after each group."""
    left, entries = np.zeros_like(result.times[:, 0]), []
    for name, amounts in result.books.waterfall.items():
        left = left + amounts[:, 0]
        if np.nan_to_num(amounts).any() or not np.isfinite(amounts).all():
            entries.append(Entry(label(name), amounts[:, 0]))
        if name in STEPS:
            entries.append(Entry(STEPS[name], left, SUM))
    return _ledger(result, "Cash waterfall", entries, from_year=1, notes=(ORDER, SIGNS))


def balance_sheet(result: Result) -> Ledger:
    """Assets, debt and equity at the end of each year, and the difference of both sides."""
    sheet = result.books.balance_sheet
    sides = {side: _total(lines) for side, lines in sheet.items()}
    entries = [entry for side, lines in sheet.items() for entry in _section(label(side), lines, result)]
    both = sides["debt"] + sides["equity"]
    entries += [Entry("Debt and equity", both, SUM), Entry("Difference", sides["assets"] - both, SUM)]
    return _ledger(result, "Balance sheet", entries, adds_up=False, notes=(BOOKED,))


def revenue_required(result: Result) -> Ledger:
    """The revenue that a utility must collect, part by part."""
    parts = result.requirement
    entries = [Entry(label(name), amounts[:, 0]) for name, amounts in parts.items() if amounts[:, 0].any()]
    entries.append(Entry("Revenue required", _total(parts), SUM))
    return _ledger(result, "Revenue required", entries, from_year=1, notes=(REQUIRED, YEARS))


def ledgers(result: Result) -> dict[str, Ledger]:
    """The books that run over the years, by the name of their file."""
    of_all = {
        "statement": statement(result),
        "waterfall": waterfall(result),
        "balance-sheet": balance_sheet(result),
    }
    return of_all | ({"revenue-required": revenue_required(result)} if result.requirement else {})


def sources_columns(result: Result) -> Mapping[str, Column]:
    """Sources and uses as columns, exact."""
    books = result.books
    rows = [(side, label(name), float(v[0])) for side, lines in (("use", books.uses), ("source", books.sources))
            for name, v in lines.items()]  # fmt: skip
    sides, names, amounts = zip(*rows, strict=True)
    return {"side": sides, "what": names, f"until the end of year 0, nominal [{result.currency}]": np.array(amounts)}


def label(name: str) -> str:
    """The name of an account or a line as it is read.

    >>> label("grid_connection")
    'Grid connection'
    """
    words = account_words(name)
    return words[:1].upper() + words[1:]


def _section(title: str, lines: Lines, result: Result, end: str = "") -> Iterable[Entry]:
    """A heading, the lines that are not always zero, and their sum."""
    yield Entry(title, kind=HEAD)
    for name, amounts in lines.items():
        if amounts[:, 0].any():  # what is none is not zero
            yield Entry(label(name), amounts[:, 0])
    yield Entry(end or f"Total {title.lower()}", _total(lines), SUM)


def _total(lines: Mapping[str, Floats]) -> Floats:
    return np.asarray(sum(lines.values()))[:, 0]


def _ledger(result: Result, title: str, entries: Iterable[Entry], *, from_year: int | None = None, adds_up: bool = True,
            notes: tuple[str, ...] = ()) -> Ledger:  # fmt: skip
    years = result.annual["year"][:, 0].astype(int)
    kept = slice(0 if from_year is None else int(np.flatnonzero(years >= from_year)[0]), None)
    size = float(np.nansum(np.abs(result.annual["capital"])))
    shown = tuple(Entry(e.label, None if e.amounts is None else _clean(e.amounts[kept], size), e.kind) for e in entries)
    missing = any(e.amounts is not None and not np.isfinite(e.amounts).all() for e in shown)
    return Ledger(title, result.currency, tuple(years[kept].tolist()), shown, adds_up,
                  (*notes, *([NO_PRICE] if missing else [])))  # fmt: skip


def _clean(amounts: Floats, size: float) -> Floats:
    """Amounts with what rounding leaves of a zero taken for zero."""
    return np.where(np.abs(amounts) < 1e-9 * size, 0.0, amounts)


def years_asked(text: str | None, result: Result) -> list[int]:
    """Years of a case by words: "all", "0-10,15"; absent: build years and those that show the course.

    Raises `CaseError`.
    """
    known = [int(year) for year in result.annual["year"][:, 0]]
    if text is None:
        return [year for year in known if year <= 2 or year % 5 == 0 or year == known[-1]]
    if text.strip() == "all":
        return known
    chosen: set[int] = set()
    for part in text.split(","):
        found = re.fullmatch(r"\s*(-?\d{1,4})\s*(?:-\s*(-?\d{1,4}))?\s*", part)
        first, last = (int(found[1]), int(found[2] or found[1])) if found else (1, 0)
        if not (known[0] <= first <= last <= known[-1]):
            words = f"{part.strip()!r} is not a year or years from {known[0]} to {known[-1]}; write all, or 0-10,15"
            raise CaseError([Fault("--years", words)], result.source)
        chosen.update(range(first, last + 1))
    return sorted(chosen)

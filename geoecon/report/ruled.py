"""Tables of amounts as an auditor reads them: lines under headings, sums ruled off, years across."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from geoecon.arrays import Floats
from geoecon.report.tables import Column

LINE, HEAD, SUM = "line", "head", "sum"
NOTHING, UNKNOWN = "-", "none"
THOUSAND = 1e3
LIFE = "all years"


@dataclass(frozen=True)
class Ruled:
    """A table of texts whose rows are lines, headings of a group, or sums.

    rows : kind of the row and its cells;  words : how many of the first columns are words, which stand on the left
    """

    title: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, tuple[str, ...]], ...]
    notes: tuple[str, ...] = ()
    words: int = 1


@dataclass(frozen=True)
class Entry:
    """One row of a ledger: a line or a sum with its amounts (year,), or a heading without."""

    label: str
    amounts: Floats | None = None
    kind: str = LINE


@dataclass(frozen=True)
class Ledger:
    """Amounts by year under headings, nominal.

    adds_up : whether amounts of the years may be added, as flows may and balances may not
    """

    title: str
    currency: str
    years: tuple[int, ...]
    entries: tuple[Entry, ...]
    adds_up: bool = True
    notes: tuple[str, ...] = ()

    def shown(self, years: Sequence[int] | None = None) -> Ruled:
        """The ledger in thousands, over the life where amounts add up, then by year; all years or those asked for."""
        chosen = [row for row, year in enumerate(self.years) if years is None or year in years]
        heads = (f"k{self.currency}, nominal", *([LIFE] if self.adds_up else []), *(str(self.years[n]) for n in chosen))
        rows = tuple((e.kind, self._cells(e, chosen, len(heads))) for e in self.entries)
        return Ruled(self.title, heads, rows, self.notes)

    def _cells(self, entry: Entry, chosen: Sequence[int], width: int) -> tuple[str, ...]:
        if entry.amounts is None:
            return (entry.label, *[""] * (width - 1))
        amounts = entry.amounts[chosen].tolist()
        if self.adds_up:
            amounts.insert(0, float(entry.amounts.sum()))
        return entry.label, *(in_thousands(amount, zero="0" if entry.kind == SUM else NOTHING) for amount in amounts)

    @property
    def columns(self) -> Mapping[str, Column]:
        """The ledger as columns, exact: the year, then every line and sum under its heading."""
        columns: dict[str, Column] = {"year": np.array(self.years)}
        group = ""
        for entry in self.entries:
            if entry.amounts is None:
                group = f"{entry.label}: "
                continue
            columns[f"{group}{entry.label} [{self.currency}]"] = entry.amounts
            group = "" if entry.kind == SUM else group
        return columns


def in_thousands(amount: float, *, zero: str = NOTHING) -> str:
    """An amount in thousands without places.

    >>> in_thousands(1234567.0), in_thousands(-0.4), in_thousands(float("nan"))
    ('1,235', '-', 'none')
    """
    if not np.isfinite(amount):
        return UNKNOWN
    text = f"{amount / THOUSAND:,.0f}"
    return zero if text in {"0", "-0"} else text


def footing(amounts: Sequence[float], places: int = 0) -> list[float]:
    """Amounts rounded so that they add up to their rounded sum: those nearest to the next step up or down take the rest.

    >>> footing([33.4, 33.4, 33.4]), footing([1 / 3, 1 / 3, 1 / 3], 2)
    ([34.0, 33.0, 33.0], [0.34, 0.33, 0.33])
    """
    steps = np.array(amounts) * 10**places
    floors = np.floor(steps)
    missing = round(float(steps.sum())) - int(floors.sum())
    up = np.argsort(floors - steps, kind="stable")[:missing]
    floors[up] += 1
    return [float(step) / 10**places for step in floors]


def in_blocks(table: Ruled, most: int) -> Iterator[Ruled]:
    """A wide table as several with at most so many columns of figures, each with the columns of words."""
    figures = len(table.heads) - table.words
    for start in range(table.words, table.words + max(figures, 1), most):
        part = slice(start, start + most)
        rows = tuple((kind, (*cells[: table.words], *cells[part])) for kind, cells in table.rows)
        yield Ruled(table.title, (*table.heads[: table.words], *table.heads[part]), rows, table.notes, table.words)

"""Prices and delivery factors as tables of comma-separated values: text in, numbers out, every fault with its line."""

from collections.abc import Callable, Iterator, Sequence
from typing import TypeVar

import numpy as np

from geoecon.arrays import Floats
from geoecon.commas import rows_of
from geoecon.errors import TableFileError

PRICE_COLUMNS = ("year", "price [per MWh]", "currency")
BLOCK_COLUMNS = ("month", "block", "share of hours", "factor")
FIRST_CALENDAR_YEAR = 1000  # smaller numbers are operating years
HIGHEST_PRICE, HIGHEST_FACTOR = 1e9, 20.0
MONTHS = 12
SHARES_SLACK = 0.003

N = TypeVar("N", int, float)


def yearly_prices(text: str, first_year: int, currency: str) -> Floats:
    r"""Prices by operating year, from year 1 on, (year,)  [money/MWh]; years before that are left out.

    text : CSV whose first line is `PRICE_COLUMNS`, then a row a year, one after the other; operating or calendar years
    first_year : calendar year of operating year 1;  currency : code that every row must have
    Raises `TableFileError`, which says what is wrong, in which line, and what to do.

    >>> yearly_prices("year,price [per MWh],currency\n2030,80,USD\n2031,82,USD\n", 2030, "USD")
    array([80., 82.])
    """
    years: list[int] = []
    prices: list[float] = []
    for line, (year, price, code) in _rows(text, PRICE_COLUMNS):
        years.append(_number(year, int, line, "a year"))
        prices.append(_within(_number(price, float, line, "a price"), HIGHEST_PRICE, line, "a price"))
        if code != currency:
            words = f"is not the case's currency, {currency}; a case has one currency, so convert the prices"
            raise TableFileError(f"line {line}: {code!r} {words}")
        if years[1:]:
            _follows(line, *years[-2:])
    if not years:
        raise TableFileError("holds no price; write a row for each year below the first line")
    before = first_year - years[0] if years[0] >= FIRST_CALENDAR_YEAR else 1 - years[0]
    if before < 0:
        words = "calendar" if years[0] >= FIRST_CALENDAR_YEAR else "operating"
        raise TableFileError(
            f"line 2: begins in {words} year {years[0]}, after operating year 1 ({first_year}); add the years before"
        )
    if before >= len(years):
        raise TableFileError(f"ends in {years[-1]}, before operating year 1 ({first_year}); add the years of operation")
    return np.array(prices[before:])


def _follows(line: int, last: int, year: int) -> None:
    """Raise `TableFileError` where a year does not follow the one above."""
    if year == last:
        raise TableFileError(f"line {line}: year {year} stands twice; keep one of the two")
    if year != last + 1:
        raise TableFileError(
            f"line {line}: year {year} follows {last}; write every year once, one after the other, without a gap"
        )


def month_factors(text: str) -> tuple[float, ...]:
    """What the price is multiplied by in each month, 12 values, from blocks of hours in which output is even.

    text : CSV whose first line is `BLOCK_COLUMNS`, a row for each block of each month; shares sum to 1 within a month
    Raises `TableFileError`, which says what is wrong, in which line, and what to do.
    """
    shares, weighted = np.zeros(MONTHS), np.zeros(MONTHS)
    seen: set[tuple[int, str]] = set()
    for line, (month, block, share, factor) in _rows(text, BLOCK_COLUMNS):
        number = _number(month, int, line, "a month")
        if not 1 <= number <= MONTHS:
            raise TableFileError(f"line {line}: {number} is not a month; write 1 to {MONTHS}")
        if (number, block) in seen:
            raise TableFileError(f"line {line}: block {block!r} of month {number} stands twice; keep one of the two")
        seen.add((number, block))
        of_hours = _within(_number(share, float, line, "a share"), 1.0, line, "a share of hours")
        shares[number - 1] += of_hours
        weighted[number - 1] += of_hours * _within(
            _number(factor, float, line, "a factor"), HIGHEST_FACTOR, line, "a factor"
        )
    wrong = np.flatnonzero(np.abs(shares - 1) > SHARES_SLACK)
    if wrong.size:
        month_, found = int(wrong[0]) + 1, float(shares[wrong[0]])
        raise TableFileError(
            f"the shares of hours of month {month_} sum to {found:.4g}, not 1; its blocks must make up the month"
        )
    return tuple((weighted / shares).tolist())


def _rows(text: str, columns: Sequence[str]) -> Iterator[tuple[int, tuple[str, ...]]]:
    """Rows below the heading with their lines, as many cells as there are columns; empty lines are passed over."""
    lines = rows_of(text)
    if not lines or tuple(cell.strip() for cell in lines[0]) != tuple(columns):
        raise TableFileError(f"the first line must be: {', '.join(columns)}")
    for line, cells in enumerate(lines[1:], 2):
        if not any(cells):
            continue
        if len(cells) != len(columns):
            raise TableFileError(f"line {line}: {', '.join(cells)[:60]!r} has {len(cells)} cells, not {len(columns)}")
        yield line, tuple(cell.strip() for cell in cells)


def _number(cell: str, kind: Callable[[str], N], line: int, what: str) -> N:
    try:
        found = kind(cell)
        if np.isfinite(found):
            return found
    except (ValueError, OverflowError, TypeError):
        pass
    whole = "a whole number" if kind is int else "a number"
    raise TableFileError(f"line {line}: {cell[:60]!r} is not {what}; write {whole} without a unit")


def _within(value: float, highest: float, line: int, what: str) -> float:
    if not 0 <= value <= highest:
        raise TableFileError(f"line {line}: {value:g} is not {what}; write 0 to {highest:g}")
    return value

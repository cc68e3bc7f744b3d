"""Temperatures of a reservoir study as a table of comma-separated values: text in, numbers out, every fault with its line."""

import numpy as np

from geoecon.arrays import Floats
from geoecon.commas import rows_of
from geoecon.errors import TableFileError
from geoecon.resource.water import KELVIN

COOLEST, HOTTEST = 0.0, 400.0
_SCALES = {"degC": (1.0, 0.0), "degF": (1 / 1.8, -32 / 1.8), "K": (1.0, -KELVIN)}
HEADINGS = tuple(f"year, temperature [{unit}]" for unit in _SCALES)


def yearly_temperatures(text: str, years: int) -> Floats:
    r"""Temperatures at the start of operation and at the end of each operating year, (years + 1,)  [degC].

    text : CSV whose first line is one of `HEADINGS`, then a row for each whole year from 0 on; rows after the life are left out
    Raises `TableFileError`, which says what is wrong, in which line, and what to do.

    >>> yearly_temperatures("year,temperature [degF]\n0,320\n1,302\n", 1)
    array([160., 150.])
    """
    lines = rows_of(text)
    heading = ", ".join(cell.strip() for cell in lines[0]) if lines else ""
    if heading not in HEADINGS:
        raise TableFileError(f"the first line must be: {' or '.join(HEADINGS)}")
    factor, shift = _SCALES[heading.partition("[")[2].rstrip("]")]
    found: list[float] = []
    for line, cells in enumerate(lines[1:], 2):
        if any(cells):
            found.append(_row(cells, line, len(found)) * factor + shift)
            if not COOLEST <= found[-1] <= HOTTEST:
                raise TableFileError(f"line {line}: {found[-1]:g} degC is outside {COOLEST:.0f} to {HOTTEST:.0f} degC")
    if len(found) <= years:
        last = f"ends in year {len(found) - 1}" if found else "holds no temperature"
        words = f"{last} and the case runs for {years} operating years; add years 0 to {years}, or shorten the life"
        raise TableFileError(words)
    return np.array(found[: years + 1])


def _row(cells: list[str], line: int, expected: int) -> float:
    """The temperature of a row, whose year must be the one that follows."""
    try:
        year, temperature = (float(cell) for cell in cells)
    except ValueError:
        raise TableFileError(f"line {line}: {', '.join(cells)[:60]!r} is not a year and a temperature") from None
    if not np.isfinite(temperature):
        raise TableFileError(f"line {line}: {cells[1][:60]!r} is not a temperature; write a number without a unit")
    if year != expected:
        words = (
            "year 0, the start of operation, comes first" if expected == 0 else f"{expected} comes after {expected - 1}"
        )
        raise TableFileError(
            f"line {line}: year {cells[0].strip()[:20]} where {words}; write every whole year once, without a gap"
        )
    return temperature

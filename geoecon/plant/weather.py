"""Hours of a year as a weather file has them, and the air of a month in a few equal parts."""

import csv
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from geoecon.arrays import Floats
from geoecon.errors import TableFileError

PARTS = 3  # equal parts of a month: their mean and spread are those of its hours
DAYS = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
HOURS = 24 * sum(DAYS)
HEADINGS = 8
MONTH, DAY, HOUR, DRY_BULB = 1, 2, 3, 6
MISSING, COLDEST, HOTTEST = 99.9, -70.0, 70.0  # bounds as the format states them
LONGEST_GAP = 6
EVEN = np.zeros((len(DAYS), 1))
WORDS = "JanFebMarAprMayJunJulAugSepOctNovDec"


@dataclass(frozen=True)
class Weather:
    """Air of a year: its monthly means [degC], and how far equal parts of each month lie from them, (month, part) [K]."""

    monthly: tuple[float, ...]
    spread: Floats


def daily_swing(swing_K: float) -> Floats:
    """How far three equal parts of a month lie from its mean where air swings daily as a sine, (month, part)  [K].

    swing_K : from the coolest to the warmest hour of a day. The parts have the sine's mean and spread, and whatever is a
    polynomial up to the fifth order of temperature has its mean over the sine (the rule of Gauss and Chebyshev).
    """
    return np.tile(swing_K / 2 * np.sqrt(0.75) * np.array([-1.0, 0.0, 1.0]), (len(DAYS), 1))


def hourly_weather(text: str) -> Weather:
    """The air of a year of hours.

    text : in the format EPW: eight lines of headings, then a line an hour with month, day, hour (1 to 24) and dry bulb in
    columns 2, 3, 4 and 7. Hours of a leap day are left out; up to six missing hours (99.9) in a row are filled in between
    their neighbours. Raises `TableFileError`, which says what is wrong and where.
    """
    rows = list(csv.reader(text.removeprefix("\ufeff").splitlines()))[HEADINGS:]
    read = [(line, *_hour(cells, line)) for line, cells in enumerate(rows, HEADINGS + 1) if any(cells)]
    kept = [(line, when, value) for line, when, value in read if when[:2] != (2, 29)]
    if len(kept) != HOURS:
        raise TableFileError(_wrong_count(len(kept), [when for _, when, _ in kept]))
    for (line, (month, day, hour), _), due in zip(kept, _calendar(), strict=True):
        if (month, day, hour) != due:
            raise TableFileError(f"line {line}: is {_said(month, day, hour)} where {_said(*due)} is due")
    return of_hours(_filled(np.array([value for _, _, value in kept]), [line for line, _, _ in kept]))


def of_hours(air: Floats) -> Weather:
    """Monthly means and equal parts of the hours of a year, (8760,)  [degC].

    Each part is the mean of a third of the hours, coolest first, drawn apart to the spread of the hours.
    """
    ends = np.cumsum([0, *(24 * days for days in DAYS)])
    months = [np.sort(air[start:end]) for start, end in pairwise(ends)]
    return Weather(tuple(float(month.mean()) for month in months), np.array([_parts(month) for month in months]))


def _parts(hours: Floats) -> Floats:
    means = np.array([part.mean() for part in np.split(hours, PARTS)]) - hours.mean()
    wide = means.std()
    return np.asarray(means * (hours.std() / wide if wide > 0 else 1.0))


def _hour(cells: list[str], line: int) -> tuple[tuple[int, int, int], float]:
    """When an hour is, and its dry bulb, NaN where it is missing."""
    try:
        month, day, hour = (int(cells[at]) for at in (MONTH, DAY, HOUR))
        value = float(cells[DRY_BULB])
    except (ValueError, IndexError):
        words = (
            "is no hour of a weather file: numbers of month, day and hour stand in columns 2 to 4, dry bulb in column 7"
        )
        raise TableFileError(f"line {line}: {words}") from None
    if value == MISSING:
        return (month, day, hour), np.nan
    if not COLDEST <= value <= HOTTEST:
        raise TableFileError(f"line {line}: dry bulb {value:g} is not within {COLDEST:g} to {HOTTEST:g} degC")
    return (month, day, hour), value


def _calendar() -> list[tuple[int, int, int]]:
    return [(m, d, h) for m, days in enumerate(DAYS, 1) for d in range(1, days + 1) for h in range(1, 25)]


def _wrong_count(count: int, found: list[tuple[int, int, int]]) -> str:
    """What is wrong with the number of hours, and the first that is missing."""
    known = set(found)
    missing = next((due for due in _calendar() if due not in known), None)
    where = f"; the first that is missing is {_said(*missing)}" if missing else "; some hours stand more than once"
    return f"holds {count:,} hours without those of a leap day; a year has {HOURS:,}, one line each{where}"


def _said(month: int, day: int, hour: int) -> str:
    name = WORDS[3 * month - 3 : 3 * month] if 1 <= month <= len(DAYS) else f"month {month}"
    return f"{day} {name} hour {hour}"


def _filled(air: Floats, lines: list[int]) -> Floats:
    """Missing hours in between their neighbours; the year goes round."""
    gaps = np.flatnonzero(np.isnan(air))
    run = 0
    for before, at in pairwise([-2, *gaps.tolist()]):
        run = run + 1 if at == before + 1 else 1
        if run > LONGEST_GAP:
            words = f"more than {LONGEST_GAP} hours in a row have no dry bulb ({MISSING:g}); fill them in from another station"
            raise TableFileError(f"line {lines[at]}: {words}")
    if not gaps.size:
        return air
    known = np.flatnonzero(~np.isnan(air))
    return np.asarray(np.interp(np.arange(len(air)), known, air[known], period=len(air)))

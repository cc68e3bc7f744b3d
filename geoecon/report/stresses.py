"""A lender's stresses as lines, JSON, a table, and in words."""

from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np

from geoecon.errors import CaseError, Fault
from geoecon.report.aligned import aligned
from geoecon.report.amounts import SHARES
from geoecon.report.inputs import range_text
from geoecon.report.lines import Line, Section
from geoecon.report.sweeps import figure
from geoecon.report.tables import Column
from geoecon.report.words import money, share, significant
from geoecon.studies.stress import BREAKS, BROKEN_BEFORE, HOLDS, MOST, TOGETHER, Stress, Stressed, StressSet
from geoecon.units import SYSTEMS

HOLDING = {  # criterion: it holds, it fails, it fails before any stress
    "dscr_min": ("cover holds", "cover fails", "In the least year cash does not cover the debt service"),
    "npv_equity": ("the owner's value holds", "the owner's value fails", "The owner's value is below zero"),
    "npv": ("the project's value holds", "the project's value fails", "The project's value is below zero"),
}
COVERS = ("dscr_min", "dscr_mean", "llcr", "plcr")
SIZED = ("% of the value", "months", "percentage points")


def figures(found: StressSet) -> tuple[str, ...]:
    """The metrics shown where none are asked for."""
    return found.value, "irr_equity", "dscr_min", "dscr_mean", "required_price", "first_year_energy"


def known(found: StressSet, metrics: Sequence[str]) -> Sequence[str]:
    """The metrics asked for, all of them real ones; the usual ones where none are. Raises `CaseError`."""
    for metric in metrics:
        if metric not in found.units:
            words = f"{metric!r} is no figure; known are: {', '.join(found.units)}"
            raise CaseError([Fault("--metric", words)], found.name)
    return metrics or figures(found)


def amount(stress: Stress, size: float = 1.0) -> str:
    """How much of a stress, in words: "+10 %", "6 months"."""
    much = stress.change * size
    sign = "+" if much > 0 else ""
    if stress.unit == "% of the value":
        return f"{sign}{figure(much, 3)} %"
    if stress.unit == "months":
        return f"{figure(much, 3)} months"
    if stress.unit == "percentage points":
        return f"{sign}{figure(much, 3)} percentage point{'' if much == 1 else 's'}"
    return f"{figure(size * 100, 3)} % of the way"


def label(stress: Stress) -> str:
    """A stress with its size as named: "capital cost +10 %"."""
    sized = stress.unit in SIZED and not stress.without
    return f"{stress.name} {amount(stress)}" if sized else stress.name


def verdict(found: StressSet) -> str:
    """What the whole set says, in a sentence."""
    if not found.criterion:
        return "The case states no price, so no stress can break it; what it needs is the required price."
    holds, fails, before = HOLDING[found.criterion]
    if not found.base.metrics[found.criterion] >= found.least:
        return f"{before} before any stress."
    *asked, together = [row for row in found.rows if row.breaks]
    failing = [label(row.stress) for row in asked if not _holds(found, row)]
    kept = f"{holds[0].upper()}{holds[1:]} in the base and under {len(asked) - len(failing)} of {len(asked)} stresses"
    broken = f"; under {', '.join(failing)} {fails}" if failing else ""
    return f"{kept}{broken}. Under all of them together {holds if _holds(found, together) else fails}."


def _holds(found: StressSet, row: Stressed) -> bool:
    return bool(row.metrics[found.criterion] >= found.least)


def outcome(found: StressSet, row: Stressed) -> str:
    """What a stress does to the criterion, and where it breaks it."""
    if row.stress.without:
        return f"does not apply: {row.stress.without}"
    if row.breaks is None:
        return "nothing to break: the case states no price" if not found.criterion else ""
    holds, fails, _ = HOLDING[found.criterion]
    if row.breaks.state == BROKEN_BEFORE:
        return "already broken in the base"
    now = holds if _holds(found, row) else fails
    if row.breaks.state == HOLDS:
        return f"{now}; not broken even at {MOST} times that"
    at = amount(row.stress, row.breaks.size)
    if row.breaks.state != BREAKS:
        return f"{now}; beyond {at} nothing can be worked out"
    if row.breaks.size > 1:
        return f"{now}; it would break at {at}"
    return (
        f"{now}, but not at every smaller size: it breaks first at {at}"
        if now == holds
        else f"{now}; it first breaks at {at}"
    )


def outcomes(found: StressSet, system: str = SYSTEMS[0]) -> Section:
    """Every stress with what it does, as a section of a page."""
    rows = found.rows[1:]
    return Section(
        "Where each stress breaks",
        tuple(Line(label(r.stress), outcome(found, r), moves(found, r, system)) for r in rows),
    )


def moves(found: StressSet, row: Stressed, system: str = SYSTEMS[0]) -> str:
    """What a stress moves, with every input before and after."""
    if row.stress.without or row.stress.name == TOGETHER:
        return row.stress.what
    moved = (
        f"{path} {range_text(found.inputs[path], ends, system, found.currency)}"
        for path, ends in row.stress.values.items()
    )
    return f"{row.stress.what}: {'; '.join(moved)}"


def cell(found: StressSet, row: Stressed, metric: str) -> str:
    """One figure of one stress with the unit in which it is read, or none."""
    value, unit = row.metrics.get(metric, np.nan), found.units[metric]
    if not np.isfinite(value):
        return "none" if row.metrics else ""
    if unit == found.currency:
        return money(value, found.currency)
    if unit == "1/yr":
        return f"{share(value)}/yr"
    if metric in SHARES:
        return share(value)
    number = f"{value:.2f}" if unit == "1" else f"{value:,.0f}" if unit == "MWh" else significant(value, 4)
    return f"{number} {'times' if metric in COVERS else unit}".removesuffix(" 1")


def cells(found: StressSet, metrics: Sequence[str]) -> list[list[str]]:
    """The whole set as texts: a heading, then a row per stress."""
    rows = [[label(row.stress), *(cell(found, row, metric) for metric in metrics)] for row in found.rows]
    return [["stress", *metrics], *rows]


def lines(found: StressSet, metrics: Sequence[str], width: int | None = None) -> Iterator[str]:
    """The set as aligned lines, then each stress with where it breaks, and why a figure is missing."""
    table = cells(found, known(found, metrics))
    yield verdict(found)
    yield from aligned(table, width)
    yield "The plant stays as it was bought; debt is its share of what is spent. Each stress alone, all else as it is."
    for line in outcomes(found).lines:
        yield f"{line.label}: {line.value}"
        yield f"    {line.basis}"
    yield from _missing(found, known(found, metrics))


def _missing(found: StressSet, metrics: Sequence[str]) -> Iterator[str]:
    for metric in metrics:
        reason = next((row.reasons[metric] for row in found.rows if row.reasons.get(metric)), "")
        if reason:
            yield f"none in {metric}: {reason}"


def as_json(found: StressSet) -> dict[str, Any]:
    """The set as plain objects; what does not exist is null."""
    return {
        "criterion": {"metric": found.criterion, "least": found.least} if found.criterion else None,
        "units": dict(found.units),
        "most": MOST,
        "stresses": [_row_json(found, row) for row in found.rows],
    }


def _row_json(found: StressSet, row: Stressed) -> dict[str, Any]:
    return {
        "name": row.stress.name,
        "label": label(row.stress),
        "what": row.stress.what,
        "changes": {
            path: {"before": before, "after": after, "unit": found.inputs[path].unit}
            for path, (before, after) in row.stress.values.items()
        },
        "metrics": {key: value if np.isfinite(value) else None for key, value in row.metrics.items()},
        "reasons": dict(row.reasons),
        "breaks": _break_json(row),
        "words": outcome(found, row),
    }


def _break_json(row: Stressed) -> dict[str, Any] | None:
    if row.breaks is None:
        return None
    return {"state": row.breaks.state, "size": row.breaks.size if np.isfinite(row.breaks.size) else None}


def stress_columns(found: StressSet) -> dict[str, Column]:
    """The set as columns: a row per stress, every metric with its unit, and where it breaks in multiples of the stress."""
    metrics = {
        f"{key} [{unit}]": np.array([row.metrics.get(key, np.nan) for row in found.rows])
        for key, unit in found.units.items()
    }
    return {
        "stress": [label(row.stress) for row in found.rows],
        **metrics,
        "breaks": [row.breaks.state if row.breaks else "" for row in found.rows],
        "at size": np.array([row.breaks.size if row.breaks else np.nan for row in found.rows]),
        "words": [outcome(found, row) for row in found.rows],
    }

"""Two inputs over a range each, everything else as it is: one pass over all pairs where both inputs may vary."""

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import product
from typing import Any

import numpy as np
from numpy.typing import NDArray

from geoecon import units
from geoecon.arrays import Floats, chunks
from geoecon.case import Case
from geoecon.engine import evaluate
from geoecon.errors import CaseError, Fault
from geoecon.result import Result
from geoecon.sizing import Design, size
from geoecon.studies.decisions import DECISIONS
from geoecon.studies.inputs import input_of
from geoecon.studies.sweep import ends, spaced
from geoecon.studies.why import infeasible, refusal, why_not

MOST_CELLS = 40_000
MOST_PASSES = 2_001
CONTRADICTION = "the two values contradict each other or the case"

Cells = NDArray[np.int_]


@dataclass(frozen=True)
class Range:
    """An input and the texts of its range as a person asks for it; an end that is left out is the usual one."""

    path: str
    low: str | None = None
    high: str | None = None
    steps: int = 9


@dataclass(frozen=True)
class Axis:
    """Values of one input of a grid, (n,) rising, in `unit`; the case's own value is among them, at index `at`.

    varies : whether it may differ between the scenarios of one pass;  whole : whether it is a count
    """

    path: str
    help: str
    kind: str
    unit: str
    values: Floats
    at: int
    varies: bool
    whole: bool
    written: str = ""

    @property
    def base(self) -> float:
        """The case's own value."""
        return float(self.values[self.at])

    def shown_in(self, system: str, currency: str) -> "Axis":
        """The same values in the unit of another system of units."""
        if not self.kind:
            return self
        unit = units.unit_shown(self.kind, system, currency, self.written)
        shown = np.array([units.from_inside(float(value), self.kind, unit, currency) for value in self.values])
        return replace(self, values=shown, unit=unit)


@dataclass(frozen=True)
class Grid:
    """Metrics over the values of two inputs: `across` runs along the columns, `down` along the rows.

    metrics : key -> (down, across);  reasons : key -> why cells have no value -> how many of them
    margins : key -> (down, across), how far each cell is on the good side of the value at which the answer turns, for
    metrics of `DECISIONS`;  obstacle : what stands in the way of the first cell that cannot be worked out, if any
    held : whether the design of the case was held
    """

    across: Axis
    down: Axis
    metrics: Mapping[str, Floats]
    margins: Mapping[str, Floats]
    reasons: Mapping[str, Mapping[str, int]]
    obstacle: str
    units: Mapping[str, str]
    bases: Mapping[str, str]
    held: bool
    name: str
    currency: str

    @property
    def cells(self) -> int:
        """Number of cells."""
        return self.across.values.size * self.down.values.size

    @property
    def at(self) -> tuple[int, int]:
        """Row and column of the case as it is."""
        return self.down.at, self.across.at

    def shown_in(self, system: str) -> "Grid":
        """The same grid with its inputs in the units of another system."""
        across, down = (axis.shown_in(system, self.currency) for axis in (self.across, self.down))
        return replace(self, across=across, down=down)


def grid(case: Case, across: Range, down: Range, *, hold: bool = False) -> Grid:
    """Every metric of a case over two inputs.

    Where both inputs may vary it is one pass, shaped into rows and columns afterwards; an input that sets the length of
    arrays, or the shape of the plant's map, takes a pass for each of its values. The case's own values are put among
    the others. With `hold` the design of the base case is kept, otherwise each cell is sized afresh.
    Raises `CaseError`: a path that cannot be moved or is given twice, a range without extent, too many cells, or a grid
    in which no cell can be worked out.
    """
    if across.path == down.path:
        raise CaseError([Fault(down.path, "is given twice; a grid takes two different inputs")], case.source)
    axes = (_axis(case, across), _axis(case, down))
    _bounded(case, axes)
    shape = (axes[1].values.size, axes[0].values.size)
    flat = {
        axis.path: values.ravel() for axis, values in zip(axes, np.meshgrid(*(a.values for a in axes)), strict=True)
    }
    design = size(case) if hold else None
    base = evaluate(case)
    found = _Found(int(np.prod(shape)), base)
    for cells, values in _passes(axes, flat):
        for done, passed in _passed(case, values, design, cells):
            found.take(done, passed)
    if not found.feasible.any():
        words = f"nothing can be worked out in this range: {why_not(case, design) or found.refusal}"
        raise CaseError([Fault(across.path, words)], case.source)
    return Grid(
        *axes,
        {key: values.reshape(shape) for key, values in found.metrics.items()},
        {key: values.reshape(shape) for key, values in found.margins.items()},
        {key: dict(counted) for key, counted in found.reasons.items()},
        _obstacle(case, axes, flat, found, design),
        {key: metric.unit for key, metric in base.metrics.items()},
        {key: metric.basis for key, metric in base.metrics.items()},
        hold, base.name, base.currency,
    )  # fmt: skip


def _axis(case: Case, asked: Range) -> Axis:
    chosen = input_of(case, asked.path)
    values, at = spaced(case, chosen, *ends(case, chosen, asked.low, asked.high), asked.steps)
    return Axis(
        chosen.path, chosen.about.help, chosen.kind, chosen.unit, values, at, chosen.about.varies,
        chosen.about.form == "count", chosen.written,
    )  # fmt: skip


def _bounded(case: Case, axes: tuple[Axis, Axis]) -> None:
    """Refuse a grid that is too large."""
    cells = axes[0].values.size * axes[1].values.size
    passes = int(np.prod([axis.values.size for axis in axes if not axis.varies], dtype=int))
    if cells > MOST_CELLS:
        words = f"{cells:,} cells are more than {MOST_CELLS:,}; ask for fewer steps"
        raise CaseError([Fault(axes[0].path, words)], case.source)
    if passes > MOST_PASSES:
        words = f"takes a pass of its own for each value, {passes:,} in all and {MOST_PASSES:,} at most; ask for fewer steps"
        raise CaseError([Fault(next(axis.path for axis in axes if not axis.varies), words)], case.source)


def _passes(axes: tuple[Axis, Axis], flat: Mapping[str, Floats]) -> Iterator[tuple[Cells, dict[str, Any]]]:
    """Cells that go through a pass together, and the values they take: one number of an input that cannot vary."""
    fixed = [axis for axis in axes if not axis.varies]
    for chosen in product(*(axis.values for axis in fixed)):
        single = {axis.path: _number(axis, value) for axis, value in zip(fixed, chosen, strict=True)}
        together = np.ones(flat[axes[0].path].size, dtype=bool)
        for axis, value in zip(fixed, chosen, strict=True):
            together &= flat[axis.path] == value
        there = np.flatnonzero(together)
        for part in chunks(there.size):
            moving = {axis.path: flat[axis.path][there[part]] for axis in axes if axis.varies}
            yield there[part], {**single, **moving}


def _number(axis: Axis, value: float) -> int | float:
    return int(value) if axis.whole else float(value)


def _passed(
    case: Case, values: Mapping[str, Any], design: Design | None, cells: Cells
) -> Iterator[tuple[Cells, Result | CaseError]]:
    """The pass of some cells; where their values contradict each other in places, halves of them, down to those places."""
    try:
        yield cells, evaluate(case.with_values(values), design)
    except CaseError as error:
        if cells.size == 1:
            yield cells, error
            return
        for half in (slice(None, cells.size // 2), slice(cells.size // 2, None)):
            some = {path: value[half] if isinstance(value, np.ndarray) else value for path, value in values.items()}
            yield from _passed(case, some, design, cells[half])


class _Found:
    """What the passes of a grid gave, cell by cell."""

    def __init__(self, cells: int, base: Result) -> None:
        self.metrics = {key: np.full(cells, np.nan) for key in base.metrics}
        self.margins = {key: np.full(cells, np.nan) for key in DECISIONS}
        self.reasons: dict[str, Counter[str]] = {key: Counter() for key in base.metrics}
        self.feasible = np.zeros(cells, dtype=bool)
        self.refusal = ""

    def take(self, cells: Cells, passed: Result | CaseError) -> None:
        """Put the figures of a pass where they belong, or the refusal of a cell."""
        if isinstance(passed, CaseError):
            self.refusal = self.refusal or refusal(passed)
            for counted in self.reasons.values():
                counted[CONTRADICTION] += cells.size
            return
        self.feasible[cells] = ~infeasible(passed.metrics)
        for key, metric in passed.metrics.items():
            self.metrics[key][cells] = metric.values
            for code in np.unique(metric.codes[metric.codes > 0]):
                there = np.flatnonzero(metric.codes == code)
                self.reasons[key][metric.reason_at(int(there[0]))] += there.size
        for key, decision in DECISIONS.items():
            self.margins[key][cells] = decision.margin(passed.metrics[key].values, passed)


def _obstacle(
    case: Case, axes: tuple[Axis, Axis], flat: Mapping[str, Floats], found: _Found, design: Design | None
) -> str:
    """What stands in the way of the first cell that cannot be worked out."""
    if found.feasible.all():
        return ""
    first = int(np.flatnonzero(~found.feasible)[0])
    try:
        there = case.with_values({axis.path: _number(axis, flat[axis.path][first]) for axis in axes})
    except CaseError as error:
        return refusal(error)
    return why_not(there, design)

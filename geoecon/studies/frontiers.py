"""Two inputs at once: pairs that just meet a target, and lines of equal value with wells as points among them."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from geoecon.arrays import Bools, Floats
from geoecon.case import Case
from geoecon.errors import CaseError, Fault, UnitError
from geoecon.studies.breakeven import nearest
from geoecon.studies.contours import contour
from geoecon.studies.edges import Ints, Rays, edges
from geoecon.studies.inputs import Input
from geoecon.studies.targets import Target
from geoecon.studies.trials import Trials

POINTS = 21
GRID = 61
LINES = 6
MARGIN = 0.05
TEMPERATURE, FLOW = "resource.temperature", "wells.flow_per_producer"


@dataclass(frozen=True)
class Frontier:
    """For each value of the first input, the value of the second that just meets a target; units used inside.

    values, needed : (point,), needed is NaN where nothing within `reach` changes whether the target is met
    side : (point,) 1 where it is met above `needed`, -1 below, 0 where there is none
    met : (point,) whether it is met with the case's own value of the second
    """

    target: Target
    first: Input
    second: Input
    values: Floats
    needed: Floats
    side: Ints
    met: Bools
    reach: tuple[float, float]
    base: float
    held: bool
    name: str
    currency: str


@dataclass(frozen=True)
class Well:
    """A well as a point among the lines: values of both inputs and the metric there, NaN with the reason."""

    name: str
    across: float
    up: float
    value: float
    reason: str


@dataclass(frozen=True)
class SuccessCurve:
    """A metric over a grid of two inputs, lines of equal value in it, and wells; units used inside.

    x (m,), y (n,), values (n, m), NaN where the metric has none;  lines : level -> pieces (piece, 4), the target's among them
    """

    target: Target
    across: Input
    up: Input
    x: Floats
    y: Floats
    values: Floats
    lines: Mapping[float, Floats]
    wells: tuple[Well, ...]
    base: float
    held: bool
    name: str
    currency: str


def frontier(case: Case, target: Target, first: str, second: str, *, hold: bool = False) -> Frontier:
    """Pairs of two inputs that just meet a target, everything else as the case has it.

    All values of the first and all trials of the second share one pass for each grid (see `edges`).
    Raises `CaseError`: a path that states no number that may vary, the same path twice.
    """
    trials = Trials(case, target, hold)
    one, other = _two(trials, first, second)
    low, high = trials.window(one)
    values = np.unique(np.append(np.linspace(low, high, POINTS), one.value))
    reach = trials.reach(other)
    count = values.size
    start, end = np.full(2 * count, other.value), np.tile(reach[:2], count)
    found = edges(
        lambda ray, tried: trials.margins({first: values[ray // 2], second: tried}),
        Rays(start, end, np.full(2 * count, reach[2])),
    )
    rays = [nearest(found, (2 * n, 2 * n + 1), other.value) for n in range(count)]
    needed = np.array([np.nan if ray is None else found.edge[ray] for ray in rays])
    met = found.met[::2]
    way = np.array([0 if ray is None else 2 * (ray % 2) - 1 for ray in rays])
    base = float(trials.base.metrics[target.metric].values[0])
    return Frontier(target, one, other, values, needed, np.where(met, -way, way), met, reach[:2], base, hold,
                    trials.base.name, case.money.currency)  # fmt: skip


def success_curve(
    case: Case, target: Target, across: str = TEMPERATURE, up: str = FLOW, wells: Sequence[str] = (), *,
    hold: bool = False,
) -> SuccessCurve:  # fmt: skip
    """Lines of equal value of the target's metric over two inputs, in one pass over a grid and all wells.

    wells : texts `NAME: value of the first, value of the second`, with units
    Raises `CaseError`: a path that states no number that may vary, a text that is no well.
    """
    trials = Trials(case, target, hold)
    one, other = _two(trials, across, up)
    points = [_well(text, one, other, case) for text in wells]
    x = np.linspace(*_around(trials, one, [at for _, at, _ in points]), GRID)
    y = np.linspace(*_around(trials, other, [at for *_, at in points]), GRID)
    wide, tall = (part.ravel() for part in np.meshgrid(x, y))
    rows = {across: np.append(wide, [p[1] for p in points]), up: np.append(tall, [p[2] for p in points])}
    found = trials.values(rows)
    values, at_wells = found[: wide.size].reshape(y.size, x.size), found[wide.size :]
    dots = tuple(
        Well(name, a, b, float(value), "" if np.isfinite(value) else trials.why_none({across: a, up: b}))
        for (name, a, b), value in zip(points, at_wells, strict=True)
    )
    lines = {level: contour(x, y, values, level) for level in _levels(values, target.value)}
    base = float(trials.base.metrics[target.metric].values[0])
    return SuccessCurve(
        target, one, other, x, y, values, lines, dots, base, hold, trials.base.name, case.money.currency
    )


def _two(trials: Trials, first: str, second: str) -> tuple[Input, Input]:
    if first == second:
        raise CaseError([Fault(first, "stands on both sides; name two different inputs")], trials.case.source)
    return trials.movable(first), trials.movable(second)


def _well(text: str, across: Input, up: Input, case: Case) -> tuple[str, float, float]:
    """Name and both values of a well. A comma without a space after it parts thousands."""
    name, colon, values = text.rpartition(":")
    parts = [part.strip() for part in values.split(", ")]
    if not (name.strip() and colon and len(parts) == 2):
        words = f"{text!r} is no well; write NAME: value of {across.path}, value of {up.path}"
        raise CaseError([Fault("--well", words)], case.source)
    found = []
    for part, input_ in zip(parts, (across, up), strict=True):
        low, high = input_.about.limits(input_.kind)
        try:
            value = input_.read(part, case.money.currency)
        except UnitError as error:
            raise CaseError([Fault(f"--well {name.strip()}", f"{input_.path}: {error}")], case.source) from None
        if not low <= value <= high:
            words = f"{input_.path}: {part!r} is outside what the field may be; see `geoecon fields`"
            raise CaseError([Fault(f"--well {name.strip()}", words)], case.source)
        found.append(value)
    return name.strip(), found[0], found[1]


def _around(trials: Trials, chosen: Input, points: Sequence[float]) -> tuple[float, float]:
    """The window of an input, widened to hold every well with a margin, within the bounds of its field."""
    low, high = trials.window(chosen)
    least, most = chosen.about.limits(chosen.kind)
    if points:
        room = MARGIN * (max(high, *points) - min(low, *points))
        low = max(least, min(low, min(points) - room))
        high = min(most, max(high, max(points) + room))
    return low, high


def _levels(values: Floats, target: float) -> list[float]:
    """The target, and levels a round step apart from it that the values reach, those nearest to it."""
    known = values[np.isfinite(values)]
    low, high = np.quantile(known, [0.03, 0.97]) if known.size else (target, target)
    if low >= high:
        return [target]
    rough = float(high - low) / LINES
    size = 10.0 ** np.floor(np.log10(rough))
    step = size * next(factor for factor in (1, 2, 2.5, 5, 10) if factor * size >= rough)
    steps = np.arange(np.ceil((low - target) / step), np.floor((high - target) / step) + 1)
    others = sorted(steps[steps != 0], key=abs)[: LINES - 1]
    return [target, *(float(target + n * step) for n in others)]

"""Ranks of draws: which inputs a figure goes with, and what the worst draws have in common."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from geoecon.arrays import Floats

TENTH = 10
SIDES: tuple[Literal["left", "right"], ...] = ("left", "right")
MOST_RANKED = 100_000  # draws; more would sharpen no digit that is shown


@dataclass(frozen=True)
class Importance:
    """How a figure goes with one input over draws.

    rank_correlation : Spearman's, -1 to 1  [1]
    weight : standardized rank regression coefficient, all inputs in one straight fit of ranks  [1]
    """

    path: str
    rank_correlation: float
    weight: float


@dataclass(frozen=True)
class InCommon:
    """One input in the worst tenth of draws by a figure, beside all draws.

    median, median_bad : in the unit used inside
    chance_bad : mean cumulative chance in the worst tenth, by the first `MOST_RANKED` draws; 0.5 in all  [1]
    """

    path: str
    median: float
    median_bad: float
    chance_bad: float


def ranks(values: Floats) -> Floats:
    """Ranks from 1 up, (scenario,); equal values share the mean of theirs. Infinite values have ranks as well.

    >>> ranks(np.array([3.0, 1.0, 3.0, np.inf]))
    array([2.5, 1. , 2.5, 4. ])
    """
    _, place, counts = np.unique(values, return_inverse=True, return_counts=True)
    return np.asarray((np.cumsum(counts) - (counts - 1) / 2)[place], dtype=np.float64)


def importance(inputs: Mapping[str, Floats], figure: Floats) -> tuple[Importance, ...]:
    """Each input that varies with its rank correlation and weight, the strongest first.

    inputs : path -> (scenario,);  figure : (scenario,), may hold infinite values, no NaN
    Nothing where the figure is the same in all draws.
    """
    own = _standard(figure[:MOST_RANKED])
    columns = {path: _standard(values[:MOST_RANKED]) for path, values in inputs.items()}
    moving = {path: column for path, column in columns.items() if column.any()}
    if not own.any() or not moving:
        return ()
    table = np.array(list(moving.values()))
    between, with_figure = table @ table.T / own.size, table @ own / own.size
    weights = np.linalg.lstsq(between, with_figure, rcond=None)[0]
    found = [Importance(*one) for one in zip(moving, map(float, with_figure), map(float, weights), strict=True)]
    return tuple(sorted(found, key=lambda one: -abs(one.rank_correlation)))


def _standard(values: Floats) -> Floats:
    """Ranks with mean 0 and mean square 1, or zeros where all are equal."""
    centred = ranks(values) - (values.size + 1) / 2
    size = float(np.sqrt(np.mean(centred**2)))
    return centred / size if size else centred


def worst_tenth(goodness: Floats) -> NDArray[np.intp]:
    """Places of the worst tenth of draws, at least one, rising; of equally bad ones the earlier.

    goodness : (scenario,), more is better

    >>> worst_tenth(np.array([3.0, 1.0, 2.0, 1.0]))
    array([1])
    """
    many = max(1, goodness.size // TENTH)
    edge = np.partition(goodness, many - 1)[many - 1]
    worse, at_edge = np.flatnonzero(goodness < edge), np.flatnonzero(goodness == edge)
    return np.sort(np.concatenate([worse, at_edge[: many - worse.size]]))


def in_common(inputs: Mapping[str, Floats], goodness: Floats) -> tuple[InCommon, ...]:
    """What the worst tenth of draws have in common: each input there and in all, the most unusual first.

    inputs : path -> (scenario,);  goodness : (scenario,), more is better, -inf where there is no answer
    """
    bad = worst_tenth(goodness)

    def of_input(path: str, values: Floats) -> InCommon:
        every, there = np.sort(values[:MOST_RANKED]), np.sort(values[bad])
        below, upto = (np.searchsorted(every, there, side) for side in SIDES)
        chance = (below + upto).mean() / 2 / every.size
        return InCommon(path, float(np.median(values)), float(np.median(there)), float(chance))

    found = [of_input(path, values) for path, values in inputs.items()]
    return tuple(sorted(found, key=lambda one: -abs(one.chance_bad - 0.5)))

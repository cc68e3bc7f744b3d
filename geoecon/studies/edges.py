"""Where a target begins or ceases to be met along rays: many rays at a time, and nothing assumed about the shape between.

A ray runs from a start to an end. A grid finds the first step in which something changes, and finer grids inside that step
narrow it down, so a metric that rises and falls again, or has no value somewhere, is met where it first is.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from geoecon.arrays import Bools, Floats

STEPS, FINER, PASSES = 32, 16, 5  # the last step is a part in 3e7 of the ray
Ints = NDArray[np.intp]
Judge = Callable[[Ints, Floats], Floats]


@dataclass(frozen=True)
class Rays:
    """Lines from starts to ends, (ray,); geometric ones take equal factors as steps, the others equal differences."""

    start: Floats
    end: Floats
    geometric: Bools

    def at(self, ray: Ints, way: Floats) -> Floats:
        """Values of some rays at some shares of their way, all of one shape."""
        start, end = self.start[ray], self.end[ray]
        with np.errstate(divide="ignore", invalid="ignore"):
            by_factor = start * (end / start) ** way
        return np.where(self.geometric[ray], by_factor, start + (end - start) * way)


@dataclass(frozen=True)
class Edges:
    """What was found on each ray, (ray,).

    met : whether the target is met at the start
    found : whether it changes on the way;  broken : whether what comes first instead is a value that does not exist
    inner, outer : values on both sides of that change, the end of the ray where there is none
    until : last value of the first grid at which it has not changed back; infinite where it never does
    best : best margin on the way, NaN where none exists;  best_at : value of the input there
    still : whether nothing moves on the way;  grid, margins : (ray, step) all values of the first grid and their margins
    """

    met: Bools
    found: Bools
    broken: Bools
    inner: Floats
    outer: Floats
    until: Floats
    best: Floats
    best_at: Floats
    still: Bools
    grid: Floats
    margins: Floats

    @property
    def edge(self) -> Floats:
        """The value on the side of the change that meets the target; the last that exists where there is no such side."""
        return np.where(~self.met & self.found, self.outer, self.inner)


def edges(judge: Judge, rays: Rays) -> Edges:
    """The first change on each ray.

    judge : numbers of rays (n,) and values (n,) -> margins (n,), negative where the target is missed, NaN where it has no
    value; called once for all rays and once more for each finer grid
    """
    count = rays.start.size
    way = np.broadcast_to(np.linspace(0.0, 1.0, STEPS + 1), (count, STEPS + 1))
    margins = _judged(judge, rays, np.arange(count), way)
    met = margins[:, 0] >= 0
    changed, step = _first_change(margins, met)
    every, first_grid = np.arange(count), margins
    grid = rays.at(every[:, None], way)
    until, best, best_at = _until(rays, way, margins, met, step), *_best(rays, way, margins)
    still = (margins == margins[:, :1]).all(axis=1)
    near, far = np.where(changed, _pick(way, step - 1), 1.0), np.where(changed, _pick(way, step), 1.0)
    ends = np.stack([_pick(margins, step - 1), _pick(margins, step)])
    active = np.flatnonzero(changed)
    for _ in range(PASSES if active.size else 0):
        finer = near[active, None] + (far - near)[active, None] * np.linspace(0.0, 1.0, FINER + 1)
        inside = _judged(judge, rays, active, finer[:, 1:-1])
        margins = np.hstack([ends[0, active, None], inside, ends[1, active, None]])
        _, step = _first_change(margins, met[active])
        near[active], far[active] = _pick(finer, step - 1), _pick(finer, step)
        ends[:, active] = _pick(margins, step - 1), _pick(margins, step)
    broken = changed & np.isnan(ends[1])
    inner, outer = rays.at(every, near), rays.at(every, far)
    return Edges(met, changed & ~broken, broken, inner, outer, until, best, best_at, still, grid, first_grid)


def _judged(judge: Judge, rays: Rays, some: Ints, way: Floats) -> Floats:
    """Margins of some rays at shares of their way, (ray, step), in one call."""
    which = np.repeat(some, way.shape[1])
    return judge(which, rays.at(which, way.ravel())).reshape(way.shape)


def _pick(rows: Floats, step: Ints) -> Floats:
    return rows[np.arange(len(rows)), step]


def _first_change(margins: Floats, met: Bools) -> tuple[Bools, Ints]:
    """Whether and at which step something changes: met no more, or met, or no value after there were values."""
    with np.errstate(invalid="ignore"):
        meets, none = margins >= 0, np.isnan(margins)
    seen = np.logical_or.accumulate(~none, axis=1)
    changes: Bools = np.where(met[:, None], ~meets, meets | (none & seen))
    anywhere: Bools = np.logical_or.reduce(changes, axis=1)
    return anywhere, changes.argmax(axis=1)


def _until(rays: Rays, way: Floats, margins: Floats, met: Bools, step: Ints) -> Floats:
    """Last value of the grid at which what changes at a step stays so; infinite where it does to the end."""
    with np.errstate(invalid="ignore"):
        back = ((margins >= 0) == met[:, None]) & (np.arange(way.shape[1]) > step[:, None])
    last = rays.at(np.arange(len(way)), _pick(way, np.maximum(back.argmax(axis=1) - 1, 0)))
    return np.where(back.any(axis=1), last, np.where(rays.end > rays.start, np.inf, -np.inf))


def _best(rays: Rays, way: Floats, margins: Floats) -> tuple[Floats, Floats]:
    """The best margin of each ray up to where values end, and where it is."""
    with np.errstate(invalid="ignore"):
        none = np.isnan(margins)
    ended = np.logical_or.accumulate(none & np.logical_or.accumulate(~none, axis=1), axis=1)
    shown = np.where(none | ended, -np.inf, margins)
    step = shown.argmax(axis=1)
    best = _pick(shown, step)
    return np.where(np.isfinite(best), best, np.nan), rays.at(np.arange(len(way)), _pick(way, step))

"""What a well costs, from its depth and a published curve, in the money of another year; and how far curves lie apart."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from geoecon.arrays import Bools, Floats
from geoecon.tables import Row, row, table

METRES = {"m": 1.0, "ft": 0.3048}
Form = Callable[[Floats], Floats]  # depth [m] -> cost [USD of the curve's year]


def _polynomial(r: Row) -> Form:
    """a2 z^2 + a1 z + a0."""
    second, first, constant, unit = float(r["a2"]), float(r["a1"]), float(r["a0"]), METRES[r["depth_unit"]]

    def cost(depth_m: Floats) -> Floats:
        depth = depth_m / unit
        return np.asarray((second * depth + first) * depth + constant)

    return cost


def _power(r: Row) -> Form:
    """A factor times z^exponent."""
    factor, exponent, unit = float(r["factor"]), float(r["exponent"]), METRES[r["depth_unit"]]
    return lambda depth_m: np.asarray(factor * (depth_m / unit) ** exponent)


def _points(r: Row) -> Form:
    """Straight lines between the depths of a table, within each number of casing strings.

    Where one number ends another begins, at a higher cost: at that depth the fewer strings hold, below it the more.
    """
    rows = [point for point in table("well_cost_points") if point["curve"] == r["curve"]]
    depths = np.array([float(point["depth_m"]) for point in rows])
    costs = np.array([float(point["cost"]) for point in rows])

    def cost(depth_m: Floats) -> Floats:
        below = np.clip(np.searchsorted(depths, depth_m, side="left"), 1, depths.size - 1)
        part = (depth_m - depths[below - 1]) / (depths[below] - depths[below - 1])
        return np.asarray(costs[below - 1] + part * (costs[below] - costs[below - 1]))

    return cost


FORMS: dict[str, Callable[[Row], Form]] = {"polynomial": _polynomial, "power": _power, "points": _points}


@dataclass(frozen=True)
class CostCurve:
    """Cost of one completed well by measured depth, in US dollars of `price_year`, from `from_m` to `to_m`."""

    name: str
    family: str
    form: Form
    price_year: int
    from_m: float
    to_m: float

    def cost(self, depth_m: Floats) -> Floats:
        """Cost at a measured depth, NaN outside the depths the curve was fitted on, any shape  [m] -> [USD of its year]."""
        covered = self.covers(depth_m)
        return np.where(covered, self.form(np.where(covered, depth_m, self.from_m)), np.nan)

    def covers(self, depth_m: Floats) -> Bools:
        """Whether a depth lies within the curve."""
        return np.asarray((depth_m >= self.from_m) & (depth_m <= self.to_m))


def curves() -> tuple[str, ...]:
    """Names of the published curves."""
    return tuple(r["curve"] for r in table("well_cost_curves"))


@lru_cache
def cost_curve(name: str) -> CostCurve:
    """A published curve by name.

    >>> round(float(cost_curve("vertical-large").cost(2000.0)) / 1e6, 2)
    4.31
    """
    r = row("well_cost_curves", curve=name)
    return CostCurve(name, r["family"], FORMS[r["form"]](r), int(r["price_year"]), float(r["from_m"]), float(r["to_m"]))


def price_level(from_year: int, to_year: int, inflation: Floats) -> Floats:
    """How much prices rose between two years: the consumer price index as far as it is known, then general inflation.

    inflation : (scenario,)  [1/yr];  returns (scenario,)  [1]. Drilling prices move more than consumer prices do: between
    2003 and 2008 they more than doubled. A curve moved by this is an order of magnitude, not a bid.
    """
    known = {int(r["year"]): float(r["index"]) for r in table("price_index")}
    last = max(known)
    return known[min(to_year, last)] / known[from_year] * (1 + inflation) ** max(to_year - last, 0)


@dataclass(frozen=True)
class Spread:
    """What every published curve says a well of a depth costs, in money of one year.

    cost : (curve, depth)  [USD], NaN where a curve does not reach;  names : of the curves, as the rows stand
    """

    names: tuple[str, ...]
    cost: Floats

    def ranked(self, at: int = 0) -> list[tuple[str, float]]:
        """Curves that reach a depth with their cost, the least first."""
        said = zip(self.names, self.cost[:, at].tolist(), strict=True)
        return sorted((one for one in said if np.isfinite(one[1])), key=lambda one: one[1])

    def middle(self, at: int = 0) -> tuple[tuple[str, ...], float]:
        """The one curve in the middle of those that reach a depth, or the two, and the median cost."""
        ranked = self.ranked(at)
        held = ranked[(len(ranked) - 1) // 2 : len(ranked) // 2 + 1]
        return tuple(name for name, _ in held), float(np.mean([cost for _, cost in held])) if held else np.nan


def spread(depth_m: Floats, year: int, inflation: Floats) -> Spread:
    """Cost of one well by every published curve, in US dollars of a year.

    depth_m : (n,) or one  [m];  inflation : (n,) or one, after the last year of the price index  [1/yr]

    >>> found = spread(np.array([2000.0]), 2024, np.zeros(1))
    >>> [(name, round(cost / 1e6, 2)) for name, cost in (found.ranked()[0], found.ranked()[-1])]
    [('vertical-small', 4.14), ('historical-2014', 6.83)]
    """
    every = [cost_curve(name) for name in curves()]
    moved = [curve.cost(depth_m) * price_level(curve.price_year, year, inflation) for curve in every]
    return Spread(tuple(curve.name for curve in every), np.atleast_2d(np.array(moved)))

"""What a well costs, from its depth and a published curve, in the money of another year."""

from dataclasses import dataclass

import numpy as np

from geoecon.arrays import Bools, Floats
from geoecon.tables import row, table

METRES = {"m": 1.0, "ft": 0.3048}


@dataclass(frozen=True)
class CostCurve:
    """Cost of one completed well as a polynomial of measured depth, in US dollars of `price_year`."""

    name: str
    coefficients: tuple[float, float, float]
    depth_unit_m: float
    price_year: int
    from_m: float
    to_m: float

    def cost(self, depth_m: Floats) -> Floats:
        """Cost at a measured depth, NaN outside the depths the curve was fitted on, any shape  [m] -> [USD of its year]."""
        depth = np.asarray(depth_m) / self.depth_unit_m
        second, first, constant = self.coefficients
        return np.where(self.covers(depth_m), (second * depth + first) * depth + constant, np.nan)

    def covers(self, depth_m: Floats) -> Bools:
        """Whether a depth lies within the curve."""
        return np.asarray((depth_m >= self.from_m) & (depth_m <= self.to_m))


def curves() -> tuple[str, ...]:
    """Names of the published curves."""
    return tuple(r["curve"] for r in table("well_cost_curves"))


def cost_curve(name: str) -> CostCurve:
    """A published curve by name.

    >>> round(float(cost_curve("vertical-large").cost(2000.0)) / 1e6, 2)
    4.31
    """
    r = row("well_cost_curves", curve=name)
    coefficients = (float(r["a2"]), float(r["a1"]), float(r["a0"]))
    return CostCurve(
        name, coefficients, METRES[r["depth_unit"]], int(r["price_year"]), float(r["from_m"]), float(r["to_m"])
    )


def price_level(from_year: int, to_year: int, inflation: Floats) -> Floats:
    """How much prices rose between two years: the consumer price index as far as it is known, then general inflation.

    inflation : (scenario,)  [1/yr];  returns (scenario,)  [1]. Drilling prices move more than consumer prices do: between
    2003 and 2008 they more than doubled. A curve moved by this is an order of magnitude, not a bid.
    """
    known = {int(r["year"]): float(r["index"]) for r in table("price_index")}
    last = max(known)
    return known[min(to_year, last)] / known[from_year] * (1 + inflation) ** max(to_year - last, 0)

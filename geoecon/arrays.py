"""The shapes that numbers travel in: `(scenario,)` for an input, `(year, scenario)` for everything over time."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
Codes = NDArray[np.uint8]


def column(values: ArrayLike) -> Floats:
    """Per-year values as `(year, 1)`, so that they broadcast over scenarios."""
    return np.asarray(values, dtype=np.float64).reshape(-1, 1)


def narrow(values: Floats) -> Floats:
    """Values whose last axis is that of scenarios, as those of one scenario where all have the same, (..., 1).

    What follows from them is then worked out once. It has the same bits as worked out for every scenario.
    """
    first = values[..., :1]
    return first if (values == first).all() else values


def over_years(flows: Floats) -> Floats:
    """Sum over the first axis, year by year, so that a scenario's bits do not depend on the number of scenarios.

    `flows.sum(axis=0)` adds in another order when there are many columns, and differs in the last digit.
    """
    total: Floats = np.zeros_like(flows[0])
    for row in flows:
        total += row
    return total


def running_total(flows: Floats) -> Floats:
    """Sum of the first axis up to and with each year, `(year, scenario)`; `cumsum` adds year by year as well."""
    return np.cumsum(flows, axis=0)

"""The shapes that numbers travel in: `(scenario,)` for an input, `(year, scenario)` for everything over time."""

import ctypes
import sys
from collections.abc import Iterable, Iterator
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
Codes = NDArray[np.uint8]
Ints = NDArray[np.int_]


CHUNK = 5000  # scenarios worked out at a time: fewer cost more work around the arrays, more leave the processor's cache

_TRIM_THRESHOLD, _MMAP_THRESHOLD = -1, -3  # of mallopt, by the C library of Linux
_SMALL_BLOCK, _MUCH = 32 << 20, 256 << 20  # bytes


def keep_memory() -> None:
    """Let this process keep what arrays give back, for the arrays that come next.

    The C library of Linux returns it to the system after every step and has it cleared anew for the next, which takes a
    third of a pass. It is told to keep blocks up to 32 MB, a quarter of a gigabyte in all. Elsewhere this does nothing.
    """
    mallopt = getattr(ctypes.CDLL(None), "mallopt", None) if sys.platform == "linux" else None
    if mallopt:
        mallopt(_MMAP_THRESHOLD, _SMALL_BLOCK)
        mallopt(_TRIM_THRESHOLD, _MUCH)


def chunks(count: int, size: int = CHUNK) -> Iterator[slice]:
    """Scenarios in chunks, in order; results have the same bits as those of all at once.

    >>> list(chunks(12000))
    [slice(0, 5000, None), slice(5000, 10000, None), slice(10000, 12000, None)]
    """
    for start in range(0, count, size):
        yield slice(start, min(start + size, count))


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

    numpy adds row by row as well where there are several scenarios and rows lie one after the other, and then it is the
    faster; a single scenario it would add in pairs, which differs in the last digit.
    """
    if flows.ndim == 2 and flows.shape[1] > 1 and flows.flags.c_contiguous:
        return np.asarray(np.add.reduce(flows, axis=0))
    total: Floats = np.zeros_like(flows[0])
    for row in flows:
        total += row
    return total


def total(parts: Iterable[Floats], shape: tuple[int, ...]) -> Floats:
    """Sum of arrays of a shape; zeros where there is none."""
    found: Floats | None = None
    for part in parts:
        found = part if found is None else found + part
    return np.zeros(shape) if found is None else np.asarray(np.broadcast_to(found, shape))


def running_total(flows: Floats) -> Floats:
    """Sum of the first axis up to and with each year, `(year, scenario)`; the same as `cumsum`, which is slower."""
    total = np.array(flows)
    for before, row in pairwise(total):
        row += before
    return total


def powers(base: Floats, exponents: Floats) -> Floats:
    """A base to the power of each exponent, `(year, scenario)`, or `(year, 1)` where all scenarios have the same base.

    base : (scenario,), above 0;  exponents : (year, 1), most of them 1 more or less than the one before

    From year to year by multiplication, which is many times faster than powers and within some 1e-15 of them.
    """
    base, each = narrow(base), exponents[:, 0].tolist()
    found = np.empty((len(each), base.size))
    # With an array of one exponent in the place of a number, bits would depend on how many bases there are.
    found[0] = base ** each[0]
    for (before, row), (last, exponent) in zip(pairwise(found), pairwise(each), strict=True):
        step = exponent - last
        if step == -1:
            np.divide(before, base, out=row)
        else:
            np.multiply(before, base if step == 1 else base**step, out=row)
    return found

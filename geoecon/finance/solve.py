"""One unknown per scenario, all scenarios at once, with the same bits whatever the company."""

from collections.abc import Callable

import numpy as np

from geoecon.arrays import Bools, Floats

PASSES = 80
TOLERANCE = 1e-13


def rising_root(
    function: Callable[[Floats], Floats], low: Floats, high: Floats, scale: Floats, near: tuple[Floats, Floats] | None = None
) -> tuple[Floats, Bools]:  # fmt: skip
    """Where a function that rises in each scenario is zero, and in which scenarios that was reached.

    function : (scenario,) -> (scenario,)
    low, high : (scenario,)  ends; where the function does not change sign between them there is no root
    scale : (scenario,) positive  size of the function's values that 1e-13 is measured against
    near : two points between the ends, (scenario,) each, from which the search starts; without them, from the ends
    returns : root (scenario,), NaN where there is none; whether it was reached (scenario,)

    Secant rule. A step that would leave what is left between the ends, or is not half as long as the one before, halves
    what is left instead; while only one sign has been seen it goes to the other end, which is not looked at otherwise. A
    solved scenario is frozen, so that its last bits do not depend on how long the others take.

    >>> rising_root(lambda x: x**3 - 8, np.array([0.0]), np.array([5.0]), np.array([1.0]))[0].round(9)
    array([2.])
    """
    root, ahead = near or (low, high)
    value, length = function(root), high - low
    above = value > 0
    a, b = np.where(above, low, root), np.where(above, root, high)
    both, open_ = np.zeros(root.shape, dtype=bool), np.abs(value) > TOLERANCE * scale
    for _ in range(PASSES):
        if not open_.any():
            break
        last, last_value, was_above = root, value, above
        root = np.where(open_, ahead, root)
        value = np.where(open_, function(root), value)
        above = value > 0
        both |= above != was_above
        a, b = np.where(above, a, root), np.where(above, root, b)
        past_end = np.where(above, root <= low, root >= high)
        open_ &= (np.abs(value) > TOLERANCE * scale) & (b - a > 4e-16 * np.abs(root)) & ~past_end
        with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
            secant = root - value * (root - last) / (value - last_value)
        fits = (secant > a) & (secant < b) & (np.abs(secant - root) <= length / 2)
        ahead = np.where(fits, secant, np.where(both, (a + b) / 2, np.where(above, low, high)))
        length = np.abs(ahead - root)
    reached = (np.abs(value) <= TOLERANCE * scale) | (both & ~open_)
    return np.where(reached | both, root, np.nan), reached

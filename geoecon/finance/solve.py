"""One unknown per scenario, all scenarios at once, with the same bits whatever the company."""

from collections.abc import Callable

import numpy as np

from geoecon.arrays import Bools, Floats

PASSES = 80
TOLERANCE = 1e-13


def rising_root(function: Callable[[Floats], Floats], low: Floats, high: Floats, scale: Floats) -> tuple[Floats, Bools]:
    """Where a function that rises in each scenario is zero, and in which scenarios that was reached.

    function : (scenario,) -> (scenario,)
    low, high : (scenario,)  brackets; where the function does not change sign between them there is no root
    scale : (scenario,) positive  size of the function's values that 1e-13 is measured against
    returns : root (scenario,), NaN where there is none; whether it was reached (scenario,)

    Illinois rule (M. Dowell and P. Jarratt, BIT 11, 1971, p. 168). A solved scenario is frozen, so that its last bits
    do not depend on how long the others take.

    >>> rising_root(lambda x: x**3 - 8, np.array([0.0]), np.array([5.0]), np.array([1.0]))[0].round(9)
    array([2.])
    """
    a, b, fa, fb = low.copy(), high.copy(), function(low), function(high)
    root, value = np.where(np.abs(fa) < np.abs(fb), a, b), np.where(np.abs(fa) < np.abs(fb), fa, fb)
    solvable = (fa <= 0) & (fb >= 0)
    open_ = solvable & (np.abs(value) > TOLERANCE * scale)
    side = np.zeros(a.shape)
    for _ in range(PASSES):
        if not open_.any():
            break
        with np.errstate(invalid="ignore", divide="ignore"):
            guess = b - fb * (b - a) / (fb - fa)
        guess = np.where((guess > a) & (guess < b), guess, (a + b) / 2)
        root = np.where(open_, guess, root)
        value = np.where(open_, function(root), value)
        above = value > 0
        fa, fb = (
            np.where(above, np.where(side > 0, fa / 2, fa), value),
            np.where(above, value, np.where(side < 0, fb / 2, fb)),
        )
        a, b, side = np.where(above, a, root), np.where(above, root, b), np.where(above, 1.0, -1.0)
        open_ &= (np.abs(value) > TOLERANCE * scale) & (np.abs(b - a) > 4e-16 * np.abs(root))
    return np.where(solvable, root, np.nan), solvable & ~open_

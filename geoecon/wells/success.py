"""The chance that a well succeeds, one well after another, and how many are drilled until enough do.

Wells of a field are one sequence: the first ones explore, those after them develop, and chances rise while a field is
learnt. Wells that exist already have taught, so the sequence goes on after them.
"""

from dataclasses import dataclass

import numpy as np

from geoecon.arrays import Floats, Ints, column, narrow, over_years

SURE = 1e-12  # chances this close to 1 are asked of nobody, and rounding would not reach them
MOST_DRILLED = 10_000


@dataclass(frozen=True)
class Success:
    """Chance that a well succeeds, well by well from the next one on  [1].

    early : (well, scenario), until chances settle; no row where nothing is explored or learnt
    settled : (scenario,), of every well after those
    """

    early: Floats
    settled: Floats

    def one_by_one(self, wells: Ints) -> Floats:
        """Those of wells of a single scenario, any shape; the next is well 0."""
        chances = np.append(self.early[:, 0], self.settled[0])
        return np.asarray(chances[np.minimum(wells, len(self.early))])


def success_by_well(
    settled: Floats, first: Floats | None = None, learning_wells: int = 0, exploring: Floats | None = None,
    exploration_wells: int = 0, existing: int = 0,
) -> Success:  # fmt: skip
    """Chance of success of each well of a field in the order of drilling, from the next one on.

    settled : (scenario,)  of a development well once the field is learnt  [1]
    first : (scenario,)  of the first development well, from where it rises in a straight line over `learning_wells` of
        them  [1]; none where nothing is learnt
    exploring : (scenario,)  of the first `exploration_wells` of the field  [1];  existing : wells that the field has already

    >>> one = np.array([1.0])
    >>> success_by_well(0.7 * one, 0.5 * one, 4, 0.4 * one, 1).early[:, 0].round(3).tolist()
    [0.4, 0.5, 0.55, 0.6, 0.65]
    >>> success_by_well(0.7 * one, 0.5 * one, 4, 0.4 * one, 1, existing=3).early[:, 0].round(3).tolist()
    [0.6, 0.65]
    """
    learnt = 0 if first is None else learning_wells
    wells = range(existing, exploration_wells + learnt)
    early = np.empty((len(wells), settled.size))
    for row, well in zip(early, wells, strict=True):
        developed = well - exploration_wells
        if developed < 0:
            row[:] = settled if exploring is None else exploring
        else:
            low = settled if first is None else first
            row[:] = low + (settled - low) * (developed / learnt)
    return Success(early, settled)


def expected_drilled(needed: Floats, success: Success) -> Floats:
    """Wells drilled on average until so many succeed, failures in, (scenario,); not whole.

    needed : (scenario,), whole

    Exact: well by well while chances still move, by the chances of having had so many good ones; from then on each good
    well takes 1 / chance of them, the mean of a geometric distribution.

    >>> one = np.array([1.0])
    >>> expected_drilled(5 * one, success_by_well(0.7 * one)).round(3)
    array([7.143])
    >>> expected_drilled(5 * one, success_by_well(0.7 * one, 0.5 * one, 13)).round(3)
    array([8.851])
    """
    good = column(np.arange(len(success.early) + 1))
    chance = np.where(good == 0, np.ones_like(needed), 0.0)  # of having had so many good wells, (good, scenario)
    drilled = np.zeros_like(needed)
    for succeeds in success.early:
        drilled = drilled + over_years(chance * (good < needed))
        found = succeeds * chance[:-1]
        chance *= 1 - succeeds
        chance[1:] += found
    return drilled + over_years(chance * np.maximum(needed - good, 0.0)) / success.settled


def failures_at(chance: Floats, needed: Floats, success: Success) -> Floats:
    """How many wells fail before enough succeed: the number that is not exceeded with a chance, (scenario,), whole.

    chance : (scenario,) in (0, 1);  needed : (scenario,), whole, of good wells

    Each well succeeds on its own, and drilling goes on until the needed number is reached. Where all have the same chance
    this is the negative binomial distribution.

    >>> failures_at(np.array([0.1, 0.5, 0.9]), np.full(3, 5.0), success_by_well(np.full(3, 0.7)))
    array([0., 2., 4.])
    """
    wells, settled, *early = narrow(np.vstack([needed, success.settled, success.early]))
    wanted = np.where(column(np.arange(wells.max() + 1)) == wells, 1.0, 0.0)  # chance that so many are still wanted
    asked, failures = np.minimum(chance, 1 - SURE), np.zeros_like(needed)
    for well in range(MOST_DRILLED):
        beyond = wanted[0] < asked
        if not beyond.any():
            break
        found = (early[well] if well < len(early) else settled) * wanted[1:]
        wanted[1:] -= found
        wanted[:-1] += found
        failures = np.where(beyond, well + 1 - needed, failures)
    return failures

"""Every way in which the drilling of a field may go, each with its chance: exact, by walking through the wells one by one."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from geoecon.arrays import Floats, Ints
from geoecon.wells.success import MOST_DRILLED, Success

UNLIKELY = 1e-12  # chance of drilling still going on, below which the walk ends
NEVER = 1e-16  # chance below which a single outcome is left out


@dataclass(frozen=True)
class Outcomes:
    """Ways in which drilling ends with enough good wells, (outcome,): the chance of each, and its wells, whole.

    producers, injectors : good wells that were needed;  reused : failed producers that serve as injectors
    """

    producers: int
    injectors: int
    chance: Floats
    failed_producers: Floats
    reused: Floats
    failed_injectors: Floats

    @property
    def drilled(self) -> Floats:
        """Wells drilled in each outcome, failures in, (outcome,)."""
        good = self.producers + self.injectors - self.reused
        return np.asarray(good + self.failed_producers + self.failed_injectors)

    def cost(self, per_producer: float, per_injector: float, dry_hole_share: float) -> Floats:
        """What the wells of each outcome cost, (outcome,); a failed well costs its share of a good one, reused or not."""
        producers = self.producers + dry_hole_share * self.failed_producers
        injectors = self.injectors - self.reused + dry_hole_share * self.failed_injectors
        return np.asarray(producers * per_producer + injectors * per_injector)


def outcomes(producers: int, injectors: int, success: Success, reuse: float) -> Outcomes:
    """Every outcome of drilling until there are enough good wells, producers first.

    success : of a case of one scenario;  reuse : chance that a failed producer is of use as an injector, while one is
    wanted  [1]

    What is left out at the ends has a chance of some 1e-12. With one chance for all wells and no reuse, the number drilled has
    the negative binomial distribution.

    >>> from geoecon.wells.success import success_by_well
    >>> found = outcomes(1, 1, success_by_well(np.array([0.5])), 1.0)
    >>> likely = found.chance > 0.1
    >>> found.drilled[likely].tolist(), found.cost(4.0, 3.0, 1.0)[likely].tolist(), found.chance[likely].tolist()
    ([2.0, 2.0, 3.0, 3.0], [7.0, 8.0, 10.0, 12.0], [0.25, 0.25, 0.125, 0.125])
    """
    failed, reused, begun = map(np.array, zip(*_producers_drilled(producers, injectors, success, reuse), strict=True))
    parts = []
    for spared in np.unique(reused):
        here = reused == spared
        for again, ended in _injectors_drilled(injectors - spared, success, producers + failed[here], begun[here]):
            kept = ended > NEVER
            parts.append(np.stack([ended, failed[here], 0 * ended + spared, 0 * ended + again])[:, kept])
    chance, failed, reused, again = np.concatenate(parts, axis=1)
    order = np.lexsort((failed, failed + again - reused))
    return Outcomes(producers, injectors, chance[order], failed[order], reused[order], again[order])


def _producers_drilled(needed: int, injectors: int, success: Success, reuse: float) -> Iterator[tuple[int, int, float]]:
    """Producers that failed, those of them that serve as injectors, and the chance of it."""
    useful = injectors if reuse > 0 else 0
    state = np.zeros((needed + 1, useful + 1))  # chance that so many are still wanted and so many are of use
    state[needed, 0] = 1.0
    for drilled in range(MOST_DRILLED):
        for reused in np.flatnonzero(state[0] > NEVER):
            yield drilled - needed, int(reused), float(state[0, reused])
        state[0] = 0.0
        if state.sum() <= UNLIKELY:
            return
        good = float(success.one_by_one(np.array(drilled))) * state[1:]
        failed = state[1:] - good
        of_use = reuse * failed[:, :-1]
        failed[:, :-1] -= of_use
        failed[:, 1:] += of_use
        state[1:] = failed
        state[:-1] += good


def _injectors_drilled(needed: int, success: Success, drilled: Ints, begun: Floats) -> Iterator[tuple[int, Floats]]:
    """Injectors that failed before enough succeeded, and the chance of it from each beginning, (beginning,).

    drilled : wells of the sequence that came before, (beginning,);  begun : chance of each beginning
    """
    state = np.zeros((needed + 1, begun.size))  # chance that so many are still wanted
    state[needed] = begun
    for more in range(MOST_DRILLED):
        if more >= needed:
            yield more - needed, state[0].copy()
        state[0] = 0.0
        if state.sum() <= UNLIKELY:
            return
        good = success.one_by_one(drilled + more) * state[1:]
        state[1:] -= good
        state[:-1] += good

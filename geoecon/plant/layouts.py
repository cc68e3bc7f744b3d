"""How the parts of a binary plant may be laid out, each a way from a fluid and its terms to the best cycle."""

from collections.abc import Callable

import numpy as np

from geoecon.arrays import Floats
from geoecon.plant.binary import Candidates, Cycle, CycleTerms, candidates, condensing, cycles, least_quality, taken
from geoecon.plant.dual import dual_cycles
from geoecon.plant.properties import fine_table
from geoecon.plant.recuperator import recuperated
from geoecon.plant.supercritical import PARTS, least_quality_from_above, supercritical_candidates
from geoecon.plant.vapour import vapour_table

# The best cycle for each brine temperature, (n,)  [degC], at one air temperature  [degC].
BestCycle = Callable[[Floats, float], Cycle]


def _basic(fluid: str, terms: CycleTerms) -> BestCycle:
    table = fine_table(fluid)
    dry = least_quality(table, terms)
    return lambda brine, air: cycles(table, terms, brine, air, dry)


def _recuperated(fluid: str, terms: CycleTerms) -> BestCycle:
    table = fine_table(fluid)
    dry = least_quality(table, terms)
    return _of(fluid, terms, lambda cold: candidates(table, terms, cold, dry))


def _dual_pressure(fluid: str, terms: CycleTerms) -> BestCycle:
    table = fine_table(fluid)
    dry = least_quality(table, terms)
    return lambda brine, air: dual_cycles(table, terms, brine, air, dry)


def _supercritical(fluid: str, terms: CycleTerms) -> BestCycle:
    table, vapour = fine_table(fluid), vapour_table(fluid).refined(PARTS)
    dry = least_quality_from_above(table, vapour, terms)
    return _of(fluid, terms, lambda cold: supercritical_candidates(table, vapour, terms, cold, dry))


def _of(fluid: str, terms: CycleTerms, made_at: Callable[[float], Candidates]) -> BestCycle:
    """The best of the machines at a condensing temperature, with a recuperator where the terms have one."""

    def best(brine: Floats, air: float) -> Cycle:
        cold = float(condensing(air, terms))
        made = made_at(cold)
        if terms.recuperator_K is not None:
            made = recuperated(made, fine_table(fluid), vapour_table(fluid), cold, terms.recuperator_K)
        return taken(made, terms, np.asarray(brine))

    return best


LAYOUTS: dict[str, Callable[[str, CycleTerms], BestCycle]] = {
    "basic": _basic,
    "recuperated": _recuperated,
    "dual-pressure": _dual_pressure,
    "supercritical": _supercritical,
}

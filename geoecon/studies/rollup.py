"""Several wells together: why what single wells give for sure does not add up to what the field gives for sure."""

from dataclasses import dataclass

import numpy as np

from geoecon.arrays import Floats
from geoecon.studies.distributions import Distribution
from geoecon.studies.draws import mean_of_wells, streams
from geoecon.studies.spread import quantiles

CHANCES = np.array([0.1, 0.5, 0.9])  # cumulative: 9 in 10 of at least, even, 1 in 10 of at least


@dataclass(frozen=True)
class RollUp:
    """Values reached with 9, 5 and 1 chances in 10, (3,) each, in the unit of the distribution.

    single : of one well;  added : those of the single wells added up;  together : of the sum of the wells
    common : part of the variance that the wells share;  error : standard errors of `together`
    """

    wells: int
    common: float
    draws: int
    single: Floats
    added: Floats
    together: Floats
    error: Floats


def roll_up(distribution: Distribution, wells: int, common: float, draws: int, seed: int, name: str = "") -> RollUp:
    """The sum of so many like wells beside the sum of what each reaches with the same chance.

    The two agree only where all wells are alike (common = 1): one poor well among others is made up for by a good one.
    """
    field = streams(seed, (name,), draws, "latin")[name]
    total = wells * mean_of_wells(distribution, common, field, wells, seed, name)
    single = distribution.quantile(CHANCES)
    together, error = quantiles(total, CHANCES)
    return RollUp(wells, common, draws, single, wells * single, together, error)

"""How a figure is spread over draws: the value reached with a chance, how sure that value is, and which side is good."""

from dataclasses import dataclass

import numpy as np

from geoecon.arrays import Bools, Floats
from geoecon.finance.reasons import Reason
from geoecon.result import Metric
from geoecon.studies.targets import LOWER_IS_BETTER

BATCHES = 10
CHANCES = (0.9, 0.5, 0.1)
SPARED = {
    Reason.ANY_PRICE_PAYS: "even a price of zero pays",
    Reason.NO_DEBT: "there is no debt to cover",
    Reason.NO_EQUITY: "the owner puts nothing in",
    Reason.NO_OUTLAY: "there is no outlay to earn on",
    Reason.ABOVE_RATES: "they are above 1,000 % a year",
}
LESS_IS_BETTER = LOWER_IS_BETTER | {
    "interest_during_construction", "fuel_still_burned_value", "well_pump_power", "wells_drilled", "makeup_wells",
    "curtailed_energy", "debt", "equity", "wacc", "producers", "injectors",
}  # fmt: skip


@dataclass(frozen=True)
class Spread:
    """A figure over draws: the value reached with 9, 5 and 1 chances in 10.

    reached, error : (3,), NaN where too many draws have no value;  error : standard error
    at_most : whether the chance is of at most the value, as for a cost, or of at least
    missing : draws without a value, which count as worse than any;  reason : why there is none at all, else empty
    spared : with which of the chances no value is told because none is needed; see `free`
    """

    metric: str
    at_most: bool
    reached: Floats
    error: Floats
    missing: int
    reason: str
    spared: tuple[bool, ...] = (False,) * len(CHANCES)


def goodness(key: str, metric: Metric) -> Floats:
    """A figure as a number that is more where it is better, (scenario,).

    -inf where it has no value; +inf where it has none because nothing is needed; see `free`.
    """
    values = np.where(metric.codes == 0, metric.values, np.nan)
    good = -values if key in LESS_IS_BETTER else values
    none = np.where(free(metric), np.inf, -np.inf)
    return np.where(np.isnan(good), none, good)


def free(metric: Metric) -> Bools:
    """Where a figure has no value because none is needed, or because it is too good to be told; see `SPARED`."""
    return np.asarray(np.isin(metric.codes, list(SPARED)))


def spread(key: str, metric: Metric) -> Spread:
    """The spread of a figure over its draws."""
    at_most, missing = key in LESS_IS_BETTER, int(np.count_nonzero(metric.codes))
    if missing == metric.codes.size:
        nothing = np.full(len(CHANCES), np.nan)
        return Spread(key, at_most, nothing, nothing, missing, commonest(metric))
    good = goodness(key, metric)
    reached, error = quantiles(good, 1 - np.array(CHANCES))
    worthless = float(np.isneginf(good).mean())
    spared = tuple(bool(np.isnan(at) and worthless <= 1 - chance) for at, chance in zip(reached, CHANCES, strict=True))
    return Spread(key, at_most, 0.0 - reached if at_most else reached, error, missing, "", spared)


def commonest(metric: Metric) -> str:
    """The reason that most draws without a value have, in words."""
    counts = np.bincount(metric.codes)
    counts[0] = 0
    return metric.reason_at(int(np.argmax(metric.codes == counts.argmax()))) if counts.any() else ""


def chance_error(chance: float, draws: int) -> float:
    """Standard error of a chance that is a share of so many draws: sqrt(p (1 - p) / n).

    >>> round(chance_error(0.5, 10_000), 6)
    0.005
    """
    return float(np.sqrt(chance * (1 - chance) / draws))


def quantiles(values: Floats, chances: Floats) -> tuple[Floats, Floats]:
    """Values with so much cumulative chance below them, and their standard errors, (chance,) each; NaN where infinite.

    Straight lines between draws in order. The error is by batch means: the spread of the same quantile over ten batches,
    every tenth draw each; NaN below twenty draws.
    """
    found = _quantiles(values, chances)
    if values.size < 2 * BATCHES:
        return found, np.full(found.shape, np.nan)
    batches = np.array([_quantiles(values[n::BATCHES], chances) for n in range(BATCHES)])
    return found, np.asarray(batches.std(axis=0, ddof=1) / np.sqrt(BATCHES))


def _quantiles(values: Floats, chances: Floats) -> Floats:
    """As `numpy.quantile`, but next to an infinite value there is none, and a value that is hit exactly is kept."""
    place = chances * (values.size - 1)
    below = np.floor(place).astype(int)
    above = np.minimum(below + 1, values.size - 1)
    placed = np.partition(values, np.concatenate([below, above]))  # as if in order at these places
    part, low, high = place - below, placed[below], placed[above]
    with np.errstate(invalid="ignore"):
        between = np.where(part > 0, low + part * (high - low), low)
    return np.where(np.isfinite(between), between, np.nan)

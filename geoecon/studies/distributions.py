"""Distributions of one number, each as its quantile and its chance below a value. No randomness: a chance in, a value out."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np

from geoecon.arrays import Floats
from geoecon.case.uncertainty import Z90


@dataclass(frozen=True)
class Distribution:
    """quantile : chances in (0, 1), any shape -> values;  chance_below : values -> cumulative chances."""

    quantile: Callable[[Floats], Floats]
    chance_below: Callable[[Floats], Floats]


def triangular(low: float, mode: float, high: float) -> Distribution:
    """Straight up to the most likely value and straight down from it.

    >>> triangular(10.0, 12.0, 20.0).quantile(np.array([0.1, 0.5, 0.9])).round(7)
    array([11.4142136, 13.6754447, 17.1715729])
    """
    width, left, right = high - low, mode - low, high - mode

    def quantile(chance: Floats) -> Floats:
        rising = low + np.sqrt(chance * width * left)
        falling = high - np.sqrt((1 - chance) * width * right)
        return np.where(chance * width < left, rising, falling)

    def chance_below(value: Floats) -> Floats:
        x = np.clip(value, low, high)
        rising = (x - low) ** 2 / (width * max(left, 1e-300))
        falling = 1 - (high - x) ** 2 / (width * max(right, 1e-300))
        return np.where(x < mode, rising, np.where(right > 0, falling, 1.0))

    return Distribution(quantile, chance_below)


def pert(low: float, mode: float, high: float) -> Distribution:
    """A beta curve between two ends with mean (low + 4 mode + high) / 6.

    >>> pert(10.0, 12.0, 20.0).quantile(np.array([0.1, 0.5, 0.9])).round(7)
    array([10.8990213, 12.7667226, 15.4533405])
    """
    from scipy.special import betainc, betaincinv

    width = high - low
    a, b = 1 + 4 * (mode - low) / width, 1 + 4 * (high - mode) / width
    return Distribution(
        lambda chance: low + width * betaincinv(a, b, chance),
        lambda value: np.asarray(betainc(a, b, np.clip((value - low) / width, 0.0, 1.0))),
    )


def uniform(low: float, high: float) -> Distribution:
    """The same chance everywhere between two ends."""
    return Distribution(
        lambda chance: low + (high - low) * chance, lambda value: np.clip((value - low) / (high - low), 0.0, 1.0)
    )


def normal(mean: float, deviation: float, low: float = -np.inf, high: float = np.inf) -> Distribution:
    """The normal curve, cut off outside low and high; what is left is scaled up to the chance of 1.

    >>> normal(200.0, 14.0).quantile(np.array([0.1])).round(4)
    array([182.0583])
    """
    from scipy.special import ndtr, ndtri

    below, above = ndtr((low - mean) / deviation), ndtr((high - mean) / deviation)
    return Distribution(
        lambda chance: np.clip(mean + deviation * ndtri(below + chance * (above - below)), low, high),
        lambda value: np.clip((ndtr((value - mean) / deviation) - below) / (above - below), 0.0, 1.0),
    )


def lognormal(median: float, log_deviation: float, low: float = 0.0, high: float = np.inf) -> Distribution:
    """A number whose logarithm is normal, cut off outside low and high.

    >>> lognormal(6.3245553, 0.3574927).quantile(np.array([0.1, 0.9])).round(4)
    array([ 4., 10.])
    """
    with np.errstate(divide="ignore"):
        log = normal(float(np.log(median)), log_deviation, float(np.log(max(low, 0.0))), float(np.log(high)))

    def chance_below(value: Floats) -> Floats:
        with np.errstate(divide="ignore"):
            return log.chance_below(np.log(np.maximum(value, 0.0)))

    return Distribution(lambda chance: np.exp(log.quantile(chance)), chance_below)


def lognormal_between(p10: float, p90: float, low: float = 0.0, high: float = np.inf) -> Distribution:
    """The lognormal with 10 % of chance below one value and 90 % below another."""
    middle = (np.log(p10) + np.log(p90)) / 2
    return lognormal(float(np.exp(middle)), float(np.log(p90) - np.log(p10)) / (2 * Z90), low, high)


def discrete(values: Floats, chances: Floats) -> Distribution:
    """A few values with their chances."""
    order = np.argsort(values, kind="stable")
    rising, total = values[order], np.cumsum(chances[order] / chances.sum())
    total[-1] = 1.0  # rounding must leave no chance beyond the last value
    return Distribution(
        lambda chance: rising[np.searchsorted(total, chance, side="left")],
        lambda value: np.concatenate([[0.0], total])[np.searchsorted(rising, value, side="right")],
    )


def empirical(values: Floats) -> Distribution:
    """Observed values, straight lines between them in order; the least and the greatest are the ends."""
    rising = np.sort(values)
    at = np.linspace(0.0, 1.0, len(rising))
    return Distribution(
        lambda chance: np.interp(chance, at, rising),
        lambda value: np.where(value >= rising[-1], 1.0, np.interp(value, rising, at)),
    )


def distribution(shape: str, numbers: Mapping[str, Floats], low: float, high: float) -> Distribution:
    """The distribution that a shape and its numbers stand for, within the bounds of its field."""
    one = {key: float(found[0]) for key, found in numbers.items() if key not in {"values", "chances"}}
    low, high = max(low, one.get("low", low)), min(high, one.get("high", high))
    if shape == "normal":
        return normal(one["mean"], one["deviation"], low, high)
    if shape == "lognormal" and "p10" in one:
        return lognormal_between(one["p10"], one["p90"], low, high)
    if shape == "lognormal":
        return lognormal(one["median"], float(np.log(one["factor"])), low, high)
    if shape == "discrete":
        return discrete(numbers["values"], numbers["chances"])
    if shape == "empirical":
        return empirical(numbers["values"])
    if shape == "uniform":
        return uniform(one["low"], one["high"])
    return (pert if shape == "pert" else triangular)(one["low"], one["mode"], one["high"])

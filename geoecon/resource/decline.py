"""How flow and temperature fall over the years."""

from collections.abc import Callable

import numpy as np

from geoecon.arrays import Floats


def _exponential(years: Floats, loss: Floats, exponent: Floats) -> Floats:
    """Integral of the remaining flow from 0 to `years`."""
    nominal = -np.log1p(-loss)
    with np.errstate(invalid="ignore", divide="ignore"):
        area = -np.expm1(-nominal * years) / nominal
    return np.where(nominal == 0, years, area)


def _harmonic(years: Floats, loss: Floats, exponent: Floats) -> Floats:
    nominal = loss / (1 - loss)
    with np.errstate(invalid="ignore", divide="ignore"):
        area = np.log1p(nominal * years) / nominal
    return np.where(nominal == 0, years, area)


def _hyperbolic(years: Floats, loss: Floats, exponent: Floats) -> Floats:
    nominal = ((1 - loss) ** -exponent - 1) / exponent
    with np.errstate(invalid="ignore", divide="ignore"):
        area = ((1 + exponent * nominal * years) ** (1 - 1 / exponent) - 1) / (nominal * (exponent - 1))
    return np.where(nominal == 0, years, area)


DECLINES: dict[str, Callable[[Floats, Floats, Floats], Floats]] = {
    "exponential": _exponential,
    "hyperbolic": _hyperbolic,
    "harmonic": _harmonic,
}


def remaining_flow(shape: str, loss: Floats, exponent: Floats, years: int) -> Floats:
    """Mean share of a new well's flow that is left in each year of its service.

    shape : key of `DECLINES`;  loss : (scenario,) effective, of the first year, whatever the shape  [1/yr]
    exponent : (scenario,) of hyperbolic decline, between 0 and 1  [1];  years : how many
    returns : (year of service, scenario)  [1]

    Source: J. J. Arps, Trans. AIME 160 (1945), p. 228; the mean over a year is the exact integral.

    >>> remaining_flow("exponential", np.array([0.10]), np.array([0.5]), 2).ravel().round(6)
    array([0.949122, 0.85421 ])
    """
    ends = np.arange(years + 1, dtype=np.float64).reshape(-1, 1)
    return np.diff(DECLINES[shape](ends, loss, exponent), axis=0)


def cooling(rate: Floats, start_years: int, years: int) -> Floats:
    """Mean fall of the produced temperature in each operating year.

    rate : (scenario,)  [K/yr];  start_years : whole years before it begins  [yr];  returns (year, scenario)  [K]

    >>> cooling(np.array([0.4]), 1, 3).ravel()
    array([0. , 0.2, 0.6])
    """
    middles = np.arange(years, dtype=np.float64).reshape(-1, 1) + 0.5 - start_years
    return np.maximum(middles, 0.0) * rate

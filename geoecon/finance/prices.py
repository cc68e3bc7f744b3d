"""The price of energy over the years: one first price times a shape, and what follows the term."""

from dataclasses import dataclass

import numpy as np

from geoecon.arrays import Floats, over_years, powers
from geoecon.finance.discounting import discount_factors
from geoecon.units import HOURS_PER_YEAR


@dataclass(frozen=True)
class PricePath:
    """Nominal price of each year as `first * shape + rest`, so that a first price can be solved for.

    shape, rest : (year, scenario); zero in build years.  first : (scenario,), NaN where no price is stated.
    """

    first: Floats
    shape: Floats
    rest: Floats

    def at(self, first: Floats) -> Floats:
        """Nominal price of each year for a price of operating year 1, (year, scenario)  [money/MWh]."""
        return first * self.shape + self.rest

    @property
    def nominal(self) -> Floats:
        """Nominal price of each year as stated, (year, scenario)  [money/MWh]."""
        return self.at(self.first)


def growing(first: Floats, growth: Floats, term: int, after: Floats | None, drift: Floats, first_row: int) -> PricePath:
    """A price that grows by a share a year through its term, then another first price that grows the same way.

    first : (scenario,)  price of operating year 1, nominal  [money/MWh]
    growth : (scenario,)  a year, from operating year 2  [1/yr]
    after : (scenario,) or None  price of the first year after the term, in the money of its basis  [money/MWh]
    drift : (year, scenario)  1 for a nominal price; for a real one the price level over that of operating year 1,
        so that growth is real on top of it. `after` is then in money of operating year 1
    first_row : row of operating year 1

    >>> path = growing(np.array([70.0]), np.array([0.02]), 3, None, np.ones((4, 1)), 1)
    >>> path.nominal.ravel().round(3)
    array([ 0.   , 70.   , 71.4  , 72.828])
    """
    rows = np.arange(len(drift)).reshape(-1, 1) - first_row
    in_term = (rows >= 0) & (rows < term)
    shape = np.where(in_term, powers(1 + growth, np.maximum(rows, 0)) * drift, 0.0)
    later = np.where(rows >= term, powers(1 + growth, np.maximum(rows - term, 0)) * drift, 0.0)
    return PricePath(first, shape, later * (after if after is not None else 0.0))


def schedule(prices: Floats, after: Floats | None, drift: Floats, first_row: int) -> PricePath:
    """A stated price for each year, then a price that holds after the last one.

    prices : (year of term,)  nominal, or in money of operating year 1 with the drift of `growing`  [money/MWh]
    """
    years, scenarios = drift.shape
    shape, rest = np.zeros((years, scenarios)), np.zeros((years, scenarios))
    rows = slice(first_row, first_row + len(prices))
    stated = prices.reshape(-1, 1) * drift[rows]
    # A schedule that begins with nothing cannot be scaled by its first price: its prices stay as they are.
    (shape if prices[0] else rest)[rows] = stated / prices[0] if prices[0] else stated
    if after is not None:
        rest[rows.stop :] = after * drift[rows.stop :]
    return PricePath(np.full(scenarios, prices[0]), shape, rest)


def level(index: Floats, first_row: int) -> PricePath:
    """One price for the whole life in the money of an index: all ones for nominal, the price index for real money."""
    operating = (np.arange(len(index)) >= first_row).reshape(-1, 1)
    return PricePath(np.full(index.shape[1], np.nan), np.where(operating, index, 0.0), np.zeros((len(index), 1)))


def levelized_price(price: Floats, energy: Floats, rate: Floats, times: Floats, index: Floats) -> Floats:
    """The one price that is worth the same as a path of prices, in the money of `index`.

    price : (year, scenario) nominal  [money/MWh];  energy : (year, scenario)  [MWh]
    rate : (scenario,) nominal  [1/yr];  times : (year, 1)  [yr]
    index : (year, scenario); ones give the nominal level, the price index the real one in price-year money

    The capital-recovery form for flat output: P1 (1 - ((1+g)/(1+r))^N) / (r - g) x CRF(r, N).

    >>> years = np.arange(1.0, 21.0).reshape(-1, 1)
    >>> path = 70 * 1.02 ** (years - 1)
    >>> levelized_price(path, np.ones((20, 1)), np.array([0.08]), years, np.ones((20, 1))).round(6)
    array([80.944472])
    """
    worth = energy * discount_factors(rate, times)
    with np.errstate(invalid="ignore", divide="ignore"):
        return over_years(price * worth) / over_years(index * worth)


def energy_price_of_capacity(per_kw_year: Floats | float, capacity_factor: Floats | float) -> Floats | float:
    """What a price per kW of capacity and year comes to per MWh at a capacity factor.

    per_kw_year : any shape  [money/kW/yr];  capacity_factor : any shape, above 0  [1];  returns  [money/MWh]

    >>> round(energy_price_of_capacity(100.0, 0.90), 1), round(energy_price_of_capacity(100.0, 0.60), 1)
    (12.7, 19.0)
    """
    return per_kw_year * 1000 / (HOURS_PER_YEAR * capacity_factor)

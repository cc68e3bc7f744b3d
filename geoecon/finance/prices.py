"""The price of energy over the years: one first price times a shape, and what follows the term."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from geoecon.arrays import Floats, over_years, powers
from geoecon.finance.discounting import discount_factors
from geoecon.units import HOURS_PER_YEAR


@dataclass(frozen=True)
class PricePath:
    """Nominal price of each year as `first * shape + rest`, so that a first price can be solved for.

    shape, rest : (year, scenario); zero in build years.  first : (scenario,), NaN where no price is stated.
    floor, cap : (year, scenario) nominal, or None; the price of a year is never below one or above the other  [money/MWh]
    """

    first: Floats
    shape: Floats
    rest: Floats
    floor: Floats | None = None
    cap: Floats | None = None

    @property
    def bounded(self) -> bool:
        """Whether a floor or a cap is stated, so that prices no longer follow the first one in a straight line."""
        return self.floor is not None or self.cap is not None

    def at(self, first: Floats) -> Floats:
        """Nominal price of each year for a price of operating year 1, (year, scenario)  [money/MWh]."""
        free = first * self.shape + self.rest
        return np.asarray(np.clip(free, self.floor, self.cap)) if self.bounded else free

    def straight(self, first: Floats) -> "PricePath":
        """The prices for one first price without bounds: years that stand at a floor or cap do not follow the first.

        >>> path = PricePath(np.array([50.0]), np.array([[1.0], [2.0]]), np.zeros((2, 1)), cap=np.array([[80.0]]))
        >>> path.straight(path.first).shape.ravel(), path.straight(path.first).rest.ravel()
        (array([1., 0.]), array([ 0., 80.]))
        """
        if not self.bounded:
            return replace(self, first=first)
        prices = self.at(first)
        held = prices != first * self.shape + self.rest
        return PricePath(first, np.where(held, 0.0, self.shape), np.where(held, prices, self.rest))

    def weighted(self, weights: Floats) -> "PricePath":
        """Every price of a year, its floor and its cap times a weight, (year, scenario) or (year, 1)  [1]."""
        floor, cap = (None if bound is None else bound * weights for bound in (self.floor, self.cap))
        return PricePath(self.first, self.shape * weights, self.rest * weights, floor, cap)

    def within(self, floor: Floats | None, cap: Floats | None, drift: Floats, first_row: int) -> "PricePath":
        """The same path that never falls below a floor or rises above a cap, each (scenario,) nominal of year 1.

        drift : as in `growing`, so that a real floor or cap moves with the price level
        """
        running = (np.arange(len(drift)) >= first_row).reshape(-1, 1)
        low, high = (None if bound is None else np.where(running, bound * drift, 0.0) for bound in (floor, cap))
        return replace(self, floor=low, cap=high)

    @property
    def nominal(self) -> Floats:
        """Nominal price of each year as stated, (year, scenario)  [money/MWh]."""
        return self.at(self.first)


def growing(
    first: Floats, growth: Floats, term: int, after: Floats | None, drift: Floats, first_row: int,
    tail_growth: Floats | None = None,
) -> PricePath:  # fmt: skip
    """A price that grows by a share a year through its term, then another first price that grows the same way.

    first : (scenario,)  price of operating year 1, nominal  [money/MWh]
    growth : (scenario,)  a year, from operating year 2  [1/yr]
    after : (scenario,) or None  price of the first year after the term, in the money of its basis  [money/MWh]
    drift : (year, scenario)  1 for a nominal price; for a real one the price level over that of operating year 1,
        so that growth is real on top of it. `after` is then in money of operating year 1
    first_row : row of operating year 1
    tail_growth : (scenario,) of the price after the term, or None: as `growth`  [1/yr]

    >>> path = growing(np.array([70.0]), np.array([0.02]), 3, None, np.ones((4, 1)), 1)
    >>> path.nominal.ravel().round(3)
    array([ 0.   , 70.   , 71.4  , 72.828])
    """
    rows = np.arange(float(len(drift))).reshape(-1, 1) - first_row
    in_term = (rows >= 0) & (rows < term)
    shape = np.where(in_term, powers(1 + growth, np.maximum(rows, 0)) * drift, 0.0)
    if after is None:
        return PricePath(first, shape, np.zeros_like(shape))
    return PricePath(first, shape, _tail(after, growth if tail_growth is None else tail_growth, rows - term) * drift)


def _tail(after: Floats, growth: Floats, ages: Floats) -> Floats:
    """A price from its first year, age 0, on, (year, scenario); zero before."""
    return np.where(ages >= 0, powers(1 + growth, np.maximum(ages, 0)), 0.0) * after


def schedule(
    prices: Floats, after: Floats | None, drift: Floats, first_row: int, *, tail: Floats | None = None,
    tail_growth: Floats | None = None, moved: Floats | float = 1.0,
) -> PricePath:  # fmt: skip
    """A stated price for each year, then a price that holds after the last one, or grows.

    prices : (year of term,)  nominal, or real with the drift of `growing`  [money/MWh]
    tail : (year,) stated prices of the years after the term, which a first price does not scale; `after` follows them
    tail_growth : (scenario,) of `after`, or None: it holds  [1/yr]
    moved : (scenario,) price level of operating year 1 over that of the money of `prices` and `tail`  [1]
    """
    years, scenarios = drift.shape
    shape, rest = np.zeros((years, scenarios)), np.zeros((years, scenarios))
    rows = slice(first_row, first_row + len(prices))
    stated = prices.reshape(-1, 1) * drift[rows]
    first = np.full(scenarios, prices[0]) * moved
    # A schedule that begins with nothing cannot be scaled by its first price: its prices stay as they are.
    (shape if prices[0] else rest)[rows] = stated / prices[0] if prices[0] else stated * moved
    ended = rows.stop
    if tail is not None:
        ended += len(tail)
        rest[rows.stop : ended] = tail.reshape(-1, 1) * drift[rows.stop : ended] * moved
    if after is not None and ended < years:
        ages = np.arange(float(years - ended)).reshape(-1, 1)
        grown = after if tail_growth is None else _tail(after, tail_growth, ages)
        rest[ended:] = grown * drift[ended:]
    return PricePath(first, shape, rest)


def stepped(steps: Mapping[int, float], term: int) -> Floats:
    """The price of each year of a term from prices that hold from some operating year on; 1 is among these years.

    steps : operating year -> price from then on  [money/MWh];  returns : (year of term,)

    >>> stepped({1: 80.0, 3: 90.0}, 4)
    array([80., 80., 90., 90.])
    """
    starts = np.array(sorted(steps))
    prices = np.array([steps[year] for year in starts.tolist()])
    return np.asarray(prices[np.searchsorted(starts, np.arange(1, term + 1), side="right") - 1])


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

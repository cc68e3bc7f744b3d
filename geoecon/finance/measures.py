"""Measures of cash flows: value, rates of return, payback, cover. Flows stand at `times`; see `discounting`.

Each measure that may not exist returns its values with a code of `reasons` per scenario; a value is NaN where the code
is not 0.
"""

from itertools import pairwise

import numpy as np

from geoecon.arrays import Bools, Codes, Floats, over_years, running_total
from geoecon.finance.debt import Loan
from geoecon.finance.discounting import discount_factors
from geoecon.finance.reasons import Reason

LOWEST_RATE = -0.99
HIGHEST_RATE = 10.0
MOST_STEPS = 200
USUAL_RATE = 0.08  # about which the first guess is made
# Steps of log(1 + rate) that end a search: of Newton's rule, whose next step is their square, and of halving.
CLOSE, CLOSEST = 1e-8, 1e-16
ROOMS = ((0.0, HIGHEST_RATE), (-0.2, 0.0))  # where the only rate of most flows that change sign several times lies
SEARCH_RATES = 200
SEARCH_BLOCK = 256  # scenarios searched at a time, so that all rates of them stay in the processor's cache


def rate_of_return(flows: Floats, times: Floats) -> tuple[Floats, Codes, Floats]:
    """Rate at which the present value of the flows is zero, between -99 % and 1,000 % a year.

    flows : (year, scenario)  [money];  times : (year, 1)  [yr]
    returns : rate (scenario,), NaN of flows that are NaN  [1/yr]; reason codes (scenario,); number of sign changes of the
        flows (scenario,)

    Newton's rule between two rates, on whole arrays. Flows that change sign more than once may have several rates. Then
    the one rate at or above zero is taken, and with several of these there is no number. Where none is, the rate below
    zero is taken at which value falls as the rate rises, the nearest to zero: money spent at the end of a life adds
    rates far below that mean nothing. Flows that are worth something at every rate above zero earn more than the highest.

    >>> rate_of_return(np.array([[-100.0], [39], [59], [55], [20]]), np.arange(5.0).reshape(-1, 1))[0].round(5)
    array([0.28095])
    """
    changes = sign_changes(flows)
    low, high = np.full_like(changes, LOWEST_RATE), np.full_like(changes, HIGHEST_RATE)
    codes, falls = np.zeros(changes.shape, dtype=np.uint8), np.ones(changes.shape, dtype=bool)
    at_lowest, at_highest = _value_at(flows, np.array([[LOWEST_RATE], [HIGHEST_RATE]]), times)
    codes[at_highest >= 0] = Reason.ABOVE_RATES
    codes[at_lowest <= 0] = Reason.NEVER_EARNS
    several = changes > 1
    for floor, ceiling in ROOMS:
        if several.any():
            once = several.copy()
            once[several] = _one_rate_between(flows[:, several], floor, ceiling, times)
            low[once], high[once], codes[once] = floor, ceiling, Reason.NONE
            several &= ~once
    if several.any():
        low[several], high[several], falls[several], codes[several] = _search(flows[:, several], times)
    codes[~(flows < 0).any(axis=0)] = Reason.NO_OUTLAY
    exists = (codes == 0) & ~np.isnan(at_lowest)
    return _rate_between(flows, times, low, high, falls, exists), codes, changes


def sign_changes(flows: Floats) -> Floats:
    """How often the flows of each scenario change sign over the years, zeros passed over, (scenario,)."""
    signs = (flows > 0).astype(np.int8) - (flows < 0)
    for row in np.flatnonzero((signs[1:] == 0).any(axis=1)) + 1:
        signs[row] = np.where(signs[row] == 0, signs[row - 1], signs[row])
    return np.asarray(((signs[1:] * signs[:-1]) < 0).sum(axis=0), dtype=np.float64)


def _one_rate_between(flows: Floats, floor: float, ceiling: float, times: Floats) -> Bools:
    """Whether exactly one rate above a floor exists, as far as the running total tells, and lies below the ceiling,
    (scenario,): it spares a search.

    Where the running total of the flows, each worth what it is at the floor, changes sign once, to end above zero, exactly
    one rate above the floor exists, whatever the flows' own signs. Source: C. J. Norstrom, Journal of Financial and
    Quantitative Analysis 7 (1972), p. 1835, here from memory, for a floor of zero: value over the rate is the Laplace
    transform of the running total, which changes sign no more often than that does.
    """
    total = running_total(flows * (1 + floor) ** -times)
    beyond = _value_at(flows, np.array([[ceiling]]), times)[0]
    return np.asarray((sign_changes(total) == 1) & (total[-1] > 0) & (beyond < 0))


def _value_at(flows: Floats, rate: Floats, times: Floats) -> Floats:
    """Present value, times a power of (1 + rate) that does not move its zero, by Horner's rule (no powers).

    rate : (scenario,), or (rate, 1) for the value at each of several rates, (rate, scenario)
    """
    step = 1 / (1 + rate)
    total = np.zeros(np.broadcast_shapes(rate.shape, flows.shape[1:]))
    for row, gap in zip(flows[::-1], _gaps(times), strict=True):
        total *= step if gap == 1 else step**gap
        total += row
    return total


def _value_and_fall(flows: Floats, growth: Floats, times: Floats) -> tuple[Floats, Floats]:
    """`_value_at` for the logarithm of 1 + rate, and how fast that value falls as the logarithm rises, (scenario,)."""
    step = np.exp(-growth)
    total, fall = np.zeros_like(growth), np.zeros_like(growth)
    for row, gap in zip(flows[::-1], _gaps(times), strict=True):
        factor = step if gap == 1 else step**gap
        fall += total if gap == 1 else gap * total
        fall *= factor
        total *= factor
        total += row
    return total, fall


def _gaps(times: Floats) -> list[float]:
    """Years from each row to the one after it, last row first."""
    at: list[float] = times[::-1, 0].tolist()
    return [0.0, *(later - earlier for later, earlier in pairwise(at))]


def _rate_between(flows: Floats, times: Floats, low: Floats, high: Floats, falls: Bools, exists: Bools) -> Floats:
    """The rate between two at which the value of the flows changes sign, (scenario,); NaN where none exists.

    falls : whether value falls to zero as the rate rises to the one sought, or rises to it

    Newton's rule on the logarithm of 1 + rate. The rate stays between two that hold it; a step that would leave them, or
    is not half as long as the one before, halves what lies between instead. A solved scenario is frozen.
    """
    found, where = np.full(exists.shape, np.nan), np.arange(exists.size)
    low, high = np.log1p(low), np.log1p(high)
    guess = _guess(flows, times)
    at = np.where(np.isnan(guess), (low + high) / 2, np.clip(guess, low, high))
    at[~exists] = np.nan
    length, open_ = high - low, exists
    for _ in range(MOST_STEPS):
        if 2 * np.count_nonzero(open_) <= where.size:  # go on with those that are open
            found[where] = at
            where, flows, falls, length = where[open_], flows[:, open_], falls[open_], length[open_]
            at, low, high, open_ = at[open_], low[open_], high[open_], open_[open_]
        if not where.size:
            break
        value, fall = _value_and_fall(flows, at, times)
        before = (value > 0) == falls
        low, high = np.where(before, at, low), np.where(before, high, at)
        with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
            ahead = at + value / fall
        newton = (ahead >= low) & (ahead <= high) & (np.abs(ahead - at) <= length / 2)
        ahead = np.where(newton, ahead, (low + high) / 2)
        length = np.abs(ahead - at)
        at = np.where(open_, ahead, at)
        open_ = open_ & (length > np.where(newton, CLOSE, CLOSEST))
    found[where] = at
    return np.asarray(np.expm1(found))


def _guess(flows: Floats, times: Floats) -> Floats:
    """The logarithm of 1 + rate of return, roughly: one step of Newton's rule on the logarithm of what earns over what costs.

    That is nearly a straight line over the logarithm of 1 + rate, and as steep as the years between mean earning and
    mean cost.
    """
    with np.errstate(invalid="ignore", divide="ignore"):
        worth = flows * (1 + USUAL_RATE) ** -times
        earned = np.maximum(worth, 0.0)
        gain, earning = over_years(earned), over_years(earned * times)
        cost, spending = gain - over_years(worth), earning - over_years(worth * times)
        return np.asarray(np.log1p(USUAL_RATE) + np.log(gain / cost) / (earning / gain - spending / cost))


def _search(flows: Floats, times: Floats) -> tuple[Floats, Floats, Bools, Codes]:
    """Two rates around the one rate of return of flows that change sign several times, whether value falls between them,
    and codes where there is none.

    Rates below zero are looked at only where none is found above. Value above zero at all of these is a rate beyond them.
    """
    rates = np.expm1(np.linspace(np.log1p(LOWEST_RATE), np.log1p(HIGHEST_RATE), SEARCH_RATES))
    above, below = np.append(0.0, rates[rates > 0]), np.append(rates[rates < 0], 0.0)
    signs = _signs_at(above, flows, times)
    crosses = signs[1:] != signs[:-1]
    found, at = crosses.sum(axis=0), crosses.argmax(axis=0)
    low, high = above[at], above[at + 1]
    falls = signs[at, np.arange(len(at))]
    codes = np.where(found > 1, Reason.SEVERAL_RATES, Reason.NONE).astype(np.uint8)
    none, profit = found == 0, signs[0]
    if none.any():
        signs = _signs_at(below, flows[:, none], times)
        crosses = signs[:-1] & ~signs[1:]
        at = len(crosses) - 1 - crosses[::-1].argmax(axis=0)
        low[none], high[none], falls[none] = below[at], below[at + 1], True
        codes[none] = np.where(crosses.any(axis=0), Reason.NONE, Reason.NEVER_EARNS)
        codes[none & profit] = Reason.ABOVE_RATES
    return low, high, falls, codes


def _signs_at(rates: Floats, flows: Floats, times: Floats) -> Bools:
    """Whether the value at each of some rates is above zero, (rate, scenario)."""
    blocks = (flows[:, start : start + SEARCH_BLOCK] for start in range(0, flows.shape[1], SEARCH_BLOCK))
    return np.hstack([_value_at(block, rates.reshape(-1, 1), times) > 0 for block in blocks])


def modified_rate_of_return(
    flows: Floats, finance_rate: Floats, reinvestment_rate: Floats, times: Floats
) -> tuple[Floats, Codes]:
    """Adjusted (modified) rate of return: what the outlay grows at when earnings are put to work at a stated rate.

    (future value of the positive flows / present value of the negative ones) ** (1/n) - 1, n the years from the first
    flow to the last.

    flows : (year, scenario)  [money];  finance_rate, reinvestment_rate : (scenario,)  [1/yr];  times : (year, 1)  [yr]
    Source: the MIRR function of spreadsheets; ASTM E1057 calls it adjusted internal rate of return.

    >>> flows = np.array([[-5.0], [10], [15], [8]])
    >>> modified_rate_of_return(flows, np.array([0.5]), np.array([0.1]), np.arange(4.0).reshape(-1, 1))[0].round(4)
    array([0.9416])
    """
    laid_out = over_years(np.maximum(-flows, 0.0) * discount_factors(finance_rate, times - times[0]))
    earned = over_years(np.maximum(flows, 0.0) * discount_factors(reinvestment_rate, times - times[-1]))
    span = float(times[-1, 0] - times[0, 0])
    codes = np.where(laid_out > 0, 0, Reason.NO_OUTLAY).astype(np.uint8)
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.where(codes == 0, (earned / laid_out) ** (1 / span) - 1, np.nan), codes


def payback(flows: Floats, first: int) -> tuple[Floats, Codes]:
    """Years from the end of year 0 until the running total reaches zero for the last time, linear within the year.

    flows : (year, scenario), discounted beforehand for the discounted payback  [money];  first : row of operating year 1

    >>> payback(np.array([[-27.0]] + [[2.75]] * 20), 1)[0].round(3)
    array([9.818])
    """
    total = running_total(flows)
    years = np.zeros(flows.shape[1])
    for row in range(first, len(flows)):
        before, after = total[row - 1], total[row]
        crosses = (before < 0) & (after >= 0)
        with np.errstate(invalid="ignore", divide="ignore"):
            years = np.where(crosses, row - first - before / (after - before), years)
    codes = np.where(total[-1] < 0, Reason.NOT_PAID_BACK, 0).astype(np.uint8)
    return np.where(codes == 0, years, np.nan), codes


def cover_ratios(cfads: Floats, service: Floats) -> Floats:
    """Cash available for debt service over debt service, (year, scenario); NaN in years without service."""
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.where(service > 0, cfads / service, np.nan)


def cash_to_spare(cover: Floats) -> Floats:
    """Share of a year's cash that may be missing before debt service is not covered, (year, scenario): (c - 1) / c.

    Below zero where cash does not cover it as it is, NaN where there is no cash. The same form holds for the covers over a
    life.

    >>> cash_to_spare(np.array([[2.0], [1.25]])).ravel()
    array([0.5, 0.2])
    """
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.where(cover > 0, 1 - 1 / cover, np.nan)


def life_cover(cfads: Floats, loan: Loan, rate: Floats, counted: Bools) -> Floats:
    """Present value at the debt rate, at the start of each year, of the cash from then on over what is owed, (year, scenario).

    cfads : (year, scenario)  [money];  rate : (scenario,)  [1/yr]
    counted : (year, scenario) or (year, 1)  years whose cash counts: those with debt service for the cover over the life
        of the loan, all operating years for that over the life of the project
    returns : NaN in years that start without debt  [1]

    Balances of reserves are not added to the cash. With the same cover in every year of the loan, the cover over its
    life is that cover at every date.
    """
    value, covers = np.zeros_like(rate), np.full_like(cfads, np.nan)
    cash = np.where(counted, cfads, 0.0)
    for row in range(len(cfads) - 1, loan.first - 1, -1):
        value = (value + cash[row]) / (1 + rate)
        owed = loan.balance[row - 1]
        # What rounding leaves of a loan that is repaid is no debt.
        covers[row] = np.where(owed > 1e-9 * loan.amount, value / np.where(owed > 0, owed, 1.0), np.nan)
    return covers

"""Measures of cash flows: value, rates of return, payback, cover. Flows stand at `times`; see `discounting`.

Each measure that may not exist returns its values with a code of `reasons` per scenario; a value is NaN where the code
is not 0.
"""

import numpy as np

from geoecon.arrays import Bools, Codes, Floats, over_years, running_total
from geoecon.finance.discounting import discount_factors, present_value
from geoecon.finance.reasons import Reason

LOWEST_RATE = -0.99
HIGHEST_RATE = 10.0
HALVINGS = 60
SEARCH_RATES = 200
SEARCH_BLOCK = 256  # scenarios searched at a time, so that all rates of them stay in the processor's cache


def rate_of_return(flows: Floats, times: Floats) -> tuple[Floats, Codes, Floats]:
    """Rate at which the present value of the flows is zero, between -99 % and 1,000 % a year.

    flows : (year, scenario)  [money];  times : (year, 1)  [yr]
    returns : rate (scenario,)  [1/yr]; reason codes (scenario,); number of sign changes of the flows (scenario,)

    Bisection on whole arrays. Flows that change sign more than once may have several rates. Then the one rate at or
    above zero is taken, and with several of these there is no number. Where none is, the rate below zero is taken at
    which value falls as the rate rises, the nearest to zero: money spent at the end of a life adds rates far below that
    mean nothing.

    >>> rate_of_return(np.array([[-100.0], [39], [59], [55], [20]]), np.arange(5.0).reshape(-1, 1))[0].round(5)
    array([0.28095])
    """
    changes = sign_changes(flows)
    low, high = np.full_like(changes, LOWEST_RATE), np.full_like(changes, HIGHEST_RATE)
    codes = np.zeros(changes.shape, dtype=np.uint8)
    at_highest = _value_at(flows, high, times)
    codes[(_value_at(flows, low, times) <= 0) | (at_highest >= 0)] = Reason.NEVER_EARNS
    several = changes > 1
    once = several & (at_highest < 0)
    if once.any():
        once &= _one_rate_above_zero(flows, times)
        low[once], codes[once] = 0.0, Reason.NONE
        several &= ~once
    if several.any():
        low[several], high[several], codes[several] = _search(flows[:, several], times)
    codes[~(flows < 0).any(axis=0)] = Reason.NO_OUTLAY
    return np.where(codes == 0, _bisect(flows, times, low, high), np.nan), codes, changes


def sign_changes(flows: Floats) -> Floats:
    """How often the flows of each scenario change sign over the years, zeros passed over, (scenario,)."""
    changes, last = np.zeros(flows.shape[1]), np.zeros(flows.shape[1])
    for row in flows:
        sign = np.sign(row)
        changes = changes + ((sign * last) < 0)
        last = np.where(sign != 0, sign, last)
    return changes


def _one_rate_above_zero(flows: Floats, times: Floats) -> Bools:
    """Whether the running total of the flows changes sign once, to end above zero: it spares a search, (scenario,).

    Then exactly one rate above zero exists, whatever the flows' own signs. Source: C. J. Norstrom, Journal of Financial
    and Quantitative Analysis 7 (1972), p. 1835, here from memory: value over the rate is the Laplace transform of the
    running total, which changes sign no more often than that does.
    """
    ends_above = _value_at(flows, np.zeros(flows.shape[1]), times) > 0
    return np.asarray((sign_changes(running_total(flows)) == 1) & ends_above)


def _value_at(flows: Floats, rate: Floats, times: Floats) -> Floats:
    """Present value, times a power of (1 + rate) that does not move its zero, by Horner's rule (no powers)."""
    step = 1 / (1 + rate)
    total = np.zeros_like(rate)
    later = float(times[-1, 0])
    for row in range(len(flows) - 1, -1, -1):
        gap = later - float(times[row, 0])
        total = total * (step if gap == 1 else step**gap) + flows[row]
        later = float(times[row, 0])
    return total


def _bisect(flows: Floats, times: Floats, low: Floats, high: Floats) -> Floats:
    """Where the value of the flows changes sign between two rates."""
    starts_above = _value_at(flows, low, times) > 0
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        before = (_value_at(flows, middle, times) > 0) == starts_above
        low, high = np.where(before, middle, low), np.where(before, high, middle)
    return (low + high) / 2


def _search(flows: Floats, times: Floats) -> tuple[Floats, Floats, Codes]:
    """Two rates around the one rate of return of flows that change sign several times, and codes where there is none."""
    rates = np.unique(
        np.append(np.expm1(np.linspace(np.log1p(LOWEST_RATE), np.log1p(HIGHEST_RATE), SEARCH_RATES)), 0.0)
    )
    blocks = (flows[:, start : start + SEARCH_BLOCK] for start in range(0, flows.shape[1], SEARCH_BLOCK))
    signs = np.hstack([_value_at(block, rates.reshape(-1, 1), times) > 0 for block in blocks])
    crosses = signs[1:] != signs[:-1]
    falls = crosses & signs[:-1]
    at_or_above = crosses & (rates[:-1] >= 0).reshape(-1, 1)
    below = falls & (rates[:-1] < 0).reshape(-1, 1)
    found = at_or_above.sum(axis=0)
    nearest_below = len(below) - 1 - below[::-1].argmax(axis=0)
    at = np.where(found > 0, at_or_above.argmax(axis=0), nearest_below)
    none = (found == 0) & ~below.any(axis=0)
    codes = np.where(found > 1, Reason.SEVERAL_RATES, np.where(none, Reason.NEVER_EARNS, Reason.NONE))
    return rates[at], rates[at + 1], codes.astype(np.uint8)


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


def loan_life_cover(cfads: Floats, service: Floats, amount: Floats, rate: Floats, times: Floats) -> Floats:
    """Present value at the debt rate of the cash available in the loan years over the loan at the end of year 0.

    Balances of reserves are not added to the cash. With the same cover in every year the ratio is that cover.
    """
    value = present_value(np.where(service > 0, cfads, 0.0), rate, times)
    with np.errstate(invalid="ignore", divide="ignore"):
        return value / amount

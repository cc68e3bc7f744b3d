"""What the energy earns: the price path of a case, files beside it, factors by time of delivery, what is promised."""

from collections.abc import Mapping

import numpy as np

from geoecon.arrays import Floats
from geoecon.case import Case
from geoecon.energy import MONTH_ENDS, hours_mean, missed
from geoecon.errors import CaseError, Fault
from geoecon.finance.price_files import month_factors, yearly_prices
from geoecon.finance.prices import PricePath, growing, schedule, stepped
from geoecon.preparing.basics import Calendar, late, wide
from geoecon.preparing.files import beside

AVERAGE_SLACK = 0.003  # how far factors may be from 1 on average; published sets are this near


def price_path(case: Case, when: Calendar, index: Floats, monthly: Floats) -> PricePath:
    """The stated price of each year, nominal; its first price is NaN where none is stated.

    monthly : energy of the months of year 1 when the unit starts in time, (month, scenario)  [MWh]
    """
    market = case.market
    real = market.price_basis == "real"
    drift = index / index[when.first] if real else np.ones_like(index)
    to_first = index[when.first] if real else 1.0

    def in_first(amount: Floats | None) -> Floats | None:
        return None if amount is None else wide(case, amount) * to_first

    path = _free_path(case, when, drift, to_first, in_first(market.price_after_term))
    if market.price_floor is not None or market.price_cap is not None:
        path = path.within(in_first(market.price_floor), in_first(market.price_cap), drift, when.first)
    factors = delivery_factors(case)
    if factors is None:
        return path
    weights = np.ones_like(index)
    term = contract_years(case)
    weights[when.first : when.first + term] = delivery_weight(factors, monthly, late(case), term)
    return path.weighted(weights)


def _free_path(case: Case, when: Calendar, drift: Floats, to_first: Floats | float, after: Floats | None) -> PricePath:
    """The price path before floor, cap and delivery factors."""
    market, first = case.market, when.first
    tail_growth = None if market.tail_growth is None else wide(case, market.tail_growth)
    if market.price_form == "growing":
        price, growth = wide(case, market.price, np.nan) * to_first, wide(case, market.price_growth)
        return growing(price, growth, contract_years(case), after, drift, first, tail_growth)
    prices, term = listed_prices(case), contract_years(case)
    tail = prices[term:] if len(prices) > term else None
    return schedule(prices[:term], after, drift, first, tail=tail, tail_growth=tail_growth, moved=to_first)


def listed_prices(case: Case) -> Floats:
    """Prices by operating year as stated in a schedule, in steps or in a file, no longer than the life, (year,)."""
    market, life = case.market, case.timeline.operating_years
    if market.price_form == "stepped":
        steps: Mapping[str, float] = market.price_steps or {}
        return stepped({int(year): price for year, price in steps.items()}, market.term_years or life)
    if market.price_form == "schedule":
        return np.asarray(market.price_schedule)
    name, first_year, currency = market.price_file or "", case.timeline.first_year, case.money.currency
    prices = beside(case, "market.price_file", name, lambda text: yearly_prices(text, first_year, currency))[:life]
    if len(prices) < life and market.price_after_term is None:
        words = (
            f"{name}: ends after {len(prices)} of {life} operating years; add years, or state market.price_after_term"
        )
        raise CaseError([Fault("market.price_file", words, case.line("market.price_file"))], case.source)
    if market.term_years is not None and market.term_years > len(prices):
        words = f"{market.term_years} is longer than the {len(prices)} years of {name}"
        raise CaseError([Fault("market.term_years", words, case.line("market.term_years"))], case.source)
    return prices


def contract_years(case: Case) -> int:
    """Operating years of the contract: the term as stated, the length of a list of prices, or the life."""
    market = case.market
    if market.term_years is not None:
        return market.term_years
    return len(listed_prices(case)) if market.price_form in {"schedule", "file"} else case.timeline.operating_years


def delivery_factors(case: Case) -> tuple[float, ...] | None:
    """What the price is multiplied by in each month, or None. Raises `CaseError` unless 1 on average over the hours."""
    market = case.market
    path, factors = "market.delivery_factors", market.delivery_factors
    if market.delivery_file is not None:
        path, factors = (
            "market.delivery_file",
            beside(case, "market.delivery_file", market.delivery_file, month_factors),
        )
    if factors is None:
        return None
    mean = hours_mean(factors)
    if abs(mean - 1) > AVERAGE_SLACK:
        words = (
            f"factors are {mean:.4f} on average over the hours of the year, and must be 1 within {AVERAGE_SLACK:.1%}, so that "
            f"even output earns the price; divide them all by {mean:.4f}"
        )
        raise CaseError([Fault(path, words, case.line(path))], case.source)
    return factors


def delivery_weight(factors: tuple[float, ...], monthly: Floats, delay: Floats | None, years: int) -> Floats:
    """Mean of the factors over the energy of a year, (year of operation or 1, scenario)  [1].

    monthly : (month, scenario) of a year in service  [MWh];  delay : of a late start, whose missed months do not count

    >>> delivery_weight((2.0,) + (1.0,) * 11, np.array([[3.0]] + [[1.0]] * 11), None, 20).round(4)
    array([[1.2143]])
    """
    usual = sum((f * mwh for f, mwh in zip(factors, monthly, strict=True)), start=np.zeros_like(monthly[0]))
    earned = made = np.zeros_like(monthly[:1])
    for month, (factor, mwh) in enumerate(zip(factors, monthly, strict=True)):
        ran = 1.0 if delay is None else 1 - missed(delay, years, *MONTH_ENDS[month : month + 2])
        earned, made = earned + factor * mwh * ran, made + mwh * ran
    total = sum(monthly, start=np.zeros_like(monthly[0]))
    with np.errstate(invalid="ignore", divide="ignore"):
        mean = np.where(total > 0, usual / total, np.where(np.isnan(total), np.nan, 1.0))
        return np.asarray(np.where(made > 0, earned / made, mean))


def shortfall(case: Case, delivered: Floats) -> Floats | None:
    """Energy of each year that was promised and is not delivered, (year of operation, scenario)  [MWh], or None."""
    promised = case.market.guaranteed_energy
    if promised is None:
        return None
    short = np.maximum(wide(case, promised) - delivered, 0.0)
    short[contract_years(case) :] = 0.0
    return short


def capacity_payment(case: Case, net_kw: Floats, when: Calendar, index: Floats) -> Floats | None:
    """Revenue for capacity, nominal, (year, scenario)  [money]; none for the time that a late unit misses."""
    market = case.market
    if market.capacity_price is None:
        return None
    real = market.price_basis == "real"
    drift = index / index[when.first] if real else np.ones_like(index)
    first = wide(case, market.capacity_price) * (index[when.first] if real else 1.0)
    path = growing(first, wide(case, market.price_growth), when.operating_years, None, drift, when.first)
    paid = path.nominal * wide(case, net_kw)
    if (delay := late(case)) is not None:
        paid[when.first :] *= 1 - missed(delay, when.operating_years)
    return paid


def price_in_words(case: Case) -> str:
    """How a stated price goes on after year 1, and what follows its term, of the first scenario."""
    listed = {"schedule": "on the stated schedule", "stepped": "in the stated steps", "file": "as in market.price_file"}
    market = case.market
    goes = listed.get(market.price_form) or _growth_in_words(case)
    for bound, words in ((market.price_floor, "not below"), (market.price_cap, "not above")):
        if bound is not None:
            goes += f", {words} {float(bound[0]):.4g} {case.money.currency}/MWh"
    by_time = market.delivery_factors is not None or market.delivery_file is not None
    return f"{goes}; before factors by time of delivery" if by_time else goes


def _growth_in_words(case: Case) -> str:
    market, growth = case.market, float(case.market.price_growth[0])
    own = f"{growth * 100:.4g} % a year" if growth else ""
    if market.price_basis == "real":
        goes = f"growing with inflation and {own}" if own else "growing with inflation"
    else:
        goes = f"growing {own}, nominal" if own else "the same nominal price every year"
    if market.term_years is None or market.price_after_term is None:
        return goes
    after = float(market.price_after_term[0])
    return f"{goes}, for {market.term_years} years, then {after:.4g} {case.money.currency}/MWh"

"""Levelized cost and required price: the prices at which something comes out at exactly zero.

`lcoe_*` knows no income tax, no credit, no grant, no interest. `lcoe_after_tax_*` is the level price at which the value
of the project after tax is zero. `required_price` is the first price that gives the owner what is needed.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from geoecon.arrays import Bools, Codes, Floats, over_years
from geoecon.finance.discounting import discount_factors, present_value
from geoecon.finance.measures import cover_ratios
from geoecon.finance.owners import earned_before_interest, interest_owed
from geoecon.finance.prices import PricePath, level
from geoecon.finance.reasons import Reason
from geoecon.finance.solve import rising_root
from geoecon.finance.statement import Financing, arrange, equity_cash_flow, to_owner
from geoecon.finance.streams import Streams
from geoecon.finance.tax import Taxable, income_tax, withheld

REACH, NEXT_TO = 20.0, 0.9  # times the levelized cost: how far a price is looked for, and where after the cost itself


def cost_present_value(streams: Streams, rate: Floats) -> Floats:
    """Present value of capital, operating and sustaining cost and decommissioning, (scenario,)  [money of year 0].

    Royalty and other shares of revenue are left out: what they come to depends on the price.
    """
    return present_value(streams.spent + streams.fixed_operating + streams.decommissioning, rate, streams.times)


def levelized_cost(streams: Streams, rate: Floats, index: Floats) -> Floats:
    """The one price over the life whose value equals the value of all cost; NaN without energy.

    streams : nominal;  rate : (scenario,) nominal  [1/yr]
    index : (year, scenario)  ones for the nominal level price, the price index for the real one in price-year money
    returns : (scenario,)  [money/MWh]

    Energy is discounted only as a consequence of the algebra: sum(C_t / (1+r)^t) / sum(E_t index_t / (1+r)^t). A royalty
    is a share of the price itself, so only the energy whose price the owner keeps counts. Revenue that no price stands
    behind is not set off: this is what the energy costs.
    """
    kept = streams.energy * (1 - streams.revenue_share)
    energy = over_years(kept * index * discount_factors(rate, streams.times))
    with np.errstate(invalid="ignore", divide="ignore"):
        cost = cost_present_value(streams, rate) / energy
    return np.where(energy > 0, cost, np.nan)


def levelized_cost_after_tax(financing: Financing, rate: Floats, index: Floats, guess: Floats) -> tuple[Floats, Codes]:
    """The level price at which the present value of the project's cash flow after tax is zero; tax and credits in.

    index : as in `levelized_cost`;  guess : (scenario,) positive, the cost before tax, from which the reach is taken
    """
    streams = financing.streams
    path = level(index, streams.first)
    scale = present_value(streams.spent + streams.fixed_operating, rate, streams.times)

    before_tax, taxable = financing.unpriced_project, financing.taxable_project
    value = _value_over_price(financing, path, before_tax, taxable, discount_factors(rate, streams.times))
    return _lowest_price(value, guess, scale)


@dataclass(frozen=True)
class RequiredPrice:
    """Lowest first price that gives the owner what is needed, the condition that binds, and cover at that price.

    value : (scenario,), NaN where there is none  [money/MWh];  codes : (scenario,) of `reasons`
    binds : index of the condition, (scenario,); `conditions` names them.  financing, path : what the price is for
    """

    value: Floats
    codes: Codes
    binds: Codes
    conditions: tuple[str, ...]
    financing: Financing
    path: PricePath

    @cached_property
    def cover(self) -> Floats:
        """Least cover ratio of a year at that price, (scenario,); NaN without debt  [1]."""
        financing = self.financed
        cover = cover_ratios(equity_cash_flow(financing, self.path.at(self.value))[2], financing.loan.service)
        return np.where(financing.loan.amount > 0, np.nan_to_num(cover, nan=np.inf).min(axis=0), np.nan)

    @cached_property
    def financed(self) -> Financing:
        """The financing at that price: another one only where the loan follows the cash."""
        return self.financing.at(self.path.at(self.value))

    def where(self, here: Bools, other: "RequiredPrice") -> "RequiredPrice":
        """The price of some scenarios from here, and of the others from another one for the same project."""
        return RequiredPrice(
            np.where(here, self.value, other.value),
            np.where(here, self.codes, other.codes).astype(np.uint8),
            np.where(here, self.binds, other.binds + len(self.conditions)).astype(np.uint8),
            self.conditions + other.conditions,
            self.financing,
            self.path,
        )


def price_for_return(financing: Financing, path: PricePath, equity_return: Floats, guess: Floats) -> RequiredPrice:
    """First price at which equity earns its return after tax (private owner, utility)."""
    streams = financing.streams
    scale = present_value(streams.spent + streams.fixed_operating, equity_return, streams.times)

    factors = discount_factors(equity_return, streams.times)

    near = financing  # a loan that follows cash is looked for next to the one at the price before

    def bent(price: Floats) -> Floats:
        nonlocal near
        near = near.at(path.at(price))
        return over_years(to_owner(near, path.at(price)).flow * factors)

    before_tax, taxable = financing.unpriced_equity, financing.taxable_equity
    value = (
        bent
        if financing.bends or path.bounded
        else _value_over_price(financing, path, before_tax, taxable, factors, owned=True)
    )
    price, codes = _lowest_price(value, guess, scale)
    return RequiredPrice(price, codes, np.zeros_like(codes), ("the return asked on equity",), financing, path)


def price_for_cover(
    financing: Financing, path: PricePath, target: Floats, guess: Floats, interest: Floats | None = None
) -> RequiredPrice:
    """First price that keeps cover at the target in every debt year and cash never below zero (public owner, cooperative).

    target, interest : (scenario,) cover of debt service, and how often interest has to be earned where that is asked  [1]

    The least of the margins rises with price, so one solver serves; the condition of the least margin is named. With
    income tax a higher price may use losses up sooner and thin the cover of a later year; then this is a price at which
    the conditions just hold, and a higher one need not be better in every year. A loan limited by cover would meet any
    target by being small; the price is then the one that carries the share of uses the loan is meant to pay.
    """
    loan = replace(financing.terms.loan, by_cover=False)
    if financing.terms.loan.by_cover:
        financing = arrange(financing.streams, replace(financing.terms, loan=loan))
    streams = financing.streams
    kinds = ("cover of debt service", "cash not below zero", "interest earned as asked")
    conditions = tuple(
        f"{what} in year {row - streams.first + 1}"
        for what in kinds[: 2 if interest is None else 3]
        for row in range(streams.first, len(streams.energy))
    )

    near = financing

    def margins(price: Floats) -> Floats:
        nonlocal near
        nominal = path.at(price)
        near = near.at(nominal)
        flow, _, cfads = equity_cash_flow(near, nominal)
        service = near.loan.service
        found = [np.where(service > 0, cfads - target * service, np.inf), flow]
        if interest is not None:
            owed = interest_owed(near.loan)
            earned = earned_before_interest(streams, near.loan, cfads + near.sustaining_from_cash)
            found.append(np.where(owed > 0, earned - interest * owed, np.inf))
        return np.concatenate([margin[streams.first :] for margin in found])

    scale = over_years(streams.spent + streams.fixed_operating)
    price, codes = _lowest_price(lambda p: margins(p).min(axis=0), guess, scale)
    # Where no price is enough, the condition named is the one that the highest price leaves the furthest from met.
    tried = np.where(np.isnan(price), REACH * np.nan_to_num(guess), price)
    binds = margins(tried).argmin(axis=0).astype(np.uint8)
    return RequiredPrice(price, codes, binds, conditions, financing, path)


def _value_over_price(
    financing: Financing, path: PricePath, before_tax: Floats, taxable: Taxable, factors: Floats, *, owned: bool = False
) -> Callable[[Floats], Floats]:
    """Present value after tax for a first price, (scenario,) -> (scenario,).

    before_tax : (year, scenario)  cash flow without the sale of energy  [money];  taxable : the same, as tax sees it
    owned : whether it is the owner's cash flow, of which something may be withheld

    Before tax the value is a straight line over the price, so that only the tax is worked out again for each price.
    """
    terms = financing.terms.tax
    sold = path.shape * financing.kept_energy
    fixed = path.rest * financing.kept_energy if path.rest.any() else None
    if fixed is not None:
        before_tax = before_tax + fixed
    steep, start = over_years(sold * factors), over_years(before_tax * factors)

    def value(price: Floats) -> Floats:
        sales = price * sold
        if fixed is not None:
            sales += fixed
        tax = income_tax(sales, taxable, terms)
        if owned and terms.withholding is not None:
            flow = before_tax + price * sold - tax
            return over_years((flow - withheld(flow, taxable, terms)) * factors)
        return start + steep * price - over_years(tax * factors)

    return value


def _lowest_price(value: Callable[[Floats], Floats], guess: Floats, scale: Floats) -> tuple[Floats, Codes]:
    """Where a value that rises with price is zero, from a price of zero up to a reach of so many levelized costs.

    guess : (scenario,)  levelized cost, next to which the price is looked for, NaN without energy  [money/MWh]
    """
    near = np.nan_to_num(guess)
    low, high = np.zeros_like(guess), REACH * near
    price, reached = rising_root(value, low, high, np.maximum(scale, 1e-300), (near, NEXT_TO * near))
    codes = np.where(reached, Reason.NONE, Reason.NO_PRICE_IN_REACH).astype(np.uint8)
    if not reached.all():
        codes[~reached & (value(low) > 0)] = Reason.ANY_PRICE_PAYS
    codes[~np.isfinite(guess)] = Reason.NO_ENERGY
    return np.where(codes == 0, price, np.nan), codes

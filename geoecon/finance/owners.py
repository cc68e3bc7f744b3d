"""What owners other than a private one look at: the revenue a utility must collect, interest earned, money committed."""

from dataclasses import dataclass

import numpy as np

from geoecon.arrays import Bools, Floats, over_years
from geoecon.finance.debt import Loan
from geoecon.finance.depreciation import depreciate
from geoecon.finance.discounting import discount_factors, present_value
from geoecon.finance.rates import weighted_cost_of_capital
from geoecon.finance.streams import Streams
from geoecon.finance.tax import TaxBase, TaxTerms


@dataclass(frozen=True)
class RevenueRequirement:
    """What a utility collects to cover its cost and earn its return, nominal, (year, scenario)  [money].

    rate : (scenario,) its after-tax weighted return  [1/yr]
    parts : operating cost and decommissioning, depreciation, return, income tax, shares of revenue; their sum is `total`
    rate_base : at the beginning of the year: net plant less accumulated deferred tax
    """

    rate: Floats
    parts: dict[str, Floats]
    rate_base: Floats

    @property
    def total(self) -> Floats:
        """All parts, (year, scenario)."""
        return np.asarray(sum(self.parts.values()))

    def levelized(self, streams: Streams) -> Floats:
        """The level nominal price worth the same as all revenue required, at its own rate, (scenario,)  [money/MWh]."""
        worth = present_value(self.total, self.rate, streams.times)
        energy = present_value(streams.energy, self.rate, streams.times)
        with np.errstate(invalid="ignore", divide="ignore"):
            return np.where(energy > 0, worth / energy, np.nan)


def book_depreciation(plant: Floats, sustaining: Floats, first: int) -> Floats:
    """Straight line over the operating years, later purchases over the years that are left, (year, scenario)  [money].

    plant : (scenario,) book value at the end of year 0  [money];  sustaining : (year, scenario)  [money]

    A purchase at the end of the last year is charged in that year.

    >>> book_depreciation(np.array([90.0]), np.array([[0.0], [10.0], [0.0], [4.0]]), 1).ravel()
    array([ 0., 30., 35., 39.])
    """
    last = len(sustaining) - 1
    taken = np.zeros_like(sustaining)
    taken[first:] = plant / (last - first + 1)
    for row in range(first, last + 1):
        if sustaining[row].any():
            start = min(row + 1, last)
            taken[start:] += sustaining[row] / (last - start + 1)
    return taken


def revenue_requirement(
    streams: Streams, tax: TaxTerms, base: TaxBase, debt_share: Floats, debt_rate: Floats, allowed_return: Floats
) -> RevenueRequirement:
    """Revenue required each year: operating cost, book depreciation, return on the rate base, income tax.

    debt_share, debt_rate, allowed_return : (scenario,) capital structure that is kept, its debt and equity cost

    The rate base is net plant less accumulated deferred tax at the beginning of the year. Capital is carried to the end
    of year 0 at the after-tax weighted return (the allowance for funds used during construction). Tax is normalised:
    what depreciation for tax defers is taken off the rate base and given back, losses serve at once, a credit goes to
    customers in its year, and what tax does not let be deducted is grossed up. The value of all revenue required, at the
    after-tax weighted return, is then exactly that of all cost: the owner earns its return and nothing over.
    """
    first, rate = streams.first, weighted_cost_of_capital(debt_share, debt_rate, allowed_return, tax.rate)
    building = (np.arange(len(streams.energy)) < first).reshape(-1, 1)
    laid_out = np.where(building, streams.initial - streams.grant, 0.0)
    plant = present_value(laid_out, rate, streams.times)
    book = book_depreciation(plant, streams.sustained, first)
    deductible = _spread_like(over_years(base.depreciation_unlevered), book)
    deferred = tax.rate * (base.depreciation_unlevered - deductible)
    rate_base = _opening(plant, streams.sustained, book + deferred, first)
    on_equity, on_debt = (1 - debt_share) * allowed_return * rate_base, debt_share * debt_rate * rate_base
    credit = base.credit * (tax.credit.sale_price if tax.credit and tax.credit.use == "sold" else 1.0)
    income_tax = (tax.rate * (on_equity + book - deductible) - credit) / (1 - tax.rate)
    parts = {
        "operating cost": streams.fixed_operating + streams.decommissioning,
        "depreciation": book,
        "return on the rate base": on_equity + on_debt,
        "income tax": income_tax,
    }
    before = np.asarray(sum(parts.values()))
    parts["shares of revenue"] = before * streams.revenue_share / (1 - streams.revenue_share)
    return RevenueRequirement(rate, parts, rate_base)


def _spread_like(amount: Floats, pattern: Floats) -> Floats:
    """An amount over the years in the proportions of a pattern, (scenario,) -> (year, scenario)."""
    whole = over_years(pattern)
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.where(whole > 0, pattern * (amount / whole), 0.0)


def _opening(plant: Floats, added: Floats, taken: Floats, first: int) -> Floats:
    """Balance at the beginning of each operating year, (year, scenario); additions count from the next year on."""
    opening = np.zeros_like(added)
    balance = plant
    for row in range(first, len(added)):
        opening[row] = balance
        balance = balance + added[row] - taken[row]
    return opening


def value_left(required: RevenueRequirement, streams: Streams, tax: TaxTerms, base: TaxBase) -> Floats:
    """Value to the owner of collecting what is required, at its own rate, (scenario,); zero by construction  [money].

    Revenue less cost and the tax of a project without debt, worked out from revenue and not from the parts.
    """
    kept = required.total - required.parts["shares of revenue"] - required.parts["operating cost"]
    credit = base.credit * (tax.credit.sale_price if tax.credit and tax.credit.use == "sold" else 1.0)
    paid = tax.rate * (kept - base.depreciation_unlevered) - credit
    flows = kept - paid + streams.grant - streams.spent
    return over_years(flows * discount_factors(required.rate, streams.times))


@dataclass(frozen=True)
class InterestCover:
    """How often a loan's interest is earned. target : (scenario,)  [1];  charged : (year, scenario) book depreciation and
    decommissioning, which a margin bears and cash for debt service does not  [money]."""

    target: Floats
    charged: Floats

    def margins(self, loan: Loan, cfads: Floats, sustaining_from_cash: Floats) -> Floats:
        """What is earned before interest above what the target asks, (year, scenario); infinite without interest."""
        owed = interest_owed(loan)
        earned = cfads + sustaining_from_cash - self.charged
        return np.where(owed > 0, earned - self.target * owed, np.inf)


def interest_owed(loan: Loan) -> Floats:
    """Interest of operating years, (year, scenario)  [money]."""
    running: Bools = (np.arange(len(loan.interest)) >= loan.first).reshape(-1, 1)
    return np.where(running, loan.interest, 0.0)


def times_interest_earned(loan: Loan, cfads: Floats, sustaining_from_cash: Floats, charged: Floats) -> Floats:
    """(Margin + interest) / interest of each year, (year, scenario); NaN in years without interest  [1].

    The margin is revenue less operating cost, book depreciation, decommissioning, interest and tax.
    """
    owed = interest_owed(loan)
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.where(owed > 0, (cfads + sustaining_from_cash - charged) / owed, np.nan)


def later_money(cash_flow_equity: Floats, first: int) -> Floats:
    """What the owner has to add in operating years that do not pay for themselves, (year, scenario)  [money]."""
    added = np.maximum(-cash_flow_equity, 0.0)
    added[:first] = 0.0
    return added

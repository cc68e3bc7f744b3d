"""What owners other than a private one look at: the revenue a utility must collect, interest earned, money committed."""

from dataclasses import dataclass

import numpy as np

from geoecon.arrays import Bools, Floats, over_years, running_total
from geoecon.finance.debt import Loan
from geoecon.finance.depreciation import book_depreciation
from geoecon.finance.discounting import present_value
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
        """The level nominal price worth the same as all revenue required, at its own rate, (scenario,)  [money/MWh].

        Not to be held against the first year of a price that grows, which is worth more than it says: on
        `cases/pell-crossing.toml` the requirement is 104.67 and the required price 97.62 in year 1, but that grows by
        1.5 % a year and is worth a level 111.30 at the utility's rate. It is above 104.67 because the project's loan is
        repaid, so that ever more of what is tied up is the owner's, while a utility keeps its shares of debt and equity.
        """
        worth = present_value(self.total, self.rate, streams.times)
        energy = present_value(streams.energy, self.rate, streams.times)
        with np.errstate(invalid="ignore", divide="ignore"):
            return np.where(energy > 0, worth / energy, np.nan)


def revenue_requirement(
    streams: Streams, tax: TaxTerms, base: TaxBase, debt_share: Floats, debt_rate: Floats, allowed_return: Floats
) -> RevenueRequirement:
    """Revenue required each year: operating cost, book depreciation, return on the rate base, income tax.

    debt_share, debt_rate, allowed_return : (scenario,) capital structure that is kept, its debt and equity cost

    The rate base is net plant less accumulated deferred tax at the beginning of the year. Capital is carried to the end
    of year 0 at the after-tax weighted return (the allowance for funds used during construction). Tax is normalised:
    what deductions for tax defer is taken off the rate base and given back, losses serve at once, a credit goes to
    customers in its year, and what tax does not let be deducted is grossed up. Depletion, a tax holiday and limits of
    interest and losses have no part. The value of all revenue required, at the after-tax weighted return, is then that of
    all cost after tax: the owner earns its return and nothing over.
    """
    first, rate = streams.first, weighted_cost_of_capital(debt_share, debt_rate, allowed_return, tax.rate)
    deducted = base.depreciation_unlevered + base.drilling
    before = (np.arange(len(streams.energy)) < first).reshape(-1, 1)
    deferred_before = np.where(before, tax.rate * deducted, 0.0)
    financed = np.where(before, streams.initial - streams.grant - deferred_before, 0.0)
    opening = present_value(financed, rate, streams.times)
    plant = np.zeros_like(streams.energy)
    plant[first - 1] = opening + over_years(deferred_before)
    book = book_depreciation(plant + np.where(before, 0.0, streams.sustained), first)
    in_books = _spread_like(over_years(deducted), book)
    deferred = tax.rate * (deducted - in_books)
    rate_base = _balance(opening, streams.sustained - book - deferred, first)
    on_equity, on_debt = (1 - debt_share) * allowed_return * rate_base, debt_share * debt_rate * rate_base
    credit = credit_worth(tax, base)
    income_tax = (tax.rate * (on_equity + book - in_books) - credit) / (1 - tax.rate)
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


def _balance(opening: Floats, moved: Floats, first: int) -> Floats:
    """Balance at the beginning of each operating year, (year, scenario); what a year moves counts from the next on."""
    balance = np.zeros_like(moved)
    balance[first] = opening
    balance[first + 1 :] = opening + running_total(moved[first:-1])
    return balance


def credit_worth(tax: TaxTerms, base: TaxBase) -> Floats:
    """The credit as it comes in, (year, scenario)  [money]."""
    return base.credit * (tax.credit.sale_price if tax.credit and tax.credit.use == "sold" else 1.0)


def capitalised(streams: Streams, loan: Loan) -> Floats:
    """What joins the book value each year: cost with interest and fees while building, less a grant, (year, scenario)."""
    building = (np.arange(len(streams.energy)) < streams.first).reshape(-1, 1)
    return streams.spent + np.where(building, loan.interest + loan.fees, 0.0) - streams.grant


def earned_before_interest(streams: Streams, loan: Loan, cash: Floats) -> Floats:
    """What books say is earned before interest and fees: after tax, book depreciation and decommissioning, (year, scenario).

    cash : (year, scenario) revenue less operating cost and tax  [money]
    """
    return cash - book_depreciation(capitalised(streams, loan), streams.first) - streams.decommissioning


def interest_owed(loan: Loan) -> Floats:
    """Interest of operating years, (year, scenario)  [money]."""
    running: Bools = (np.arange(len(loan.interest)) >= loan.first).reshape(-1, 1)
    return np.where(running, loan.interest, 0.0)


def times_interest_earned(streams: Streams, loan: Loan, cash: Floats) -> Floats:
    """(Margin + interest) / interest of each year, (year, scenario); NaN in years without interest  [1].

    cash : as in `earned_before_interest`.  The margin is revenue less operating cost, book depreciation, decommissioning,
    interest and tax.
    """
    owed = interest_owed(loan)
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.where(owed > 0, earned_before_interest(streams, loan, cash) / owed, np.nan)


def later_money(cash_flow_equity: Floats, first: int) -> Floats:
    """What the owner has to add in operating years that do not pay for themselves, (year, scenario)  [money]."""
    added = np.maximum(-cash_flow_equity, 0.0)
    added[:first] = 0.0
    return added

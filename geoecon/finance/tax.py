"""Income tax of one project: deductions, losses, and one credit. Rates and limits come in; no law is written here.

sales -> taxable income (interest, depletion, holiday) -> less losses of earlier years -> tax -> less credit
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from geoecon.arrays import Bools, Floats, over_years, running_total, total
from geoecon.finance.credits import Credit, credit_earned
from geoecon.finance.depletion import Depletion, depleted
from geoecon.finance.depreciation import depreciate
from geoecon.finance.discounting import present_value
from geoecon.finance.streams import Streams


@dataclass(frozen=True)
class TaxTerms:
    """What the tax rules come to for one project.

    rate : (scenario,)  [1];  shares : tax class -> shares of the basis by year of service
    carried : whether losses wait for later profits, or serve the owner at once against other income
    loss_limit : (scenario,) of a year's profit that carried losses may offset  [1]
    loss_years : years after its own in which a loss may be used; None for ever  [yr]
    holiday_years : operating years without tax, from year 1  [yr]
    expensed_share : (scenario,) of drilling, deducted in the year it is paid; None for nothing  [1]
    interest_limit : (scenario,) of income before interest, depreciation and depletion that interest may offset  [1]
    withholding : (scenario,) of cash paid out to the owner  [1]
    """

    rate: Floats
    shares: Mapping[str, Floats]
    carried: bool
    loss_limit: Floats
    credit: Credit | None
    loss_years: int | None = None
    holiday_years: int = 0
    expensed_share: Floats | None = None
    depletion: Depletion | None = None
    interest_limit: Floats | None = None
    withholding: Floats | None = None


@dataclass(frozen=True)
class TaxBase:
    """What is deducted and credited before anything is known of price, (year, scenario)  [money]."""

    depreciation_unlevered: Floats
    depreciation_levered: Floats
    drilling: Floats
    credit: Floats


@dataclass(frozen=True)
class Taxable:
    """What is known of taxable income before the sale of energy, (year, scenario)  [money].

    before_interest : other income less all deductions but interest;  interest : of operating years
    depreciation : as deducted in `before_interest`;  credit : at par;  first : row of operating year 1
    """

    before_interest: Floats
    interest: Floats
    depreciation: Floats
    credit: Floats
    first: int = 0

    @cached_property
    def after_interest(self) -> Floats:
        """The same with all interest deducted."""
        return self.before_interest - self.interest


@dataclass(frozen=True)
class Deductions:
    """What is deducted and credited whatever the loan, and what a loan adds to it, (year, scenario).

    of_financing : depreciation of 1 of interest and fees while building  [1];  all else in money
    """

    depreciation: Floats
    of_financing: Floats
    drilling: Floats
    credit: Floats

    def with_financing(self, cost: Floats) -> TaxBase:
        """The same with the cost of financing while building, (scenario,)  [money]."""
        return TaxBase(self.depreciation, self.depreciation + cost * self.of_financing, self.drilling, self.credit)


def deductions(streams: Streams, terms: TaxTerms) -> Deductions:
    """Depreciation, drilling deducted at once, and the credit.

    The cost of financing while building joins the basis of what is built, in proportion to its classes: a simplification
    for fees, which some rules spread over the loan.
    """
    bases = _bases(streams, terms)
    shape, first = streams.energy.shape, streams.first
    unlevered = total((depreciate(basis, terms.shares[name], first) for name, basis in bases.items()), shape)
    built = over_years(total((basis[:first] for basis in bases.values()), (first, shape[1])))
    of_financing = np.zeros(shape)
    for name, basis in bases.items():
        one = np.zeros(shape)
        with np.errstate(invalid="ignore", divide="ignore"):
            one[0] = np.where(built > 0, over_years(basis[:first]) / built, 0.0)
        of_financing += depreciate(one, terms.shares[name], first)
    earned = credit_earned(streams, terms.credit, terms.expensed_share)
    return Deductions(unlevered, of_financing, _drilling_expensed(streams, terms), earned)


def tax_base(streams: Streams, terms: TaxTerms, financing_cost: Floats) -> TaxBase:
    """Deductions and credit of a project without a loan and with one.

    financing_cost : (year, scenario)  interest and fees of build years  [money]
    """
    return deductions(streams, terms).with_financing(over_years(financing_cost))


def _drilling_expensed(streams: Streams, terms: TaxTerms) -> Floats:
    """Drilling deducted in the year it is paid, (year, scenario)  [money]; a grant takes its share of the first wells."""
    share, shape = terms.expensed_share, streams.energy.shape
    if share is None:
        return np.zeros(shape)
    kept = 1 - streams.grant_share
    paid = [a * kept for name, a in streams.capital.items() if streams.accounts[name].drilled]
    paid += [a for name, a in streams.sustaining.items() if streams.accounts[name].drilled]
    return share * total(paid, shape)


def _bases(streams: Streams, terms: TaxTerms) -> dict[str, Floats]:
    """Capital to be depreciated by tax class: a grant takes its share off, an investment credit its cut."""
    bases: dict[str, Floats] = {}
    kept = 1 - streams.grant_share
    cut = terms.credit.rate * terms.credit.basis_cut if terms.credit else np.zeros_like(kept)
    for name, flows in streams.capital.items():
        share = kept * (1 - cut) if streams.accounts[name].earns_credit else kept
        _add(bases, streams, name, flows[: streams.first] * share, terms)
    for name, flows in streams.sustaining.items():
        _add(bases, streams, name, flows, terms)
    return {name: basis for name, basis in bases.items() if name in terms.shares}


def _add(bases: dict[str, Floats], streams: Streams, name: str, flows: Floats, terms: TaxTerms) -> None:
    """Add flows of the first years, or of all of them, to the basis of their class."""
    account = streams.accounts[name]
    if terms.expensed_share is not None and account.drilled:
        flows = flows * (1 - terms.expensed_share)
    basis = bases.setdefault(account.tax_class, np.zeros_like(streams.energy))
    basis[: len(flows)] += flows


def without_debt(streams: Streams, base: TaxBase) -> Taxable:
    """What is taxable of the project as if it had no debt, before the sale of energy."""
    return _taxable(streams, base, base.depreciation_unlevered, np.zeros_like(base.credit))


def with_debt(streams: Streams, base: TaxBase, interest: Floats) -> Taxable:
    """What is taxable of the owner, interest of operating years deducted, before the sale of energy."""
    return _taxable(streams, base, base.depreciation_levered, interest)


def _taxable(streams: Streams, base: TaxBase, depreciation: Floats, interest: Floats) -> Taxable:
    return Taxable(
        streams.unpriced_income - depreciation - base.drilling, interest, depreciation, base.credit, streams.first
    )


def income_tax(sales: Floats, taxable: Taxable, terms: TaxTerms) -> Floats:
    """Tax that the owner pays each year, credits netted; negative where money comes back.

    sales : (year, scenario)  sales of energy, net of royalty and of what else is a share of them  [money]
    returns : (year, scenario)  [money]

    Carried losses offset at most `loss_limit` of a year's profit, for `loss_years`; a credit of one's own waits for tax
    in the same way, without end. Losses and credits used at once assume other income of the owner.

    >>> terms = TaxTerms(np.array([0.35]), {}, False, np.array([1.0]), None)
    >>> nothing = np.zeros((2, 1))
    >>> income_tax(np.array([[1.40], [-1.0]]), Taxable(nothing, nothing, nothing, nothing), terms).ravel()
    array([ 0.49, -0.35])
    """
    return _less_credit(_due(taxable_income(sales, taxable, terms)[0], terms), taxable.credit, terms)


def taxable_income(sales: Floats, taxable: Taxable, terms: TaxTerms) -> tuple[Floats, Floats | float]:
    """Taxable income of each year before losses of earlier ones, and depletion, (year, scenario)  [money]."""
    taken: Floats | float = 0.0
    if terms.interest_limit is None:
        profit = sales + taxable.after_interest
    else:
        profit = sales + taxable.before_interest
        profit -= interest_deducted(taxable.interest, terms.interest_limit * (profit + taxable.depreciation))
    if terms.depletion is not None:
        taken = depleted(terms.depletion, sales, profit)
        profit -= taken
    if terms.holiday_years:
        free = slice(taxable.first, taxable.first + terms.holiday_years)
        profit[free] = np.minimum(profit[free], 0.0) if terms.carried else 0.0
    return profit, taken


def interest_deducted(interest: Floats, most: Floats) -> Floats:
    """Interest deducted in each year, within what it may offset; what is above waits without end, (year, scenario).

    >>> interest_deducted(np.array([[30.0], [10.0], [0.0]]), np.array([[20.0], [15.0], [15.0]])).ravel()
    array([20., 15.,  5.])
    """
    deducted = np.empty_like(interest)
    waiting = np.zeros_like(interest[0])
    for row in range(len(interest)):
        waiting = waiting + interest[row]
        deducted[row] = np.minimum(waiting, np.maximum(most[row], 0.0))
        waiting = waiting - deducted[row]
    return deducted


def _less_credit(due: Floats, credit: Floats, terms: TaxTerms) -> Floats:
    use = terms.credit.use if terms.credit else "own"
    if use != "own":
        worth = terms.credit.sale_price if terms.credit and use == "sold" else 1.0
        return due - credit * worth
    if not terms.carried:
        return due - credit
    if not credit.any():
        return due
    waiting = np.zeros_like(due[0])
    paid = np.empty_like(due)
    for row in range(len(due)):
        waiting = waiting + credit[row]
        used = np.minimum(waiting, due[row])
        waiting = waiting - used
        paid[row] = due[row] - used
    return paid


def _due(profit: Floats, terms: TaxTerms) -> Floats:
    """Tax before credits; what is lost waits for later profits."""
    if not terms.carried:
        return terms.rate * profit
    taxed = np.maximum(profit, 0.0)
    lost = taxed - profit
    offset = terms.loss_limit * taxed
    if terms.loss_years is None:
        _use_losses(lost, offset)
    else:
        _use_losses_in_time(lost, offset, terms.loss_years)
    taxed -= offset
    taxed *= terms.rate
    return taxed


def _use_losses(lost: Floats, offset: Floats) -> None:
    """What losses of earlier years take off each year's profit; `offset` holds the most they may and is written over."""
    waiting = np.zeros_like(lost[0])
    for most, more in zip(offset, lost, strict=True):
        np.minimum(waiting, most, out=most)
        waiting -= most
        waiting += more


def _use_losses_in_time(lost: Floats, offset: Floats, years: int) -> None:
    """The same where a loss ends after some years; the oldest is used first, so a running total tells what is gone."""
    made = running_total(lost)
    gone = np.zeros_like(lost[0])
    for row in range(1, len(lost)):
        if row > years:
            np.maximum(gone, made[row - years - 1], out=gone)
        np.minimum(offset[row], np.maximum(made[row - 1] - gone, 0.0), out=offset[row])
        gone += offset[row]
    offset[0] = 0.0


def losses_carried(sales: Floats, taxable: Taxable, terms: TaxTerms) -> Floats | None:
    """Losses that wait at the end of each year, (year, scenario)  [money]; None where they end, serve at once or untaxed.

    What a year uses of them is what its tax before credit leaves out of its profit.

    >>> terms = TaxTerms(np.array([0.35]), {}, True, np.array([1.0]), None)
    >>> nothing = np.zeros((3, 1))
    >>> losses_carried(np.array([[-3.0], [1.0], [5.0]]), Taxable(nothing, nothing, nothing, nothing), terms).ravel()
    array([3., 2., 0.])
    """
    if not terms.carried or terms.loss_years is not None or not (terms.rate > 0).all():
        return None
    profit = np.asarray(taxable_income(sales, taxable, terms)[0])
    waiting = running_total(_due(profit, terms) / terms.rate - profit)
    return np.where(waiting < 1e-9 * np.abs(profit).max(axis=0), 0.0, waiting)


def withheld(paid: Floats, taxable: Taxable, terms: TaxTerms) -> Floats:
    """What is withheld of what is paid out to the owner in operating years, (year, scenario)  [money]."""
    kept_back = np.zeros_like(paid)
    if terms.withholding is not None:
        kept_back[taxable.first :] = terms.withholding * np.maximum(paid[taxable.first :], 0.0)
    return kept_back


def tax_with_each_credit(streams: Streams, terms: TaxTerms, price: Floats, discount: Floats) -> tuple[Floats, Floats]:
    """Value of the tax of the project without debt with the investment credit and with the production credit, (scenario,).

    terms : with a credit that has both a rate and an amount per MWh;  price : (year, scenario) nominal  [money/MWh]
    discount : (scenario,) nominal  [1/yr];  returns money of year 0, below zero where more comes back than is paid
    """
    assert terms.credit is not None
    sales = price * streams.energy * (1 - streams.revenue_share)
    everywhere = np.ones(streams.energy.shape[1:], dtype=bool)

    def tax_worth(investment: Bools) -> Floats:
        of_one = with_credit(terms, investment)
        base = tax_base(streams, of_one, np.zeros_like(streams.energy))
        tax = income_tax(sales, without_debt(streams, base), of_one)
        return present_value(tax, discount, streams.times)

    return tax_worth(everywhere), tax_worth(~everywhere)


def better_credit(streams: Streams, terms: TaxTerms, price: Floats, discount: Floats) -> Bools:
    """Where the investment credit is worth more to the project without debt than the production credit, (scenario,).

    Arguments as in `tax_with_each_credit`. Costs and sales are the same with either, so less tax is the better.
    """
    investment, production = tax_with_each_credit(streams, terms, price, discount)
    return investment <= production


def with_credit(terms: TaxTerms, investment: Bools) -> TaxTerms:
    """The terms with the investment credit in some scenarios and the production credit in the others."""
    assert terms.credit is not None
    return replace(terms, credit=terms.credit.of_one_kind(investment))

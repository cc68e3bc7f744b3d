"""The yearly statement: what the streams, a price, a loan and tax rules come to, nominal, `(year, scenario)`.

Costs are positive in their lines, cash flows positive to the owner. The price is applied last, because the required
price runs the statement again for other prices while all else stays.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from geoecon.arrays import Bools, Floats, over_years, running_total
from geoecon.finance.debt import Loan, LoanTerms, borrow_within, sized_by_cash
from geoecon.finance.measures import cover_ratios
from geoecon.finance.prices import PricePath
from geoecon.finance.streams import Streams
from geoecon.finance.tax import (
    Deductions,
    Taxable,
    TaxBase,
    TaxTerms,
    deductions,
    income_tax,
    with_debt,
    withheld,
    without_debt,
)

NO_MONEY = 1e-9  # of capital, which is nothing: a loan that fills what a grant leaves is found to that


@dataclass(frozen=True)
class Terms:
    """How a project is paid for and taxed.

    sustaining_reserve : whether sustaining capital is saved up before, over `lookahead` years; otherwise paid in cash
    spent_in_middle : whether build years spend in the middle of the year
    fund_years : over which the cost of closing is saved up before, whoever lends; 0 for not at all  [yr]
    """

    loan: LoanTerms
    tax: TaxTerms
    sustaining_reserve: bool
    lookahead: int
    spent_in_middle: bool
    fund_years: int = 0


@dataclass(frozen=True)
class Ground:
    """What neither a loan nor a price moves, worked out once: the required price sizes a loan again and again."""

    streams: Streams
    terms: Terms

    @cached_property
    def deductions(self) -> Deductions:
        """What is deducted and credited, and what a loan adds to it."""
        return deductions(self.streams, self.terms.tax)

    @cached_property
    def saved_for_purchases(self) -> Floats:
        """The reserve for sustaining capital that lenders ask for, (year, scenario)  [money]."""
        return self.saved_for(self.streams.sustained)

    def saved_for(self, purchases: Floats) -> Floats:
        """The part of that reserve that is for some of the purchases, (year, scenario)  [money]."""
        if not self.terms.sustaining_reserve:
            return np.zeros_like(purchases)
        return saved_before(purchases, self.streams.first, self.terms.lookahead)

    @cached_property
    def closing_fund(self) -> Floats:
        """What is saved up for closing, (year, scenario)  [money]."""
        closing, years = self.streams.decommissioning, self.terms.fund_years
        return saved_before(closing, self.streams.first, years) if years else np.zeros_like(closing)

    @cached_property
    def saving(self) -> Floats:
        """Rise of that reserve, (year, scenario)  [money]; nothing is saved before operation."""
        return rise(self.saved_for_purchases)

    @cached_property
    def bought_later(self) -> Floats:
        """Sustaining capital of operating years, (year, scenario)  [money]."""
        return np.where(self.running, self.streams.sustained, 0.0)

    @cached_property
    def running(self) -> Bools:
        """Operating years, (year, 1)."""
        return np.arange(len(self.streams.energy)).reshape(-1, 1) >= self.streams.first

    @cached_property
    def kept_energy(self) -> Floats:
        """Energy whose price the owner keeps, after royalty and other shares of revenue, (year, scenario)  [MWh]."""
        return self.streams.energy * (1 - self.streams.revenue_share)

    @cached_property
    def unpriced(self) -> Floats:
        """Other revenue less operating cost, (year, scenario)  [money]."""
        return self.streams.unpriced_revenue - self.streams.fixed_operating


@dataclass(frozen=True)
class Financing:
    """Everything about money that does not depend on the price, but for a loan that follows the cash it is served from.

    residual : (scenario,) what the search for such a loan left open, as a share of it; zero for any other  [1]
    """

    ground: Ground
    loan: Loan
    tax_base: TaxBase
    residual: Floats

    @property
    def streams(self) -> Streams:
        """Money and energy of the project."""
        return self.ground.streams

    @property
    def terms(self) -> Terms:
        """How it is paid for and taxed."""
        return self.ground.terms

    def at(self, price: Floats) -> "Financing":
        """The financing of the same project at another price, (year, scenario)  [money/MWh]."""
        return _at_price(self.ground, price, self.loan) if self.terms.loan.follows_cash else self

    @property
    def bends(self) -> bool:
        """Whether what the owner gets, tax apart, is no straight line over the price."""
        return self.terms.loan.follows_cash or bool(np.any(self.terms.loan.lockup))

    @property
    def sustaining_saved(self) -> Floats:
        """Rise of the reserve for sustaining capital, (year, scenario)  [money]."""
        return self.ground.saving * self.saves

    @property
    def saves(self) -> Bools:
        """Where there is a loan, whose lender asks for a reserve; an owner without one pays from the year's cash."""
        return self.loan.amount > 0

    @property
    def sustaining_reserve(self) -> Floats:
        """The reserve for sustaining capital, (year, scenario)  [money]."""
        return self.ground.saved_for_purchases * self.saves

    @cached_property
    def sustaining_reserves(self) -> dict[str, Floats]:
        """The same by the account that is saved for, each (year, scenario)  [money]."""
        accounts = self.streams.sustaining.items()
        return {name: self.ground.saved_for(flows) * self.saves for name, flows in accounts}

    @cached_property
    def saved(self) -> Floats:
        """Rise of all reserves, (year, scenario)  [money]."""
        return rise(self.reserve)

    @cached_property
    def reserve(self) -> Floats:
        """All reserves at the end of each year, (year, scenario)  [money]."""
        return self.loan.reserve + self.sustaining_reserve + self.ground.closing_fund

    @cached_property
    def equity_money(self) -> Floats:
        """What the owner puts in each build year, (year, scenario)  [money]."""
        building, loan = slice(self.streams.first), self.loan
        put_in = np.zeros_like(self.streams.energy)
        put_in[building] = self.streams.initial[building] + loan.fees[building] + loan.interest[building]
        put_in[building] += self.saved[building] - loan.drawn[building] - self.streams.grant[building]
        return put_in

    @cached_property
    def equity(self) -> Floats:
        """What the owner puts in before year 1, (scenario,)  [money]; what rounding leaves of nothing is nothing."""
        put_in, capital = over_years(self.equity_money), over_years(self.streams.initial)
        return np.where(np.abs(put_in) > NO_MONEY * capital, put_in, 0.0)

    @property
    def running(self) -> Bools:
        """Operating years, (year, 1)."""
        return self.ground.running

    @property
    def kept_energy(self) -> Floats:
        """Energy whose price the owner keeps, (year, scenario)  [MWh]."""
        return self.ground.kept_energy

    # What no price moves, worked out once, because the required price runs the statement again and again.

    @cached_property
    def taxable_project(self) -> Taxable:
        """What is taxable without debt, before the sale of energy."""
        return without_debt(self.streams, self.tax_base)

    @cached_property
    def unpriced_project(self) -> Floats:
        """Cash flow of the project before the sale of energy and tax, (year, scenario)  [money]."""
        return self.ground.unpriced + self.streams.grant - self.streams.spent - self.streams.decommissioning

    @cached_property
    def taxable_equity(self) -> Taxable:
        """What is taxable with interest and fees of operating years deducted, before the sale of energy."""
        interest = np.where(self.running, self.loan.interest + self.loan.fees, 0.0)
        return with_debt(self.streams, self.tax_base, interest)

    @cached_property
    def unpriced_equity(self) -> Floats:
        """Cash flow to the owner before the sale of energy and tax, (year, scenario)  [money]."""
        loan = self.loan
        return self.unpriced_project + loan.drawn - loan.fees - loan.interest - loan.principal - self.saved

    @cached_property
    def sustaining_from_cash(self) -> Floats:
        """Sustaining capital as the cash of operating years bears it, paid or saved for, (year, scenario)  [money]."""
        return self.ground.bought_later + self.sustaining_saved

    @cached_property
    def unpriced_cfads(self) -> Floats:
        """Cash for debt service before the sale of energy and tax, (year, scenario)  [money]."""
        return self.ground.unpriced - self.sustaining_from_cash


@dataclass(frozen=True)
class Statement:
    """One price applied, (year, scenario), nominal  [money].

    locked : cash of the project at the end of the year that the lender lets nobody have yet
    """

    price: Floats
    revenue: Floats
    royalty: Floats
    operating_cost: Floats
    tax_unlevered: Floats
    tax: Floats
    cfads: Floats
    cash_flow_project: Floats
    withheld: Floats
    cash_flow_equity: Floats
    locked: Floats


def saved_before(purchases: Floats, first: int, lookahead: int) -> Floats:
    """Balance at the end of each year of a reserve that saves equal parts for each purchase over the years before it.

    purchases : (year, scenario)  [money];  first : row of operating year 1;  lookahead : years of saving for one purchase
    returns : (year, scenario)  [money]; a purchase of operating year 1 is paid from that year's cash. No interest.

    >>> saved_before(np.array([[0.0], [0.0], [0.0], [0.0], [90.0]]), 1, 3).ravel()
    array([ 0., 30., 60., 90.,  0.])
    """
    moved = np.zeros_like(purchases)
    if not purchases.any():
        return moved
    for row in range(first + 1, len(purchases)):
        years = min(lookahead, row - first)
        moved[row - years : row] += purchases[row] / years
        moved[row] -= purchases[row]
    balance = running_total(moved)
    # Savings of several purchases overlap; what is left of rounding after the last one is no money.
    return np.where(np.abs(balance) < 1e-9 * np.abs(purchases).max(axis=0), 0.0, balance)


def rise(balance: Floats) -> Floats:
    """Yearly rise of a balance that starts at zero, (year, scenario)."""
    risen = balance.copy()
    risen[1:] -= balance[:-1]
    return risen


def arrange(streams: Streams, terms: Terms, price: Floats | None = None) -> Financing:
    """The loan, reserves, depreciation and credit of a project.

    price : (year, scenario)  at which a loan that follows cash is sized; other loans do not look at it  [money/MWh]
    """
    ground = Ground(streams, terms)
    if price is not None and terms.loan.follows_cash:
        return _at_price(ground, price)
    loan = borrow_within(streams.initial, streams.grant, terms.loan, streams.first, middle=terms.spent_in_middle)
    return _financed(ground, loan, np.zeros_like(terms.loan.rate))


def _at_price(ground: Ground, price: Floats, near: Loan | None = None) -> Financing:
    """The financing with the loan that follows the cash at a price, (year, scenario)  [money/MWh].

    near : the loan at another price
    """
    streams, terms = ground.streams, ground.terms
    # Less energy at the same price, as the lender counts on, earns as little as a lower price.
    kept = price * terms.loan.downside * ground.kept_energy

    def cash(loan: Loan) -> Floats:
        return cash_for_debt(_financed(ground, loan, terms.loan.share), kept)

    sized = sized_by_cash(
        streams.initial, streams.grant, terms.loan, streams.first, cash, middle=terms.spent_in_middle, near=near
    )
    return _financed(ground, *sized)


def _financed(ground: Ground, loan: Loan, residual: Floats) -> Financing:
    building = slice(ground.streams.first)
    financing_cost = over_years(loan.interest[building] + loan.fees[building])
    return Financing(ground, loan, ground.deductions.with_financing(financing_cost), residual)


def operating_profit(streams: Streams, price: Floats) -> tuple[Floats, Floats, Floats]:
    """Revenue, royalty (and what else is a share of energy revenue) and operating cost with it, (year, scenario)."""
    sales = price * streams.energy
    royalty = sales * streams.revenue_share
    return sales + streams.unpriced_revenue, royalty, streams.fixed_operating + royalty


def project_cash_flow(financing: Financing, price: Floats) -> tuple[Floats, Floats]:
    """Cash flow after tax of the project without debt, and that tax, (year, scenario)."""
    kept = price * financing.kept_energy
    tax = income_tax(kept, financing.taxable_project, financing.terms.tax)
    return kept + financing.unpriced_project - tax, tax


def cash_for_debt(financing: Financing, kept: Floats) -> Floats:
    """Cash available for debt service after tax, of sales less royalty, (year, scenario)  [money]."""
    tax = income_tax(kept, financing.taxable_equity, financing.terms.tax)
    return kept - tax + financing.unpriced_cfads


def equity_cash_flow(financing: Financing, price: Floats) -> tuple[Floats, Floats, Floats]:
    """What is left for the owner, tax with interest deducted, and cash available for debt service, (year, scenario)."""
    kept = price * financing.kept_energy
    tax = income_tax(kept, financing.taxable_equity, financing.terms.tax)
    left = kept - tax
    return left + financing.unpriced_equity, tax, left + financing.unpriced_cfads


@dataclass(frozen=True)
class ToOwner:
    """What reaches the owner at a price, (year, scenario), nominal  [money].

    flow : after what is withheld;  locked : kept for the lender at the end of the year
    """

    flow: Floats
    withheld: Floats
    locked: Floats
    tax: Floats
    cfads: Floats


def to_owner(financing: Financing, price: Floats) -> ToOwner:
    """What the owner gets and puts in: what is left, as lenders let it be paid out, less what is withheld of it."""
    left, tax, cfads = equity_cash_flow(financing, price)
    paid, locked = paid_out(financing, left, cfads)
    kept_back = withheld(paid, financing.taxable_equity, financing.terms.tax)
    return ToOwner(paid - kept_back, kept_back, locked, tax, cfads)


def paid_out(financing: Financing, flow: Floats, cfads: Floats) -> tuple[Floats, Floats]:
    """What is paid out to the owner and put in, and the cash locked up at the end of each year, (year, scenario).

    flow : (year, scenario)  what is left for the owner each year  [money];  cfads : cash for debt service

    In a year whose cover is below the lender's bar nothing is paid out. The cash waits, serves a later year that lacks
    it, and is paid out once cover is back above the bar, or the loan repaid.
    """
    bar = financing.terms.loan.lockup
    if not np.any(bar):
        return flow, np.zeros_like(flow)
    cover = cover_ratios(cfads, financing.loan.service)
    paid, locked = flow.copy(), np.zeros_like(flow)
    first = financing.streams.first
    for row in range(first, len(flow)):
        held = flow[row] + (locked[row - 1] if row > first else 0.0)
        locked[row] = np.where((cover[row] < bar) & (bar > 0), np.maximum(held, 0.0), 0.0)
        paid[row] = held - locked[row]
    paid[-1] += locked[-1]  # nothing is left to wait for
    locked[-1] = 0.0
    return paid, locked


def state(financing: Financing, path: PricePath) -> Statement:
    """The statement at the price that the case states."""
    price = path.nominal
    revenue, royalty, operating = operating_profit(financing.streams, price)
    project, tax_unlevered = project_cash_flow(financing, price)
    owner = to_owner(financing, price)
    return Statement(
        price, revenue, royalty, operating, tax_unlevered, owner.tax, owner.cfads, project, owner.withheld, owner.flow,
        owner.locked,
    )  # fmt: skip

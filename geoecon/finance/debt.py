"""The loan: sized as a share of all uses or by cover, drawn while building, repaid from operating year 1."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy_financial as npf

from geoecon.arrays import Bools, Floats, column, over_years, powers, running_total

MONTHS_PER_YEAR = 12
SCULPTED = "sculpted"
MOST_PASSES, CLOSE = 40, 1e-10  # the check allows 1e-9; each pass takes most of what is left
FIRST_TRY = 0.01  # of the most that may be lent, where that much cannot be lent at all
NO_ROOM = 1e-9  # of all uses


@dataclass(frozen=True)
class Refinancing:
    """A second loan that repays what the first still owes at its end, at level payments.

    rate : (scenario,)  [1/yr];  fee : (scenario,) of what is refinanced, paid when it is drawn  [1];  years : of repayment
    """

    rate: Floats
    fee: Floats
    years: int


@dataclass(frozen=True)
class LoanTerms:
    """What the lender asks.

    share : (scenario,) of total uses; the most, where cover sizes the loan  [1]
    rate : (scenario,) from operating year 1  [1/yr];  building_rate : while building, absent: `rate`
    fee : (scenario,) of the loan, at first draw  [1];  commitment_fee : (scenario,) of what is not drawn yet  [1/yr]
    years : of repayment, of which `grace` bear interest only  [yr];  shape : key of `SHAPES`, or sculpted
    reserve_months : of the next year's debt service  [month]
    balloon : (scenario,) of the loan, still owed when the years are over  [1];  then paid, or refinanced
    by_cover : whether cover at `target` limits the loan besides the share
    target : (scenario,)  [1]
    downside : (scenario,), or (year, scenario) or (year, 1), of the expected energy that the lender counts on  [1]
    lockup : (scenario,) cover below which nothing is paid out to the owner; 0 never  [1]
    """

    share: Floats
    rate: Floats
    fee: Floats
    years: int
    shape: str
    reserve_months: int
    building_rate: Floats | None = None
    commitment_fee: Floats | float = 0.0
    grace: int = 0
    balloon: Floats | float = 0.0
    refinancing: Refinancing | None = None
    by_cover: bool = False
    target: Floats | float = 1.0
    downside: Floats | float = 1.0
    lockup: Floats | float = 0.0

    @property
    def follows_cash(self) -> bool:
        """Whether size or shape of the loan follow from the cash that is there to serve it, and so from the price."""
        return bool(self.by_cover or self.shape == SCULPTED) and bool((self.share > 0).any())


@dataclass(frozen=True)
class Loan:
    """The loan over time, (year, scenario), nominal  [money]; `balance` at the end of the year.

    first : row of operating year 1; interest of earlier rows is paid while building, out of draws and equity
    refinanced : what a second loan repays of the first, in `drawn` and in `principal` of that year
    share : (scenario,) of total uses  [1];  repaid : (year of the loan, scenario) of the loan, each year  [1]
    reserve_months : of the next year's debt service  [month]
    """

    first: int
    drawn: Floats
    fees: Floats
    interest: Floats
    principal: Floats
    balance: Floats
    refinanced: Floats
    share: Floats
    repaid: Floats
    reserve_months: int

    @property
    def amount(self) -> Floats:
        """The loan at the end of year 0, (scenario,)  [money]."""
        return over_years(self.drawn[: self.first])

    @cached_property
    def reserve(self) -> Floats:
        """Money kept for debt service at the end of each year: so many months of the next year's, (year, scenario)."""
        held = np.zeros_like(self.interest)
        due = self.interest + self.principal - self.refinanced
        held[self.first - 1 : -1] = due[self.first :] * (self.reserve_months / MONTHS_PER_YEAR)
        return held

    @property
    def service(self) -> Floats:
        """Interest and principal from operating year 1 that cash has to pay, (year, scenario)  [money]."""
        paid = self.interest + self.principal - self.refinanced
        paid[: self.first] = 0.0
        return paid


def level_payments(rate: Floats, years: int) -> Floats:
    """Principal of each year per unit of loan when the payment is level, (year, scenario).

    >>> level_payments(np.array([0.10]), 5).ravel().round(4)
    array([0.1638, 0.1802, 0.1982, 0.218 , 0.2398])
    """
    payment = -npf.pmt(rate, years, 1.0)
    to_the_end = column(np.arange(years, 0, -1))
    # What a payment repays is its value so many years before the end; carrying the balance along would lose digits.
    return np.asarray(payment * powers(1 + rate, -to_the_end))


def equal_principal(rate: Floats, years: int) -> Floats:
    """The same principal each year per unit of loan, (year, scenario)."""
    return np.full((years, rate.size), 1 / years)


SHAPES: dict[str, Callable[[Floats, int], Floats]] = {"level": level_payments, "equal-principal": equal_principal}


def sculpted(cash: Floats, rate: Floats, balloon: Floats | float = 0.0) -> Floats:
    """Principal of each year per unit of loan when debt service is the same share of cash in every year, (year, scenario).

    cash : (year, scenario)  for debt service, in the years of repayment  [money]
    rate : (scenario,)  [1/yr];  balloon : (scenario,) of the loan, still owed after them, and repaid in the last  [1]

    Cover is then the same in every year, and so are the covers over the life of the loan. A year with too little cash
    for its interest adds to the loan. Years without cash pay nothing; without any cash the loan is repaid level.

    >>> sculpted(np.array([[120.0], [118], [116], [114], [112]]), np.array([0.06])).ravel().round(5)
    array([0.18509, 0.19211, 0.19955, 0.20744, 0.2158 ])
    """
    served = np.maximum(cash, 0.0)
    value, left = np.zeros_like(rate), np.ones_like(rate)
    for row in served[::-1]:
        value = (value + row) / (1 + rate)
    repaid = 1 - balloon * (1 + rate) ** -float(len(cash))
    with np.errstate(invalid="ignore", divide="ignore"):
        share = np.where(value > 0, repaid / value, 0.0)
    principal = np.zeros_like(served)
    for row, paid in enumerate(served):
        principal[row] = share * paid - rate * left
        left = left - principal[row]
    principal[-1] += left
    return np.where(value > 0, principal, _with_balloon(level_payments(rate, len(cash)), balloon))


def _with_balloon(repaid: Floats, balloon: Floats | float) -> Floats:
    """A repayment that leaves a part of the loan to its last year, where it is added, (year, scenario)."""
    repaid = repaid * (1 - balloon)
    repaid[-1] += balloon
    return repaid


def repayment(terms: LoanTerms, cash: Floats | None = None) -> Floats:
    """Principal of each year per unit of loan, (year, scenario): none in years of grace, then the shape, a balloon last.

    cash : (year, scenario)  for debt service in the years of the loan, which a sculpted loan follows  [money]; without
        it, as in a first pass, a sculpted loan is repaid level
    """
    years = terms.years - terms.grace
    if terms.shape == SCULPTED and cash is not None:
        repaid = sculpted(cash[terms.grace :], terms.rate, terms.balloon)
    else:
        repaid = SHAPES.get(terms.shape, level_payments)(terms.rate, years)
        if np.any(terms.balloon):
            repaid = _with_balloon(repaid, terms.balloon)
    return np.vstack([np.zeros((terms.grace, repaid.shape[1])), repaid]) if terms.grace else repaid


def borrow(
    spending: Floats, terms: LoanTerms, first: int, *, middle: bool = False, share: Floats | None = None,
    repaid: Floats | None = None,
) -> Loan:  # fmt: skip
    """The loan for a spending plan: its draws with interest and fees while building, and its repayment.

    spending : (year, scenario)  initial capital, nominal  [money]
    first : row of operating year 1
    middle : money is spent, and drawn, in the middle of a build year and bears interest for half of it; otherwise at
        its end, and then the last build year bears no interest of its own draw. Interest falls due at year ends
    share : (scenario,) of total uses; absent: as the terms say  [1]
    repaid : (year of the loan, scenario)  principal per unit of loan; absent: as the terms say  [1]

    Draws are the share of each year's uses: capital, interest, fees, the first reserve in year 0. Uses depend on the
    loan and the loan on uses, all in proportion, so the size is in closed form. Where every unit of the loan adds more to
    uses than it could pay of them there is none: all of it is NaN.

    >>> spending = np.array([[40.0], [60.0], [0.0], [0.0]])
    >>> terms = LoanTerms(np.array([0.5]), np.array([0.1]), np.array([0.0]), 2, "level", 0)
    >>> loan = borrow(spending, terms, 2)
    >>> loan.amount, loan.interest.ravel().round(6)
    (array([51.]), array([0.      , 2.      , 5.1     , 2.671429]))
    """
    years, scenarios = spending.shape
    share = terms.share if share is None else share
    repaid = repayment(terms) if repaid is None else repaid
    refinanced_at_once = terms.balloon if terms.years == 1 and terms.refinancing is not None else 0.0
    reserve_share = terms.reserve_months / MONTHS_PER_YEAR * (terms.rate + repaid[0] - refinanced_at_once)
    drawn, fees, interest = _draws(spending, terms, share, reserve_share, first, middle)
    amount = over_years(drawn[:first])
    principal, balance, refinanced = (np.zeros((years, scenarios)) for _ in range(3))
    balance[:first] = running_total(drawn[:first])
    for age in range(terms.years):
        owed = balance[first + age - 1]
        interest[first + age] = terms.rate * owed
        principal[first + age] = amount * repaid[age] if age < terms.years - 1 else owed
        balance[first + age] = owed - principal[first + age]
    if terms.refinancing is not None and np.any(terms.balloon):
        _refinance(terms.refinancing, terms.balloon * amount, first + terms.years - 1,
                   drawn, fees, interest, principal, balance, refinanced)  # fmt: skip
    return Loan(first, drawn, fees, interest, principal, balance, refinanced, share, repaid, terms.reserve_months)


def _refinance(
    again: Refinancing, owed: Floats, row: int, drawn: Floats, fees: Floats, interest: Floats, principal: Floats,
    balance: Floats, refinanced: Floats,
) -> None:  # fmt: skip
    """Draws a second loan in the last year of the first, to repay what that still owes, and repays it after."""
    refinanced[row] = drawn[row] = balance[row] = owed
    fees[row] += again.fee * owed
    repaid = level_payments(again.rate, again.years)
    for age in range(again.years):
        at = row + 1 + age
        interest[at] = again.rate * balance[at - 1]
        principal[at] = owed * repaid[age] if age < again.years - 1 else balance[at - 1]
        balance[at] = balance[at - 1] - principal[at]


def room_for_debt(spending: Floats, grant: Floats, loan: Loan) -> Floats:
    """Share of total uses that a grant leaves, (scenario,), with the interest, fees and reserve of a loan near it  [1].

    What rounding leaves of nothing is nothing.
    """
    building = slice(loan.first)
    uses = over_years((spending + loan.fees + loan.interest)[building]) + loan.reserve[loan.first - 1]
    with np.errstate(invalid="ignore", divide="ignore"):
        room = np.where(uses > 0, 1 - over_years(grant[building]) / uses, 1.0)
    return np.where(room > NO_ROOM, room, 0.0)


def borrow_within(spending: Floats, grant: Floats, terms: LoanTerms, first: int, *, middle: bool = False) -> Loan:
    """The loan as `borrow` has it, and less where it and the grant would be more than all uses of money.

    grant : (year, scenario)  [money], not above spending

    A smaller loan has less interest, and uses are less with it; what a pass leaves open shrinks to a few per cent. A
    scenario that has settled is frozen.
    """
    loan, share = borrow(spending, terms, first, middle=middle), terms.share
    open_ = room_for_debt(spending, grant, loan) < share
    for _ in range(MOST_PASSES):
        if not open_.any():
            break
        room = np.where(open_, room_for_debt(spending, grant, loan), share)
        open_ = np.abs(room - share) > CLOSE
        share = room
        loan = borrow(spending, terms, first, middle=middle, share=share)
    return loan


def sized_by_cash(
    spending: Floats, grant: Floats, terms: LoanTerms, first: int, cash: Callable[[Loan], Floats], *,
    middle: bool = False, near: Loan | None = None,
) -> tuple[Loan, Floats]:  # fmt: skip
    """A loan whose size or shape follows from the cash that is there to serve it, and the residual of the search.

    grant : (year, scenario)  of which the loan keeps clear: both together are no more than all uses  [money]
    cash : loan -> (year, scenario)  cash for debt service as the lender counts on it, tax paid with that loan's interest
    near : such a loan at another price, from which the search starts; without it, from a loan that follows no cash
    returns : the loan; (scenario,) largest change of its share of uses and of its repayment in the last pass  [1]

    Debt, interest and tax chase each other: more debt, more interest, less tax, more cash, more debt. Each pass takes
    the loan of the pass before; the change shrinks by the tax rate and more each time. A scenario that has settled is
    frozen, so that its bits do not depend on the others. Sculpting divides cash by the target cover; with a loan
    limited by its share of uses, cover is above the target and still the same in every year.
    """

    def lend(share: Floats, repaid: Floats) -> Loan:
        loan = borrow(spending, terms, first, middle=middle, share=share, repaid=repaid)
        if not terms.by_cover or not (too_much := np.isnan(loan.amount)).any():
            return loan
        tried = np.where(too_much, FIRST_TRY * share, share)
        return borrow(spending, terms, first, middle=middle, share=tried, repaid=repaid)

    residual, open_ = np.full(terms.share.shape, np.inf), terms.share > 0
    loan = lend(terms.share, repayment(terms)) if near is None else near
    if (nothing := open_ & ~(loan.amount > 0)).any():  # from a loan that came to nothing no other is found
        loan = lend(np.where(nothing, terms.share, loan.share), loan.repaid)
    for _ in range(MOST_PASSES):
        found = cash(loan)[first : first + terms.years]
        shape = np.where(open_, repayment(terms, found), loan.repaid)
        size = np.minimum(terms.share, room_for_debt(spending, grant, loan))
        if terms.by_cover:
            most = share_of_uses(loan_by_cover(found, shape, terms), loan, over_years(spending[:first]))
            size = np.minimum(size, most)
        size = np.where(open_, size, loan.share)
        change = np.maximum(np.abs(size - loan.share), np.abs(shape - loan.repaid).max(axis=0))
        residual = np.where(open_, change, residual)
        loan = lend(size, shape)
        open_ = open_ & (residual > CLOSE) & ~np.isnan(loan.amount)
        if not open_.any():
            break
    return loan, np.where(terms.share > 0, residual + 0 * loan.amount, 0.0)


def share_of_uses(amount: Floats, known: Loan, capital: Floats) -> Floats:
    """Share of total uses that a loan of an amount is, by the uses of another loan for the same capital, (scenario,)  [1].

    amount, capital : (scenario,)  [money]

    Uses are capital and, nearly in proportion to the loan, its interest, fees and first reserve. So one over the share,
    which is uses over loan, is capital over loan and a constant.
    """
    with np.errstate(invalid="ignore", divide="ignore"):
        of_loan = 1 / known.share - capital / known.amount
        return np.where(known.amount > 0, 1 / np.maximum(capital / amount + of_loan, 0.0), 0.0)


def loan_by_cover(cash: Floats, repaid: Floats, terms: LoanTerms) -> Floats:
    """The largest loan that cash covers at the target in every year, (scenario,)  [money].

    cash : (year of the loan, scenario)  [money];  repaid : the same shape  principal per unit of loan  [1]

    A balloon is not among what cash has to cover: it is refinanced, or it is what the lender waits for.
    """
    left, most = np.ones_like(terms.rate), np.full_like(terms.rate, np.inf)
    for row, (money, principal) in enumerate(zip(cash, repaid, strict=True)):
        scheduled = principal - terms.balloon if row == len(cash) - 1 else principal
        asked = terms.target * (terms.rate * left + scheduled)
        with np.errstate(invalid="ignore", divide="ignore"):
            most = np.minimum(most, np.where(asked > 0, np.maximum(money, 0.0) / asked, np.inf))
        left = left - principal
    return most


def _draws(
    spending: Floats, terms: LoanTerms, share: Floats, reserve_share: Floats, first: int, middle: bool
) -> tuple[Floats, Floats, Floats]:
    """Draws, fees and interest while building. A first pass per unit of loan finds the size, a second the flows."""
    building = spending[:first]
    begins, begun = np.zeros(building.shape, dtype=bool), np.zeros(building.shape, dtype=bool)
    spends = np.zeros(spending.shape[1], dtype=bool)
    for row in range(first):  # each scenario's first year of spending, in which the fee falls due
        begins[row] = (building[row] > 0) & ~spends
        spends = spends | begins[row]
        begun[row] = spends
    passed = _Building(terms, share, reserve_share, begins, begun, middle)
    none = np.zeros_like(share)
    of_capital = passed.draws(building, none)[0]
    of_loan = passed.draws(np.zeros_like(building), none + 1)[0]
    with np.errstate(invalid="ignore", divide="ignore"):
        left = 1 - over_years(of_loan)
        amount = over_years(of_capital) / np.where(left > 0, left, np.nan)
    amount = np.where(share > 0, amount, 0.0)
    drawn, fees, interest = (np.zeros_like(spending) for _ in range(3))
    drawn[:first], interest[:first], fees[:first] = passed.draws(building, amount)
    return drawn, fees, interest


@dataclass(frozen=True)
class _Building:
    """The build years of a loan: `draws` are in proportion to spending and to the size of the loan taken together."""

    terms: LoanTerms
    share: Floats
    reserve_share: Floats
    begins: Bools
    begun: Bools
    middle: bool

    def draws(self, spending: Floats, amount: Floats) -> tuple[Floats, Floats, Floats]:
        """Draws, interest and fees, (build year, scenario), for a loan of a given final size."""
        terms = self.terms
        rate = terms.rate if terms.building_rate is None else terms.building_rate
        drawn, interest, fees = (np.zeros_like(spending) for _ in range(3))
        balance = np.zeros(spending.shape[1])
        own = (1 + rate) ** 0.5 - 1 if self.middle else np.zeros_like(rate)
        for row in range(len(spending)):
            fees[row] = self.begins[row] * terms.fee * amount
            if np.any(terms.commitment_fee):
                fees[row] += self.begun[row] * terms.commitment_fee * (amount - balance)
            paid_out = spending[row] + fees[row]
            held_back = self.reserve_share * amount if row == len(spending) - 1 else 0.0
            interest[row] = rate * balance + own * self.share * paid_out
            drawn[row] = self.share * (paid_out + interest[row] + held_back)
            balance = balance + drawn[row]
        return drawn, interest, fees

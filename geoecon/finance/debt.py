"""One loan: sized as a share of all uses, drawn while building, repaid from operating year 1."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import numpy_financial as npf

from geoecon.arrays import Bools, Floats, column, over_years, powers, running_total

MONTHS_PER_YEAR = 12


@dataclass(frozen=True)
class LoanTerms:
    """What the lender asks.

    share : (scenario,) of total uses  [1];  rate : (scenario,)  [1/yr];  fee : (scenario,) of the loan, at first draw  [1]
    years : of repayment  [yr];  reserve_months : of the next year's debt service  [month];  shape : key of `SHAPES`
    """

    share: Floats
    rate: Floats
    fee: Floats
    years: int
    shape: str
    reserve_months: int


@dataclass(frozen=True)
class Loan:
    """The loan over time, (year, scenario), nominal  [money]; `balance` and `reserve` at the end of the year.

    first : row of operating year 1; interest of earlier rows is paid while building, out of draws and equity
    """

    first: int
    drawn: Floats
    fees: Floats
    interest: Floats
    principal: Floats
    balance: Floats
    reserve: Floats

    @property
    def amount(self) -> Floats:
        """The loan at the end of year 0, (scenario,)  [money]."""
        return over_years(self.drawn)

    @property
    def service(self) -> Floats:
        """Interest and principal from operating year 1, (year, scenario)  [money]."""
        paid = self.interest + self.principal
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


def borrow(spending: Floats, terms: LoanTerms, first: int, *, middle: bool = False) -> Loan:
    """The loan for a spending plan: its draws with interest and fees while building, and its repayment.

    spending : (year, scenario)  initial capital, nominal  [money]
    first : row of operating year 1
    middle : money is spent, and drawn, in the middle of a build year and bears interest for half of it; otherwise at
        its end, and then the last build year bears no interest of its own draw. Interest falls due at year ends

    Draws are the share of each year's uses: capital, interest, the fee in the first year of spending, the first
    reserve in year 0. Uses depend on the loan and the loan on uses, all in proportion, so the size is in closed form.

    >>> spending = np.array([[40.0], [60.0], [0.0], [0.0]])
    >>> terms = LoanTerms(np.array([0.5]), np.array([0.1]), np.array([0.0]), 2, "level", 0)
    >>> loan = borrow(spending, terms, 2)
    >>> loan.amount, loan.interest.ravel().round(6)
    (array([51.]), array([0.      , 2.      , 5.1     , 2.671429]))
    """
    years, scenarios = spending.shape
    repaid = SHAPES[terms.shape](terms.rate, terms.years)
    reserve_share = terms.reserve_months / MONTHS_PER_YEAR * (terms.rate + repaid[0])
    drawn, fees, interest = _draws(spending, terms, reserve_share, first, middle)
    amount = over_years(drawn)
    principal, balance = np.zeros((years, scenarios)), np.zeros((years, scenarios))
    balance[:first] = running_total(drawn[:first])
    for age in range(terms.years):
        owed = balance[first + age - 1]
        interest[first + age] = terms.rate * owed
        principal[first + age] = amount * repaid[age] if age < terms.years - 1 else owed
        balance[first + age] = owed - principal[first + age]
    held = _reserve(interest + principal, terms.reserve_months, first)
    return Loan(first, drawn, fees, interest, principal, balance, held)


def _draws(
    spending: Floats, terms: LoanTerms, reserve_share: Floats, first: int, middle: bool
) -> tuple[Floats, Floats, Floats]:
    """Draws, fees and interest while building. A first pass per unit of loan finds the size, a second the flows."""
    building = spending[:first]
    begins, begun = np.zeros(building.shape, dtype=bool), np.zeros(spending.shape[1], dtype=bool)
    for row in range(first):  # each scenario's first year of spending, in which the fee falls due
        begins[row] = (building[row] > 0) & ~begun
        begun |= begins[row]
    of_capital, _ = _pass(building, terms, middle, np.zeros_like(terms.rate), begins, reserve_share)
    of_loan, _ = _pass(np.zeros_like(building), terms, middle, np.ones_like(terms.rate), begins, reserve_share)
    with np.errstate(invalid="ignore", divide="ignore"):
        amount = over_years(of_capital) / (1 - over_years(of_loan))
    amount = np.where(terms.share > 0, amount, 0.0)
    drawn, fees, interest = (np.zeros_like(spending) for _ in range(3))
    drawn[:first], interest[:first] = _pass(building, terms, middle, amount, begins, reserve_share)
    fees[:first] = begins * terms.fee * amount
    return drawn, fees, interest


def _pass(
    spending: Floats, terms: LoanTerms, middle: bool, amount: Floats, begins: Bools, reserve_share: Floats
) -> tuple[Floats, Floats]:
    """Draws and interest of the build years, (build year, scenario), for a loan of a given final size."""
    drawn, interest = np.zeros_like(spending), np.zeros_like(spending)
    balance = np.zeros(spending.shape[1])
    own = (1 + terms.rate) ** 0.5 - 1 if middle else np.zeros_like(terms.rate)
    for row in range(len(spending)):
        paid_out = spending[row] + begins[row] * terms.fee * amount
        held_back = reserve_share * amount if row == len(spending) - 1 else 0.0
        interest[row] = terms.rate * balance + own * terms.share * paid_out
        drawn[row] = terms.share * (paid_out + interest[row] + held_back)
        balance = balance + drawn[row]
    return drawn, interest


def _reserve(service: Floats, months: int, first: int) -> Floats:
    """Money kept for debt service at the end of each year: so many months of the next year's."""
    held = np.zeros_like(service)
    held[first - 1 : -1] = service[first:] * (months / MONTHS_PER_YEAR)
    return held

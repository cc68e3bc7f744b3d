"""Debt sculpted to cash: the example of the project's own finance reference, recomputed there, not a published answer.

Cash 120, 118, 116, 114, 112 in the years of a loan, then 110, 108, 106; 6 %, cover 1.40. That a loan with the same cover in
every year has that cover over its life at every date is common practice, seen in texts on project finance.
"""

import numpy as np
import pytest

from geoecon.arrays import column
from geoecon.finance.debt import LoanTerms, borrow, loan_by_cover, repayment, sculpted, sized_by_cash
from geoecon.finance.measures import cash_to_spare, life_cover
from geoecon.finance.statement import Terms, arrange
from geoecon.finance.streams import Account, Streams
from geoecon.finance.tax import TaxTerms

CASH = column([120.0, 118, 116, 114, 112])
WHOLE = column([0.0, 120, 118, 116, 114, 112, 110, 108, 106])
RATE = np.array([0.06])


def terms(shape, share=1.0, **more):
    return LoanTerms(np.array([share]), RATE, np.array([0.0]), 5, shape, 0, **more)


def sized(shape, capital=1000.0, **more):
    spending = np.zeros_like(WHOLE)
    spending[0] = capital
    asked = terms(shape, by_cover=True, target=1.4, **more)
    return sized_by_cash(spending, 0 * spending, asked, 1, lambda loan: WHOLE), asked


def test_size_interest_and_principal():
    (loan, residual), _ = sized("sculpted")
    assert loan.amount == pytest.approx([349.72468], abs=5e-6)
    assert loan.interest[1:6, 0] == pytest.approx([20.9835, 17.0996, 13.0685, 8.8811, 4.5283], abs=5e-5)
    assert loan.principal[1:6, 0] == pytest.approx([64.7308, 67.1861, 69.7887, 72.5474, 75.4717], abs=5e-5)
    assert residual < 1e-9


def test_covers_over_the_lives():
    (loan, _), _ = sized("sculpted")
    years = np.arange(len(WHOLE)).reshape(-1, 1)
    assert life_cover(WHOLE, loan, RATE, loan.service > 0)[1:6, 0] == pytest.approx([1.4] * 5, abs=1e-9)
    project = life_cover(WHOLE, loan, RATE, years >= 1)[1:6, 0]
    assert project == pytest.approx([2.017279, 2.202930, 2.513642, 3.137030, 5.011161], abs=1e-6)


def test_a_curve_of_the_lender_sizes_the_same_loan():
    """200 a year are expected, of which the lender counts on 60 % in year 1 and a part less each year: the same cash."""
    curve = column([1.0, 0.60, 0.59, 0.58, 0.57, 0.56, 0.55, 0.54, 0.53])
    empty, energy = np.zeros((9, 1)), column([0.0] + [200.0] * 8)
    plant = Account("plant", "production", "", "", earns_credit=False)
    streams = Streams(
        1, column(np.arange(9)), {"plant": column([1000.0] + [0.0] * 8)}, {}, {}, {}, energy, {}, empty, empty,
        np.ones((9, 1)), {"plant": plant},
    )  # fmt: skip
    untaxed = TaxTerms(np.array([0.0]), {}, True, np.array([1.0]), None)
    asked = Terms(terms("sculpted", by_cover=True, target=1.4, downside=curve), untaxed, False, 1, False)
    financing = arrange(streams, asked, np.where(energy > 0, 1.0, 0.0))
    assert financing.loan.amount == pytest.approx([349.72468], abs=5e-6)
    assert (energy * curve)[1:6, 0] / financing.loan.service[1:6, 0] == pytest.approx([1.4] * 5, abs=1e-9)


def test_a_level_loan_limited_by_its_least_cover():
    (loan, _), _ = sized("level")
    assert loan.amount == pytest.approx([336.98910], abs=5e-6)


def test_level_payment_on_the_sculpted_debt():
    loan = borrow(column([349.72468, *[0.0] * 8]), terms("level"), 1)
    assert loan.service[1] == pytest.approx([83.0234], abs=5e-5)
    covers = WHOLE[1:6, 0] / loan.service[1:6, 0]
    assert covers == pytest.approx([1.4454, 1.4213, 1.3972, 1.3731, 1.3490], abs=5e-5)


def test_the_share_of_uses_is_the_most():
    (loan, _), _ = sized("sculpted", capital=300.0)
    assert loan.amount == pytest.approx([300.0])
    assert WHOLE[1:6, 0] / loan.service[1:6, 0] == pytest.approx([1.4 * 349.72468 / 300] * 5, rel=1e-7)


def test_no_cash_no_loan():
    spending = np.zeros_like(WHOLE)
    spending[0] = 100.0
    asked = terms("level", by_cover=True, target=1.4)
    loan, _ = sized_by_cash(spending, 0 * spending, asked, 1, lambda loan: -WHOLE)
    assert loan.amount == pytest.approx([0.0])


def test_years_of_grace_and_a_balloon():
    kinds = {"grace": 2, "balloon": np.array([0.3])}
    for shape in ("level", "equal-principal", "sculpted"):
        repaid = repayment(terms(shape, **kinds), CASH)
        assert repaid[:2].ravel().tolist() == [0.0, 0.0]
        assert repaid.sum() == pytest.approx(1.0)
        assert repaid[-1, 0] > 0.3


def test_worth_of_a_sculpted_loan_is_the_loan():
    for balloon in (0.0, 0.4):
        principal = sculpted(CASH, RATE, np.array([balloon]))
        left, worth = 1.0, 0.0
        for year, paid in enumerate(principal[:, 0], start=1):
            worth += (0.06 * left + paid) / 1.06**year
            left -= paid
        assert (left, worth) == (pytest.approx(0.0, abs=1e-12), pytest.approx(1.0))


def test_the_largest_loan_is_covered_as_asked():
    asked = terms("equal-principal", by_cover=True, target=np.array([1.25]))
    repaid = repayment(asked)
    amount = loan_by_cover(CASH, repaid, asked)
    loan = borrow(column([float(amount[0]), *[0.0] * 8]), asked, 1)
    assert (WHOLE[1:6] / loan.service[1:6]).min() == pytest.approx(1.25)


def test_fall_of_cash_that_is_covered():
    """Cash of 100 and debt service of 50: cover of 2, and half of the cash may be missing. Source: as the module says."""
    assert cash_to_spare(np.array([[2.0]])) == pytest.approx(np.array([[0.5]]))

"""Loans worked by hand: draws and interest while building, fee, reserve, repayment."""

import numpy as np
import numpy_financial as npf
import pytest

from geoecon.finance.debt import (
    LoanTerms,
    Refinancing,
    borrow,
    equal_principal,
    level_payments,
    sculpted,
    sized_by_cash,
)


def one(value):
    return np.array([value])


def loan(spending, share, rate, *, fee=0.0, years=2, shape="level", months=0, after=3, middle=False):
    """A loan of one scenario whose build years spend the list."""
    flows = np.array([*spending, *[0.0] * after]).reshape(-1, 1)
    terms = LoanTerms(one(share), one(rate), one(fee), years, shape, months)
    return borrow(flows, terms, len(spending), middle=middle)


def test_money_spent_at_year_ends_bears_no_interest_in_its_own_year():
    found = loan([40.0, 60.0], 0.5, 0.1)
    # Year 0 uses 60 and interest 2 on the first 20; half of 62 is drawn.
    assert found.drawn.ravel().tolist() == pytest.approx([20, 31, 0, 0, 0])
    assert found.amount == pytest.approx(51)
    payment = 51 * 0.1 * 1.21 / 0.21
    assert found.interest.ravel() == pytest.approx([0, 2, 5.1, 0.1 * (51 - (payment - 5.1)), 0])
    assert found.service.ravel() == pytest.approx([0, 0, payment, payment, 0])
    assert found.balance.ravel() == pytest.approx([20, 51, 51 - (payment - 5.1), 0, 0])


def test_money_spent_in_the_middle_bears_interest_for_half_a_year():
    found = loan([100.0], 0.5, 0.21, middle=True)
    # 50 is drawn in the middle and bears 10 % to the end of the year; half of those 5 is drawn as well.
    assert found.interest[0] == pytest.approx(5)
    assert found.amount == pytest.approx(52.5)


def test_one_build_year_at_its_end_has_no_interest():
    found = loan([100.0], 0.7, 0.08)
    assert found.amount == pytest.approx(70)
    assert found.interest[0] == 0


def test_fee_is_part_of_the_uses_and_paid_with_the_first_draw():
    found = loan([50.0, 50.0], 0.5, 0.0, fee=0.04)
    amount = 50 / (1 - 0.5 * 0.04)
    assert found.amount == pytest.approx(amount)
    assert found.fees.ravel() == pytest.approx([0.04 * amount, 0, 0, 0, 0])
    assert found.drawn[0] == pytest.approx(0.5 * (50 + 0.04 * amount))


def test_fee_waits_for_the_first_spending():
    found = loan([0.0, 100.0], 0.5, 0.1, fee=0.04)
    assert found.fees.ravel() == pytest.approx([0, 0.04 * 50 / 0.98, 0, 0, 0])


def test_reserve_is_filled_in_year_0_follows_service_and_comes_back():
    found = loan([100.0], 0.5, 0.1, years=10, shape="equal-principal", months=6, after=11)
    amount = 50 / (1 - 0.5 * 0.1)  # first service is 0.1 + 0.1 of the loan, half a year of it 0.1
    assert found.amount == pytest.approx(amount)
    assert found.reserve[:3].ravel() == pytest.approx([0.1 * amount, 0.095 * amount, 0.09 * amount])
    assert found.reserve[9:].ravel() == pytest.approx([0.055 * amount, 0, 0])


def test_equal_principal():
    found = loan([90.0], 1 / 3, 0.1, years=3, shape="equal-principal", after=4)
    assert found.principal.ravel() == pytest.approx([0, 10, 10, 10, 0])
    assert found.interest.ravel() == pytest.approx([0, 3, 2, 1, 0])
    assert found.balance.ravel() == pytest.approx([30, 20, 10, 0, 0])
    assert equal_principal(np.zeros(3), 5).shape == (5, 3)


def test_level_payments_are_those_of_a_spreadsheet():
    rates = np.array([0.01, 0.065, 0.12])
    shares = level_payments(rates, 7)
    for scenario, rate in enumerate(rates):
        assert shares[:, scenario] == pytest.approx(-npf.ppmt(rate, np.arange(1, 8), 7, 1.0))


def test_a_loan_without_interest_is_repaid_in_equal_parts():
    assert level_payments(np.array([0.0, 0.1]), 5)[:, 0] == pytest.approx([0.2] * 5)


def test_nothing_borrowed():
    found = loan([100.0], 0.0, 0.1, fee=0.02, months=6)
    assert found.amount == 0
    assert (found.service == 0).all()
    assert (found.reserve == 0).all()


def test_scenarios_do_not_mix():
    spending = np.zeros((7, 3))
    spending[:2] = [[10, 20, 40], [30, 60, 120]]
    terms = LoanTerms(np.array([0.5, 0.5, 0.0]), np.array([0.1, 0.1, 0.1]), np.zeros(3), 5, "level", 0)
    found = borrow(spending, terms, 2)
    assert found.amount == pytest.approx([0.5 * 40 + 0.5 * 0.5, 0.5 * 80 + 0.5 * 1, 0])


def test_a_loan_that_eats_up_what_it_brings_is_none():
    """Two years of service of a one-year loan are kept: each unit lent asks for 2.2 more, of which 80 % would be lent."""
    found = loan([100.0], 0.8, 0.1, years=1, months=24)
    assert np.isnan(found.amount).all()
    assert loan([100.0], 0.4, 0.1, years=1, months=24).amount == pytest.approx(40 / (1 - 0.4 * 2.2))


def test_such_a_loan_is_smaller_where_cover_sizes_it():
    """Cash of 33 covers 30 and its interest of a year, whatever share of the uses that is."""
    terms = LoanTerms(one(1.0), one(0.1), one(0.0), 1, "level", 24, by_cover=True)
    spending, cash = np.array([[100.0], [0.0], [0.0]]), np.array([[0.0], [33.0], [33.0]])
    found, residual = sized_by_cash(spending, 0 * spending, terms, 1, lambda loan: cash)
    assert found.amount == pytest.approx(30)
    assert found.share == pytest.approx(30 / (100 + 2.2 * 30))
    assert residual < 1e-9


def test_what_is_refinanced_at_once_is_not_in_the_first_reserve():
    """Of a one-year loan 95 % are taken over by a second one: the reserve keeps a year of interest and of the other 5 %."""
    again = Refinancing(one(0.05), one(0.0), 2)
    terms = LoanTerms(one(0.5), one(0.1), one(0.0), 1, "level", 12, balloon=one(0.95), refinancing=again)
    found = borrow(np.array([[100.0], [0.0], [0.0], [0.0]]), terms, 1)
    assert found.reserve[0] == pytest.approx(0.15 * found.amount)
    assert found.amount == pytest.approx(0.5 * (100 + found.reserve[0]))


def test_a_sculpted_loan_without_cash_keeps_its_balloon():
    repaid = sculpted(np.zeros((3, 1)), one(0.1), one(0.4))
    assert repaid.sum() == pytest.approx(1)
    assert repaid[-1] == pytest.approx(0.4 + 0.6 * 1.21 * 0.1 / 0.331)

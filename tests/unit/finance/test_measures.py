"""Measures of cash flows where they are odd: no outlay, no return, several rates, payback that comes twice."""

import numpy as np
import numpy_financial as npf
import pytest

from geoecon.finance.debt import LoanTerms, borrow
from geoecon.finance.measures import (
    cash_to_spare,
    cover_ratios,
    life_cover,
    modified_rate_of_return,
    payback,
    rate_of_return,
    sign_changes,
)
from geoecon.finance.reasons import Reason


def rows(*values):
    return np.array(values, dtype=float).reshape(-1, 1)


def yearly(flows):
    return np.arange(float(len(flows))).reshape(-1, 1)


@pytest.mark.parametrize(
    ("flows", "first", "years"),
    [
        ([-10, 15, -8, 4, 6], 1, 2.75),  # positive after year 1, negative again in year 2: the last crossing counts
        ([-10, 5, 5, 5], 1, 2),
        ([-10, 0, 20], 1, 1.5),
        ([-30, -10, 25, 25], 2, 1.6),  # counted from the end of year 0, not from the first spending
    ],
)
def test_payback(flows, first, years):
    found, codes = payback(rows(*flows), first)
    assert codes[0] == Reason.NONE
    assert found[0] == pytest.approx(years)


def test_not_paid_back():
    found, codes = payback(rows(-10, 5, 4.9), 1)
    assert codes[0] == Reason.NOT_PAID_BACK
    assert np.isnan(found[0])
    assert payback(rows(-10, 15, -6), 1)[1][0] == Reason.NOT_PAID_BACK  # paid back, then not


@pytest.mark.parametrize(
    "flows",
    [
        [-100, 39, 59, 55, 20],
        [-100, 30, 30, 30],  # less comes back than was put in: a rate below zero
        [-100, 60, 60, 60, -5],  # closing the site does not hide the rate
        [-60, -40, 20, 30, 30, 30, 30, 30, -20],
        [-1, 5, 4, 3, 2, 1],
    ],
)
def test_rate_of_return_is_that_of_a_spreadsheet(flows):
    found, codes, _ = rate_of_return(rows(*flows), yearly(flows))
    assert codes[0] == Reason.NONE
    assert found[0] == pytest.approx(npf.irr(flows), abs=1e-12)


def test_rates_at_half_years():
    found = rate_of_return(rows(-100, 121), rows(-0.5, 1.5))[0]
    assert found == pytest.approx([0.1])


@pytest.mark.parametrize(
    ("flows", "reason", "changes"),
    [
        ([-100, 230, -132], Reason.SEVERAL_RATES, 2),  # 10 % and 20 %
        ([0, 10, 20], Reason.NO_OUTLAY, 0),
        ([0, 0, 0], Reason.NO_OUTLAY, 0),
        ([-100, 0, 0], Reason.NEVER_EARNS, 0),
        ([-100, 0.5, 0.001], Reason.NEVER_EARNS, 1),  # a rate below -99 %
        ([-100, -10, -20], Reason.NEVER_EARNS, 0),
        ([-100, 90, -100], Reason.NEVER_EARNS, 2),
        ([-100, 1200, 0], Reason.ABOVE_RATES, 1),  # 1,100 % a year
        ([-1e-9, 100, 100], Reason.ABOVE_RATES, 1),
        ([-1, 90, 90, -100], Reason.ABOVE_RATES, 2),
        ([100, -50, -100], Reason.NEVER_EARNS, 1),  # a loan, which earns nothing
    ],
)
def test_no_rate(flows, reason, changes):
    found, codes, seen = rate_of_return(rows(*flows), yearly(flows))
    assert codes[0] == reason
    assert np.isnan(found[0])
    assert seen[0] == changes


def test_each_scenario_has_its_own_reason():
    flows = np.array([[-100, -100, 10], [60, 230, 10], [60, -132, 10], [0, 0, 0], [0, 0, 0]], dtype=float)
    found, codes, changes = rate_of_return(flows, yearly(flows))
    assert codes.tolist() == [Reason.NONE, Reason.SEVERAL_RATES, Reason.NO_OUTLAY]
    assert found[0] == pytest.approx(npf.irr([-100, 60, 60]))
    assert changes.tolist() == [1, 2, 0]


def test_zeros_are_no_change_of_sign():
    assert sign_changes(rows(-1, 0, 0, 2, 0, 3)).tolist() == [1]
    assert sign_changes(rows(0, 0)).tolist() == [0]


def test_modified_rate_of_return():
    rate = np.array([0.1])
    found, codes = modified_rate_of_return(rows(-100, 0, 121), rate, rate, rows(0, 1, 2))
    assert found == pytest.approx([0.1])
    assert codes[0] == Reason.NONE
    # 50 a year earlier costs 55 at the second outlay: 105 at year 0 to 200 in year 2, three years after the first.
    spread = modified_rate_of_return(rows(-50, -50, 0, 200), rate, rate, rows(-1, 0, 1, 2))[0]
    assert spread == pytest.approx([(200 / (50 + 50 / 1.1)) ** (1 / 3) - 1])
    assert modified_rate_of_return(rows(5, 5), rate, rate, rows(0, 1))[1][0] == Reason.NO_OUTLAY


def test_cover():
    cfads, service = rows(0, 39, 26, 10), rows(0, 30, 20, 0)
    assert cover_ratios(cfads, service)[1:3].ravel() == pytest.approx([1.3, 1.3])
    assert np.isnan(cover_ratios(cfads, service)[[0, 3]]).all()


def test_cover_over_a_life_of_even_cover_is_that_cover():
    terms = LoanTerms(np.array([1.0]), np.array([0.1]), np.array([0.0]), 2, "level", 0)
    loan = borrow(rows(50, 0, 0, 0), terms, 1)
    cash = 1.3 * loan.service + rows(0, 0, 0, 99)
    found = life_cover(cash, loan, terms.rate, loan.service > 0)
    assert found[1:3].ravel() == pytest.approx([1.3, 1.3])
    assert np.isnan(found[[0, 3]]).all()
    life = life_cover(cash, loan, terms.rate, rows(0, 1, 1, 1) > 0)
    assert life[1] == pytest.approx(1.3 + 99 / 1.1**3 / 50)
    assert cash_to_spare(cover_ratios(cash, loan.service))[1:3].ravel() == pytest.approx([0.3 / 1.3] * 2)

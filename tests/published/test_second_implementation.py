"""The same functions from another hand: pyxirr (Rust) and numpy-financial (Python), on drawn streams and loans.

Not published values but a second implementation, from the package registry. Streams are drawn from a fixed seed. Our level
payment is numpy-financial's own, so the payment is also held against pyxirr; interest and principal are worked out
separately in all three.
"""

import numpy as np
import numpy_financial as npf
import pytest
import pyxirr

from geoecon.arrays import column
from geoecon.finance.debt import LoanTerms, borrow, level_payments
from geoecon.finance.discounting import present_value
from geoecon.finance.measures import modified_rate_of_return, rate_of_return

YEARS, SCENARIOS = 25, 40
TIMES = column(np.arange(YEARS + 1))


@pytest.fixture(scope="module")
def drawn():
    """An outlay and earnings of each scenario, with rates."""
    random = np.random.default_rng(20261125)
    flows = random.uniform(1.0, 20.0, (YEARS + 1, SCENARIOS))
    flows[0] = -random.uniform(30.0, 200.0, SCENARIOS)
    return flows, random.uniform(0.01, 0.15, SCENARIOS), random.uniform(0.01, 0.15, SCENARIOS)


def test_value(drawn):
    flows, rate, _ = drawn
    theirs = [pyxirr.npv(rate[at], flows[:, at]) for at in range(SCENARIOS)]
    assert present_value(flows, rate, TIMES) == pytest.approx(theirs, rel=1e-12, abs=1e-10)


def test_rate_of_return(drawn):
    flows, _, _ = drawn
    ours, codes, _ = rate_of_return(flows, TIMES)
    assert not codes.any()
    assert ours == pytest.approx([pyxirr.irr(flows[:, at]) for at in range(SCENARIOS)], abs=1e-9)


def test_rate_of_return_below_zero():
    flows = column([-100.0] + [6.0] * 12)
    assert rate_of_return(flows, TIMES[:13])[0][0] == pytest.approx(pyxirr.irr(flows[:, 0]), abs=1e-9)


def test_modified_rate_of_return(drawn):
    flows, finance_rate, reinvestment_rate = drawn
    flows = flows.copy()
    flows[5] *= -1  # a loss amid the earnings
    ours, _ = modified_rate_of_return(flows, finance_rate, reinvestment_rate, TIMES)
    theirs = [pyxirr.mirr(flows[:, at], finance_rate[at], reinvestment_rate[at]) for at in range(SCENARIOS)]
    assert ours == pytest.approx(theirs, rel=1e-11)


@pytest.mark.parametrize(("periods", "in_a_year"), [(1, 1), (7, 1), (20, 1), (360, 12)])
def test_level_loan(drawn, periods, in_a_year):
    rates = drawn[1] / in_a_year
    principal = level_payments(rates, periods)
    owed = 1 - np.cumsum(principal, axis=0) + principal
    for at, rate in enumerate(rates[:10]):
        payment = -pyxirr.pmt(rate, periods, 1.0)
        interest = [-pyxirr.ipmt(rate, period, periods, 1.0) for period in range(1, periods + 1)]
        repaid = [-pyxirr.ppmt(rate, period, periods, 1.0) for period in range(1, periods + 1)]
        assert principal[:, at] == pytest.approx(repaid, rel=1e-8, abs=1e-12)
        assert rate * owed[:, at] == pytest.approx(interest, rel=1e-8, abs=1e-12)
        assert rate * owed[:, at] + principal[:, at] == pytest.approx([payment] * periods, rel=1e-12)


@pytest.mark.parametrize("years", [3, 15])
def test_loan_over_time(drawn, years):
    _, rates, _ = drawn
    terms = LoanTerms(np.ones(SCENARIOS), rates, np.zeros(SCENARIOS), years, "level", 0)
    spending = np.zeros((years + 1, SCENARIOS))
    spending[0] = 1_000.0
    loan = borrow(spending, terms, 1)
    periods = column(np.arange(1, years + 1))
    assert loan.interest[1:] == pytest.approx(-npf.ipmt(rates, periods, years, 1_000.0), rel=1e-9)
    assert loan.principal[1:] == pytest.approx(-npf.ppmt(rates, periods, years, 1_000.0), rel=1e-9)
    owed = -npf.fv(rates, periods, npf.pmt(rates, years, 1_000.0), 1_000.0)
    assert loan.balance[1:] == pytest.approx(owed, abs=1e-6)

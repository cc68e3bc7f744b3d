"""What one MWh costs, part by part: one project worked out by hand, and lenders and owner as parts."""

import numpy as np
import pytest

from geoecon.arrays import column
from geoecon.finance.credits import Credit
from geoecon.finance.debt import LoanTerms
from geoecon.finance.levelized import levelized_cost, levelized_cost_after_tax, price_for_return
from geoecon.finance.prices import level
from geoecon.finance.stack import (
    AFTER_TAX,
    COST,
    CREDIT,
    GRANT,
    LENDERS,
    OTHER,
    OWNER,
    REQUIRED,
    RESERVES,
    TAX,
    Stack,
    difference,
    fixed_charge_cost,
    reconciled,
    total,
)
from geoecon.finance.statement import Terms, arrange
from geoecon.finance.streams import Account, Streams
from geoecon.finance.tax import TaxTerms

RATE, RETURN, INTEREST, TAX_RATE = 0.10, 0.14, 0.06, 0.25
WORTH = 1 / 1.1 + 1 / 1.21  # of 1 a year for two years
ACCOUNTS = {
    "plant": Account("plant", "production", "", "", True, part="what is built"),
    "line": Account("line", "none", "", "", False, part="what is built"),
    "staff": Account("staff", "expense", "", "", False),
    "royalty": Account("royalty", "expense", "", "", False, part="royalty"),
}


def streams(**told):
    """1,000 and 210 spent at the end of year 0; two years of 10 MWh, 50 of staff a year, a tenth of sales as royalty."""
    flat = column([0.0, 10.0, 10.0])
    made = {
        "first": 1,
        "times": column([0.0, 1.0, 2.0]),
        "capital": {"plant": column([1000.0, 0, 0]), "line": column([210.0, 0, 0])},
        "sustaining": {},
        "operating": {"staff": column([0.0, 50, 50])},
        "revenue_shares": {"royalty": np.array([0.1])},
        "energy": flat,
        "other_revenue": {},
        "grant": 0 * flat,
        "decommissioning": 0 * flat,
        "index": np.ones_like(flat),
        "accounts": ACCOUNTS,
    }
    return Streams(**(made | told))


def stack_of(found, share=0.0, credit=None, reserve=0):
    loan = LoanTerms(np.array([share]), np.array([INTEREST]), np.zeros(1), 2, "level", reserve)
    shares = {"production": np.array([0.5, 0.5])}
    tax = TaxTerms(np.array([TAX_RATE]), shares, False, np.ones(1), credit)
    financing = arrange(found, Terms(loan, tax, False, 1, False))
    rate, index = np.array([RATE]), np.ones_like(found.index)
    cost = levelized_cost(found, rate, index)
    after_tax = levelized_cost_after_tax(financing, rate, index, cost)[0]
    price = price_for_return(financing, level(index, 1), np.array([RETURN]), cost)
    return Stack(financing, rate, index, after_tax, price)


def test_parts_of_a_cost_by_hand():
    """Built 1,210 over the value of 10 MWh a year; staff 50 over 10; of the price a tenth is royalty."""
    parts = stack_of(streams()).prices[COST]
    built, staff = 1210 / (10 * WORTH), 5.0
    assert list(parts) == ["what is built", "staff", "royalty", "decommissioning"]
    assert parts["what is built"] == pytest.approx(built, rel=1e-12)
    assert parts["staff"] == pytest.approx(staff, rel=1e-12)
    assert parts["royalty"] == pytest.approx((built + staff) / 9, rel=1e-12)
    assert total(parts) == pytest.approx((built + staff) / 0.9, rel=1e-12)


def test_parts_after_tax_by_hand():
    """Losses used at once make the price linear: 0.9 P - 5 less a quarter of that and of 500 deducted is worth 1,210."""
    credit = Credit("cash", np.array([0.3]), np.array([0.5]), np.zeros(1), np.zeros(1), 1, np.ones(1))
    given = streams(other_revenue={"capacity": column([0.0, 4, 4])}, grant=column([121.0, 0, 0]))
    parts = stack_of(given, credit=credit).prices[AFTER_TAX]
    earned = 0.3 * 1000 * 0.9
    deducted = 1000 * 0.9 * (1 - 0.15) / 2
    # (9 P - 50 + 4)(1 - t) a year, and t on what is deducted, with the credit at the end of year 1, is worth 1,210 - 121.
    net = (1210 - 121 - earned / 1.1 - TAX_RATE * deducted * WORTH) / WORTH / (1 - TAX_RATE)
    price = (net + 46) / 9
    assert total(parts) == pytest.approx(price, rel=1e-9)
    assert parts[CREDIT] == pytest.approx(-earned / 1.1 / (10 * WORTH), rel=1e-9)
    assert parts[GRANT] == pytest.approx(-121 / (10 * WORTH), rel=1e-9)
    assert parts[OTHER] == pytest.approx(-0.4, rel=1e-9)
    assert parts[TAX] == pytest.approx(TAX_RATE * (9 * price - 46 - deducted) / 10, rel=1e-9)


def test_lenders_and_owner_by_hand():
    """A loan at less than the rate takes off the price by its value; the owner adds what is asked beyond the rate."""
    stack = stack_of(streams(), share=0.5)
    parts, loan = stack.prices[REQUIRED], stack.price.financed.loan
    service = 605 * INTEREST / (1 - 1.06**-2)
    assert loan.amount == pytest.approx(605)
    assert parts[LENDERS] == pytest.approx((service * WORTH - 605) / (10 * WORTH), rel=1e-12)
    assert parts[RESERVES] == 0
    # Level prices and payments, but more interest, and so less tax, in the first year: two flows worth 605 at 14 %.
    interest = [605 * INTEREST, (605 * 1.06 - service) * INTEREST]
    saved = TAX_RATE * (interest[0] - interest[1])
    second = (605 - saved / 1.14) / (1 / 1.14 + 1 / 1.14**2)
    worth = (second + saved) / 1.1 + second / 1.21 - 605
    assert parts[OWNER] == pytest.approx(worth / (10 * WORTH), rel=1e-9)


def test_a_reserve_that_bears_no_interest_costs():
    assert stack_of(streams(), share=0.5, reserve=6).prices[REQUIRED][RESERVES] > 0


def test_equal_parts_make_no_difference():
    parts = stack_of(streams()).prices[COST]
    assert difference(parts, parts) == {}


def test_a_fixed_charge_by_hand():
    """Year 1 alone: 1,210 times the charge with tax as a factor, where only the plant is deducted, and 50 of staff."""
    stack = stack_of(streams())
    worth = 0.5 * WORTH * 1000 / 1210
    charge = 1 / WORTH * (1 - TAX_RATE * worth) / (1 - TAX_RATE)
    capital, running = fixed_charge_cost(stack, np.zeros(1)).values()
    assert capital == pytest.approx(1210 * charge / 10, rel=1e-12)
    assert running == pytest.approx(5.0, rel=1e-12)
    (_, _), (_, steps), *_ = reconciled(stack, np.zeros(1))
    assert steps["energy of all years, not of year 1"] == pytest.approx(0.0, abs=1e-12)
    assert steps["money spent before year 1"] == pytest.approx(0.0, abs=1e-12)
    assert steps["running cost of all years"] == pytest.approx(0.0, abs=1e-12)

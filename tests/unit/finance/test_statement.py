"""Reserves for sustaining capital and the lines of a statement, worked by hand."""

import numpy as np
import pytest

from geoecon.finance.debt import LoanTerms
from geoecon.finance.prices import level
from geoecon.finance.statement import Terms, arrange, rise, saved_before, state
from geoecon.finance.streams import Account, Streams
from geoecon.finance.tax import TaxTerms


def rows(*values):
    return np.array(values, dtype=float).reshape(-1, 1)


@pytest.mark.parametrize(
    ("purchases", "lookahead", "balance"),
    [
        ([0, 0, 0, 0, 90], 3, [0, 30, 60, 90, 0]),
        ([0, 0, 0, 0, 90], 9, [0, 30, 60, 90, 0]),  # saving begins with operating year 1 at the earliest
        ([0, 0, 0, 0, 90], 1, [0, 0, 0, 90, 0]),
        ([0, 0, 0, 60, 0, 90], 2, [0, 30, 60, 45, 90, 0]),  # two purchases overlap
        ([0, 50, 0, 0, 0], 3, [0, 0, 0, 0, 0]),  # operating year 1 pays from its own cash
        ([0, 0, 50, 0, 0], 3, [0, 50, 0, 0, 0]),
    ],
)
def test_saving_for_purchases(purchases, lookahead, balance):
    assert saved_before(rows(*purchases), 1, lookahead).ravel() == pytest.approx(balance)


def test_rise_starts_from_nothing():
    assert rise(rows(3, 5, 4)).ravel().tolist() == [3, 2, -1]


def streams(**changed):
    """Two build years, three operating years, one scenario."""
    given = {
        "first": 2,
        "times": rows(-1, 0, 1, 2, 3),
        "capital": {"plant": rows(60, 40, 0, 0, 0)},
        "sustaining": {"pumps": rows(0, 0, 0, 0, 12)},
        "operating": {"fixed_cost": rows(0, 0, 10, 10, 10)},
        "revenue_shares": {"royalty": np.array([0.1])},
        "energy": rows(0, 0, 2, 2, 1),
        "other_revenue": {},
        "grant": rows(0, 0, 0, 0, 0),
        "decommissioning": rows(0, 0, 0, 0, 7),
        "index": np.ones((5, 1)),
        "accounts": {
            "plant": Account("plant", "production", "", "", True),
            "pumps": Account("pumps", "production", "", "", False),
        },
    }
    return Streams(**given | changed)


def test_a_statement_by_hand():
    terms = Terms(
        LoanTerms(np.array([0.5]), np.array([0.1]), np.array([0.0]), 2, "equal-principal", 0),
        TaxTerms(np.array([0.2]), {"production": np.array([0.5, 0.5])}, True, np.array([1.0]), None),
        True,
        2,
        False,
    )
    financing = arrange(streams(), terms)
    # The loan: 30, then half of 40 and 3 of interest: 21.5. Two repayments of 25.75.
    loan = financing.loan
    assert loan.drawn.ravel() == pytest.approx([30, 21.5, 0, 0, 0])
    assert loan.interest.ravel() == pytest.approx([0, 3, 5.15, 2.575, 0])
    assert financing.equity_money.ravel() == pytest.approx([30, 21.5, 0, 0, 0])
    assert financing.reserve.ravel() == pytest.approx([0, 0, 6, 12, 0])
    # Deductions: capital in two years, interest while building with it; the pump of the last year at once.
    assert financing.tax_base.depreciation_unlevered.ravel() == pytest.approx([0, 0, 50, 50, 12])
    assert financing.tax_base.depreciation_levered.ravel() == pytest.approx([0, 0, 51.5, 51.5, 12])

    path = level(np.ones((5, 1)), 2)
    statement = state(financing, type(path)(np.array([50.0]), path.shape, path.rest))
    assert statement.revenue.ravel() == pytest.approx([0, 0, 100, 100, 50])
    assert statement.royalty.ravel() == pytest.approx([0, 0, 10, 10, 5])
    assert statement.operating_cost.ravel() == pytest.approx([0, 0, 20, 20, 15])
    assert statement.tax_unlevered.ravel() == pytest.approx([0, 0, 6, 6, 3.2])  # of 30, 30 and 50 - 15 - 7 - 12
    tax = [0, 0, 0.2 * (80 - 51.5 - 5.15), 0.2 * (80 - 51.5 - 2.575), 3.2]
    assert statement.tax.ravel() == pytest.approx(tax)
    assert statement.cash_flow_project.ravel() == pytest.approx([-60, -40, 74, 74, 50 - 15 - 12 - 7 - 3.2])
    assert statement.cfads[2:].ravel() == pytest.approx([80 - tax[2] - 6, 80 - tax[3] - 6, 35 - 3.2])
    equity = [-30, -21.5, 74 - tax[2] - 25.75 - 5.15, 74 - tax[3] - 25.75 - 2.575, 35 - 7 - 3.2]
    assert statement.cash_flow_equity.ravel() == pytest.approx(equity)


def test_locked_up_cash_is_withheld_of_when_it_is_paid_out():
    """By hand: no tax; cover is 80 / 30.9 and 80 / 28.325 around a bar of 2.7, so a year waits for the next."""
    terms = Terms(
        LoanTerms(np.array([0.5]), np.array([0.1]), np.array([0.0]), 2, "equal-principal", 0, lockup=np.array([2.7])),
        TaxTerms(np.array([0.0]), {}, True, np.array([1.0]), None, withholding=np.array([0.1])),
        False,
        1,
        False,
    )
    financing = arrange(streams(), terms)
    path = level(np.ones((5, 1)), 2)
    statement = state(financing, type(path)(np.array([50.0]), path.shape, path.rest))
    left = [80 - 25.75 - 5.15, 80 - 25.75 - 2.575, 35 - 12 - 7]
    assert statement.locked.ravel() == pytest.approx([0, 0, left[0], 0, 0])
    paid = [-30, -21.5, 0, left[0] + left[1], left[2]]
    assert statement.withheld.ravel() == pytest.approx([0, 0, 0, 0.1 * paid[3], 0.1 * paid[4]])
    assert statement.cash_flow_equity.ravel() == pytest.approx([-30, -21.5, 0, 0.9 * paid[3], 0.9 * paid[4]])


def test_totals_of_streams():
    found = streams(
        capital={"plant": rows(60, 40, 0, 0, 0), "wells": rows(0, 5, 0, 0, 0)},
        operating={"fixed_cost": rows(0, 0, 10, 10, 10), "land": rows(0, 0, 1, 2, 3)},
        revenue_shares={"royalty": np.array([0.1]), "host": np.array([0.02])},
        other_revenue={"capacity": rows(0, 0, 4, 4, 4)},
    )
    assert found.initial.ravel().tolist() == [60, 45, 0, 0, 0]
    assert found.sustained.ravel().tolist() == [0, 0, 0, 0, 12]
    assert found.spent.ravel().tolist() == [60, 45, 0, 0, 12]
    assert found.fixed_operating.ravel().tolist() == [0, 0, 11, 12, 13]
    assert found.revenue_share == pytest.approx(np.full((5, 1), 0.12))
    assert found.unpriced_revenue.ravel().tolist() == [0, 0, 4, 4, 4]
    assert streams(sustaining={}, operating={}, revenue_shares={}).fixed_operating.shape == (5, 1)
    assert streams(revenue_shares={}).revenue_share.ravel().tolist() == [0, 0, 0, 0, 0]

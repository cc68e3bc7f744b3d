"""Income tax worked by hand: losses, credits, and what comes off the basis."""

from dataclasses import replace

import numpy as np
import pytest

from geoecon.finance.credits import Credit, credit_earned
from geoecon.finance.depletion import Depletion, depleted
from geoecon.finance.streams import Account, Streams
from geoecon.finance.tax import (
    Taxable,
    TaxTerms,
    income_tax,
    tax_base,
    taxable_income,
    withheld,
)

AT_ONCE = {"production": np.array([1.0]), "transmission": np.array([0.5, 0.5])}


def rows(*values):
    return np.array(values, dtype=float).reshape(-1, 1)


def terms(rate=0.25, *, carried=True, limit=1.0, credit=None):
    return TaxTerms(np.array([rate]), AT_ONCE, carried, np.array([limit]), credit)


def credit(use="own", *, rate=0.0, cut=0.0, per_mwh=0.0, growth=0.0, years=10, sale=0.9):
    return Credit(
        use, np.array([rate]), np.array([cut]), np.array([per_mwh]), np.array([growth]), years, np.array([sale])
    )


NO_CREDIT = rows(0, 0, 0, 0)


def taxed(profit, credit, chosen):
    """Tax of yearly profits that are all sales."""
    return income_tax(profit, Taxable(0 * profit, 0 * profit, 0 * profit, credit), chosen)


@pytest.mark.parametrize(
    ("profit", "chosen", "tax"),
    [
        ([-100, 60, 60, 60], terms(), [0, 0, 5, 15]),  # 60, then 40 of the loss are used
        ([-100, 60, 60, 60], terms(limit=0.8), [0, 3, 3, 14]),  # 48, 48, then the last 4
        ([-100, 60, 60, 60], terms(limit=0.0), [0, 15, 15, 15]),
        ([-100, 60, 60, 60], terms(carried=False), [-25, 15, 15, 15]),
        ([60, -100, 60, 60], terms(), [15, 0, 0, 5]),  # a loss is never carried back
        ([-10, -20, 20, 30], terms(), [0, 0, 0, 5]),
    ],
)
def test_losses(profit, chosen, tax):
    assert taxed(rows(*profit), NO_CREDIT, chosen).ravel() == pytest.approx(tax)


@pytest.mark.parametrize(
    ("chosen", "tax"),
    [
        (terms(credit=credit("own")), [0, 2, 10, 10]),  # 8 and then 10 - 2: 18 of credit wait for tax
        (terms(credit=credit("sold")), [10 - 16.2, 10, 10, 10]),
        (terms(credit=credit("cash")), [10 - 18, 10, 10, 10]),
        (terms(carried=False, credit=credit("own")), [10 - 18, 10, 10, 10]),
    ],
)
def test_a_credit_of_18_in_the_first_year(chosen, tax):
    assert taxed(rows(40, 40, 40, 40), rows(18, 0, 0, 0), chosen).ravel() == pytest.approx(tax)


def test_credit_waits_while_losses_are_used():
    found = taxed(rows(-40, 40, 40, 40), rows(4, 0, 0, 0), terms(credit=credit("own")))
    assert found.ravel() == pytest.approx([0, 0, 6, 10])


def streams(grant=0.0):
    """A plant for 80 that earns a credit and a line for 20 that does not; 5, 7 and 9 MWh."""
    building = rows(1, 0, 0, 0)
    return Streams(
        first=1, times=rows(0, 1, 2, 3), capital={"plant": 80 * building, "line": 20 * building},
        sustaining={"pump": rows(0, 0, 6, 0)}, operating={}, revenue_shares={}, energy=rows(0, 5, 7, 9), other_revenue={},
        grant=grant * building, decommissioning=0 * building, index=np.ones((4, 1)),
        accounts={
            "plant": Account("plant", "production", "", "", True),
            "line": Account("line", "transmission", "", "", False),
            "pump": Account("pump", "production", "", "", False),
        },
    )  # fmt: skip


def test_investment_credit_comes_with_service_and_cuts_the_basis():
    chosen = terms(credit=credit(rate=0.3, cut=0.5))
    assert credit_earned(streams(), chosen.credit).ravel() == pytest.approx([0, 24, 0, 0])
    # 80 less half of 24 at once; 20 over two years; the pump in the year after its own.
    assert tax_base(streams(), chosen, rows(0, 0, 0, 0)).depreciation_unlevered.ravel() == pytest.approx([0, 78, 10, 6])


def test_a_grant_takes_its_share_off_basis_and_credit():
    chosen = terms(credit=credit(rate=0.3, cut=0.5))
    granted = streams(grant=25.0)
    assert credit_earned(granted, chosen.credit).ravel() == pytest.approx([0, 18, 0, 0])
    taken = tax_base(granted, chosen, rows(0, 0, 0, 0)).depreciation_unlevered
    assert taken.ravel() == pytest.approx([0, 60 - 9 + 7.5, 7.5, 6])


def test_production_credit_grows_and_ends():
    earned = credit_earned(streams(), credit(per_mwh=2.0, growth=0.1, years=2))
    assert earned.ravel() == pytest.approx([0, 10, 7 * 2.2, 0])
    longer = credit_earned(streams(), credit(per_mwh=2.0, years=10))
    assert longer.ravel() == pytest.approx([0, 10, 14, 18])


def test_interest_of_build_years_joins_the_classes_in_proportion():
    base = tax_base(streams(), terms(), rows(10, 0, 0, 0))
    added = (base.depreciation_levered - base.depreciation_unlevered).ravel()
    assert added == pytest.approx([0, 8 + 1, 1, 0])


def test_classes_without_rules_are_not_deducted():
    chosen = TaxTerms(np.array([0.25]), {}, True, np.array([1.0]), None)
    assert (tax_base(streams(), chosen, rows(10, 0, 0, 0)).depreciation_levered == 0).all()


@pytest.mark.parametrize(
    ("profit", "years", "tax"),
    [
        ([-100, 40, 40, 40], 2, [0, 0, 0, 10]),  # the last 20 of the loss are gone
        ([-100, 40, 40, 40], 3, [0, 0, 0, 5]),
        ([-100, -40, 60, 100], 1, [0, 0, 5, 25]),  # only the 40 of the year before
        ([-100, -40, 60, 100], 2, [0, 0, 0, 15]),  # 60 of the first, then the 40 of the second
        ([-30, 10, -30, 100], 2, [0, 0, 0, 17.5]),
    ],
)
def test_losses_that_end(profit, years, tax):
    chosen = replace(terms(), loss_years=years)
    assert taxed(rows(*profit), NO_CREDIT, chosen).ravel() == pytest.approx(tax)


def test_losses_that_end_late_are_losses_that_do_not():
    profits = np.random.default_rng(5).normal(5, 40, (30, 11))
    forever, late = terms(limit=0.8), replace(terms(limit=0.8), loss_years=30)
    none = np.zeros_like(profits)
    assert taxed(profits, none, late) == pytest.approx(taxed(profits, none, forever), abs=1e-9)


def test_a_holiday_takes_no_tax_and_uses_no_loss():
    chosen = replace(terms(), holiday_years=2)
    assert taxed(rows(60, -100, 60, 60), NO_CREDIT, chosen).ravel() == pytest.approx([0, 0, 0, 5])
    at_once = replace(terms(carried=False), holiday_years=2)
    assert taxed(rows(60, -100, 60, -60), NO_CREDIT, at_once).ravel() == pytest.approx([0, 0, 15, -15])


def test_interest_above_its_limit_waits():
    """30 % of 100 before interest and depreciation: 30 a year; of 50 a year in two years 40 wait for years 3 and 4."""
    nothing, interest, depreciation = rows(0, 0, 0, 0), rows(50, 50, 0, 0), rows(20, 20, 20, 20)
    taxable = Taxable(-depreciation, interest, depreciation, nothing)
    chosen = replace(terms(), interest_limit=np.array([0.3]))
    profit, _ = taxable_income(rows(100, 100, 100, 100), taxable, chosen)
    assert profit.ravel() == pytest.approx([50, 50, 50, 70])
    free = income_tax(rows(100, 100, 100, 100), taxable, terms())
    never_binds = replace(terms(), interest_limit=np.array([1.0]))
    assert np.array_equal(income_tax(rows(100, 100, 100, 100), taxable, never_binds), free)


def test_depletion_is_within_its_limit_and_never_below_zero():
    """15 % of gross, at most half of income before it (26 USC 613(a), a copy seen; the rate of 613(e) from memory).

    Worked by hand: of gross 10, income before depletion of 2.4, 4 and less than nothing leaves 1.2, 1.5 and 0.
    """
    one = np.array([1.0])
    found = depleted(Depletion(0.15 * one, 0.5 * one, one), rows(10, 10, 10), rows(2.4, 4.0, -3.0))
    assert found.ravel() == pytest.approx([1.2, 1.5, 0])
    third = depleted(Depletion(0.15 * one, 0.5 * one, one / 3), rows(10, 10, 10), rows(2.4, 4.0, -3.0))
    assert third.ravel() == pytest.approx([0.4, 0.5, 0])


def test_drilling_deducted_at_once_is_kept_out_of_basis_and_credit():
    chosen = replace(terms(credit=credit(rate=0.3, cut=0.5)), expensed_share=np.array([0.75]))
    drilled = {"plant": Account("plant", "production", "", "", True, True)}
    well = replace(streams(), accounts={**streams().accounts, **drilled})
    base = tax_base(well, chosen, rows(0, 0, 0, 0))
    assert base.drilling.ravel() == pytest.approx([60, 0, 0, 0])
    assert base.credit.ravel() == pytest.approx([0, 6, 0, 0])  # 30 % of 20
    assert base.depreciation_unlevered.ravel() == pytest.approx([0, 20 - 3 + 10, 10, 6])
    granted = tax_base(replace(well, grant=rows(25, 0, 0, 0)), chosen, rows(0, 0, 0, 0))
    assert granted.drilling.ravel() == pytest.approx([45, 0, 0, 0])


def test_what_is_withheld():
    chosen = replace(terms(), withholding=np.array([0.1]))
    taxable = Taxable(*[rows(0, 0, 0, 0)] * 4, first=1)
    flow = rows(-40, 30, -5, 10)
    assert withheld(flow, taxable, chosen).ravel() == pytest.approx([0, 3, 0, 1])
    assert not withheld(flow, taxable, terms()).any()


def test_limit_on_losses_of_80_percent():
    """26 USC 172(a)(2): the lesser of the loss and 80 % of the income: 500 lost, then 300 twice."""
    assert taxed(rows(-500, 300, 300, 300), NO_CREDIT, terms(limit=0.8)).ravel() == pytest.approx([0, 15, 15, 70])

"""Decommissioning from the cash of its year or from a fund: who has no year in the red, and what the books say."""

import numpy as np
import pytest

import geoecon
from geoecon.arrays import over_years
from geoecon.audit import checks

TOWN = {
    "project.owner": "public", "tax.rules": "none", "tax.credit": "none", "capital.decommissioning": "1 MUSD",
}  # fmt: skip
FUND = {"capital.decommissioning_fund_years": "10"}


def town(**more):
    return geoecon.evaluate(geoecon.load_case(geoecon.shipped_case("ambry-wells"), TOWN | more))


def test_a_town_that_pays_at_once_is_told_what_would_help():
    """The price after the term is fixed and does not pay for closing, whatever the price of the term is."""
    required = town().metrics["required_price"]
    assert np.isnan(required.values)
    assert "in year 25, in which decommissioning is paid; capital.decommissioning_fund_years saves" in required.reason


def test_with_a_fund_no_year_is_in_the_red():
    saved = town(**FUND)
    price = saved.value("required_price")
    again = town(**FUND, **{"market.price": f"{price * (1 + 1e-9)!r} USD/MWh"})
    assert again.annual["cash_flow_equity"][again.build_years :].min() > -1e-3
    assert again.value("dscr_min") >= 1.3 * (1 - 1e-9)
    assert all(check.holds for check in checks(again))


def test_the_fund_is_filled_in_equal_parts_and_pays():
    """1 MUSD of 2026 at 2 % a year in 2054, the last of 25 years: 1.741 MUSD, a tenth of it in each of ten years before."""
    saved, plain = town(**FUND), town()
    cost = 1e6 * 1.02**28
    fund = saved.books.balance_sheet["assets"]["decommissioning fund"][:, 0]
    assert fund[-12:] == pytest.approx(cost * np.array([0, *np.arange(1, 11) / 10, 0]))
    step = saved.books.waterfall["decommissioning, paid or saved for"][:, 0]
    assert step[-12:] == pytest.approx(-cost * np.array([0, *[0.1] * 10, 0]), abs=1e-3)
    owner, of_plain = (over_years(result.annual["cash_flow_equity"]) for result in (saved, plain))
    assert owner == pytest.approx(of_plain)
    assert saved.value("npv") == plain.value("npv")
    assert saved.value("dscr_min") == plain.value("dscr_min")


def test_a_fund_needs_something_to_save_for():
    text = geoecon.shipped_case("ambry-wells").read_text(encoding="utf-8").replace('decommissioning = "1 MUSD"\n', "")
    with pytest.raises(geoecon.errors.CaseError, match="is missing; decommissioning_fund_years asks what it is for"):
        geoecon.case.Case.read(text, told=FUND)

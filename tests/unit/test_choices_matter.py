"""Every choice of tax, debt and price moves a figure of a case that it applies to: none is read and then forgotten."""

from pathlib import Path

import pytest

import geoecon

CASE = Path(geoecon.__file__).parents[1] / "cases" / "ambry-wells.toml"
FIGURES = ("npv", "irr_equity", "required_price", "debt", "dscr_min")
PRODUCTION, INVESTMENT = {"tax.credit": "production"}, {"tax.credit": "investment"}
CURVE = '["97 %", "92 %", "80 %"]'
CHOICES = [
    (INVESTMENT, {"tax.bonus_depreciation": "0 %"}),
    (INVESTMENT, {"tax.intangible_share": "70 %"}),
    (INVESTMENT, {"tax.depletion": "percentage", "tax.property_share": "40 %"}),
    (INVESTMENT, {"tax.state_rate": "5 %"}),
    (INVESTMENT, {"tax.holiday_years": "5"}),
    (INVESTMENT, {"tax.loss_years": "3"}),
    (INVESTMENT, {"tax.withholding": "10 %"}),
    (INVESTMENT, {"tax.interest_limit": "5 %"}),
    (INVESTMENT, {"tax.wage_rules": "false"}),
    (INVESTMENT, {"tax.energy_community": "true"}),
    (INVESTMENT, {"tax.domestic_content": "true"}),
    (INVESTMENT, {"tax.exempt_bonds": "true"}),
    (PRODUCTION, {"tax.exempt_bonds": "true"}),
    (PRODUCTION, {"tax.wage_rules": "false"}),
    (PRODUCTION, {"tax.energy_community": "true"}),
    (PRODUCTION, {"tax.credit": "best"}),
    (INVESTMENT, {"finance.debt_shape": "sculpted"}),
    (INVESTMENT, {"finance.debt_sizing": "cover", "finance.target_dscr": "1.6"}),
    ({"finance.debt_sizing": "cover", "finance.target_dscr": "1.6"}, {"finance.lender_energy": "85 %"}),
    ({"finance.debt_sizing": "cover", "finance.target_dscr": "1.6"}, {"finance.lender_energy_by_year": CURVE}),
    ({"finance.debt_shape": "sculpted"}, {"finance.lender_energy_by_year": CURVE}),
    (INVESTMENT, {"finance.grace_years": "2"}),
    (INVESTMENT, {"finance.construction_rate": "9 %/yr"}),
    (INVESTMENT, {"finance.commitment_fee": "0.5 %/yr"}),
    (INVESTMENT, {"finance.balloon": "40 %", "finance.refinance_years": "5"}),
    ({"finance.balloon": "40 %", "finance.refinance_years": "5"}, {"finance.refinance_rate": "9 %/yr"}),
    ({"finance.balloon": "40 %", "finance.refinance_years": "5"}, {"finance.refinance_fee": "1 %"}),
    (INVESTMENT, {"finance.lockup_dscr": "1.6"}),
    (INVESTMENT, {"capital.decommissioning_fund_years": "10"}),
    (INVESTMENT, {"market.price_floor": "120 USD/MWh"}),
    (INVESTMENT, {"market.price_cap": "150 USD/MWh"}),
    (INVESTMENT, {"market.tail_growth": "3 %/yr"}),
    (INVESTMENT, {"market.guaranteed_energy": "48 GWh/yr", "market.shortfall_penalty": "50 USD/MWh"}),
]


@pytest.mark.parametrize(("first", "choice"), CHOICES, ids=lambda texts: " ".join(texts))
def test_a_choice_moves_a_figure(first, choice):
    case = geoecon.load_case(CASE).with_texts(first)
    before, after = geoecon.evaluate(case), geoecon.evaluate(case.with_texts(choice))
    assert any(abs(after.value(key) / before.value(key) - 1) > 1e-6 for key in FIGURES)


def test_drilling_that_is_expensed_is_deducted_when_paid_and_earns_no_credit():
    case = geoecon.load_case(CASE).with_texts({"tax.intangible_share": "70 %"})
    plain, result = geoecon.evaluate(geoecon.load_case(CASE)), geoecon.evaluate(case)
    first = result.build_years
    wells = result.books.financing.streams.capital["wells"] + result.books.financing.streams.sustaining["makeup_wells"]
    assert result.annual["drilling_expensed"] == pytest.approx(0.7 * wells)
    less = plain.annual["credit"][first, 0] - result.annual["credit"][first, 0]
    assert less == pytest.approx(0.30 * 0.7 * wells[:first].sum())

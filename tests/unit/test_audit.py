"""The checks of a result: all hold on every shipped case under every kind of loan, and a spoilt figure is found."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

import geoecon
from geoecon.audit import checks, verdict
from geoecon.case import load_case
from geoecon.engine import evaluate
from geoecon.finance.statement import rise

CASES = Path(geoecon.__file__).parents[1] / "cases"
LOANS = [
    {},
    {"finance.debt_shape": "sculpted"},
    {"finance.debt_shape": "sculpted", "finance.debt_sizing": "cover", "finance.debt_share": "80 %"},
    {"finance.debt_sizing": "cover", "finance.lender_energy": "90 %", "finance.grace_years": 2},
    {"finance.balloon": "40 %", "finance.refinance_years": 5, "finance.refinance_fee": "1 %",
     "finance.commitment_fee": "0.5 %/yr", "finance.construction_rate": "8 %/yr"},
    {"finance.lockup_dscr": 1.6},
    {"tax.losses": "used", "tax.intangible_share": "70 %", "tax.credit_use": "own"},
    {"tax.withholding": "10 %", "tax.depletion": "percentage", "tax.property_share": "40 %"},
]  # fmt: skip


@pytest.mark.parametrize("file", sorted(CASES.glob("*.toml")), ids=lambda file: file.stem)
def test_all_checks_hold_on_shipped_cases(file):
    found = checks(evaluate(load_case(file)))
    assert len(found) > 20
    assert all(check.holds for check in found), verdict(found)


@pytest.mark.parametrize("loan", LOANS, ids=lambda loan: " ".join(map(str, loan.values())) or "as stated")
def test_all_checks_hold_with_every_kind_of_loan(loan):
    case = load_case(CASES / "ambry-wells.toml").with_values(loan)
    several = case.with_values({"market.price": np.array([60.0, 110.0, 146.0, 190.0, 260.0])})
    found = checks(evaluate(several))
    assert all(check.holds for check in found), verdict(found)


@pytest.mark.parametrize(
    ("column", "what"),
    [("revenue", "project's cash flow"), ("debt_balance", "repaid"), ("operating_cost", "operating accounts"),
     ("cash_flow_equity", "waterfall"), ("reserve_balance", "reserves are empty"), ("cash_flow_project", "yearly flows")],
)  # fmt: skip
def test_a_spoilt_column_is_found(column, what):
    result = evaluate(load_case(CASES / "ambry-wells.toml"))
    spoilt = replace(result, annual={**result.annual, column: result.annual[column] + 1000.0})
    assert verdict(checks(result)).startswith("all ")
    words = verdict(checks(spoilt))
    assert "FAIL" in words
    assert what in words


def test_drilling_and_pumps_each_have_a_step_and_a_reserve_of_their_own():
    books = evaluate(load_case(CASES / "ambry-wells.toml")).books
    financing, steps, assets = books.financing, books.waterfall, books.balance_sheet["assets"]
    first = financing.streams.first
    for name in ("makeup_wells", "pump_replacement"):
        bought, held = financing.streams.sustaining[name], assets[f"reserve for {name}"]
        assert bought.any()
        assert held.min() >= 0
        assert held[-1, 0] == 0
        assert steps[f"{name}, paid or saved for"][first:] == pytest.approx(-(bought + rise(held))[first:])
    together = assets["reserve for makeup_wells"] + assets["reserve for pump_replacement"]
    assert together == pytest.approx(financing.sustaining_reserve, abs=1e-6)

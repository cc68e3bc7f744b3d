"""What is owed besides the work itself, by hand on the smallest case, and what its fields refuse."""

import numpy as np
import pytest

import geoecon
from geoecon.audit import checks, verdict
from geoecon.errors import CaseError

FLAT = {"market.price": "100 USD/MWh"}  # 3 MW x 90 % x 8,760 h = 23,652 MWh a year, money that does not move, 12 MUSD


def run(**told):
    case = geoecon.load_case(
        geoecon.shipped_case("dunmarrow"), FLAT | {k.replace("__", "."): str(v) for k, v in told.items()}
    )
    return geoecon.evaluate(case)


def paid(result, account):
    return result.operating_accounts[account][result.build_years :, 0]


def test_a_royalty_steps():
    found = run(operation__royalty="2 %", operation__royalty_after="5 %", operation__royalty_step_year=4)
    assert paid(found, "royalty") == pytest.approx([47304] * 3 + [118260] * 7)


def test_levelized_cost_with_a_step_is_the_price_that_pays_for_it():
    found = run(operation__royalty="2 %", operation__royalty_after="5 %", operation__royalty_step_year=4)
    factors = 1.08 ** -np.arange(1, 11)
    kept = 23652 * np.array([0.98] * 3 + [0.95] * 7)
    price = (12e6 + 600e3 * factors.sum()) / (kept * factors).sum()
    assert found.value("lcoe_nominal") == pytest.approx(price, rel=1e-12)
    assert found.value("life_cycle_cost") == pytest.approx(price * 23652 * factors.sum(), rel=1e-12)


def test_a_level_royalty_divides_the_cost():
    bare, shared = run(), run(operation__royalty="4 %")
    assert shared.value("lcoe_nominal") == pytest.approx(bare.value("lcoe_nominal") / 0.96, rel=1e-12)


def test_property_tax_is_abated_for_some_years():
    found = run(
        operation__property_tax="1 %/yr", operation__property_tax_abatement="75 %",
        operation__property_tax_abatement_years=3,
    )  # fmt: skip
    assert paid(found, "property_tax") == pytest.approx([30e3] * 3 + [120e3] * 7)


@pytest.mark.parametrize(
    ("fund", "yearly"), [("1 %", 23652), ("2 USD/MWh", 47304), ("30 kUSD/yr", 30000)]
)  # fmt: skip
def test_a_community_fund_in_three_ways(fund, yearly):
    found = run(operation__community_fund=fund)
    assert paid(found, "community_fund") == pytest.approx([yearly] * 10)
    assert found.payments.recipients["community"][1:, 0] == pytest.approx([yearly] * 10)


def test_a_bond_and_a_rent():
    found = run(
        capital__decommissioning="1 MUSD", capital__decommissioning_bond="2 %/yr", operation__lease="federal-us",
        operation__lease_acres=100,
    )  # fmt: skip
    assert paid(found, "bond_premium") == pytest.approx([20e3] * 10)
    assert paid(found, "lease_rent") == pytest.approx([200] + [300] * 9)


@pytest.mark.parametrize("name", geoecon.shipped_cases())
def test_recipients_get_what_is_paid(name):
    result = geoecon.evaluate(geoecon.load_case(geoecon.shipped_case(name)))
    found = checks(result)
    assert sum("recipients" in check.name for check in found) == 1
    assert all(check.holds for check in found), verdict(found)
    a = result.annual
    out = sum(result.payments.recipients.values())[:, 0].sum()
    columns = ("capital", "operating_cost", "decommissioning", "interest", "principal", "fees", "tax", "withheld")
    assert out == pytest.approx(sum(a[name][:, 0].sum() for name in columns), rel=1e-9)


@pytest.mark.parametrize(
    ("told", "path"),
    [
        ({"operation.royalty_after": "3 %"}, "operation.royalty_step_year"),
        ({"operation.royalty_step_year": 4}, "operation.royalty_after"),
        ({"operation.property_tax_abatement": "50 %"}, "operation.property_tax_abatement_years"),
        ({"operation.lease_acres": 4}, "operation.lease"),
        ({"operation.lease": "federal-us", "operation.royalty": "2 %"}, "operation.royalty"),
        ({"capital.decommissioning_bond": "2 %/yr"}, "capital.decommissioning"),
        ({"finance.target_tier": 1.25}, "finance.target_tier"),
        ({"finance.allowed_return": "9 %/yr"}, "finance.allowed_return"),
        ({"project.owner": "partnership"}, "project.owner"),
    ],
)
def test_what_contradicts_is_told(told, path):
    with pytest.raises(CaseError) as refused:
        geoecon.evaluate(geoecon.load_case(geoecon.shipped_case("dunmarrow"), {at: str(v) for at, v in told.items()}))
    assert path in [fault.path for fault in refused.value.faults]

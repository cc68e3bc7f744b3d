"""A utility's revenue requirement worked by hand and held against the price after tax; interest earned; commitment."""

import numpy as np
import pytest

import geoecon
from geoecon.finance.discounting import present_value
from geoecon.report.answer import sections

UTILITY = {
    "project.owner": "utility", "timeline.operating_years": 2, "finance.debt_years": 2, "finance.discount_rate": "9 %/yr",
    "finance.debt_rate": "8 %/yr", "finance.equity_return": "12 %/yr", "tax.depreciation_years": 2,
}  # fmt: skip


def run(name, **told):
    return geoecon.evaluate(
        geoecon.load_case(geoecon.shipped_case(name), {path: str(value) for path, value in told.items()})
    )


def test_two_years_by_hand():
    """12 MUSD, half of it debt, written off in two years, 25 % tax: (8 % + 12 %) / 2 on the plant at the year's beginning."""
    parts = {name: values[1:, 0] / 1e6 for name, values in run("dunmarrow", **UTILITY).requirement.items()}
    assert parts["operating cost"] == pytest.approx([0.6, 0.6])
    assert parts["depreciation"] == pytest.approx([6, 6])
    assert parts["return on the rate base"] == pytest.approx([1.2, 0.6])
    assert parts["income tax"] == pytest.approx([0.72 * 0.25 / 0.75, 0.36 * 0.25 / 0.75])


def test_faster_tax_depreciation_lowers_the_rate_base():
    """All deducted in year 1: 25 % of the 6 MUSD taken early is deferred and no longer financed in year 2."""
    found = run("dunmarrow", **UTILITY | {"tax.depreciation_years": 1}).requirement
    assert found["return on the rate base"][1:, 0] / 1e6 == pytest.approx([1.2, 0.1 * (12 - 6 - 1.5)])


@pytest.mark.parametrize("told", [
    {}, {"tax.depreciation_years": 5}, {"tax.intangible_share": "70 %"}, {"timeline.spending_time": "middle"},
    {"operation.royalty": "4 %"}, {"capital.grant": "1 MUSD"}, {"capital.decommissioning": "2 MUSD"},
])  # fmt: skip
def test_value_of_requirements_is_that_of_cost_after_tax(told):
    """Where losses serve at once, the level requirement is the level price after tax at the same rate, found by search."""
    found = run("pell-crossing", **{"tax.losses": "used"} | told)
    assert found.value("revenue_requirement_levelized") == pytest.approx(
        found.value("lcoe_after_tax_nominal"), rel=1e-9
    )


def test_requirement_and_required_price_of_the_shipped_utility():
    """Straight from columns: the after-tax level price; and the price in year 1, which grows, is worth more than it."""
    found = run("pell-crossing")
    rate, a = 0.5 * 0.055 * 0.75 + 0.5 * 0.095, {name: values[:, 0] for name, values in found.annual.items()}
    factors = (1 + rate) ** -found.times[:, 0]
    initial, b = a["capital"] - a["sustaining_capital"], found.build_years
    written = np.zeros_like(initial)
    written[b : b + 20] = initial.sum() / 20
    for row in range(b, len(written)):
        start = min(row + 1, len(written) - 1)
        years = min(20, len(written) - start)
        written[start : start + years] += a["sustaining_capital"][row] / 20
        written[-1] += a["sustaining_capital"][row] * (1 - years / 20)
    cost = ((a["capital"] + 0.75 * a["operating_cost"] - 0.25 * written) * factors).sum()
    energy = (a["delivered_energy"] * factors).sum()
    required = found.value("revenue_requirement_levelized")
    assert required == pytest.approx(cost / (0.75 * energy), rel=1e-9)
    grown = np.where(found.times[:, 0] > 0, 1.015 ** (found.times[:, 0] - 1), 0.0)
    in_level = found.value("required_price") * (grown * a["delivered_energy"] * factors).sum() / energy
    assert found.value("required_price") < required < in_level


def test_interest_earned_as_asked():
    told = {"project.owner": "cooperative", "finance.target_tier": 3.0, "finance.target_dscr": 1.0}
    price = run("dunmarrow", **told).value("required_price")
    found = run("dunmarrow", **told | {"market.price": f"{price!r} USD/MWh"})
    a = {name: values[1:6, 0] for name, values in found.annual.items()}
    earned = a["revenue"] - a["operating_cost"] - a["tax"] - 1.2e6
    assert (earned / a["interest"]).min() == pytest.approx(found.value("tier_min"), rel=1e-9)
    assert found.value("tier_min") == pytest.approx(3.0, rel=1e-6)


def test_commitment_and_its_cap():
    told = {"project.owner": "public", "finance.commitment_cap": "11 MUSD"}
    found = run("dunmarrow", **told)
    assert found.value("total_commitment") == pytest.approx(12e6)
    assert any("1,000,000 USD more than is allowed" in warning for warning in found.warnings)
    assert not any("allowed" in w for w in run("dunmarrow", **told | {"finance.commitment_cap": "13 MUSD"}).warnings)


@pytest.mark.parametrize(("owner", "labels"), [
    ("private", ["Required price", "Return on equity", "Cover of debt service"]),
    ("utility", ["Revenue required", "", "Revenue at the price", "Required price", "Cover of debt service"]),
    ("cooperative", ["Required price", "Price for the return", "Cover of debt service", "Interest earned"]),
    ("public", ["Required price", "Price for the return", "Total commitment", "Cover of debt service", "Interest earned"]),
])  # fmt: skip
def test_what_each_owner_sees_first(owner, labels):
    assert [line.label for line in sections(run("dunmarrow", **{"project.owner": owner}))[0].lines] == labels


def test_value_is_at_the_discount_rate():
    found = run("dunmarrow")
    shown = found.as_json()["recipients"]["staff and local services"]
    worth = present_value(found.annual["operating_cost"], np.array([0.08]), found.times)[0]
    assert (shown["year_1"], shown["life"], shown["present_value"]) == pytest.approx((600e3, 6e6, worth))

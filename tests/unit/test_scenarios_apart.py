"""What a scenario gets does not depend on the others beside it, where their kinds differ: with debt and without."""

import numpy as np
import pytest

import geoecon
from geoecon.case import Case
from geoecon.finance.debt import LoanTerms, borrow
from geoecon.finance.measures import rate_of_return
from geoecon.finance.reasons import Reason

AMBRY = geoecon.shipped_case("ambry-wells").read_text(encoding="utf-8")


@pytest.mark.parametrize("owner", ["private", "public"])
@pytest.mark.parametrize("priced", [True, False])
def test_with_and_without_debt_side_by_side(owner, priced):
    text = AMBRY.replace('owner = "private"', f'owner = "{owner}"')
    if not priced:
        text = "\n".join(
            line
            for line in text.splitlines()
            if not line.startswith(("price = ", "price_growth", "term_", "price_after"))
        )
    case = Case.read(text)
    shares = np.array([0.0, 0.45, 0.2])
    together = geoecon.evaluate(case.with_values({"finance.debt_share": shares}))
    for n, share in enumerate(shares):
        alone = geoecon.evaluate(case.with_values({"finance.debt_share": share}))
        for name, metric in together.metrics.items():
            assert np.array_equal(metric.values[n : n + 1], alone.metrics[name].values, equal_nan=True), name
            assert metric.codes[n] == alone.metrics[name].codes[0], name


def test_the_fee_falls_due_in_each_scenarios_own_first_year():
    spending = np.array([[0.0, 50.0], [100.0, 50.0], [0.0, 0.0]])
    both = np.array([0.5, 0.5])
    terms = LoanTerms(both, both * 0.1, both * 0.08, 1, "level", 0)
    loan = borrow(spending, terms, 2)
    assert (loan.fees[:, 0] > 0).tolist() == [False, True, False]
    assert (loan.fees[:, 1] > 0).tolist() == [True, False, False]
    one = LoanTerms(both[:1], both[:1] * 0.1, both[:1] * 0.08, 1, "level", 0)
    assert np.array_equal(borrow(spending[:, :1], one, 2).fees[:, 0], loan.fees[:, 0])


def test_a_rate_far_below_zero_does_not_hide_the_real_one():
    flows = np.array(
        [-15445637, -15445637, -15445637, 4489744, 4492808, 3839336, 4220170, 4037254, 3314776, -3673309, 5039126, 4585192,
         4852993, 112902, -470906, 31821], dtype=float,
    ).reshape(-1, 1)  # fmt: skip
    rate, codes, changes = rate_of_return(flows, np.arange(-2.0, 14.0).reshape(-1, 1))
    assert codes[0] == Reason.NONE
    assert rate[0] == pytest.approx(-0.043, abs=5e-4)
    assert changes[0] > 1


def test_a_schedule_may_begin_with_nothing():
    text = AMBRY.replace(
        'price = "146 USD/MWh"', 'price_form = "schedule"\nprice_schedule = ["0 USD/MWh", "90 USD/MWh"]'
    )
    text = text.replace("term_years = 20\n", "").replace('price_growth = "1 %/yr"\n', "")
    price = geoecon.evaluate(Case.read(text)).annual["price"][:, 0]
    assert price[2:6].tolist() == [0.0, 90.0, 95.0, 95.0]


def test_the_flat_required_price_is_the_levelized_cost_with_pumps_to_replace():
    """No tax, no credit, no debt, one rate, a price for the life: to 1e-9, whatever the reserve setting."""
    told = {
        "tax.rules": "none", "tax.credit": "none", "finance.debt_share": "0 %", "finance.equity_return": "9 %/yr",
        "finance.discount_rate": "9 %/yr", "market.price_growth": "0 %/yr", "market.term_years": "25",
    }  # fmt: skip
    text = "\n".join(line for line in AMBRY.splitlines() if not line.startswith("price_after"))
    result = geoecon.evaluate(Case.read(text, told=told))
    assert result.annual["sustaining_capital"].sum() > 0
    assert result.value("required_price") == pytest.approx(result.value("lcoe_nominal"), rel=1e-9)


def test_performance_that_is_poorer_brings_make_up_wells_sooner():
    case = Case.read(AMBRY, told={"plant.stated_brine_flow": "173 kg/s"})  # no flow to spare at the start
    first = []
    for factor in (1.0, 0.9):
        result = geoecon.evaluate(case.with_values({"plant.performance_factor": factor}), geoecon.size(case))
        first.append(int((result.annual["producers"][2:, 0] > 3).argmax()))
    assert first == [6, 1]

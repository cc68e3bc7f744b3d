"""Costs by hand: size, contingency, build years, growth, pumps."""

import numpy as np
import pytest

import geoecon
from geoecon import evaluate
from geoecon.case import Case, load_case
from geoecon.costs import grown, plant_cost, pump_replacements, spread, with_contingency

INDEX = 1.1 ** np.arange(5.0).reshape(-1, 1) * np.ones(3)


def one(value):
    return np.array([float(value)])


def test_plant_cost_by_size():
    assert plant_cost(one(3000), one(5000), None, one(0.7)) == pytest.approx([15e6])
    assert plant_cost(one(3000), one(5000), one(5000), one(0.7)) == pytest.approx([15e6])
    assert plant_cost(one(3000), one(10000), one(5000), one(0.7)) == pytest.approx([15e6 * 2**0.7])
    assert plant_cost(one(3000), one(2500), one(5000), one(1.0)) == pytest.approx([7.5e6])


def test_contingency_leaves_wells_out_unless_they_are_named():
    base = {"plant": one(100), "wells": one(100), "permits": one(100)}
    assert with_contingency(base, {"all": one(0.2)}) == {"plant": [120], "wells": [100], "permits": [120]}
    named = with_contingency(base, {"all": one(0.2), "wells": one(0.1), "plant": one(0.0)})
    assert [float(named[name][0]) for name in base] == pytest.approx([100, 110, 120])
    assert with_contingency(base, {}) == base


def test_capital_is_spread_and_moved_from_the_price_year():
    bought = {"plant": np.array([100.0, 200.0, 0.0]), "wells": np.full(3, 10.0)}
    found = spread(bought, {"all": (0.4, 0.6), "wells": (1.0, 0.0)}, 2, INDEX)
    assert found["plant"][:, :2] == pytest.approx(np.array([[40, 80], [66, 132], [0, 0], [0, 0], [0, 0]]))
    assert found["wells"][:, 2].tolist() == [10, 0, 0, 0, 0]
    assert spread(bought, None, 2, INDEX)["plant"][:2, 0] == pytest.approx([50, 55])


def test_operating_cost_grows_above_inflation_from_year_2():
    found = grown(np.array([10.0, 20.0, 0.0]), INDEX, np.array([0.0, 0.1, 0.1]), 2)
    assert found[:, 0] == pytest.approx([0, 0, 10 * 1.1**2, 10 * 1.1**3, 10 * 1.1**4])
    assert found[:, 1] == pytest.approx([0, 0, 20 * 1.1**2, 20 * 1.1**4, 20 * 1.1**6])
    by_year = np.array([[1.0], [2.0], [4.0]]) * np.ones(3)
    assert grown(by_year, np.ones((5, 3)), np.zeros(3), 2)[:, 1].tolist() == [0, 0, 1, 2, 4]


@pytest.mark.parametrize(
    ("entered", "life", "replaced"),
    [
        ([3, 0, 0, 0, 0, 0, 0], 2, [0, 3, 0, 3, 0, 3, 0]),
        ([3, 0, 0, 0, 0, 0, 0], 7, [0, 0, 0, 0, 0, 0, 0]),  # none at the end of the life
        ([3, 0, 0, 0, 0, 0, 0], 1, [3, 3, 3, 3, 3, 3, 0]),
        ([3, 0, 1, 0, 0, 0, 0], 3, [0, 0, 3, 0, 1, 3, 0]),  # every pump by its own clock
    ],
)
def test_pumps_are_replaced_at_the_end_of_their_last_year(entered, life, replaced):
    found = pump_replacements(np.array(entered, dtype=float).reshape(-1, 1), life)
    assert found.ravel().tolist() == replaced


BOUGHT = """
[project]
name = "Bought"
[money]
currency = "USD"
price_year = 2026
inflation = "10 %/yr"
[timeline]
first_year = 2028
operating_years = 5
[plant]
kind = "stated"
net_capacity = "1 MW"
gross_capacity = "1.25 MW"
cost_per_kw = "4000 USD/kW"
cost_basis = "net"
[operation]
fixed_cost = "100 USD/kW/yr"
variable_cost = "2 USD/MWh"
insurance = "1 %/yr"
property_tax = "7 kUSD/yr"
land = "3 kUSD/yr"
[capital]
permits = "1 MUSD"
owners_cost = "10 %"
contingency = { all = "20 %", permits = "0 %" }
decommissioning = "100 kUSD"
[finance]
discount_rate = "8 %/yr"
"""


def test_what_a_case_buys():
    result = evaluate(Case.read(BOUGHT))
    accounts = {name: float(values[0]) for name, values in result.capital_accounts.items()}
    # The owner's cost is a share of the rest with its contingency, and bears its own.
    assert accounts == pytest.approx({"permits": 1e6, "plant": 4.8e6, "owners_cost": 0.58e6 * 1.2})
    capital = 1e6 + 4.8e6 + 0.696e6
    assert result.value("capital_cost") == pytest.approx(capital)
    assert result.annual["capital"][:, 0] == pytest.approx([capital * 1.1, 0, 0, 0, 0, 0])
    assert result.annual["decommissioning"][:, 0] == pytest.approx([0, 0, 0, 0, 0, 100e3 * 1.1**6])
    costs = {name: float(values[1, 0]) / 1.1**2 for name, values in result.operating_accounts.items()}
    expected = {
        "fixed_cost": 100e3,
        "variable_cost": 2 * 8760,
        "insurance": 0.01 * capital,
        "property_tax": 7e3,
        "land": 3e3,
    }
    assert {name: costs[name] for name in expected} == pytest.approx(expected)


def test_which_kilowatts_the_plant_cost_is_per():
    gross = evaluate(Case.read(BOUGHT).with_texts({"plant.cost_basis": "gross"}))
    assert gross.capital_accounts["plant"] == pytest.approx([4000 * 1250 * 1.2])
    quoted = {"plant.cost_reference_capacity": "500 kW", "plant.cost_exponent": "0.5"}
    assert evaluate(Case.read(BOUGHT).with_texts(quoted)).capital_accounts["plant"] == pytest.approx(
        [4000 * 500 * 2**0.5 * 1.2]
    )


@pytest.mark.parametrize(
    ("texts", "cost"),
    [
        ({"operation.fixed_cost": "150 kUSD/yr"}, 150e3),
        ({"operation.staff_floor": "180 kUSD/yr"}, 180e3),
        ({"operation.staff_floor": "50 kUSD/yr"}, 100e3),
    ],
)
def test_fixed_cost_by_unit_and_its_floor(texts, cost):
    found = evaluate(Case.read(BOUGHT).with_texts(texts)).operating_accounts["fixed_cost"]
    assert found[1, 0] == pytest.approx(cost * 1.1**2)


def test_money_already_spent_changes_nothing_but_a_warning():
    plain, spent = (evaluate(Case.read(BOUGHT).with_texts(t)) for t in ({}, {"capital.spent_to_date": "2 MUSD"}))
    assert spent.value("lcoe_real") == plain.value("lcoe_real")
    assert any("capital.spent_to_date" in warning for warning in spent.warnings)
    assert not any("capital.spent_to_date" in warning for warning in plain.warnings)


@pytest.mark.parametrize(("life", "stop", "years"), [(6, 2, [6, 12, 18]), (6, 1, [6, 12, 18, 24]), (6, 8, [6, 12]),
                                                     (5, 6, [5, 10, 15])])  # fmt: skip
def test_no_pump_is_bought_that_would_hardly_run(life, stop, years):
    """Over 25 years, counted by hand; what is left at the end of year 24 is one year."""
    entered = np.zeros((25, 1))
    entered[0] = 3
    replaced = pump_replacements(entered, life, stop)[:, 0]
    assert [n + 1 for n in np.flatnonzero(replaced)] == years
    assert set(replaced) == {0.0, 3.0}


def test_a_case_says_how_long_a_new_pump_has_to_run():
    case = load_case(geoecon.shipped_case("pell-crossing"))
    stated, always = evaluate(case), evaluate(case.with_values({"operation.pump_stop_years": 1}))
    bought = always.annual["sustaining_capital"] - stated.annual["sustaining_capital"]
    assert always.annual["year"][bought[:, 0] != 0, 0].tolist() == [24]

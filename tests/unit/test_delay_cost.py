"""What a late start costs, by hand: every cause alone, the sum, what falls due meanwhile, a credit that is lost."""

import json

import numpy as np
import pytest
from click.testing import CliRunner

import geoecon
from geoecon import evaluate
from geoecon.case import Case, load_case
from geoecon.cli import app
from geoecon.errors import CaseError
from geoecon.report.delay import as_json, cause_rows, delay_columns, lines, rows, verdict
from geoecon.sizing import size
from geoecon.studies.delay import (
    CAPACITY,
    CAUSES,
    DEADLINE,
    ENERGY,
    PENALTY,
    PRICES,
    SAVED,
    SERVICE,
    TAXES,
    delay_cost,
    shifted,
)

MWH = 8760.0
PLAIN = """
[project]
name = "Late"
[money]
currency = "USD"
price_year = 2030
[timeline]
first_year = 2030
operating_years = 5
[plant]
kind = "stated"
net_capacity = "1 MW"
cost_per_kw = "2000 USD/kW"
cost_basis = "net"
[operation]
fixed_cost = "50 USD/kW/yr"
[market]
price = "100 USD/MWh"
[finance]
discount_rate = "8 %/yr"
equity_return = "8 %/yr"
"""
DEBT = {"finance.debt_share": "40 %", "finance.debt_rate": "5 %/yr", "finance.debt_years": "4"}
CREDIT = {"tax.rules": "us-2026", "tax.credit": "investment", "tax.credit_use": "sold", "tax.credit_sale_price": "100 %",
          "tax.construction_begins": "2028", "timeline.first_year": "2034", "money.price_year": "2034",
          "money.inflation": "0 %/yr"}  # fmt: skip


def study(months=(6, 12), **told):
    return delay_cost(Case.read(PLAIN, told=told), months)


def nonzero(found):
    return {name for name, part in found.causes.items() if np.abs(part).max() > 1e-6}


def test_energy_alone():
    """A flat price without tax: half a year and a year of sales at the end of year 1."""
    found = study()
    assert found.months.tolist() == [0, 6, 12]
    assert found.cost == pytest.approx([0, 50 * MWH / 1.08, 100 * MWH / 1.08])
    assert nonzero(found) == {ENERGY}
    assert found.put_in == pytest.approx([0, 0, 50_000])
    assert verdict(found).startswith(
        "Starting 12 months late costs 811.1 kUSD of the owner's value, 67.59 kUSD a month;"
    )


def test_costs_that_go_with_energy_are_saved():
    found = study((12,), **{"operation.variable_cost": "10 USD/MWh", "operation.royalty": "5 %"})
    assert found.causes[SAVED][1] == pytest.approx(-15 * MWH / 1.08)
    assert nonzero(found) == {ENERGY, SAVED}


def test_capacity_and_a_promise():
    found = study((6,), **{"market.capacity_price": "40 USD/kW/yr", "market.guaranteed_energy": "6000 MWh/yr",
                           "market.shortfall_penalty": "20 USD/MWh"})  # fmt: skip
    assert found.causes[CAPACITY][1] == pytest.approx(20_000 / 1.08)
    assert found.causes[PENALTY][1] == pytest.approx(20 * (6000 - MWH / 2) / 1.08)
    assert found.cost == pytest.approx(sum(found.causes.values()))


def test_a_term_that_does_not_wait():
    """A year late of three at 100 and then 40: a year at the contract price is lost, and one at 40 would have been the last."""
    told = {"market.term_years": "3", "market.price_after_term": "40 USD/MWh"}
    found = study((12,), **told)
    assert found.cost[1] == pytest.approx(100 * MWH / 1.08)
    assert found.causes[PRICES][1] == pytest.approx(60 * MWH / 1.08**4)  # year 4 would still be of the contract
    assert found.causes[ENERGY][1] == pytest.approx(found.cost[1] - found.causes[PRICES][1])


def test_steps_upward_come_all_the_same():
    told = {"market.price_form": "stepped", "market.price_steps": '{ 1 = "60 USD/MWh", 3 = "90 USD/MWh" }'}
    case = Case.read(PLAIN.replace('price = "100 USD/MWh"\n', ""), told=told)
    found = delay_cost(case, (6,))
    assert found.causes[PRICES][1] == pytest.approx(-15 * MWH / 1.08**3)  # half of year 3 would be at 60 still
    assert found.cost[1] == pytest.approx(30 * MWH / 1.08)


def test_prices_that_begin_with_the_unit():
    price = np.array([[0.0], [80.0], [90.0], [100.0]])
    assert (
        pytest.approx(np.array([[80, 90, 100], [80, 87.5, 97.5], [80, 80, 80]]))
        == shifted(price, np.array([0.0, 0.25, 2.0]), 1)[1:].T
    )


def test_debt_service_does_not_wait():
    found, free = study((6, 18), **DEBT), study((6, 18))
    service = 800_000 * 0.05 / (1 - 1.05**-4)
    assert found.service == pytest.approx([0, service / 2, 1.5 * service])
    assert (found.causes[SERVICE] == 0).all()
    assert found.cost == pytest.approx(free.cost)
    assert found.put_in[1] == pytest.approx(max(service + 50_000 - 50 * MWH, 0))


def test_tax_is_what_the_owner_saves():
    found = study((12,), **{"tax.rate": "25 %", "tax.losses": "used"})
    assert found.causes[TAXES][1] == pytest.approx(-0.25 * 100 * MWH / 1.08)
    assert found.cost[1] == pytest.approx(0.75 * 100 * MWH / 1.08)


@pytest.mark.parametrize(("begins", "left"), [(2031, [1, 1, 1, 1]), (2032, [1, 1, 1, 0.75]), (2033, [1, 1, 0.75, 0.5])])
def test_a_credit_with_a_deadline(begins, left):
    """In full until 2033, then 75 %, then 50 %; only whole years move the year in which construction begins."""
    found = study((11, 12, 24), **(CREDIT | {"tax.construction_begins": str(begins)}))
    assert found.credit_left.tolist() == left
    base = evaluate(Case.read(PLAIN, told=CREDIT | {"tax.construction_begins": str(begins)}))
    lost = found.causes[DEADLINE]
    assert (lost > 0).tolist() == [share < 1 for share in left]
    less = study((11, 12, 24), **(CREDIT | {"tax.construction_begins": str(begins), "tax.credit_rate": "30 %"}))
    assert lost == pytest.approx(found.cost - less.cost)
    assert found.metrics["npv"][0] == pytest.approx(base.value("npv"))
    # 30 % of 2 M in year 1, less what a smaller cut of the basis saves of tax.
    assert (lost <= (1 - np.array(left)) * 0.30 * 2e6 / 1.08 + 1e-6).all()


def test_a_case_without_a_price_has_only_figures():
    case = Case.read(PLAIN.replace('price = "100 USD/MWh"\n', ""))
    found = delay_cost(case)
    assert found.value == ""
    assert cause_rows(found) == []
    assert "states no price" in verdict(found)
    assert np.diff(found.metrics["required_price"]).min() > 0
    assert as_json(found)["cost"] == [None] * 4


@pytest.mark.parametrize("months", [(-1,), (37,), (np.nan,)])
def test_delays_that_cannot_be(months):
    with pytest.raises(CaseError, match="0 to 36 months late"):
        study(months)


@pytest.mark.parametrize("name", geoecon.shipped_cases())
def test_causes_of_every_shipped_case_sum_to_its_cost(name):
    case = load_case(geoecon.shipped_case(name))
    found = delay_cost(case, (3, 6, 12, 30))
    if found.value:
        assert sum(found.causes.values()) == pytest.approx(found.cost, rel=1e-9, abs=1e-3)
        for at, months in enumerate(found.months):
            alone = evaluate(case.with_values({"timeline.delay": months / 12}), size(case))
            assert alone.value(found.value) == pytest.approx(found.metrics[found.value][at], rel=1e-12)
    told = list(lines(found))
    assert told[0] == verdict(found)
    assert len(rows(found)[0]) == found.months.size + 1
    assert len(delay_columns(found)["late [months]"]) == found.months.size
    assert set(found.causes) in (set(), set(CAUSES))


def test_the_command(tmp_path):
    file = tmp_path / "late.toml"
    file.write_text(PLAIN, encoding="utf-8")
    done = CliRunner().invoke(app, ["delay", str(file), "--months", "18", "--out", str(tmp_path / "late.csv")])
    assert done.exit_code == 0, done.output
    assert "18 months" in done.output
    assert "energy not sold" in done.output
    assert (tmp_path / "late.csv").read_text().startswith("late [months],cost [USD],energy not sold [USD]")
    found = json.loads(CliRunner().invoke(app, ["delay", str(file), "--json"]).output)
    assert found["months"] == [0, 3, 6, 12]
    assert found["cost"][3] == pytest.approx(100 * MWH / 1.08)

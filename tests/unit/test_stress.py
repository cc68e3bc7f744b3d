"""Stresses: each is a plain pass with the plant held, and breaks where a sum on paper says."""

import re
from dataclasses import replace

import numpy as np
import numpy_financial as npf
import pytest

import geoecon
from geoecon import evaluate, size
from geoecon.case import Case, load_case
from geoecon.errors import CaseError
from geoecon.report import charts
from geoecon.report.charts.stresses import stress_dots
from geoecon.report.stresses import amount, as_json, label, outcome, stress_columns, verdict
from geoecon.report.tables import table_file
from geoecon.result import METRICS
from geoecon.studies.stress import BREAKS, BROKEN_BEFORE, HOLDS, UNKNOWN, Break, stress_set
from geoecon.studies.uncertain import uncertain_inputs

CASES = tuple(geoecon.shipped_cases())
# Level energy, price and cost; one build year at its end, so no interest before operation; no tax.
LEVEL = """
[project]
name = "Level"
[money]
currency = "USD"
price_year = 2028
[timeline]
first_year = 2028
operating_years = 10
[plant]
kind = "stated"
net_capacity = "1 MW"
cost_per_kw = "3000 USD/kW"
cost_basis = "net"
[operation]
fixed_cost = "200 kUSD/yr"
[market]
price = "80 USD/MWh"
[finance]
discount_rate = "8 %/yr"
debt_share = "60 %"
debt_rate = "6 %/yr"
debt_years = 10
"""
ENERGY, PRICE, FIXED, DEBT = 8760.0, 80.0, 200_000.0, 1_800_000.0
SERVICE = -npf.pmt(0.06, 10, DEBT)


def shipped(name, **told):
    return load_case(geoecon.shipped_case(name), told)


def rows(found):
    return {row.stress.name: row for row in found.rows}


@pytest.fixture(scope="module")
def sets():
    return {name: stress_set(shipped(name)) for name in CASES}


@pytest.fixture(scope="module")
def level():
    return stress_set(Case.read(LEVEL))


@pytest.mark.parametrize("name", CASES)
def test_every_row_is_a_plain_pass_with_the_plant_held(sets, name):
    case = shipped(name)
    for row in sets[name].rows:
        if row.stress.without:
            assert not row.metrics
            continue
        after = {path: ends[1] for path, ends in row.stress.values.items()}
        plain = evaluate(case.with_values(after) if after else case, size(case))
        for key, metric in plain.metrics.items():
            assert np.array_equal(row.metrics[key], metric.values[0], equal_nan=True), (row.stress.name, key)
            assert row.reasons.get(key, "") == metric.reason


@pytest.mark.parametrize("name", CASES)
def test_sizes_are_what_lenders_usually_test(sets, name):
    found, base = rows(sets[name]), evaluate(shipped(name))
    assert found["capital cost"].metrics["capital_cost"] == pytest.approx(1.1 * base.value("capital_cost"), rel=1e-12)
    assert found["late start"].stress.values == {"timeline.delay": (0.0, 0.5)}
    before, after = found["price"].stress.values["market.price"]
    assert after == pytest.approx(0.9 * before)
    if not found["debt rate"].stress.without:
        before, after = found["debt rate"].stress.values["finance.debt_rate"]
        assert after == pytest.approx(before + 0.01)
    for path, (before, after) in found["operating cost"].stress.values.items():
        assert after == pytest.approx(1.1 * before), path
    for path, (before, after) in found["field decline"].stress.values.items():
        assert after == pytest.approx(1.5 * before), path


@pytest.mark.parametrize("name", ["sorrel-basin", "kettle-sound", "pell-crossing", "ambry-wells"])
def test_a_weak_resource_is_one_in_ten_by_its_own_distribution(sets, name):
    uncertain = uncertain_inputs(shipped(name))
    for path, (_, after) in rows(sets[name])["weak resource"].stress.values.items():
        unfavourable = 0.9 if path == "resource.temperature_decline" else 0.1
        assert uncertain[path].chance_below(after) == pytest.approx(unfavourable, abs=1e-9), path


def test_changes_of_one_input_add_when_all_come_together(sets):
    found = rows(sets["sorrel-basin"])
    path = "resource.temperature_decline"
    moved = sum(found[name].stress.reach[path] for name in ("weak resource", "field decline"))
    assert found["all together"].stress.reach[path] == pytest.approx(moved)
    assert set(found["all together"].stress.reach) == {p for r in sets["sorrel-basin"].rows for p in r.stress.reach}


def test_breaks_by_hand(level):
    """Cover is (energy x price - cost) / service in every year; each break is where that is 1."""
    left = ENERGY * PRICE - FIXED - SERVICE
    by_hand = {
        "price": left / (0.10 * ENERGY * PRICE),
        "operating cost": left / (0.10 * FIXED),
        "capital cost": left / (0.10 * SERVICE),  # debt keeps its share of what is spent
        "late start": left / (0.5 * ENERGY * PRICE),  # less than a year
    }
    found = rows(level)
    assert level.criterion == "dscr_min"
    assert level.base.metrics["dscr_min"] == pytest.approx((ENERGY * PRICE - FIXED) / SERVICE)
    for name, at in by_hand.items():
        if at <= 5:
            assert found[name].breaks.state == BREAKS
            assert found[name].breaks.size == pytest.approx(at, rel=1e-5), name
        else:
            assert found[name].breaks == Break(HOLDS), name
    assert sum(at <= 5 for at in by_hand.values()) >= 2


def test_a_debt_rate_breaks_where_the_level_payment_is_the_cash():
    found = rows(stress_set(Case.read(LEVEL.replace("80 USD", "55 USD"))))["debt rate"]
    cash = ENERGY * 55 - FIXED
    assert -npf.pmt(0.06 + 0.01 * found.breaks.size, 10, DEBT) == pytest.approx(cash, rel=1e-6)


def test_without_debt_the_owners_value_is_asked():
    text = LEVEL.replace('debt_share = "60 %"', 'debt_share = "0 %"').replace("80 USD", "90 USD")
    found = stress_set(Case.read(text))
    assert (found.criterion, found.least) == ("npv_equity", 0.0)
    annuity = -npf.pv(0.08, 10, 1.0)
    value = (ENERGY * 90 - FIXED) * annuity - 3e6
    assert found.base.metrics["npv_equity"] == pytest.approx(value)
    assert rows(found)["price"].breaks.size == pytest.approx(value / (0.1 * ENERGY * 90 * annuity), rel=1e-5)
    debt = rows(found)["debt rate"]
    assert debt.breaks is None
    assert outcome(found, debt) == "does not apply: it has no debt"


def test_a_case_broken_before_is_said(sets):
    found = sets["tessel-ridge"]
    assert {row.breaks.state for row in found.rows if row.breaks} == {BROKEN_BEFORE}
    assert verdict(found) == "The owner's value is below zero before any stress."
    assert outcome(found, rows(found)["price"]) == "already broken in the base"


def test_a_case_without_price_has_nothing_to_break():
    found = stress_set(Case.read(LEVEL.replace('price = "80 USD/MWh"', "")))
    assert found.criterion == ""
    assert all(row.breaks is None for row in found.rows)
    assert "states no price" in verdict(found)
    assert "states no price of its own" in outcome(found, rows(found)["price"])
    assert rows(found)["capital cost"].metrics["required_price"] > found.base.metrics["required_price"]


def test_prices_by_year_have_no_stress_that_one_pass_could_make():
    schedule = 'price_form = "schedule"\nprice_schedule = [' + ", ".join(['"80 USD/MWh"'] * 10) + "]"
    found = stress_set(Case.read(LEVEL.replace('price = "80 USD/MWh"', schedule)))
    assert rows(found)["price"].stress.without
    assert rows(found)["capital cost"].breaks is not None


def test_words_say_what_happens(level):
    found = rows(level)
    assert label(found["capital cost"].stress) == "capital cost +10 %"
    assert label(found["late start"].stress) == "late start 6 months"
    assert label(found["debt rate"].stress) == "debt rate +1 percentage point"
    price = found["price"]
    assert outcome(level, price) == f"cover holds; it would break at {amount(price.stress, price.breaks.size)}"
    assert outcome(level, replace(price, breaks=Break(HOLDS))) == "cover holds; not broken even at 5 times that"
    odd = replace(price, breaks=Break(BREAKS, 0.5))
    assert outcome(level, odd) == "cover holds, but not at every smaller size: it breaks first at -5 %"
    assert (
        outcome(level, replace(price, breaks=Break(UNKNOWN, 2.0)))
        == "cover holds; beyond -20 % nothing can be worked out"
    )
    failing = replace(price, metrics={**price.metrics, "dscr_min": 0.9}, breaks=Break(BREAKS, 0.5))
    assert outcome(level, failing) == "cover fails; it first breaks at -5 %"


@pytest.mark.parametrize("name", CASES)
def test_breaks_are_where_the_pass_changes_side(sets, name):
    case, found = shipped(name), sets[name]
    for row in found.rows:
        if row.breaks is None or row.breaks.state != BREAKS:
            continue
        for near, holds in ((row.breaks.size * (1 - 1e-4) - 1e-5, True), (row.breaks.size, False)):
            moved = {path: ends[0] + near * row.stress.reach[path] for path, ends in row.stress.values.items()}
            value = evaluate(case.with_values(moved), size(case)).value(found.criterion)
            assert (value >= found.least) is holds, (row.stress.name, near)


@pytest.mark.parametrize("name", CASES)
def test_the_chart_and_the_table_hold_the_set(sets, name):
    found = sets[name]
    for metric in ("required_price", "dscr_min", "npv_equity"):
        chart = stress_dots(found, metric)
        chart.picture.to_dict()
        assert chart.sentence.endswith(".")
        assert not re.search(r"\bnan\b", chart.sentence)
    shown = [row for row in found.rows if row.metrics]
    assert list(stress_dots(found, "first_year_energy").data["value"]) == [
        r.metrics["first_year_energy"] for r in shown
    ]
    assert b"<svg" in charts.picture_file(stress_dots(found, "required_price"), "svg")
    assert len(table_file(stress_columns(found), "csv").decode().splitlines()) == len(found.rows) + 1
    plain = as_json(found)["stresses"]
    assert plain[0]["name"] == "base"
    assert all(set(row["metrics"]) in ({*METRICS}, set()) for row in plain)


def test_a_case_that_cannot_be_worked_out_is_refused():
    with pytest.raises(CaseError, match=r"resource\.temperature"):
        stress_set(shipped("sorrel-basin", **{"resource.temperature": "20 degC"}))

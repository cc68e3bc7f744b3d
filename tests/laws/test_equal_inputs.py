"""Two ways to state the same thing give the same answers."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from geoecon import evaluate
from tests.laws.strategies import cases, decimal, read, same


@given(cases(tax=False))
def test_a_tax_of_zero_is_no_tax(values):
    without, zero = evaluate(read(values)), evaluate(read(values | {"tax.rules": '"plain"', "tax.rate": '"0 %"'}))
    for name, metric in without.metrics.items():
        assert np.array_equal(metric.values, zero.metrics[name].values, equal_nan=True), name
        assert np.array_equal(metric.codes, zero.metrics[name].codes), name
    for name in set(without.annual) - {"depreciation"}:  # what could be deducted is shown where there are rules
        assert np.array_equal(without.annual[name], zero.annual[name], equal_nan=True), name


@given(cases())
def test_a_schedule_that_spells_out_a_growing_price_is_that_price(values):
    case = read(values)
    market, life = case.market, case.timeline.operating_years
    growth, term = 1 + market.price_growth[0], market.term_years or life
    prices = [market.price[0] * growth**age for age in range(term)]
    prices += [market.price_after_term[0] * growth**age for age in range(life - term)] if term < life else []
    spelled = {path: v for path, v in values.items() if path not in {"market.price", "market.term_years"}}
    listed = ", ".join(f'"{price!r} USD/MWh"' for price in map(float, prices))
    spelled |= {"market.price_form": '"schedule"', "market.price_schedule": f"[{listed}]"}
    ours, theirs = evaluate(case), evaluate(read(spelled))
    assert same(ours.annual["price"], theirs.annual["price"])
    for name in ("npv", "npv_equity"):
        assert same(ours.value(name), theirs.value(name), size=ours.value("capital_cost"))
    for name in ("price_levelized_nominal", "price_levelized_real", "dscr_min", "llcr"):
        assert same(ours.value(name), theirs.value(name), size=1.0), name


@given(cases(capacity=False), decimal(1.1, 3))
def test_scaling_the_price_scales_revenue(values, scale):
    case, both = read(values), np.array([1.0, scale])
    scaled = {"market.price": case.market.price * both}
    if case.market.price_after_term is not None:
        scaled["market.price_after_term"] = case.market.price_after_term * both
    result = evaluate(case.with_values(scaled))
    revenue, cost = result.annual["revenue"], result.metrics["lcoe_nominal"].values
    assert same(revenue[:, 0] * scale, revenue[:, 1])
    level = result.metrics["price_levelized_real"].values
    assert same(level[0] * scale, level[1])
    assert cost[0] == cost[1]


@given(cases(), st.integers(2, 5))
def test_money_in_another_coin_scales_money_and_nothing_else(values, coin):
    """A currency worth a fifth has five times the prices and costs, and the same rates of return."""
    case, both = read(values), np.array([1.0, coin])
    scaled = {}
    for path, text in values.items():
        table, _, leaf = path.partition(".")
        if "USD" in text and path != "money.currency":
            value = getattr(getattr(case, table), leaf)
            scaled[path] = both * getattr(value, "values", value)
    result = evaluate(case.with_values(scaled))
    for name, metric in result.metrics.items():
        ours, theirs = metric.values * np.where(metric.unit.startswith("USD"), both[::-1], 1.0)
        size = coin * result.metrics["capital_cost"].values[0] if metric.unit == "USD" else 0.01
        assert same(ours, theirs, size=size, rtol=1e-8), name

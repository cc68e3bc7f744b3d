"""Laws of prices: what must change nothing does not, twice the price earns twice as much, a price found leaves nothing."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from geoecon import evaluate
from tests.laws.strategies import cases, read, same


def sold(result):
    return result.annual["price"] * result.annual["delivered_energy"]


@given(cases(), st.sampled_from(["ones", "bounds"]))
def test_what_must_change_nothing(values, how):
    more = {
        "ones": {"market.delivery_factors": str([1.0] * 12)},
        "bounds": {"market.price_floor": '"0 USD/MWh"', "market.price_cap": '"1e7 USD/MWh"'},
    }[how]
    base, other = evaluate(read(values)), evaluate(read(values | more))
    assert same(other.annual["price"], base.annual["price"], size=base.annual["price"].max())
    for name in ("npv", "npv_equity"):
        assert same(other.metrics[name].values, base.metrics[name].values, size=base.metrics["capital_cost"].values)
    needed, again = (r.metrics["required_price"] for r in (base, other))
    assert (needed.codes == again.codes).all()
    assert same(again.values, needed.values, size=np.nan_to_num(needed.values) + 1.0) or needed.codes[0]


@given(cases())
def test_twice_the_price_is_twice_the_revenue(values):
    bounded = values | {"market.price_floor": '"70 USD/MWh"', "market.price_cap": '"90 USD/MWh"'}
    case = read(bounded)
    double = {"market.price": case.market.price * 2, "market.price_floor": case.market.price_floor * 2,
              "market.price_cap": case.market.price_cap * 2}  # fmt: skip
    if case.market.price_after_term is not None:
        double["market.price_after_term"] = case.market.price_after_term * 2
    assert same(sold(evaluate(case.with_values(double))), 2 * sold(evaluate(case)), size=1.0)


@given(cases(), st.integers(40, 120), st.integers(0, 80))
def test_a_price_found_within_bounds_leaves_nothing(values, floor, more):
    bounds = {"market.price_floor": f'"{floor} USD/MWh"', "market.price_cap": f'"{floor + more} USD/MWh"'}
    result = evaluate(read(values | bounds))
    needed = result.metrics["required_price"]
    if needed.codes[0] or result.owner in {"public", "cooperative"}:
        return
    level = result.index[result.build_years, 0] if "real" in values["market.price_basis"] else 1.0
    back = evaluate(read(values | bounds).with_values({"market.price": needed.values / level}))
    value = back.metrics["npv_equity"]
    assert value.codes[0] or abs(value.values[0]) <= 1e-6 * result.metrics["capital_cost"].values[0] + 1e-3


@given(cases())
def test_prices_within_bounds_stay_there(values):
    bounds = {
        "market.price_floor": '"80 USD/MWh"',
        "market.price_cap": '"95 USD/MWh"',
        "market.price_basis": '"nominal"',
    }
    price = evaluate(read(values | bounds)).annual["price"]
    running = price[price.any(axis=1)]
    assert (running >= 80).all()
    assert (running <= 95).all()

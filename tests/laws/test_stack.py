"""Parts of a price sum to it, and the ways of levelizing a cost follow from one another, whatever the project."""

import numpy as np
from hypothesis import assume, given
from hypothesis import strategies as st

from geoecon import evaluate
from geoecon.finance.fixed_charge import fixed_charge_rate
from geoecon.finance.levelized import levelized_cost, levelized_cost_after_tax, price_for_return
from geoecon.finance.prices import levelized_price
from geoecon.finance.stack import AFTER_TAX, COST, FIRST, REQUIRED, Stack, reconciled, total
from geoecon.finance.statement import arrange
from tests.laws.strategies import cases, numbers, price_paths, projects, read, same

SIMPLE = {"tax": False, "credit": False, "debt": False, "grant": False, "capacity": False, "term": False}


@given(st.data(), st.booleans())
def test_parts_sum_to_the_price_they_are_parts_of(data, real):
    found, terms = data.draw(projects())
    shape = found.energy.shape[1:]
    rate = data.draw(numbers(shape, 0, 200, 0.001))
    financing, path = arrange(found, terms), data.draw(price_paths(found))
    index = found.index if real else np.ones_like(found.index)
    cost = levelized_cost(found, rate, index)
    after_tax, _ = levelized_cost_after_tax(financing, rate, index, cost)
    price = price_for_return(financing, path, data.draw(numbers(shape, 0, 300, 0.001)), cost)
    stack = Stack(financing, rate, index, after_tax, price)
    required = levelized_price(path.at(price.value), found.energy, rate, found.times, index)
    for name, value in ((COST, cost), (AFTER_TAX, after_tax), (REQUIRED, required)):
        there = ~np.isnan(value)
        assert (np.isnan(total(stack.prices[name])) == ~there).all()
        assert same(total(stack.prices[name])[there], value[there])


@given(st.data())
def test_steps_lead_from_each_way_to_the_next(data):
    found, terms = data.draw(projects())
    shape = found.energy.shape[1:]
    rate = data.draw(numbers(shape, 1, 200, 0.001))
    inflation = found.index[-1] / found.index[-2] - 1
    assume((terms.tax.rate < 1).all())
    financing, path = arrange(found, terms), data.draw(price_paths(found))
    cost = levelized_cost(found, rate, found.index)
    after_tax, _ = levelized_cost_after_tax(financing, rate, found.index, cost)
    price = price_for_return(financing, path, rate + 0.02, cost)
    reached, there = np.zeros(shape), np.ones(shape, dtype=bool)
    wanted = {COST: cost, AFTER_TAX: after_tax, FIRST: price.value}
    for to, steps in reconciled(Stack(financing, rate, found.index, after_tax, price), inflation):
        size = np.abs(reached) + sum(np.abs(step) for step in steps.values())
        reached = reached + total(steps)
        if to in wanted:
            there = there & ~np.isnan(wanted[to])  # no step leads on from a price that does not exist
            assert (np.abs(reached - wanted[to])[there] <= 1e-9 * size[there]).all()


@given(cases(**SIMPLE))
def test_without_tax_and_loan_all_prices_have_the_same_parts(values):
    """With the return asked at the discount rate and nothing saved up there is nothing to explain after the cost."""
    told = {"finance.equity_return": values["finance.discount_rate"], "finance.sustaining_funding": '"cash"'}
    result = evaluate(read(values | told))
    _, (_, steps), *later = reconciled(result.stacks["real"], result.case.money.inflation)
    assert same(steps["tax and credit as a factor, taken out"], 0.0)
    cost = total(result.stacks["real"].prices[COST])
    for to, parts in later:
        if to in {AFTER_TAX, REQUIRED}:
            assert np.abs(total(parts)).max() <= 1e-9 * cost.max()


@given(st.floats(0.0, 0.3), st.integers(1, 60))
def test_a_charge_recovers_capital(rate, years):
    """So many charges at the end of each year are worth the capital; numpy-financial is the other computation."""
    import numpy_financial as npf

    assert same(npf.npv(rate, np.r_[0.0, np.full(years, float(fixed_charge_rate(rate, years)))]), 1.0)

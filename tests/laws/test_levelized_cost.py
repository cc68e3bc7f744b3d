"""A levelized cost is a price at which cost and revenue are worth the same, and a required price is one of its kind."""

from dataclasses import replace

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from geoecon import evaluate
from geoecon.arrays import over_years
from geoecon.finance.discounting import present_value
from geoecon.finance.levelized import (
    levelized_cost,
    levelized_cost_after_tax,
    price_for_cover,
    price_for_return,
)
from geoecon.finance.prices import levelized_price
from geoecon.finance.statement import Terms, arrange, equity_cash_flow, operating_profit, project_cash_flow
from geoecon.finance.tax import TaxTerms
from tests.laws.strategies import cases, loans, numbers, price_paths, projects, read, same, streams

BARE = {"tax": False, "credit": False, "debt": False, "grant": False, "capacity": False, "term": False}


@given(st.data(), st.booleans())
def test_levelized_cost_times_discounted_energy_is_discounted_cost(data, real):
    found = data.draw(streams(bare=True))
    rate = data.draw(numbers((found.energy.shape[1],), 0, 200, 0.001))
    index = found.index if real else np.ones_like(found.index)
    cost = levelized_cost(found, rate, index)
    revenue, royalty, operating = operating_profit(found, cost * index)
    assert same(royalty, found.revenue_share * revenue)
    spent = present_value(operating + found.spent + found.decommissioning, rate, found.times)
    earned = present_value(cost * index * found.energy, rate, found.times)
    assert same(earned, spent)


@given(cases(**BARE))
def test_required_price_is_levelized_cost(values):
    """A flat price that gives the owner the discount rate is the nominal cost; one that grows with inflation the real cost.

    Nothing is saved up for pumps and wells here: in a reserve the owner's money lies still, which costs a little more.
    """
    same_rate = {"finance.equity_return": values["finance.discount_rate"], "finance.sustaining_funding": '"cash"'}
    case = read(values | same_rate | {"market.price_basis": '"nominal"'})
    inflation = case.money.inflation[0]
    result = evaluate(case.with_values({"market.price_growth": np.array([0.0, inflation])}))
    required = result.metrics["required_price"].values
    to_year_1 = (1 + inflation) ** (case.timeline.first_year - case.money.price_year)
    assert same(required[0], result.metrics["lcoe_nominal"].values[0])
    assert same(required[1], result.metrics["lcoe_real"].values[1] * to_year_1)


@given(st.data(), st.booleans())
def test_without_tax_the_cost_after_tax_is_the_cost(data, real):
    found = data.draw(streams(bare=True))
    rate = data.draw(numbers(found.energy.shape[1:], 0, 200, 0.001))
    terms = Terms(data.draw(loans(found)), TaxTerms(0 * rate, {}, True, 1 + 0 * rate, None), True, 5, False)
    index = found.index if real else np.ones_like(found.index)
    cost = levelized_cost(found, rate, index)
    after, codes = levelized_cost_after_tax(arrange(found, terms), rate, index, cost)
    assert (codes == 0).all()
    assert same(after, cost)


@given(st.data(), st.booleans())
def test_value_is_zero_at_the_cost_after_tax(data, real):
    found, terms = data.draw(projects())
    rate = data.draw(numbers(found.energy.shape[1:], 0, 200, 0.001))
    index = found.index if real else np.ones_like(found.index)
    financing = arrange(found, terms)
    price, codes = levelized_cost_after_tax(financing, rate, index, levelized_cost(found, rate, index))
    value = present_value(project_cash_flow(financing, price * index)[0], rate, found.times)
    size = present_value(found.spent + found.fixed_operating, rate, found.times)
    assert np.array_equal(np.isnan(price), codes != 0)
    assert same(value[codes == 0], 0.0, size=size[codes == 0])


@given(st.data())
def test_value_to_the_owner_is_zero_at_the_required_price(data):
    found, terms = data.draw(projects())
    path = data.draw(price_paths(found))
    rate = data.draw(numbers(found.energy.shape[1:], 0, 200, 0.001))
    financing = arrange(found, terms)
    required = price_for_return(financing, path, rate, levelized_cost(found, rate, np.ones_like(found.index)))
    value = present_value(equity_cash_flow(financing, path.at(required.value))[0], rate, found.times)
    size = present_value(found.spent + found.fixed_operating, rate, found.times)
    met = required.codes == 0
    assert np.array_equal(np.isnan(required.value), ~met)
    assert same(value[met], 0.0, size=size[met])


@given(st.data())
def test_every_condition_is_kept_at_the_price_for_cover(data):
    found, terms = data.draw(projects())
    terms = replace(terms, tax=replace(terms.tax, rate=0 * terms.tax.rate, credit=None))
    path, target = data.draw(price_paths(found)), data.draw(numbers(found.energy.shape[1:], 100, 200, 0.01))
    financing = arrange(found, terms)
    guess = levelized_cost(found, 0 * target, np.ones_like(found.index))
    required = price_for_cover(financing, path, target, guess)
    flow, _, cfads = equity_cash_flow(financing, path.at(required.value))
    service = financing.loan.service
    margin = np.concatenate(
        [np.where(service > 0, cfads - target * service, np.inf)[found.first :], flow[found.first :]]
    )
    met = required.codes == 0
    assert same(margin.min(axis=0)[met], 0.0, size=over_years(found.spent + found.fixed_operating)[met])
    assert np.array_equal(margin.argmin(axis=0)[met], required.binds[met])
    cheaper = equity_cash_flow(financing, path.at(0.99 * required.value))
    short = np.where(service > 0, cheaper[2] - target * service, np.inf)[found.first :].min(axis=0)
    short = np.minimum(short, cheaper[0][found.first :].min(axis=0))
    paying = met & (required.value > 0) & (path.shape[found.first :] > 0).all(axis=0)
    assert (short[paying] < 0).all()


@given(st.data(), st.booleans())
def test_levelized_price_is_worth_the_same_as_the_prices(data, real):
    found = data.draw(streams(bare=True))
    shape = found.energy.shape
    price, rate = data.draw(numbers(shape, 0, 300)), data.draw(numbers(shape[1:], 0, 200, 0.001))
    index = found.index if real else np.ones_like(found.index)
    level = levelized_price(price, found.energy, rate, found.times, index)
    worth = present_value(level * index * found.energy, rate, found.times)
    assert same(worth, present_value(price * found.energy, rate, found.times))

"""What must hold of income tax whatever the project."""

from dataclasses import replace

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from geoecon.arrays import over_years
from geoecon.finance.depletion import Depletion
from geoecon.finance.depreciation import with_bonus
from geoecon.finance.discounting import present_value
from geoecon.finance.levelized import levelized_cost, price_for_return
from geoecon.finance.statement import arrange, equity_cash_flow, project_cash_flow, to_owner
from tests.laws.strategies import numbers, price_paths, projects, same


def full(streams, value):
    return np.full(streams.energy.shape[1:], value)


@st.composite
def every_rule(draw, streams, terms):
    """Terms with everything that is off by default."""
    shape = streams.energy.shape[1:]
    share = numbers(shape, 0, 90, 0.01)
    return replace(
        terms, loss_years=draw(st.integers(1, 5)), holiday_years=draw(st.integers(0, 4)), expensed_share=draw(share),
        depletion=Depletion(draw(share), draw(share), draw(share)), interest_limit=draw(share), withholding=draw(share),
    )  # fmt: skip


def flows(streams, terms, price):
    financing = arrange(streams, terms)
    return project_cash_flow(financing, price), equity_cash_flow(financing, price)


@given(st.data())
def test_a_rate_of_zero_is_no_tax(data):
    streams, terms = data.draw(projects())
    price = data.draw(price_paths(streams)).nominal
    every = data.draw(every_rule(streams, terms.tax))
    free = replace(every, rate=0 * every.rate, credit=None)
    project, owner = flows(streams, replace(terms, tax=free), price)
    assert (project[1] == 0).all()
    assert (owner[1] == 0).all()


@given(st.data())
def test_depletion_never_raises_tax(data):
    streams, terms = data.draw(projects())
    price = data.draw(price_paths(streams)).nominal
    every = replace(data.draw(every_rule(streams, terms.tax)), credit=None)
    without = flows(streams, replace(terms, tax=replace(every, depletion=None)), price)
    with_it = flows(streams, replace(terms, tax=every), price)
    for more, less in zip(without, with_it, strict=True):
        assert (less[1] <= more[1] + 1e-9 * np.abs(more[1]).max()).all()


@given(st.data(), st.floats(0, 1))
def test_bonus_moves_depreciation_and_never_changes_its_sum(data, bonus):
    streams, terms = data.draw(projects())
    moved = replace(terms.tax, shares={name: with_bonus(s, bonus) for name, s in terms.tax.shares.items()})
    base, early = (arrange(streams, replace(terms, tax=tax)).tax_base for tax in (terms.tax, moved))
    assert same(over_years(base.depreciation_levered), over_years(early.depreciation_levered))
    ahead = np.cumsum(early.depreciation_unlevered - base.depreciation_unlevered, axis=0)
    assert (ahead >= -1e-9 * base.depreciation_unlevered.sum()).all()


@given(st.data())
def test_more_production_credit_never_lowers_value(data):
    streams, terms = data.draw(projects())
    if terms.tax.credit is None:
        return
    every = data.draw(every_rule(streams, terms.tax))
    more = replace(every, credit=replace(every.credit, per_mwh=every.credit.per_mwh + 3))
    price, rate = data.draw(price_paths(streams)).nominal, full(streams, 0.08)
    less_value, more_value = (
        present_value(flows(streams, replace(terms, tax=tax), price)[0][0], rate, streams.times)
        for tax in (every, more)
    )
    assert (more_value >= less_value - 1e-9 * streams.spent.sum()).all()


@given(st.data())
def test_what_is_deducted_at_once_leaves_the_basis(data):
    streams, terms = data.draw(projects())
    drilled = replace(streams.accounts["plant"], drilled=True)
    drilling = replace(streams, accounts={**streams.accounts, "plant": drilled})
    tax = replace(terms.tax, credit=None, expensed_share=full(streams, 0.4))
    base = arrange(drilling, replace(terms, tax=tax)).tax_base
    whole = arrange(streams, replace(terms, tax=replace(tax, expensed_share=None))).tax_base
    deducted = over_years(base.drilling + base.depreciation_unlevered)
    assert same(deducted, over_years(whole.depreciation_unlevered))


@given(st.data())
def test_company_of_scenarios_does_not_show(data):
    streams, terms = data.draw(projects())
    path = data.draw(price_paths(streams))
    every = replace(terms, tax=data.draw(every_rule(streams, terms.tax)))
    together = flows(streams, every, path.nominal)
    for one in range(streams.energy.shape[1]):
        alone = flows(_only(streams, one), _only(every, one), path.nominal[:, one : one + 1])
        for ours, theirs in zip(alone, together, strict=True):
            assert all(np.array_equal(a, b[:, one : one + 1]) for a, b in zip(ours, theirs, strict=True))


def _only(whole, one):
    """One scenario of streams or terms."""
    if isinstance(whole, np.ndarray):
        return whole[..., one : one + 1] if whole.shape[-1] > 1 else whole
    if isinstance(whole, dict):
        return {
            name: part if name in {"production", "transmission"} else _only(part, one) for name, part in whole.items()
        }
    if hasattr(whole, "__dataclass_fields__"):
        return replace(whole, **{name: _only(getattr(whole, name), one) for name in whole.__dataclass_fields__})
    return whole


@given(st.data())
def test_the_required_price_gives_the_return_with_every_rule(data):
    streams, terms = data.draw(projects())
    path = data.draw(price_paths(streams))
    every = replace(terms, tax=data.draw(every_rule(streams, replace(terms.tax, credit=None))))
    financing, wanted = arrange(streams, every), full(streams, 0.1)
    guess = levelized_cost(streams, wanted, np.ones_like(streams.energy))
    found = price_for_return(financing, path, wanted, guess)
    solved = found.codes == 0
    flow = to_owner(financing, path.at(np.nan_to_num(found.value))).flow
    value = present_value(flow, wanted, streams.times)
    scale = present_value(streams.spent + streams.fixed_operating, wanted, streams.times)
    assert (np.abs(value[solved]) <= 1e-6 * scale[solved]).all()

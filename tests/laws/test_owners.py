"""A utility that collects what it requires earns its own rate and nothing over."""

from dataclasses import replace

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from geoecon.finance.discounting import present_value
from geoecon.finance.levelized import levelized_cost, levelized_cost_after_tax
from geoecon.finance.owners import revenue_requirement
from geoecon.finance.statement import arrange
from tests.laws.strategies import loans, numbers, projects, same, streams, taxes


@given(st.data())
def test_requirement_is_the_level_price_after_tax(data):
    """With losses and credits used at once a price found by search must agree with the sum of the parts."""
    found = data.draw(streams(bare=True))
    _, terms = data.draw(projects())
    tax = replace(data.draw(taxes(found)), carried=False, credit=None)
    terms = replace(terms, loan=data.draw(loans(found)), tax=tax)
    shape = found.energy.shape[1:]
    allowed = data.draw(numbers(shape, 10, 200, 0.001))
    financing = arrange(found, terms)
    required = revenue_requirement(found, tax, financing.tax_base, terms.loan.share, terms.loan.rate, allowed)
    guess = levelized_cost(found, required.rate, np.ones_like(found.times))
    price, codes = levelized_cost_after_tax(financing, required.rate, np.ones_like(found.times), guess)
    solved = codes == 0
    assert same(required.levelized(found)[solved], price[solved])


@given(st.data())
def test_without_tax_depreciation_and_return_are_worth_what_was_laid_out(data):
    found, terms = data.draw(projects())
    shape = found.energy.shape[1:]
    tax, allowed = replace(terms.tax, rate=np.zeros(shape), credit=None), data.draw(numbers(shape, 0, 200, 0.001))
    base = arrange(found, replace(terms, tax=tax)).tax_base
    required = revenue_requirement(found, tax, base, terms.loan.share, terms.loan.rate, allowed)
    recovered = required.parts["depreciation"] + required.parts["return on the rate base"]
    assert same(
        present_value(recovered, required.rate, found.times),
        present_value(found.spent - found.grant, required.rate, found.times),
    )
    assert (required.rate_base[: found.first] == 0).all()

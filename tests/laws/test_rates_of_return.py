"""At the rate of return the value is zero, for flows of any shape and for those of a statement."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from geoecon.finance.discounting import discount_factors, present_value
from geoecon.finance.measures import modified_rate_of_return, payback, rate_of_return
from geoecon.finance.statement import arrange, state
from tests.laws.strategies import numbers, price_paths, projects

WIDEST = 1e-9


def value_over_size(flows, rate, times):
    """Value at a rate as a share of all that is discounted at it."""
    with np.errstate(invalid="ignore"):
        return present_value(flows, rate, times) / present_value(np.abs(flows), rate, times)


@given(numbers((13, 7), -1000, 1000), numbers((7,), -5000, -1), st.sampled_from([0.0, 0.5]))
def test_value_is_zero_at_the_rate(flows, outlay, shift):
    flows[0] += outlay
    times = np.arange(13.0).reshape(-1, 1)
    times[0] -= shift
    rate, codes, _ = rate_of_return(flows, times)
    assert np.isnan(rate).tolist() == (codes != 0).tolist()
    found = codes == 0
    assert (np.abs(value_over_size(flows[:, found], rate[found], times)) < WIDEST).all()


@given(st.data())
def test_value_is_zero_at_the_rates_of_a_statement(data):
    streams, terms = data.draw(projects())
    statement = state(arrange(streams, terms), data.draw(price_paths(streams)))
    for flows in (statement.cash_flow_project, statement.cash_flow_equity):
        rate, codes, _ = rate_of_return(flows, streams.times)
        found = codes == 0
        assert (np.abs(value_over_size(flows[:, found], rate[found], streams.times)) < WIDEST).all()


@given(numbers((11, 3), 0, 500), numbers((3,), 1, 3000), numbers((3,), 0, 200, 0.001))
def test_modified_rate_grows_the_outlay_into_the_earnings(flows, outlay, rate):
    flows[0] = -outlay
    times = np.arange(11.0).reshape(-1, 1)
    found, codes = modified_rate_of_return(flows, rate, rate, times)
    earned = present_value(np.maximum(flows, 0), rate, times - times[-1])
    assert (codes == 0).all()
    assert np.allclose(outlay * (1 + found) ** 10, earned, rtol=1e-9)


@given(numbers((11, 3), -300, 500), numbers((3,), 1, 3000), numbers((3,), 0, 200, 0.001))
def test_after_payback_the_total_stays_paid(flows, outlay, rate):
    flows[0] = -outlay
    worth = flows * discount_factors(rate, np.arange(11.0).reshape(-1, 1))
    years, codes = payback(worth, 1)
    total = np.cumsum(worth, axis=0)
    for scenario in np.flatnonzero(codes == 0):
        whole = int(np.ceil(years[scenario]))
        assert (total[whole:, scenario] >= 0).all()
        assert total[whole - 1, scenario] < 0
    assert (total[-1, codes != 0] < 0).all()

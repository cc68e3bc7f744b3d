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


ODD_FLOWS = st.sampled_from([-1.0, 0.0, 0.0, 1.0, 3.0, 1e-6, -1e-6, 1e6, -1e6, 1e12, -1e12])


@given(st.lists(st.lists(ODD_FLOWS, min_size=4, max_size=4), min_size=2, max_size=31), st.sampled_from([0.0, 0.5]))
def test_value_is_zero_at_the_rate_of_odd_flows(flows, shift):
    """Years of nothing, tiny beside huge amounts, many changes of sign; and a scenario has the same bits alone."""
    flows = np.array(flows)
    times = np.arange(float(len(flows))).reshape(-1, 1)
    times[0] -= shift
    rate, codes, _ = rate_of_return(flows, times)
    found = codes == 0
    assert np.isnan(rate).tolist() == (~found).tolist()
    assert (np.abs(value_over_size(flows[:, found], rate[found], times)) < WIDEST).all()
    alone = [rate_of_return(flows[:, [n]], times)[0][0] for n in range(4)]
    assert np.array_equal(alone, rate, equal_nan=True)


@given(
    st.one_of(st.floats(-0.9899, -0.9), st.floats(-0.9, 1.0), st.floats(1.0, 9.99)), st.integers(1, 40), st.booleans(),
    st.integers(-6, 12), st.floats(0, 1),
)  # fmt: skip
def test_a_rate_near_the_ends_is_found(rate, years, at_the_end, size, early):
    """One outlay, and what it earns at a rate: at the end, or the same every year with some more at once."""
    times = np.arange(years + 1.0).reshape(-1, 1)
    worth = (1 + rate) ** -times[1:]
    earned = np.ones((years, 1))
    earned[0] += early
    if at_the_end:
        earned[:-1] = 0.0
    flows = np.vstack([-np.ones((1, 1)), earned / (earned * worth).sum()]) * 10.0**size
    found, codes, _ = rate_of_return(flows, times)
    assert codes[0] == 0
    assert np.isclose(found[0], rate, rtol=1e-9, atol=1e-12)


@given(st.integers(1, 40), st.floats(-0.5, 0.5))
def test_two_rates_that_nearly_meet(years, rate):
    """Flows whose value only touches zero have a rate that two searches may miss; what is called a rate is one."""
    times = np.arange(2.0 * years + 1).reshape(-1, 1)
    flows = np.zeros((2 * years + 1, 3))
    flows[0], flows[years], flows[-1] = -1.0, 2 * (1 + rate) ** years, -((1 + rate) ** (2 * years))
    flows[years] *= [1.0, 1 + 1e-7, 1 - 1e-7]
    found, codes, _ = rate_of_return(flows, times)
    exists = codes == 0
    assert (np.abs(value_over_size(flows[:, exists], found[exists], times)) < WIDEST).all()


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

"""Sums, totals and powers over the years: right, and with the same bits whatever the number of scenarios."""

import numpy as np
import pytest

from geoecon.arrays import chunks, narrow, over_years, powers, running_total


def one_by_one(function, values):
    """What a function of (year, scenario) gives for every scenario alone."""
    return np.stack([function(values[:, [n]])[..., 0] for n in range(values.shape[1])], axis=-1)


@pytest.mark.parametrize("years", [1, 2, 8, 33, 130])
@pytest.mark.parametrize("scenarios", [1, 2, 7, 64, 1009])
@pytest.mark.parametrize("function", [over_years, running_total])
def test_company_changes_no_bit(function, years, scenarios):
    draws = np.random.Generator(np.random.Philox(key=years * 10_000 + scenarios))
    flows = draws.normal(size=(years, scenarios)) * 10.0 ** draws.integers(-6, 12, (years, scenarios))
    for values in (flows, flows[::-1], np.asfortranarray(flows), np.broadcast_to(flows[:, :1], flows.shape)):
        assert np.array_equal(function(values), one_by_one(function, values))
        assert np.array_equal(
            function(values), np.cumsum(values, axis=0)[slice(None) if function is running_total else -1]
        )


@pytest.mark.parametrize(
    "exponents", [[-2.5, -1.5, -0.5, 1, 2, 3], [2, 1, 0, -1, -2], [0, 0, 0, 1, 2, 3], [-15, -14, -13]]
)
def test_powers(exponents):
    exponents = np.array(exponents, dtype=float).reshape(-1, 1)
    base = np.random.Generator(np.random.Philox(key=3)).uniform(0.5, 2.0, 101)
    found = powers(base, exponents)
    assert np.allclose(found, base**exponents, rtol=1e-14)
    assert np.array_equal(found, np.hstack([powers(each, exponents) for each in base.reshape(-1, 1)]))
    same = powers(np.full(5, base[0]), exponents)
    assert same.shape == (len(exponents), 1)
    assert np.array_equal(same[:, 0], found[:, 0])


def test_the_value_at_time_zero_is_the_amount():
    times = np.arange(-3.0, 30.0).reshape(-1, 1)
    assert powers(np.linspace(1.001, 1.3, 50), -times)[3] == pytest.approx(1.0, rel=1e-15)


def test_narrow():
    assert narrow(np.array([[1.0, 1.0], [2.0, 2.0]])).tolist() == [[1.0], [2.0]]
    assert narrow(np.array([1.0, 2.0])).tolist() == [1.0, 2.0]
    assert narrow(np.array([np.nan, np.nan])).size == 2  # what is unknown is not known to be the same


def test_chunks_hold_every_scenario_once():
    assert [n for some in chunks(17, 5) for n in range(17)[some]] == list(range(17))
    assert list(chunks(0)) == []

"""Rates, present values, and the solver behind required prices."""

import numpy as np
import numpy_financial as npf
import pytest

from geoecon.finance.discounting import discount_factors, present_value
from geoecon.finance.rates import (
    capital_recovery_factor,
    nominal_from_real,
    price_index,
    real_from_nominal,
    weighted_cost_of_capital,
)
from geoecon.finance.solve import rising_root


def test_real_and_nominal_turn_into_each_other():
    inflation = np.array([-0.02, 0.0, 0.03])
    assert nominal_from_real(0.05, 0.02) == pytest.approx(0.071)
    assert real_from_nominal(nominal_from_real(0.05, inflation), inflation) == pytest.approx([0.05] * 3)


def test_capital_recovery_is_a_level_payment():
    assert capital_recovery_factor(0.07, 13) == pytest.approx(-npf.pmt(0.07, 13, 1))
    assert capital_recovery_factor(np.array([0.0, 0.07]), 13) == pytest.approx([1 / 13, -npf.pmt(0.07, 13, 1)])
    assert capital_recovery_factor(1e-12, 13) == pytest.approx(1 / 13)


def test_cost_of_capital():
    half, five, ten = np.array([0.5]), np.array([0.05]), np.array([0.10])
    assert weighted_cost_of_capital(half, five, ten, np.array([0.2])) == pytest.approx([0.07])
    assert weighted_cost_of_capital(0 * half, five, ten, np.array([0.2])) == pytest.approx([0.10])


def test_price_index_is_one_in_the_price_year():
    index = price_index(np.array([0.0, 0.1]), np.array([[2025.0], [2026.0], [2028.0]]), 2026)
    assert index == pytest.approx(np.array([[1, 1 / 1.1], [1, 1], [1, 1.21]]))


def test_present_value_stands_at_the_end_of_year_0():
    times, rate = np.array([[-1.0], [0.0], [1.0]]), np.array([0.1, 0.0])
    assert discount_factors(rate, times) == pytest.approx(np.array([[1.1, 1], [1, 1], [1 / 1.1, 1]]))
    assert present_value(np.array([[10.0], [10.0], [11.0]]), rate, times) == pytest.approx([31, 31])


def test_root_is_found_or_it_is_said_that_there_is_none():
    low, high, scale = np.zeros(3), np.full(3, 10.0), np.ones(3)
    aims = np.array([8.0, -1.0, 5000.0])
    root, reached = rising_root(lambda x: x**3 - aims, low, high, scale)
    assert reached.tolist() == [True, False, False]
    assert root[0] == pytest.approx(2, rel=1e-13)
    assert np.isnan(root[1:]).all()


@pytest.mark.parametrize("edge", [0.0, 10.0])
def test_a_root_at_the_edge_counts(edge):
    root, reached = rising_root(lambda x: x - edge, np.zeros(1), np.full(1, 10.0), np.ones(1))
    assert reached[0]
    assert root[0] == edge


@pytest.mark.parametrize("near", [(0.0, 10.0), (10.0, 0.0), (1.9, 2.1), (9.0, 9.5), (0.1, 0.2), (2.0, 2.0), (5.0, 5.0)])
def test_a_root_is_found_from_wherever_the_search_starts(near):
    low, high, scale = np.zeros(4), np.full(4, 10.0), np.ones(4)
    aims = np.array([8.0, -1.0, 5000.0, 1e-3])
    points = tuple(np.full(4, point) for point in near)
    root, reached = rising_root(lambda x: x**3 - aims, low, high, scale, points)
    assert reached.tolist() == [True, False, False, True]
    assert root[[0, 3]] == pytest.approx([2, 0.1], rel=1e-11)
    assert np.isnan(root[1:3]).all()


def test_ends_are_not_looked_at_where_the_root_is_near():
    seen = []

    def cubed_less_8(x):
        seen.append(x[0])
        return x**3 - 8

    near = (np.full(1, 1.9), np.full(1, 2.2))
    rising_root(cubed_less_8, np.zeros(1), np.full(1, 1e9), np.ones(1), near)
    assert max(seen) < 3
    assert len(seen) < 9


def test_unknown_values_have_no_root():
    root, reached = rising_root(lambda x: x * np.array([np.nan, 1.0]) - 1, np.zeros(2), np.full(2, 9.0), np.ones(2))
    assert reached.tolist() == [False, True]
    assert np.isnan(root).tolist() == [True, False]


def test_steep_and_flat_functions():
    low, high = np.zeros(2), np.full(2, 1e4)
    root, reached = rising_root(lambda x: np.array([1e9, 1e-9]) * (x - 123.456), low, high, np.array([1e13, 1e-5]))
    assert reached.all()
    assert root == pytest.approx([123.456] * 2, rel=1e-6)
    kinked, _ = rising_root(lambda x: np.maximum(x - 7, 1e3 * (x - 7)), low, high, np.ones(2))
    assert kinked == pytest.approx([7, 7])

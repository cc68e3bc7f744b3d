"""Depreciation by rule and by vintage, worked by hand."""

import numpy as np
import pytest

from geoecon.finance.depreciation import depreciate, macrs, straight_line, with_bonus


def rows(*values):
    return np.array(values, dtype=float).reshape(-1, 1)


def test_straight_line():
    assert straight_line(4).tolist() == pytest.approx([0.25] * 4)
    assert straight_line(4, "half-year").tolist() == pytest.approx([0.125, 0.25, 0.25, 0.25, 0.125])
    assert straight_line(4, "mid-quarter-4").tolist() == pytest.approx([0.03125, 0.25, 0.25, 0.25, 0.21875])
    assert straight_line(1).tolist() == [1]


def test_declining_balance_switches_to_straight_line():
    # Three years, double: half of two thirds; then two thirds of what is left; then straight over what is left.
    assert macrs(3).tolist() == pytest.approx([1 / 3, 4 / 9, 4 / 27, 2 / 27])


def test_a_class_that_is_none():
    with pytest.raises(ValueError, match="6 years is no class; there are 3, 5, 7, 10, 15, 20"):
        macrs(6)


def test_capital_enters_with_operation_and_later_purchases_a_year_after():
    shares = np.array([0.5, 0.3, 0.2])
    taken = depreciate(rows(40, 60, 0, 10, 0, 0, 0), shares, 2)
    assert taken.ravel() == pytest.approx([0, 0, 50, 30, 20 + 5, 3, 2])


def test_what_is_left_at_the_end_is_written_off():
    shares = np.array([0.5, 0.3, 0.2])
    assert depreciate(rows(100, 0, 0), shares, 1).ravel() == pytest.approx([0, 50, 50])
    assert depreciate(rows(0, 0, 0, 0, 10), shares, 1).ravel() == pytest.approx([0, 0, 0, 0, 10])
    assert depreciate(rows(0, 0, 0, 10, 0), shares, 1).ravel() == pytest.approx([0, 0, 0, 0, 10])


def test_bonus_moves_what_is_deducted_and_not_how_much():
    assert with_bonus(macrs(5), 1.0).tolist() == pytest.approx([1, 0, 0, 0, 0, 0])
    assert with_bonus(straight_line(4), 0.4).tolist() == pytest.approx([0.55, 0.15, 0.15, 0.15])
    for bonus in (0.0, 0.2, 0.6, 1.0):
        assert with_bonus(macrs(15), bonus).sum() == pytest.approx(1, rel=1e-12)
    untouched = macrs(5)
    with_bonus(untouched, 0.5)
    assert untouched.tolist() == macrs(5).tolist()

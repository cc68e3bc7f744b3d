"""Prices over the years: terms, what follows them, money of the price year, schedules."""

import numpy as np
import pytest

from geoecon.finance.prices import energy_price_of_capacity, growing, level, levelized_price, schedule

FLAT = np.ones((6, 1))
DRIFT = 1.02 ** np.arange(-1.0, 5.0).reshape(-1, 1)  # over operating year 1, which is row 1


def one(value):
    return np.array([value])


def test_a_price_that_grows_and_another_after_its_term():
    path = growing(one(100.0), one(0.1), 2, one(50.0), FLAT, 1)
    assert path.nominal.ravel() == pytest.approx([0, 100, 110, 50, 55, 60.5])


def test_only_the_term_follows_another_first_price():
    path = growing(one(100.0), one(0.1), 2, one(50.0), FLAT, 1)
    assert path.at(one(200.0)).ravel() == pytest.approx([0, 200, 220, 50, 55, 60.5])


def test_without_a_price_after_the_term_there_is_none():
    assert growing(one(100.0), one(0.0), 3, None, FLAT, 1).nominal.ravel() == pytest.approx([0, 100, 100, 100, 0, 0])


def test_a_real_price_moves_with_the_price_level_and_grows_on_top():
    path = growing(one(100.0), one(0.1), 2, one(50.0), DRIFT, 1)
    assert path.nominal.ravel() == pytest.approx([0, 100, 112.2, 50 * 1.02**2, 55 * 1.02**3, 60.5 * 1.02**4])


def test_a_schedule_and_what_holds_after_it():
    path = schedule(np.array([80.0, 90.0, 60.0]), one(40.0), FLAT, 1)
    assert path.nominal.ravel() == pytest.approx([0, 80, 90, 60, 40, 40])
    assert path.at(one(160.0)).ravel() == pytest.approx([0, 160, 180, 120, 40, 40])
    assert schedule(np.array([80.0, 90.0]), None, FLAT, 1).nominal.ravel() == pytest.approx([0, 80, 90, 0, 0, 0])


def test_a_schedule_in_money_of_the_price_year():
    path = schedule(np.array([80.0, 90.0]), one(40.0), DRIFT, 1)
    later = [40 * 1.02**2, 40 * 1.02**3, 40 * 1.02**4]
    assert path.nominal.ravel() == pytest.approx([0, 80, 90 * 1.02, *later])


def test_a_level_price_has_no_number_until_one_is_asked():
    path = level(FLAT, 1)
    assert np.isnan(path.first).all()
    assert path.at(one(70.0)).ravel().tolist() == [0, 70, 70, 70, 70, 70]


def test_levelized_price_weighs_by_discounted_energy():
    price, energy, times = np.array([[10.0], [20.0]]), np.array([[3.0], [1.0]]), np.array([[1.0], [2.0]])
    ones = np.ones((2, 1))
    assert levelized_price(price, energy, one(0.0), times, ones) == pytest.approx([12.5])
    assert levelized_price(price, energy, one(1.0), times, ones) == pytest.approx([(15 + 5) / (1.5 + 0.25)])
    doubled = levelized_price(price, energy, one(0.0), times, 2 * ones)  # in money that is worth twice as much
    assert doubled == pytest.approx([6.25])


def test_capacity_as_energy():
    assert energy_price_of_capacity(87.6, 0.5) == pytest.approx(20)

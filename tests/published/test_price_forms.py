"""Prices over time: level, growing, by season, per kW.

Prices that the owner of two plants printed in releases and on its pages, seen in copies: San Emidio (Nevada) 90.27, 91.17 and
92.08 $/MWh in 2013 to 2015, which is 1 % a year; Neal Hot Springs (Oregon) season factors of 120 % in July, August, November
and December, 73.3 % from March to May, 100 % in the rest, and 118.80 $/MWh in November and December of 2013 at a mean of 99.00.
The mean factor of 99.99 % is computed. Computed too, from the textbook form, and not published: the levelized values of level and
of growing prices, and what a price per kW comes to per MWh.
"""

import numpy as np
import pytest

from geoecon.arrays import column
from geoecon.finance.prices import energy_price_of_capacity, growing, level, levelized_price, schedule
from geoecon.finance.rates import capital_recovery_factor
from geoecon.units import read

SEASON = [100, 100, 73.3, 73.3, 73.3, 100, 120, 120, 100, 100, 120, 120]


def levelized(price, rate, index):
    """Levelized price of a path that begins in year 1, with the same energy each year."""
    times = column(np.arange(1, len(price) + 1))
    return levelized_price(price, np.ones_like(price), np.array([rate]), times, index)[0]


def test_level_price_in_real_money_computed(agree):
    """100 for 25 years at 9 % with 2.5 % inflation, in money of year 0; what grows with inflation is worth 126.02 level."""
    index = 1.025 ** column(np.arange(1, 26))
    flat = growing(np.array([100.0]), np.array([0.0]), 25, None, np.ones((25, 1)), 0)
    agree(levelized(flat.nominal, 0.09, index), 79.35, within=0.00501 / 79.35, what="flat, real (computed), $/MWh")
    real = level(index, 0).at(np.array([100.0]))
    ours = levelized(real, 0.09, np.ones((25, 1)))
    agree(ours, 126.02, within=0.00501 / 126.02, what="real, nominal level (computed), $/MWh")


def test_growing_price_computed(agree):
    """70 growing 2 % a year, 20 years at 8 %: 794.7247582 in all, 80.9444720 a year."""
    path = growing(np.array([70.0]), np.array([0.02]), 20, None, np.ones((20, 1)), 0)
    ours = levelized(path.nominal, 0.08, np.ones((20, 1)))
    agree(ours, 80.9444720, within=0.0000000501 / 80.944, what="levelized (computed), $/MWh")
    agree(ours / capital_recovery_factor(0.08, 20), 794.7247582, digits=9, what="value (computed), $")


def test_san_emidio(agree):
    printed = [90.27, 91.17, 92.08]
    path = growing(np.array([90.27]), np.array([0.01]), 3, None, np.ones((3, 1)), 0)
    for year, price in enumerate(printed):
        agree(path.nominal[year, 0], price, within=0.00501 / price, what=f"{2013 + year}, $/MWh")


def test_neal_season_factors(agree):
    months = schedule(np.array(SEASON), None, np.ones((12, 1)), 0).nominal
    agree(levelized(months, 0.0, np.ones((12, 1))), 99.99, within=0.00501 / 99.99, what="mean factor (computed), %")
    late = schedule(99.00 / 100 * np.array(SEASON), None, np.ones((12, 1)), 0).nominal[10:, 0]
    for price in late:
        agree(price, 118.80, digits=12, what="November and December 2013, $/MWh")


@pytest.mark.parametrize("text", ["100 USD/kW-yr", "8.3333333333 USD/kW-month", "273.97260274 USD/MW-day"])
def test_capacity_price_computed(agree, text):
    per_kw = read(text, ("money per kW a year",), "USD").value
    agree(energy_price_of_capacity(per_kw, 0.90), 12.7, within=0.0501 / 12.7, what=f"{text} at 0.90 (computed), $/MWh")
    agree(energy_price_of_capacity(per_kw, 0.60), 19.0, within=0.0501 / 19.0, what=f"{text} at 0.60 (computed), $/MWh")

"""Levelized cost and required price worked by hand, and the reasons for having none."""

import numpy as np
import pytest

from geoecon.finance.debt import LoanTerms
from geoecon.finance.levelized import (
    cost_present_value,
    levelized_cost,
    levelized_cost_after_tax,
    price_for_cover,
    price_for_return,
)
from geoecon.finance.prices import growing, level
from geoecon.finance.reasons import Reason
from geoecon.finance.statement import Terms, arrange
from geoecon.finance.streams import Account, Streams
from geoecon.finance.tax import TaxTerms

ONES = np.ones((4, 2))
ZERO = np.zeros(2)


def rows(*values):
    return np.tile(np.array(values, dtype=float).reshape(-1, 1), 2)


def streams(**changed):
    """100 spent in year 0, one MWh and a cost of 10 in each of three years; two scenarios."""
    given = {
        "first": 1, "times": np.arange(4.0).reshape(-1, 1), "capital": {"plant": rows(100, 0, 0, 0)}, "sustaining": {},
        "operating": {"fixed_cost": rows(0, 10, 10, 10)}, "revenue_shares": {"royalty": ZERO},
        "energy": rows(0, 1, 1, 1), "other_revenue": {}, "grant": rows(0, 0, 0, 0), "decommissioning": rows(0, 0, 0, 0),
        "index": ONES, "accounts": {"plant": Account("plant", "production", "", "", True)},
    }  # fmt: skip
    return Streams(**given | changed)


def terms(share=0.0, years=2, rate=0.0):
    """A loan at 10 % in equal parts; tax with deduction in one year."""
    loan = LoanTerms(ZERO + share, ZERO + 0.1, ZERO, years, "equal-principal", 0)
    tax = TaxTerms(ZERO + rate, {"production": np.array([1.0])}, False, ZERO + 1, None)
    return Terms(loan, tax, False, 1, False)


def test_levelized_cost_without_interest_is_cost_over_energy():
    assert levelized_cost(streams(), ZERO, ONES) == pytest.approx([130 / 3] * 2)
    assert cost_present_value(streams(decommissioning=rows(0, 0, 0, 5)), ZERO) == pytest.approx([135] * 2)


def test_royalty_raises_the_price_it_is_a_share_of():
    found = streams(revenue_shares={"royalty": np.array([0.0, 0.2])})
    assert levelized_cost(found, ZERO, ONES) == pytest.approx([130 / 3, 130 / 3 / 0.8])


def test_real_cost_in_money_worth_more():
    rate = np.array([0.08, 0.0])
    recovery = 0.08 * 1.08**3 / (1.08**3 - 1)
    assert levelized_cost(streams(), rate, ONES) == pytest.approx([100 * recovery + 10, 130 / 3])
    assert levelized_cost(streams(), rate, 2 * ONES) == pytest.approx([50 * recovery + 5, 65 / 3])


def test_no_energy_no_cost():
    found = streams(energy=np.array([[0, 0], [1, 0], [1, 0], [1, 0]], dtype=float))
    cost = levelized_cost(found, ZERO, ONES)
    assert cost[0] == pytest.approx(130 / 3)
    assert np.isnan(cost[1])
    price, codes = levelized_cost_after_tax(arrange(found, terms()), ZERO, ONES, cost)
    assert codes.tolist() == [Reason.NONE, Reason.NO_ENERGY]
    assert np.isnan(price[1])


def test_cost_after_tax_by_hand():
    # At no interest tax takes a quarter of what is earned in all, which is nothing at the price of cost.
    price, codes = levelized_cost_after_tax(arrange(streams(), terms(rate=0.25)), ZERO, ONES, ZERO + 40)
    assert price == pytest.approx([130 / 3] * 2)
    assert (codes == 0).all()
    # At 10 %: 100 - 25/1.1 is to be earned after tax in three years.
    rate = ZERO + 0.1
    price, _ = levelized_cost_after_tax(arrange(streams(), terms(rate=0.25)), rate, ONES, ZERO + 40)
    annuity = (1 - 1.1**-3) / 0.1
    assert price == pytest.approx([10 + (100 - 25 / 1.1) / 0.75 / annuity] * 2)


def test_price_for_return_by_hand():
    # Half is borrowed: 25 a year for two years and interest 5 and 2.5. The owner wants 50 back with 20 %.
    found = price_for_return(arrange(streams(), terms(share=0.5)), level(ONES, 1), ZERO + 0.2, ZERO + 50)
    wanted = 50 + (10 + 30) / 1.2 + (10 + 27.5) / 1.44 + 10 / 1.728
    assert found.value == pytest.approx([wanted / (1 / 1.2 + 1 / 1.44 + 1 / 1.728)] * 2)
    assert found.conditions[found.binds[0]].endswith("return asked on equity")
    assert found.cover == pytest.approx((found.value - 10) / 30)
    assert np.isnan(price_for_return(arrange(streams(), terms()), level(ONES, 1), ZERO, ZERO + 50).cover).all()


def binding(found, scenario):
    """What binds, and in which year."""
    words = found.conditions[found.binds[scenario]].split()
    return words[0], words[-1]


def test_price_for_cover_names_the_year_that_binds():
    # Cover of 1.3 on 30 in year 1 and 27.5 in year 2; in the second scenario year 3 costs 60 and must be paid in cash.
    costs = {"fixed_cost": np.array([[0, 0], [10, 10], [10, 10], [10, 60]], dtype=float)}
    financing = arrange(streams(operating=costs), terms(share=0.5))
    found = price_for_cover(financing, level(ONES, 1), ZERO + 1.3, ZERO + 50)
    assert found.value == pytest.approx([10 + 1.3 * 30, 60])
    assert binding(found, 0) == ("cover", "1")
    assert binding(found, 1) == ("cash", "3")
    assert found.cover == pytest.approx([1.3, 50 / 30])
    assert (found.codes == 0).all()


def test_cover_binds_later_when_costs_rise():
    costs = {"fixed_cost": rows(0, 10, 20, 10)}
    found = price_for_cover(arrange(streams(operating=costs), terms(share=0.5)), level(ONES, 1), ZERO + 1.3, ZERO + 50)
    assert found.value == pytest.approx([20 + 1.3 * 27.5] * 2)
    assert binding(found, 0) == ("cover", "2")


def test_any_price_pays():
    paid = streams(other_revenue={"capacity": np.array([[0, 0], [99, 9], [99, 9], [99, 9]], dtype=float)})
    found = price_for_return(arrange(paid, terms()), level(ONES, 1), ZERO, ZERO + 50)
    assert found.codes.tolist() == [Reason.ANY_PRICE_PAYS, Reason.NONE]
    assert np.isnan(found.value[0])
    assert found.value[1] == pytest.approx(103 / 3)
    assert price_for_cover(arrange(paid, terms(share=0.1)), level(ONES, 1), ZERO + 1.3, ZERO + 50).codes[0] == (
        Reason.ANY_PRICE_PAYS
    )


def test_no_price_in_reach():
    # Only year 1 of 37 is paid for: it would have to earn more than twenty times the levelized cost.
    years, flat = 38, np.ones((38, 2))
    energy, spent = np.ones((years, 2)), np.zeros((years, 2))
    energy[0], spent[0] = 0, 100
    long = streams(
        times=np.arange(float(years)).reshape(-1, 1), capital={"plant": spent}, operating={}, energy=energy,
        grant=0 * spent, decommissioning=0 * spent, index=flat,
    )  # fmt: skip
    financing, guess = arrange(long, terms()), levelized_cost(long, ZERO, flat)
    short = growing(ZERO + np.nan, ZERO, 1, None, flat, 1)
    found = price_for_return(financing, short, ZERO, guess)
    assert found.codes.tolist() == [Reason.NO_PRICE_IN_REACH] * 2
    assert np.isnan(found.value).all()
    within = growing(ZERO + np.nan, ZERO, 2, None, flat, 1)
    assert price_for_return(financing, within, ZERO, guess).value == pytest.approx([50, 50])


def test_a_price_is_found_in_a_shape_that_is_not_flat():
    path = growing(ZERO + np.nan, ZERO + 0.5, 2, ZERO + 40.0, ONES, 1)
    found = price_for_return(arrange(streams(), terms()), path, ZERO, ZERO + 50)
    assert found.value == pytest.approx([(130 - 40) / 2.5] * 2)

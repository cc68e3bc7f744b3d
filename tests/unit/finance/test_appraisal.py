"""Appraisal by the names of ASTM E917, E964, E1057, E1074, E1121: one example by hand, and what must hold between measures.

The formulas are from memory; the numbers of the example are worked out in it.
"""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

import geoecon
from geoecon.arrays import column
from geoecon.finance.appraisal import (
    adjusted_rate_of_return,
    life_cycle_cost,
    net_benefits,
    savings_to_investment_ratio,
)
from geoecon.finance.discounting import discount_factors, present_value
from geoecon.finance.measures import modified_rate_of_return, payback
from geoecon.finance.reasons import Reason

# 1,000 now, 110 after two years to replace a part, 66.55 after three to take it away, all at 10 % a year; it runs at 100 a
# year and spares 700 a year. Discounted: 110 / 1.21 = 90.9090..., 66.55 / 1.331 = 50; three years of 1 are worth
# 1/1.1 + 1/1.21 + 1/1.331 = 3.31 / 1.331 = 2.4868519910.
RATE, TIMES, FIRST = np.array([0.10]), column(np.arange(4.0)), 1
INVESTED = column([1000.0, 0.0, 110.0, 66.55])
RUNNING = column([0.0, 100.0, 100.0, 100.0])
SPARED = column([0.0, 700.0, 700.0, 700.0])
ANNUITY = 3.31 / 1.331
WORTH = 1000 + 110 / 1.21 + 50


def adjusted_rate_of_terminal_value(savings, investment, rate, times):
    """E1057 by its definition: savings carried to the last year, over the value of what is invested, each year alike."""
    carried = (savings * discount_factors(rate, times - times[-1])).sum(axis=0)
    return (carried / present_value(investment, rate, times)) ** (1 / float(times[-1, 0])) - 1


def test_the_example_by_hand():
    assert life_cycle_cost(INVESTED, RUNNING, RATE, TIMES) == pytest.approx(WORTH + 100 * ANNUITY, rel=1e-14)
    assert life_cycle_cost(INVESTED, RUNNING, RATE, TIMES) == pytest.approx(1389.594290, abs=5e-7)
    saved = net_benefits(SPARED, INVESTED + RUNNING, RATE, TIMES)
    assert saved == pytest.approx(600 * ANNUITY - WORTH, rel=1e-13)
    assert saved == pytest.approx(351.202104, abs=5e-7)
    ratio, codes = savings_to_investment_ratio(SPARED - RUNNING, INVESTED, RATE, TIMES)
    assert (ratio[0], codes[0]) == (pytest.approx(600 * ANNUITY / WORTH, rel=1e-14), 0)
    assert ratio == pytest.approx(1492.111194 / 1140.909091, abs=5e-9)
    # 600 carried on is 600 x 3.31 = 1986 after three years: (1986 / 1140.909...)^(1/3) = 1.2029...
    by_ratio = adjusted_rate_of_return(ratio, RATE, 3)
    assert by_ratio == pytest.approx((1986 / WORTH) ** (1 / 3) - 1, rel=1e-13)
    assert adjusted_rate_of_terminal_value(SPARED - RUNNING, INVESTED, RATE, TIMES) == pytest.approx(
        by_ratio, rel=1e-13
    )


def test_payback_by_hand():
    """1,000 less 600 leaves 400; the second year brings 490: 1 + 400 / 490. Discounted: 545.45 and 404.96, then 400.75."""
    assert payback(SPARED - RUNNING - INVESTED, FIRST)[0] == pytest.approx(1 + 400 / 490)
    first, second, third = 600 / 1.1, 490 / 1.21, (600 - 66.55) / 1.331
    found = payback((SPARED - RUNNING - INVESTED) * discount_factors(RATE, TIMES), FIRST)[0]
    assert found == pytest.approx(2 + (1000 - first - second) / third)
    never = payback(RUNNING - INVESTED, FIRST)
    assert (np.isnan(never[0][0]), never[1][0]) == (True, Reason.NOT_PAID_BACK)


def test_nothing_invested_has_no_ratio():
    ratio, codes = savings_to_investment_ratio(SPARED, 0 * INVESTED, RATE, TIMES)
    assert (np.isnan(ratio[0]), codes[0]) == (True, Reason.NO_INVESTMENT)


def test_a_flow_of_one_sign_each_has_the_modified_rate_of_spreadsheets():
    """With all savings positive and the outlay apart from them, the adjusted rate is the MIRR function's."""
    flows = column([-1000.0, 300.0, 400.0, 600.0])
    ours = adjusted_rate_of_terminal_value(np.maximum(flows, 0), np.maximum(-flows, 0), RATE, TIMES)
    assert ours == pytest.approx(modified_rate_of_return(flows, RATE, RATE, TIMES)[0], rel=1e-14)


def test_the_adjusted_rate_of_a_case_is_that_of_its_savings_carried_to_the_last_year():
    """Against diesel at its price of today, from the yearly columns; no royalty there."""
    result = geoecon.evaluate(geoecon.load_case(geoecon.shipped_case("kettle-sound")))
    a, rate = result.annual, result.asked["discount_rate"]
    spared = a["delivered_energy"] * result.index * result.case.community.current_price
    invested = a["capital"] + a["decommissioning"]
    by_definition = adjusted_rate_of_terminal_value(spared - a["operating_cost"], invested, rate, result.times)
    assert result.value("adjusted_rate_of_return") == pytest.approx(by_definition[0], rel=1e-12)


amounts = st.floats(1.0, 1e6)


@given(st.lists(amounts, min_size=2, max_size=30), amounts, amounts, st.floats(0.0, 0.3))
def test_the_measures_agree_on_what_pays(saved, invested, replaced, rate):
    """SIR > 1 <=> net savings > 0 <=> adjusted rate > discount rate; both routes to that rate are one."""
    years = len(saved)
    at, times = np.array([rate]), column(np.arange(years + 1.0))
    savings, investment = column([0.0, *saved]), column([invested, *([0.0] * (years - 1)), replaced])
    ratio, _ = savings_to_investment_ratio(savings, investment, at, times)
    net = net_benefits(savings, investment, at, times)
    adjusted = adjusted_rate_of_return(ratio, at, years)
    worth = life_cycle_cost(investment, 0 * savings, at, times)
    assert net == pytest.approx((ratio - 1) * worth, rel=1e-9, abs=1e-9 * worth[0])
    assert adjusted == pytest.approx(
        adjusted_rate_of_terminal_value(savings, investment, at, times), rel=1e-9, abs=1e-11
    )
    if abs(ratio[0] - 1) > 1e-9:
        assert (ratio > 1) == (net > 0) == (adjusted > at)

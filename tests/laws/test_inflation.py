"""Inflation in everything leaves real figures alone, when the real discount rate is held."""

import numpy as np
from hypothesis import given

from geoecon import evaluate
from geoecon.finance.measures import sign_changes
from geoecon.finance.rates import nominal_from_real, real_from_nominal
from tests.laws.strategies import cases, read, same

INFLATION = np.array([0.0, 0.01, 0.025, 0.06, 0.11])
# Middle spending is left out: it moves money half a year but keeps the price level of its calendar year.
NOTHING_NOMINAL = {"tax": False, "credit": False, "debt": False, "grant": False, "middle": False}


def inflated(values):
    """The case at several rates of inflation and one real discount rate."""
    case = read(values | {"market.price_basis": '"real"'})
    rate = nominal_from_real(case.finance.discount_rate, INFLATION)
    return case, evaluate(case.with_values({"money.inflation": INFLATION, "finance.discount_rate": rate}))


@given(cases(**NOTHING_NOMINAL))
def test_real_figures_do_not_move(values):
    case, result = inflated(values)
    for name in ("lcoe_real", "price_levelized_real", "capital_cost", "lifetime_energy"):
        found = result.metrics[name].values
        assert same(found, found[0] + 0 * found), name
    index = (1 + INFLATION) ** (case.timeline.first_year - 1 - case.money.price_year)
    value = result.metrics["npv"].values / index  # in money of year 0
    assert same(value, value[0] + 0 * value, size=result.metrics["capital_cost"].values[0])
    if sign_changes(result.annual["cash_flow_project"]).max() == 1:  # otherwise which rate is meant depends on zero
        real = real_from_nominal(result.metrics["irr_project"].values, INFLATION)
        assert same(real, real[0] + 0 * real, size=1.0)

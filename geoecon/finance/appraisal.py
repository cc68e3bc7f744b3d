"""Appraisal as building and infrastructure standards do it: cost over a life, what is saved against a stated alternative.

The names are those of ASTM E917 (life-cycle cost; ISO 15686-5 calls it life-cycle costing), E964 (savings-to-investment
and benefit-to-cost ratio), E1057 (adjusted internal rate of return) and E1074 (net benefits, net savings); payback, which
E1121 has, is among `measures`. The formulas are recalled: the standards' texts were not read here.

Flows are `(year, scenario)`, values `(scenario,)` at the end of year 0. Everything is before tax, grant and loan.
"""

import numpy as np

from geoecon.arrays import Codes, Floats
from geoecon.finance.discounting import present_value
from geoecon.finance.reasons import Reason


def life_cycle_cost(investment: Floats, running: Floats, rate: Floats, times: Floats) -> Floats:
    """Value of everything that owning and running costs over the study period, disposal in, (scenario,)  [money].

    investment : (year, scenario)  first cost, replacements, disposal; salvage with a minus sign  [money]
    running : (year, scenario)  operation, maintenance, energy bought  [money]
    rate : (scenario,)  [1/yr];  times : (year, 1)  [yr].  Source: ASTM E917, ISO 15686-5 (recalled)

    >>> years = np.arange(3.0).reshape(-1, 1)
    >>> life_cycle_cost(np.array([[100.0], [0], [0]]), np.array([[0], [11.0], [12.1]]), np.array([0.10]), years)
    array([120.])
    """
    return present_value(investment + running, rate, times)


def net_benefits(benefits: Floats, costs: Floats, rate: Floats, times: Floats) -> Floats:
    """Value of benefits less value of costs, (scenario,)  [money]; net savings where the benefit is another cost spared.

    benefits, costs : (year, scenario)  [money].  Source: ASTM E1074 (recalled)
    """
    return present_value(benefits - costs, rate, times)


def savings_to_investment_ratio(
    savings: Floats, investment: Floats, rate: Floats, times: Floats
) -> tuple[Floats, Codes]:
    """Value of what is saved, running cost taken off, over the value of what is invested for it, (scenario,)  [1].

    savings : (year, scenario)  the alternative's cost less one's own running cost  [money]
    investment : (year, scenario)  first cost, replacements, disposal  [money]
    returns : NaN with a reason where nothing is invested.  Source: ASTM E964 (recalled)
    """
    invested = present_value(investment, rate, times)
    codes = np.where(invested > 0, Reason.NONE, Reason.NO_INVESTMENT).astype(np.uint8)
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.where(codes == 0, present_value(savings, rate, times) / invested, np.nan), codes


def adjusted_rate_of_return(ratio: Floats, rate: Floats, years: float) -> Floats:
    """Rate at which the investment grows when its savings are put to work at `rate`: (1 + r) SIR^(1/N) - 1, (scenario,).

    ratio : (scenario,)  savings-to-investment ratio; a negative one has no rate  [1]
    rate : (scenario,)  [1/yr];  years : of the study period  [yr].  Source: ASTM E1057 (recalled)

    >>> adjusted_rate_of_return(np.array([1.0, 1.21]), np.array([0.05, 0.10]), 2).round(4)
    array([0.05, 0.21])
    """
    with np.errstate(invalid="ignore"):
        return np.asarray((1 + rate) * ratio ** (1 / years) - 1)

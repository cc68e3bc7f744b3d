"""The value of a metric at which the answer turns, in every scenario of a pass."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from geoecon.arrays import Floats
from geoecon.result import Result
from geoecon.studies.targets import AT_LEAST, AT_MOST

Limit = Callable[[Result], Floats]


@dataclass(frozen=True)
class Decision:
    """From which side a metric has to reach its limit, and what the limit is, (scenario,) in the unit of the metric."""

    sense: str
    words: str
    limit: Limit

    def margin(self, values: Floats, result: Result) -> Floats:
        """How far values are on the good side, negative on the other, NaN where there is no limit, (scenario,)."""
        gap = values - self.limit(result)
        return gap if self.sense == AT_LEAST else -gap


def _zero(result: Result) -> Floats:
    return np.zeros(result.scenarios)


def _asked(name: str) -> Limit:
    return lambda result: np.asarray(np.broadcast_to(result.asked[name], (result.scenarios,)))


def _first_price(result: Result) -> Floats:
    return np.asarray(np.broadcast_to(result.annual["price"][result.build_years], (result.scenarios,)))


def _levelized(form: str) -> Limit:
    return lambda result: result.metrics[f"price_levelized_{form}"].values


ZERO = Decision(AT_LEAST, "zero", _zero)
REAL, NOMINAL = (Decision(AT_MOST, "the levelized price of the case", _levelized(form)) for form in ("real", "nominal"))
DECISIONS: dict[str, Decision] = {
    "npv": ZERO,
    "npv_at_decision": ZERO,
    "npv_equity": ZERO,
    "irr_project": Decision(AT_LEAST, "the discount rate", _asked("discount_rate")),
    "irr_equity": Decision(AT_LEAST, "the return asked of the equity", _asked("equity_return")),
    "dscr_min": Decision(AT_LEAST, "the cover asked", _asked("target_dscr")),
    "lcoe_real": REAL,
    "lcoe_nominal": NOMINAL,
    "lcoe_after_tax_real": REAL,
    "lcoe_after_tax_nominal": NOMINAL,
    "required_price": Decision(AT_MOST, "the stated price of year 1", _first_price),
}

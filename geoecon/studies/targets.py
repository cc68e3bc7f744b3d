"""A target: a metric that has to reach a value, as a person writes it: "irr_equity >= 10 %/yr", "lcoe_real <= 95 USD/MWh"."""

import difflib
import re
from dataclasses import dataclass

import numpy as np

from geoecon import units
from geoecon.arrays import Bools, Floats
from geoecon.errors import CaseError, Fault, UnitError
from geoecon.result import METRICS, in_money

AT_LEAST, AT_MOST = ">=", "<="
_FORM = re.compile(r"\s*(?P<metric>\w+)\s*(?P<sense>>=|<=)\s*(?P<value>\S.*)")
# Metrics of these units may be written with any unit of a kind; kW and MW differ by a factor inside.
_KINDS = {
    "CUR/MWh": ("price", 1.0), "CUR": ("money", 1.0), "CUR/kW": ("money per kW", 1.0), "CUR/yr": ("money a year", 1.0),
    "1/yr": ("rate", 1.0), "MW": ("power", 1e-3), "MWh": ("energy", 1.0), "kg/s": ("mass flow", 1.0),
    "degC": ("temperature", 1.0),
}  # fmt: skip
LARGE = 1e5
_LOWER = (
    "lcoe", "required_price", "capital", "payback", "discounted_payback", "first_year_operating", "life_cycle_cost",
    "revenue_requirement", "total_commitment",
)  # fmt: skip
LOWER_IS_BETTER = frozenset(name for name in METRICS if name.startswith(_LOWER))


@dataclass(frozen=True)
class Target:
    """A metric, the value it has to reach, and from which side; the value in the unit of the metric."""

    metric: str
    value: float
    sense: str

    def margin(self, values: Floats) -> Floats:
        """How far values are on the right side, negative where the target is missed, any shape, in the metric's unit."""
        return values - self.value if self.sense == AT_LEAST else self.value - values

    def met(self, values: Floats) -> Bools:
        """Where the target is met; a value that does not exist meets none."""
        with np.errstate(invalid="ignore"):
            return np.asarray(self.margin(values) >= 0)

    def reached(self, margin: float) -> float:
        """The value of the metric that has a margin."""
        return self.value + margin if self.sense == AT_LEAST else self.value - margin

    def in_words(self, currency: str) -> str:
        """The target as it is read back: "irr_equity at least 10 %"."""
        unit = in_money(METRICS[self.metric].unit, currency)
        value = f"{self.value:,.0f}" if abs(self.value) >= LARGE else f"{self.value:,.6g}"
        number = f"{self.value * 100:.4g} %" if unit == "1/yr" else f"{value} {unit}".removesuffix(" 1")
        return f"{self.metric} {'at least' if self.sense == AT_LEAST else 'at most'} {number}"


def target(text: str, currency: str) -> Target:
    """The target that a text states. Raises `CaseError`: no such form, no such metric, a wrong unit."""
    match = _FORM.fullmatch(text)
    if match is None:
        raise _wrong(f"{text!r} is no target; write METRIC >= VALUE or METRIC <= VALUE")
    metric = match["metric"]
    if metric not in METRICS:
        near = difflib.get_close_matches(metric, METRICS, n=1)
        raise _wrong(f"{metric!r} is no metric{f'; did you mean {near[0]!r}?' if near else ''}")
    if match["value"].strip() in METRICS:
        other = match["value"].strip()
        raise _wrong(
            f"{text!r} compares two metrics; hold {metric} against a value, and {other} in a criterion of its own"
        )
    kind, scale = _KINDS.get(METRICS[metric].unit, ("", 1.0))
    try:
        value = units.read(match["value"], (kind,), currency).value * scale if kind else _bare(match["value"], metric)
    except UnitError as error:
        raise _wrong(f"{text!r}: {error}") from None
    return Target(metric, value, match["sense"])


def _bare(text: str, metric: str) -> float:
    """A value of a metric that is a ratio, a share or a count."""
    number = text.strip().removesuffix(METRICS[metric].unit).strip() if METRICS[metric].unit != "1" else text.strip()
    share = number.endswith("%")
    try:
        return float(number.removesuffix("%")) / (100 if share else 1)
    except ValueError:
        raise UnitError(f"{text!r} is not a bare number") from None


def _wrong(words: str) -> CaseError:
    return CaseError([Fault("target", words)], "target")

"""Trial values of inputs on one scenario axis: a metric of a case for each row, everything else as the case has it."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from geoecon.arrays import Floats
from geoecon.case import Case
from geoecon.engine import evaluate
from geoecon.errors import CaseError, Fault
from geoecon.result import Result
from geoecon.studies.admitted import work_out
from geoecon.studies.drawn import Order, order
from geoecon.studies.draws import of_the_field, producers_of
from geoecon.studies.inputs import Input, input_of
from geoecon.studies.targets import Target
from geoecon.studies.uncertain import UncertainInput, uncertain_inputs
from geoecon.studies.why import refusal

FAR = 5.0
FAR_K = 80.0
FAR_RATE = 0.2
LARGEST_BOUND = 1e3


@dataclass(frozen=True)
class Trials:
    """A case, a target, and how the plant is ordered when inputs take other values."""

    case: Case
    target: Target
    hold: bool

    @cached_property
    def uncertain(self) -> Mapping[str, UncertainInput]:
        """The uncertain inputs of the case."""
        return of_the_field(uncertain_inputs(self.case), producers_of(self.case))

    @cached_property
    def order(self) -> Order:
        """The plant as ordered, or sized for every trial."""
        return order(self.case, self.uncertain, resize=not self.hold)

    @cached_property
    def base(self) -> Result:
        """The case as it is. Raises `CaseError` where it cannot be worked out."""
        return evaluate(self.case, unsolved="raise")

    def values(self, trials: Mapping[str, Floats]) -> Floats:
        """The target's metric for each trial, path -> (trial,); NaN where it has no value, or the case would be none."""
        size = next(iter(trials.values())).size
        found = work_out(self.case, trials, self.order.admit, self.order.evaluate).metrics[self.target.metric].values
        return np.array(np.broadcast_to(found, size))

    def margins(self, trials: Mapping[str, Floats]) -> Floats:
        """How far the metric of each trial is on the right side of the target, (trial,)."""
        return self.target.margin(self.values(trials))

    def why_none(self, trial: Mapping[str, float]) -> str:
        """Why the metric has no value in one trial."""
        values = {path: np.array([value]) for path, value in trial.items()}
        try:
            passed = evaluate(*self.order.drawn(values), unsolved="raise")
        except CaseError as error:
            return refusal(error)
        return passed.metrics[self.target.metric].reason

    def movable(self, path: str) -> Input:
        """The input at a path, where it may vary. Raises `CaseError`."""
        found = input_of(self.case, path)
        if not found.about.varies:
            words = "sets the shape of a pass and cannot be tried at many values at once; `geoecon sweep` can"
            raise CaseError([Fault(path, words)], self.case.source)
        return found

    def reach(self, chosen: Input) -> tuple[float, float, bool]:
        """Low and high end of what is tried for an input, within its field's bounds, and whether in equal factors.

        From a fifth to five times the case's value; a temperature 80 K either way; a value below zero four times its size
        either way. An input that is 0 has no size: then its bounds, a rate 20 points, money the capital cost of the case.
        Raises `CaseError` where all that leaves no range.
        """
        low, high = chosen.about.limits(chosen.kind)
        value = chosen.value
        if chosen.kind == "temperature":
            return max(low, value - FAR_K), min(high, value + FAR_K), False
        if value > 0:
            return max(low, value / FAR), min(high, value * FAR), True
        far = (FAR - 1) * -value or self._reach_from_zero(chosen)
        return max(low, value - far), min(high, value + far), False

    def _reach_from_zero(self, chosen: Input) -> float:
        low, high = chosen.about.limits(chosen.kind)
        if chosen.kind in {"rate", "cooling rate"}:
            return FAR_RATE if chosen.kind == "rate" else 1.0
        if chosen.kind == "money":
            return float(self.base.metrics["capital_cost"].values[0])
        if high <= LARGEST_BOUND:
            return max(high, -low)
        words = "is 0, which tells no size to search in; set it to a likely value first, as with --set"
        raise CaseError([Fault(chosen.path, words)], self.case.source)

    def window(self, chosen: Input) -> tuple[float, float]:
        """What an axis shows of an input: its range of 48 chances in 50, or a third either way; the case's value in it."""
        low, high = chosen.about.limits(chosen.kind)
        known = self.uncertain.get(chosen.path)
        if known is not None:
            ends = known.quantile(0.02), known.quantile(0.98)
        else:
            start, stop, _ = self.reach(chosen)
            reach = min(abs(chosen.value) / 3, FAR_K / 4 if chosen.kind == "temperature" else np.inf)
            reach = reach or (stop - start) / 4
            ends = chosen.value - reach, chosen.value + reach
        return max(low, min(ends[0], chosen.value)), min(high, max(ends[1], chosen.value))

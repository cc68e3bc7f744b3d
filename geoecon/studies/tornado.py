"""One uncertain input at a time, everything else as the case has it: what the answer does when each takes its own range.

The ends of a range are those of its own distribution, 1 chance in 10 below and 1 in 10 above, never the same percentage
for all: an input is moved as far as it may really be off.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from geoecon.arrays import Bools, Floats
from geoecon.case import Case
from geoecon.errors import CaseError, Fault
from geoecon.studies.admitted import Admitted, work_out
from geoecon.studies.drawn import Order, order
from geoecon.studies.inputs import Input
from geoecon.studies.uncertain import UncertainInput, uncertain_inputs
from geoecon.studies.why import infeasible, why_not

ENDS = (0.1, 0.9)
POINTS = (0.05, 0.1, 0.2, 0.35, 0.5, 0.65, 0.8, 0.9, 0.95)
HARDLY, ROUNDING = 1e-3, 1e-9


@dataclass(frozen=True)
class Moved:
    """An uncertain input and the values it takes, (point,), in the unit used inside.

    own : chance of the input being at or below the case's value;  origin, evidence : where the range comes from
    """

    input: Input
    values: Floats
    own: float
    origin: str
    evidence: str


@dataclass(frozen=True)
class OneAtATime:
    """Metrics as each uncertain input in turn takes the values at some cumulative chances of its own.

    inputs : (input,) in the order of the case;  chances : (point,);  metrics : key -> (input, point)
    reasons : key -> why there is no value, per input and point;  base : key -> value of the case as it is
    resized : whether wells and plant are sized afresh in every scenario, otherwise they are as ordered
    """

    inputs: tuple[Moved, ...]
    chances: Floats
    metrics: Mapping[str, Floats]
    reasons: Mapping[str, tuple[tuple[str, ...], ...]]
    base: Mapping[str, float]
    base_reasons: Mapping[str, str]
    units: Mapping[str, str]
    bases: Mapping[str, str]
    resized: bool
    name: str
    currency: str

    def reach(self, metric: str) -> Floats:
        """How far a metric goes with each input, from its least to its greatest value, the base among them, (input,)."""
        base = np.full((len(self.inputs), 1), self.base[metric])
        known = np.hstack([self.metrics[metric], base])
        least, most = (np.where(np.isnan(known), limit, known) for limit in (np.inf, -np.inf))
        with np.errstate(invalid="ignore"):
            return np.where(np.isfinite(known).any(axis=1), most.max(axis=1) - least.min(axis=1), 0.0)

    def by_reach(self, metric: str) -> list[int]:
        """Places of the inputs, the one that moves a metric most first; equal ones in the order of the case.

        Before all stand those with an end at which nothing can be worked out: there the project itself ends.
        """
        return [int(n) for n in np.lexsort((-self.reach(metric), ~self.ends_it))]

    @property
    def ends_it(self) -> Bools:
        """Which inputs have a value at which nothing can be worked out, (input,)."""
        return np.asarray(np.isnan(self.metrics["net_capacity"]).any(axis=1))

    def movers(self, metric: str) -> list[int]:
        """Places of the inputs that move a metric by more than a thousandth of what the first of them does."""
        reach, own = self.reach(metric), abs(np.nan_to_num(self.base[metric]))
        least = max(HARDLY * float(reach.max()), ROUNDING * own)
        return [n for n in self.by_reach(metric) if reach[n] > least or self.ends_it[n]]

    @property
    def usual_metric(self) -> str:
        """The value to the owner, or the price that the owner needs where no price is stated."""
        return "npv_equity" if np.isfinite(self.base["npv_equity"]) else "required_price"


def tornado(case: Case, *, only: Sequence[str] = (), resize: bool = False) -> OneAtATime:
    """Each uncertain input at its low and its high, 1 chance in 10 below and 1 in 10 above, in one pass of 2n + 1.

    only : paths of the inputs wanted, all by default;  resize : size every scenario afresh
    Raises `CaseError`: an input that is not uncertain, a case without uncertain inputs, or one that cannot be worked out.
    """
    return one_at_a_time(case, ENDS, only=only, resize=resize)


def spider(case: Case, *, only: Sequence[str] = (), resize: bool = False) -> OneAtATime:
    """Each uncertain input at chances from 5 % to 95 %, in one pass. Raises as `tornado`."""
    return one_at_a_time(case, POINTS, only=only, resize=resize)


def one_at_a_time(
    case: Case, chances: Sequence[float], *, only: Sequence[str] = (), resize: bool = False
) -> OneAtATime:
    """Each uncertain input at the values below which so much chance lies, in one pass with the case itself before them."""
    uncertain = _chosen(case, only)
    ordered = order(case, uncertain, resize=resize)
    moved = tuple(_moved(input_, np.array(chances)) for input_ in uncertain.values())
    scenarios = {one.input.path: _scenarios(moved, n) for n, one in enumerate(moved)}
    passed = work_out(case, scenarios, ordered.admit, ordered.evaluate)
    none = infeasible(passed.metrics)
    if none[0]:
        raise CaseError([Fault("", f"the case itself cannot be worked out: {why_not(case)}")], case.source)
    shape, why = (len(moved), len(chances)), _why(ordered, scenarios, passed)
    if none[1:].all():
        words = f"none of the {none.size - 1} values of its uncertain inputs can be worked out; the first: {why[1]}"
        raise CaseError([Fault("uncertainty", words)], case.source)
    return OneAtATime(
        moved,
        np.array(chances),
        {key: metric.values[1:].reshape(shape) for key, metric in passed.metrics.items()},
        {key: _reasons(passed, key, why, shape) for key in passed.metrics},
        {key: float(metric.values[0]) for key, metric in passed.metrics.items()},
        {key: metric.reason_at(0) for key, metric in passed.metrics.items()},
        {key: metric.unit for key, metric in passed.metrics.items()},
        {key: metric.basis for key, metric in passed.metrics.items()},
        resize, case.project.name, case.money.currency,
    )  # fmt: skip


def _chosen(case: Case, only: Sequence[str]) -> dict[str, UncertainInput]:
    known = uncertain_inputs(case)
    if not known:
        raise CaseError(
            [Fault("uncertainty", "the case has no uncertain input; say how sure its numbers are")], case.source
        )
    faults = [Fault(path, f"is not uncertain in this case; uncertain are: {', '.join(known)}")
              for path in only if path not in known]  # fmt: skip
    if faults:
        raise CaseError(faults, case.source)
    return {path: input_ for path, input_ in known.items() if not only or path in only}


def _moved(uncertain: UncertainInput, chances: Floats) -> Moved:
    one_well = "" if uncertain.common == 1 else " (of one well; the mean over wells varies less)"
    return Moved(
        uncertain.input, uncertain.distribution.quantile(chances), uncertain.chance_below(uncertain.input.value),
        uncertain.origin + one_well, uncertain.evidence,
    )  # fmt: skip


def _scenarios(moved: tuple[Moved, ...], n: int) -> Floats:
    """Values of input `n` in every scenario: the case first, then each input at its points in turn."""
    points = moved[n].values.size
    values = np.full(1 + len(moved) * points, moved[n].input.value)
    values[1 + n * points : 1 + (n + 1) * points] = moved[n].values
    return values


def _why(ordered: Order, scenarios: Mapping[str, Floats], passed: Admitted) -> dict[int, str]:
    """Scenario -> what stands in its way, where a pass cannot work it out."""
    found = dict(passed.refused)
    for n in set(np.flatnonzero(infeasible(passed.metrics))) - set(found):
        values = {path: column[n : n + 1] for path, column in scenarios.items()}
        found[int(n)] = why_not(*ordered.drawn(values))
    return found


def _reasons(passed: Admitted, key: str, why: Mapping[int, str], shape: tuple[int, int]) -> tuple[tuple[str, ...], ...]:
    rows, points = shape
    metric = passed.metrics[key]
    words = [why.get(n) or metric.reason_at(n) for n in range(1, 1 + rows * points)]
    return tuple(tuple(words[row * points : (row + 1) * points]) for row in range(rows))

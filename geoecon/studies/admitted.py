"""A pass over scenarios of which a case may refuse some: these have no value, and why; all others keep theirs."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace

import numpy as np

from geoecon.arrays import Floats
from geoecon.case import Case
from geoecon.errors import CaseError
from geoecon.finance.reasons import Reason
from geoecon.result import Metric, Result
from geoecon.studies.inputs import input_of
from geoecon.studies.why import refusal

Values = Mapping[str, Floats]


@dataclass(frozen=True)
class Admitted:
    """Metrics over scenarios, key -> (scenario,), not feasible where the case refuses the values: scenario -> why."""

    metrics: Mapping[str, Metric]
    refused: Mapping[int, str]


def work_out(
    case: Case, values: Values, admit: Callable[[Values], object], work: Callable[[Values], Result]
) -> Admitted:
    """The pass that `work` makes over values, path -> (scenario,), with those set aside that contradict the case.

    admit : raises `CaseError` for values that contradict the case. Raises what stands in the way of every value.
    """
    try:
        return Admitted(work(values).metrics, {})
    except CaseError:
        size = max((column.size for column in values.values()), default=0)
        refused = dict(_refused(values, admit, 0, size)) if size else {}
        if not refused:  # what is wrong lies elsewhere
            raise
    out = np.isin(np.arange(size), list(refused))
    kept = {path: np.where(out, input_of(case, path).value, column) for path, column in values.items()}
    return Admitted({key: _without(metric, out) for key, metric in work(kept).metrics.items()}, refused)


def _refused(values: Values, admit: Callable[[Values], object], start: int, stop: int) -> Iterator[tuple[int, str]]:
    """Scenarios that are refused and why; halves are tried, down to those."""
    try:
        admit({path: column[start:stop] for path, column in values.items()})
    except CaseError as error:
        if stop - start == 1:
            yield start, refusal(error)
            return
        middle = (start + stop) // 2
        yield from _refused(values, admit, start, middle)
        yield from _refused(values, admit, middle, stop)


def _without(metric: Metric, out: np.ndarray) -> Metric:
    values, codes = np.where(out, np.nan, metric.values), np.where(out, Reason.NOT_FEASIBLE, metric.codes)
    return replace(metric, values=values, codes=codes.astype(np.uint8))

"""Why one scenario cannot be worked out: the obstacle itself, where a pass over many gives only a code."""

from collections.abc import Mapping

import numpy as np

from geoecon.arrays import Bools
from geoecon.case import Case
from geoecon.case.reading import words_of
from geoecon.engine import evaluate
from geoecon.errors import CaseError
from geoecon.finance.reasons import Reason
from geoecon.result import Metric
from geoecon.sizing import Design


def why_not(case: Case, design: Design | None = None) -> str:
    """What stands in the way of a case of one scenario, in words; empty where nothing does."""
    try:
        evaluate(case, design, unsolved="raise")
    except CaseError as error:
        return refusal(error)
    return ""


def refusal(error: CaseError) -> str:
    """The first fault of a case that a study made, in words: where and what, without the file it came from."""
    fault = error.faults[0]
    return f"{fault.path}: {words_of(fault)}" if fault.path else words_of(fault)


def infeasible(metrics: Mapping[str, Metric]) -> Bools:
    """Scenarios that cannot be worked out at all, (scenario,)."""
    return np.asarray(metrics["net_capacity"].codes == Reason.NOT_FEASIBLE)

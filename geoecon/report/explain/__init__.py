"""How a metric comes about: the formula in words, then with the numbers of a case, down to inputs and their sources.

Every key of `result.METRICS` has an entry in `EXPLAINED`. The arithmetic that is printed is worked out again from its own
printed numbers before it is shown; where it does not give the printed value, no arithmetic is shown, and that is said. A number
that is found by search is put back in the same way, and must leave nothing over.
"""

from geoecon.report.explain.registry import EXPLAINED
from geoecon.report.explain.walk import NO_LINE, Explanation, UnknownMetricError, explain, known, listing

__all__ = ["EXPLAINED", "NO_LINE", "Explanation", "UnknownMetricError", "explain", "known", "listing"]

"""One input over a range, everything else as it is: one pass over all values where the input may vary."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from geoecon import units
from geoecon.arrays import Floats
from geoecon.case import Case
from geoecon.engine import evaluate
from geoecon.errors import CaseError, Fault, UnitError
from geoecon.result import Result
from geoecon.sizing import Design, size
from geoecon.studies.admitted import work_out
from geoecon.studies.inputs import Input, check_bounds, input_of, usual_range
from geoecon.studies.why import refusal, why_not

MOST_STEPS = 2001
SAME = 1e-9  # of the range


@dataclass(frozen=True)
class Sweep:
    """Metrics over the values of one input.

    values : (n,) rising, in `unit`; `base` is the case's own and is among them, at index `at`
    written : the unit in which the case states the input
    metrics : key -> (n,);  reasons : key -> why there is no value, per value;  held : whether the design was held
    """

    path: str
    help: str
    kind: str
    unit: str
    values: Floats
    at: int
    metrics: Mapping[str, Floats]
    units: Mapping[str, str]
    bases: Mapping[str, str]
    reasons: Mapping[str, tuple[str, ...]]
    held: bool
    name: str
    currency: str
    written: str = ""

    def shown_in(self, system: str) -> "Sweep":
        """The same sweep with its input in the unit of another system of units."""
        if not self.kind:
            return self
        unit = units.unit_shown(self.kind, system, self.currency, self.written)
        shown = np.array([units.from_inside(float(value), self.kind, unit, self.currency) for value in self.values])
        return replace(self, values=shown, unit=unit)

    @property
    def base(self) -> float:
        """The case's own value."""
        return float(self.values[self.at])


def sweep(case: Case, path: str, low: float, high: float, steps: int = 21, *, hold: bool = False) -> Sweep:
    """Every metric of a case over one input from `low` to `high`, in the unit used inside.

    The case's own value is put among the others. An input that sets the length of arrays, or the shape of the plant's
    map, takes one pass per value. With `hold` the design of the base case is kept, otherwise each value is sized afresh.
    Raises `CaseError` for a path that cannot be swept or a range without extent.
    """
    chosen = input_of(case, path)
    values, at = spaced(case, chosen, low, high, steps)
    base = evaluate(case)
    design = size(case) if hold else None
    if chosen.about.varies:
        passed = work_out(case, {path: values}, case.with_values, lambda some: evaluate(case.with_values(some), design))
        columns = {key: metric.values for key, metric in passed.metrics.items()}
        why = [passed.refused.get(n, "") for n in range(len(values))]
        reasons = {key: tuple(w or m.reason_at(n) for n, w in enumerate(why)) for key, m in passed.metrics.items()}
    else:
        passes = [_one(case, chosen, float(value), design) for value in values]
        columns = {key: np.array([_value(p, key) for p in passes]) for key in base.metrics}
        reasons = {key: tuple(_reason(p, key) for p in passes) for key in base.metrics}
    if not np.isfinite(columns["net_capacity"]).any():
        words = f"nothing can be worked out in this range: {why_not(case, design) or reasons['net_capacity'][at]}"
        raise CaseError([Fault(path, words)], case.source)
    unit_of = {key: metric.unit for key, metric in base.metrics.items()}
    basis_of = {key: metric.basis for key, metric in base.metrics.items()}
    return Sweep(
        path, chosen.about.help, chosen.kind, chosen.unit, values, at, columns, unit_of, basis_of, reasons, hold, base.name,
        base.currency, chosen.written,
    )  # fmt: skip


def sweep_texts(case: Case, path: str, low: str | None, high: str | None, steps: int, *, hold: bool = False) -> Sweep:
    """A sweep between two texts with units; an end that is left out is the usual one. Raises `CaseError`."""
    start, stop = ends(case, input_of(case, path), low, high)
    return sweep(case, path, start, stop, steps, hold=hold)


def ends(case: Case, chosen: Input, low: str | None, high: str | None) -> tuple[float, float]:
    """Ends of a range from texts with units, in the unit used inside; one left out is the usual one. Raises `CaseError`."""
    start, stop = usual_range(chosen)
    try:
        start = start if low is None else chosen.read(low, case.money.currency)
        stop = stop if high is None else chosen.read(high, case.money.currency)
    except UnitError as error:
        raise CaseError([Fault(chosen.path, str(error))], case.source) from None
    return start, stop


def spaced(case: Case, chosen: Input, low: float, high: float, steps: int) -> tuple[Floats, int]:
    """Rising values from low to high with the case's own among them, and its place. Raises `CaseError`."""
    if not (np.isfinite([low, high]).all() and low < high and 2 <= steps <= MOST_STEPS):
        words = f"a sweep runs from low to high in 2 to {MOST_STEPS} steps, not from {low:g} to {high:g} in {steps}"
        raise CaseError([Fault(chosen.path, words)], case.source)
    grid = np.linspace(low, high, steps)
    if chosen.about.form == "count":
        grid = np.round(grid)
    other = np.abs(grid - chosen.value) > SAME * (high - low)  # what a range is stated as differs in its last bit
    values = np.unique(np.append(grid[other], chosen.value))
    if chosen.about.varies:
        check_bounds(case, chosen, values)
    return values, int(np.flatnonzero(values == chosen.value)[0])


def _one(case: Case, chosen: Input, value: float, design: Design | None) -> Result | CaseError:
    number = int(value) if chosen.about.form == "count" else value
    try:
        return evaluate(case.with_values({chosen.path: number}), design)
    except CaseError as error:
        return error


def _value(passed: Result | CaseError, key: str) -> float:
    return np.nan if isinstance(passed, CaseError) else float(passed.metrics[key].values[0])


def _reason(passed: Result | CaseError, key: str) -> str:
    return refusal(passed) if isinstance(passed, CaseError) else passed.metrics[key].reason

"""One input over a range, everything else as it is: one pass over all values where the input may vary."""

import difflib
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from geoecon import units
from geoecon.arrays import Floats
from geoecon.case import Case
from geoecon.case.fields import About, Stated, about
from geoecon.case.schema import TABLES
from geoecon.engine import evaluate
from geoecon.errors import CaseError, Fault, UnitError
from geoecon.result import Result
from geoecon.sizing import size

AROUND = 0.3
MOST_STEPS = 2001


@dataclass(frozen=True)
class Sweep:
    """Metrics over the values of one input.

    values : (n,) rising, in `unit`; `base` is the case's own and is among them, at index `at`
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

    def shown_in(self, system: str) -> "Sweep":
        """The same sweep with its input in the unit of another system of units."""
        if not self.kind:
            return self
        unit = units.unit_shown(self.kind, system, self.currency)
        shown = np.array([units.from_inside(float(value), self.kind, unit, self.currency) for value in self.values])
        return replace(self, values=shown, unit=unit)

    @property
    def base(self) -> float:
        """The case's own value."""
        return float(self.values[self.at])


@dataclass(frozen=True)
class Input:
    """A number of a case that can be swept: where it is, what it is now, and in which unit."""

    path: str
    about: About
    kind: str
    unit: str
    value: float
    at_degC: float | None

    def read(self, text: str, currency: str) -> float:
        """A value of the input from a text with a unit, in the unit used inside. Raises `UnitError`."""
        if not self.kind:
            try:
                return float(text)
            except ValueError:
                raise UnitError(f"{text!r} is not a bare number") from None
        if self.at_degC is not None and "@" not in text:
            text = f"{text} @ {self.at_degC:.10g} degC"
        reading = units.read(text, (self.kind,), currency)
        if reading.at_degC is not None and abs(reading.at_degC - (self.at_degC or 0.0)) > 1e-6:
            raise UnitError(f"{text!r}: the case states this flow at {self.at_degC:.6g} degC; use the same")
        return reading.value


def inputs(case: Case) -> dict[str, Input]:
    """Path -> every number of a case that can be swept: those with a single value now."""
    found = {}
    for name, model in TABLES.items():
        for leaf in model.model_fields:
            made = _input(case, f"{name}.{leaf}", about(model, leaf), getattr(getattr(case, name), leaf))
            if made:
                found[made.path] = made
    return found


def _input(case: Case, path: str, field_about: About, value: object) -> Input | None:
    if value is None or field_about.form not in {"number", "plain", "count"} or isinstance(value, bool):
        return None
    if field_about.form == "count" and path in {"money.price_year", "timeline.first_year", "timeline.decision_year"}:
        return None
    kind = value.kind if isinstance(value, Stated) else (field_about.kinds or ("",))[0]
    numbers = value.values if isinstance(value, Stated) else np.atleast_1d(np.asarray(value, dtype=np.float64))
    if numbers.size != 1:
        return None
    unit = units.inside_label(kind, case.money.currency) if kind else _bare_unit(path)
    return Input(path, field_about, kind, unit, float(numbers[0]), value.at_degC if isinstance(value, Stated) else None)


def _bare_unit(path: str) -> str:
    return "yr" if path.endswith("_years") else "months" if path.endswith("_months") else ""


def usual_range(chosen: Input) -> tuple[float, float]:
    """A range around the case's value within the field's bounds, for a first look."""
    low, high = chosen.about.limits(chosen.kind)
    reach = AROUND * abs(chosen.value) or (min(high, 1.0) - max(low, 0.0)) * 0.1
    start, stop = max(low, chosen.value - reach), min(high, chosen.value + reach)
    if chosen.about.form == "count":
        return float(np.floor(start)), float(np.ceil(stop))
    return start, stop


def sweep(case: Case, path: str, low: float, high: float, steps: int = 21, *, hold: bool = False) -> Sweep:
    """Every metric of a case over one input from `low` to `high`, in the unit used inside.

    The case's own value is put among the others. An input that sets the length of arrays, or the shape of the plant's
    map, takes one pass per value. With `hold` the design of the base case is kept, otherwise each value is sized afresh.
    Raises `CaseError` for a path that cannot be swept or a range without extent.
    """
    known = inputs(case)
    if path not in known:
        raise CaseError([_no_input(case, path, known)], case.source)
    chosen = known[path]
    values, at = _values(case, chosen, low, high, steps)
    base = evaluate(case)
    design = size(case) if hold else None
    if chosen.about.varies:
        passed = evaluate(case.with_values({path: values}), design)
        columns = {key: metric.values for key, metric in passed.metrics.items()}
        reasons = {key: tuple(m.reason_at(n) for n in range(len(values))) for key, m in passed.metrics.items()}
    else:
        passes = [_one(case, chosen, float(value), hold) for value in values]
        columns = {key: np.array([_value(p, key) for p in passes]) for key in base.metrics}
        reasons = {key: tuple(_reason(p, key) for p in passes) for key in base.metrics}
    unit_of = {key: metric.unit for key, metric in base.metrics.items()}
    basis_of = {key: metric.basis for key, metric in base.metrics.items()}
    return Sweep(
        path, chosen.about.help, chosen.kind, chosen.unit, values, at, columns, unit_of, basis_of, reasons, hold, base.name,
        base.currency,
    )  # fmt: skip


def sweep_texts(case: Case, path: str, low: str | None, high: str | None, steps: int, *, hold: bool = False) -> Sweep:
    """A sweep between two texts with units; an end that is left out is the usual one. Raises `CaseError`."""
    known = inputs(case)
    if path not in known:
        raise CaseError([_no_input(case, path, known)], case.source)
    chosen = known[path]
    ends = list(usual_range(chosen))
    try:
        for n, text in enumerate((low, high)):
            if text is not None:
                ends[n] = chosen.read(text, case.money.currency)
    except UnitError as error:
        raise CaseError([Fault(path, str(error))], case.source) from None
    return sweep(case, path, ends[0], ends[1], steps, hold=hold)


def _values(case: Case, chosen: Input, low: float, high: float, steps: int) -> tuple[Floats, int]:
    if not (np.isfinite([low, high]).all() and low < high and 2 <= steps <= MOST_STEPS):
        words = f"a sweep runs from low to high in 2 to {MOST_STEPS} steps, not from {low:g} to {high:g} in {steps}"
        raise CaseError([Fault(chosen.path, words)], case.source)
    grid = np.linspace(low, high, steps)
    if chosen.about.form == "count":
        grid = np.round(grid)
    values = np.unique(np.append(grid, chosen.value))
    return values, int(np.flatnonzero(values == chosen.value)[0])


def _one(case: Case, chosen: Input, value: float, hold: bool) -> Result | CaseError:
    number = int(value) if chosen.about.form == "count" else value
    try:
        return evaluate(case.with_values({chosen.path: number}), size(case) if hold else None)
    except CaseError as error:
        return error


def _value(passed: Result | CaseError, key: str) -> float:
    return np.nan if isinstance(passed, CaseError) else float(passed.metrics[key].values[0])


def _reason(passed: Result | CaseError, key: str) -> str:
    return passed.faults[0].message if isinstance(passed, CaseError) else passed.metrics[key].reason


def _no_input(case: Case, path: str, known: Mapping[str, Input]) -> Fault:
    near = difflib.get_close_matches(path, known, n=1)
    hint = f"; did you mean {near[0]!r}?" if near else "; `geoecon fields` lists them"
    return Fault(path, f"is not a number that this case states and that can be swept{hint}", None)

"""The numbers of a case that a study can move: where they are, what they are now, in which unit."""

import difflib
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from geoecon import units
from geoecon.arrays import Floats
from geoecon.case import Case
from geoecon.case.fields import About, Entry, Stated, about, admitted
from geoecon.case.schema import TABLES
from geoecon.errors import CaseError, Fault, UnitError

AROUND = 0.3


@dataclass(frozen=True)
class Input:
    """A number of a case that can be moved: where it is, what it is now, and in which unit.

    unit, value : as used inside;  written : the unit in which the case states it, empty where it does not
    """

    path: str
    about: About
    kind: str
    unit: str
    value: float
    at_degC: float | None
    written: str = ""

    def shown_in(self, system: str, currency: str) -> str:
        """The unit in which a system shows the input; empty for a bare number without one."""
        return units.unit_shown(self.kind, system, currency, self.written) if self.kind else self.unit

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


def check_bounds(case: Case, chosen: Input, values: Floats) -> None:
    """Refuse values that the field itself does not admit, whatever else the case says. Raises `CaseError`."""
    stated = Stated(chosen.kind, values, chosen.at_degC) if chosen.about.keeps_kind else values
    try:
        admitted(stated, chosen.about, Entry(case.money.currency))
    except ValueError as error:
        raise CaseError([Fault(chosen.path, str(error))], case.source) from None


def inputs(case: Case) -> dict[str, Input]:
    """Path -> every number of a case that can be moved: those with a single value now."""
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
    at = value.at_degC if isinstance(value, Stated) else None
    written = units.written_unit(case.text(path) or "", kind, case.money.currency) if kind else ""
    return Input(path, field_about, kind, unit, float(numbers[0]), at, written)


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


def input_of(case: Case, path: str) -> Input:
    """The input at a path. Raises `CaseError` where the case states no number there that can be moved."""
    known = inputs(case)
    if path not in known:
        raise CaseError([_no_input(path, known)], case.source)
    return known[path]


def _no_input(path: str, known: Mapping[str, Input]) -> Fault:
    near = difflib.get_close_matches(path, known, n=1)
    hint = f"; did you mean {near[0]!r}?" if near else "; `geoecon fields` lists them"
    return Fault(path, f"is not a number that this case states and that can be moved{hint}", None)

"""A case file, read with every fault reported at once, changed by path, and written back with its words kept."""

import tomllib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from pathlib import Path
from typing import Any, Self, TypeVar

import numpy as np
from pydantic import PrivateAttr, ValidationError

from geoecon import units
from geoecon.arrays import Floats
from geoecon.case.checks import cross_faults
from geoecon.case.decision import Criterion, Decision
from geoecon.case.documents import edited, line_of, nearest, parse, steps_of, text_of, toml_value, worded
from geoecon.case.fields import About, Entry, Span, Stated, Table, about, is_currency
from geoecon.case.schema import TABLES, CaseTables, Note
from geoecon.case.uncertainty import Correlation, Uncertainty
from geoecon.errors import CaseError, Fault

NO_CURRENCY = "CUR"
BY_ENTRY = ("uncertainty", "notes", "decision")  # tables whose entries stand for themselves

Change = float | str | int | bool | Floats | list[Any] | tuple[Any, ...]


C = TypeVar("C", bound="Case")
TOLD, CAUSED = "as set for this run: ", " (by what is set for this run)"


@dataclass(frozen=True)
class Written:
    """The text a case was read from, and what was changed since, path -> text or values.

    fields : paths that the document states;  told : paths set for this run, whose values are not the file's
    """

    document: str = ""
    source: str = "case"
    changes: Mapping[str, Any] = field(default_factory=dict)
    fields: frozenset[str] = frozenset()
    told: tuple[str, ...] = ()

    @cached_property
    def data(self) -> Mapping[str, Any]:
        """What the document states, as plain values."""
        return tomllib.loads(self.document)


class Case(CaseTables):
    """Everything a person stated about a site and a project. Frozen; equal when all values are equal.

    Numbers that may vary are arrays `(scenario,)`; a file gives one scenario.
    """

    _written: Written = PrivateAttr(default_factory=Written)

    @classmethod
    def read(cls, text: str, source: str = "case", told: Mapping[str, str] | None = None) -> Self:
        """The case that a TOML text states. Raises `CaseError` with all faults, each with its line.

        told : path -> text that takes the place of what the file says, read as a file would; an empty one takes it out
        """
        parse(text, source)
        for path in told or {}:
            _split(path, source)
        document = edited(
            text, {path: toml_value(value) if value.strip() else None for path, value in (told or {}).items()}
        )
        data = parse(document, source)
        fields = {f"{name}.{leaf}" for name, table in data.items() if isinstance(table, Mapping) for leaf in table}
        written = Written(document, source, fields=frozenset(fields), told=tuple(told or {}))
        try:
            return _build(cls, data, written)
        except CaseError as error:
            if not told:
                raise
            faults = _of_what_was_told(error.faults, _faults_of(cls, text, source))
            raise CaseError(faults, source, error.rest) from None

    @property
    def source(self) -> str:
        """Where the case was read from."""
        return self._written.source

    @cached_property
    def scenarios(self) -> int:
        """Number of scenarios that the arrays of the case stand for."""
        return max(self.sizes, default=1)

    def with_values(self, values: Mapping[str, Change]) -> Self:
        """The same case with other values at some paths, through the same checks as a file.

        A text is read as in a file; numbers and arrays `(scenario,)` are in the unit used inside, of the kind that the
        case has. `table.field`, or `table.field.account` where a field holds a table of accounts.
        Raises `CaseError`: unknown path, value outside bounds, arrays of different lengths.
        """
        lengths = {len(v) for v in values.values() if isinstance(v, np.ndarray) and v.ndim == 1} | {self.scenarios}
        if len(lengths - {1}) > 1:
            raise CaseError([Fault("", f"scenario counts differ: {sorted(lengths - {1})}")], self.source)
        changed: dict[str, dict[str, Any]] = {}
        for path, value in values.items():
            table, leaf, inner = _split(path, self.source)
            new = changed.setdefault(table, {})
            new[leaf] = _replaced(new.get(leaf, getattr(getattr(self, table), leaf)), value, inner)
        written = replace(self._written, changes={**self._written.changes, **values})
        return _changed(self, changed, written) or _rebuilt(self, changed, written)

    def with_texts(self, texts: Mapping[str, str]) -> Self:
        """The same case with other texts at some paths, read as a case file reads them (`--set` on a command line).

        Raises `CaseError`, also for what is no text: numbers and arrays are for `with_values`.
        """
        if other := [path for path, text in texts.items() if not isinstance(text, str)]:
            words = "takes a text as in a file, such as '4.2 MW', not {!r:.60}; numbers and arrays are for with_values"
            raise CaseError([Fault(path, words.format(texts[path])) for path in other], self.source)
        changed = type(self).read(self._written.document, self.source, texts)
        changed._written = replace(changed._written, told=(*self._written.told, *changed._written.told))
        return changed

    @property
    def told(self) -> tuple[str, ...]:
        """Paths whose values were set besides the file."""
        return (*self._written.told, *self._written.changes)

    def to_toml(self) -> str:
        """The case as a file: the text it was read from, with comments, and only what was changed written anew."""
        changes = {path: _as_text(self, path, value) for path, value in self._written.changes.items()}
        return edited(self._written.document, changes)

    def line(self, path: str) -> int | None:
        """Line of the file where the value at a path stands, if the file states it."""
        return None if path in self.told else line_of(self._written.document, path)

    def text(self, path: str) -> str | None:
        """The words in which the file states the value of a field with one value; None where it does not."""
        at: Any = self._written.data
        for step in path.split("."):
            at = at.get(step) if isinstance(at, dict) else None
        return None if at is None or isinstance(at, dict | list) else str(at)

    def states(self, path: str) -> bool:
        """Whether the value of a field was written down, and is not a default."""
        written = self._written
        return path in written.fields or path in written.changes


def load_case(file: str | Path, told: Mapping[str, str] | None = None) -> Case:
    """The case in a TOML file. Raises `CaseError` with every fault found, each with its line.

    told : path -> text that takes the place of what the file says
    """
    return Case.read(text_of(Path(file)), str(file), told)


def _build(kind: type[C], data: dict[str, Any], written: Written, *, as_text: bool = True) -> C:
    """The case that the data states, or all its faults together."""
    entry = Entry(_currency(data), as_text)
    case, faults = _validated(kind, data, entry)
    rest, out = case, list(faults)
    if faults:
        if entry.currency == NO_CURRENCY:
            # Without a currency no amount can be read; the one fault to report is the currency.
            faults = [fault for fault in faults if NO_CURRENCY not in fault.message]
        # What is left after the faulty values are taken out may still show faults between fields.
        rest, _ = _validated(kind, _without(data, out), entry)
    between = _besides(list(cross_faults(rest)), out, faults) if rest is not None else []
    if between and as_text:
        out += [fault for fault in between if _table(fault.path) in BY_ENTRY]
        rest, _ = _validated(kind, _without(data, out), entry)
    if rest is not None:
        rest._written = written
    if case is None or faults or between:
        raise CaseError([_located(fault, written) for fault in [*faults, *between]], written.source, rest)
    return case


def _besides(between: list[Fault], everything: list[Fault], told: list[Fault]) -> list[Fault]:
    """Faults between fields that do not come of values taken out because they are at fault themselves."""
    out = {fault.path for fault in everything if _table(fault.path) not in BY_ENTRY}
    said = " ".join(fault.message for fault in told if _table(fault.path) not in BY_ENTRY)
    return [
        f for f in between if not _touches(f, out) and (_table(f.path) in BY_ENTRY or f.path.split(".")[-1] not in said)
    ]


def _table(path: str) -> str:
    return path.partition(".")[0]


def _changed(case: C, changed: Mapping[str, Mapping[str, Any]], written: Written) -> C | None:
    """The case with other values in some fields, of which only these are checked; None where one is not admitted."""
    tables = case.leaves()
    entry = Entry(_currency({"money": {**case.money.leaves(), **changed.get("money", {})}}))
    try:
        for name, values in changed.items():
            tables[name] = tables[name].with_admitted(values, entry)
    except ValueError:
        return None
    found: C = type(case).model_construct(**tables)  # type: ignore[assignment]
    if any(cross_faults(found)):
        return None
    found._written = written
    return found


def _rebuilt(case: C, changed: Mapping[str, Mapping[str, Any]], written: Written) -> C:
    """The same, with every field checked and every fault told."""
    data = {
        name: {**table.leaves(), **changed[name]} if name in changed else table for name, table in case.leaves().items()
    }
    return _build(type(case), data, written, as_text=False)


def _validated(kind: type[C], data: dict[str, Any], entry: Entry) -> tuple[C | None, list[Fault]]:
    try:
        return kind.model_validate(data, context=entry), []
    except ValidationError as error:
        return None, [worded(dict(problem), kind, TABLES, _free_table) for problem in error.errors()]


def _free_table(steps: list[str]) -> type[Table] | None:
    """The table below which a key stands that is no field, where it is a table of its own kind."""
    if "correlation" in steps or "criteria" in steps:
        return Correlation if "correlation" in steps else Criterion
    below: dict[str, type[Table]] = {"uncertainty": Uncertainty, "notes": Note, "decision": Decision}
    return below.get(steps[0]) if len(steps) > 1 else None


def _split(path: str, source: str) -> tuple[str, str, str]:
    """Table, field and account of a path, all known."""
    table, _, rest = path.partition(".")
    leaf, _, inner = rest.partition(".")
    if table not in TABLES:
        raise CaseError([Fault(path, f"is not a path{nearest(table, TABLES)}")], source)
    if not leaf:
        raise CaseError(
            [Fault(path, f"is a table; name a field of it, as in {table}.{next(iter(TABLES[table].model_fields))}")],
            source,
        )
    if leaf not in TABLES[table].model_fields:
        raise CaseError([Fault(path, f"is not a known field{nearest(leaf, TABLES[table].model_fields)}")], source)
    if inner and about(TABLES[table], leaf).form not in {"by account", "span"}:
        raise CaseError([Fault(path, f"{leaf!r} holds one value; leave out {'.' + inner!r}")], source)
    return table, leaf, inner


def _replaced(now: Any, value: Any, inner: str) -> Any:
    """The new value of a field, given the one it has."""
    if inner and isinstance(now, Span):
        return {"low": now.low, "high": now.high, inner: value}
    if inner:
        return {**(now or {}), inner: value}
    if isinstance(now, Stated) and not isinstance(value, str | Stated):
        return Stated(now.kind, np.array(value, dtype=np.float64, ndmin=1), now.at_degC)
    return value


def _currency(data: Mapping[str, Any]) -> str:
    money = data.get("money")
    code = money.get("currency") if isinstance(money, Mapping) else getattr(money, "currency", None)
    return str(code) if is_currency(code) else NO_CURRENCY


def _without(data: Mapping[str, Any], faults: Iterable[Fault]) -> dict[str, Any]:
    """The data less every value that a fault names."""
    kept = {name: dict(table) if isinstance(table, Mapping) else table for name, table in data.items()}
    entries = set()
    for fault in faults:
        table, *steps = steps_of(data, fault.path) or [fault.path]
        entry = fault.path.removeprefix(".".join([table, *steps])).removeprefix(".").partition(".")[0]
        if fault.path == table:
            kept.pop(table, None)
        elif steps and isinstance(kept[table].get(steps[0]), list | tuple) and entry.isdigit() and table in BY_ENTRY:
            entries.add((table, steps[0], int(entry)))
        elif steps:
            kept[table].pop(steps[0], None)
    for table, leaf, entry_at in sorted(entries, reverse=True):
        if leaf in kept.get(table, {}):
            kept[table][leaf] = [one for at, one in enumerate(kept[table][leaf]) if at != entry_at]
    return kept


def _touches(fault: Fault, faulty: set[str]) -> bool:
    return any(name in fault.message or name == fault.path for path in faulty for name in (path, path.split(".")[-1]))


def _located(fault: Fault, written: Written) -> Fault:
    """The fault with its line, unless the value came from code and not from the file."""
    if any(fault.path == path or path.startswith(fault.path + ".") for path in (*written.told, *written.changes)):
        return Fault(fault.path, f"{TOLD}{fault.message}")
    return Fault(fault.path, fault.message, line_of(written.document, fault.path)) if fault.path else fault


def words_of(fault: Fault) -> str:
    """What a fault says, without whether its cause was set for this run."""
    return fault.message.removeprefix(TOLD).removesuffix(CAUSED)


def _faults_of(kind: type[C], text: str, source: str) -> tuple[Fault, ...]:
    """What is wrong with a text as it stands."""
    try:
        kind.read(text, source)
    except CaseError as error:
        return tuple(error.faults)
    return ()


def _of_what_was_told(faults: Sequence[Fault], own: Sequence[Fault]) -> list[Fault]:
    """Faults of a case with values set besides its file: those that the file itself has not are no fault of its lines."""
    known = {(fault.path, fault.message): fault for fault in own}
    return [
        known.get((one.path, one.message), one if one.line is None else Fault(one.path, f"{one.message}{CAUSED}"))
        for one in faults
    ]


def _as_text(case: Case, path: str, value: Any) -> Any:
    """A changed value as it stands in a file."""
    table, leaf, _ = _split(path, case.source)
    field_about = about(TABLES[table], leaf)
    now = getattr(getattr(case, table), leaf)
    if isinstance(value, str) or field_about.form not in {"number", "plain", "by account", "span"}:
        return list(value) if isinstance(value, tuple) else value
    numbers = np.array(value, dtype=np.float64, ndmin=1)
    if numbers.size > 1:
        raise CaseError([Fault(path, f"holds {numbers.size} scenarios; a file holds one")], case.source)
    return _number_text(float(numbers[0]), field_about, now, case.money.currency)


def _number_text(number: float, field_about: About, now: Any, currency: str) -> Any:
    if not field_about.kinds:
        return number
    kind = now.kind if isinstance(now, Stated) else field_about.kinds[0]
    text = units.write(number, kind, currency)
    return f"{text} @ {now.at_degC} degC" if isinstance(now, Stated) and now.at_degC is not None else text

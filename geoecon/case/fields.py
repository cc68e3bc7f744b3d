"""What a field of a case is: how it is written, its bounds, its help; and the table that checks values on entry.

Each field is described once, here on the schema. Readers of a description: the checks on entry, `geoecon fields`,
the list of assumptions in a result, and every screen that asks a person for a number.
"""

import hashlib
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any, Self

import numpy as np
from pydantic import BaseModel, ConfigDict, Field, ValidationInfo, field_validator

from geoecon import units
from geoecon.arrays import Floats

MONTHS = 12
BIG = 1e15  # a bound for money in any currency
LONGEST_LIFE = 60
TURNS_TEXT = frozenset("\x7f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
BOUND_SLACK = 1e-9  # 332 degF is 166.66666666666674 degC on the way in


@dataclass(frozen=True)
class Stated:
    """A value that keeps the kind it was written in, because something else of the case is needed to convert it.

    A volume flow keeps the temperature it was stated at; a gauge pressure waits for the site's elevation.
    """

    kind: str
    values: Floats
    at_degC: float | None = None


@dataclass(frozen=True)
class Span:
    """A low and a high value, each `(scenario,)`."""

    low: Floats
    high: Floats


@dataclass(frozen=True)
class About:
    """Everything known of a field besides its value."""

    form: str
    help: str
    kinds: tuple[str, ...] = ()
    low: float = -np.inf
    high: float = np.inf
    bounds: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    varies: bool = False
    options: tuple[str, ...] = ()
    known: tuple[str, ...] = ()
    source: str = ""
    evidence: str = "assumed"

    def limits(self, kind: str) -> tuple[float, float]:
        """Lowest and highest value allowed, in the unit used inside."""
        return self.bounds.get(kind, (self.low, self.high))

    @property
    def keeps_kind(self) -> bool:
        """Whether the value has to remember the kind it was written in."""
        return self.form == "number" and len(self.kinds) > 1


@dataclass(frozen=True)
class Entry:
    """How values come in: from a file or a command line (texts with units) or from code (numbers, arrays, texts)."""

    currency: str = "CUR"
    as_text: bool = False


def _field(default: object, about: About) -> Any:
    return Field(default, json_schema_extra={"about": about})  # type: ignore[dict-item]


def number(
    kinds: str | tuple[str, ...], low: float, high: float, help: str, *, default: object = None, varies: bool = True,
    bounds: Mapping[str, tuple[float, float]] | None = None, source: str = "", evidence: str = "assumed",
) -> Any:  # fmt: skip
    """A quantity written with its unit; several kinds where the unit decides between them."""
    kinds = (kinds,) if isinstance(kinds, str) else kinds
    return _field(
        default, About("number", help, kinds, low, high, bounds or {}, varies, source=source, evidence=evidence)
    )


def plain(
    low: float, high: float, help: str, *, default: object = None, varies: bool = True, source: str = "",
    evidence: str = "assumed",
) -> Any:  # fmt: skip
    """A number without a unit, such as an exponent or a ratio."""
    return _field(default, About("plain", help, (), low, high, varies=varies, source=source, evidence=evidence))


def count(low: int, high: int, help: str, *, default: object = None, source: str = "") -> Any:
    """A whole number: years, months, wells; the same in every scenario because it sets the shape of the arrays."""
    return _field(default, About("count", help, (), low, high, source=source))


def choice(options: tuple[str, ...], help: str, *, default: object = ..., known: tuple[str, ...] = ()) -> Any:
    """One of a few names; `known` may list examples where any name is admitted."""
    return _field(default, About("choice", help, options=options, known=known))


def words(help: str, *, default: object = ...) -> Any:
    """Free text, never evaluated or used as markup."""
    return _field(default, About("words", help))


def currency(help: str) -> Any:
    """Code of a currency."""
    return _field(..., About("currency", help))


def is_currency(code: object) -> bool:
    """Whether a value has the form of a currency code, three capitals."""
    return isinstance(code, str) and len(code) == 3 and code.isascii() and code.isalpha() and code.isupper()


def switch(help: str, *, default: bool = False) -> Any:
    """True or false."""
    return _field(default, About("switch", help))


def months(kind: str, low: float, high: float, help: str, *, yearly: str = "") -> Any:
    """Twelve values, January first, bare numbers without a kind; a text of the kind `yearly` is spread evenly.

    One temperature or share stands for every month.
    """
    kinds = tuple(name for name in (kind, yearly) if name)
    return _field(None, About("months", help, kinds, low, high))


def by_year(kind: str, low: float, high: float, help: str) -> Any:
    """A list of values, one for each operating year from the first on."""
    return _field(None, About("by year", help, (kind,), low, high))


def from_years(kind: str, low: float, high: float, help: str) -> Any:
    """A table from an operating year to the value that holds from then on."""
    return _field(None, About("from years", help, (kind,), low, high))


def by_account(kind: str, low: float, high: float, help: str, known: tuple[str, ...], *, varies: bool = True) -> Any:
    """A table from account to value, with `all` for the rest; a single value stands for all."""
    return _field(None, About("by account", help, (kind,), low, high, varies=varies, known=known))


def span(kind: str, low: float, high: float, help: str) -> Any:
    """A table with `low` and `high`; a single value is both."""
    return _field(None, About("span", help, (kind,), low, high, varies=True))


def about(model: type[BaseModel], name: str) -> About:
    """The description of a field of a table."""
    extra = model.model_fields[name].json_schema_extra
    found = extra.get("about") if isinstance(extra, dict) else None
    return found if isinstance(found, About) else About("table", "")


class Table(BaseModel):
    """A frozen group of fields. Every value passes through `_admit`, whether it comes from a file or from code."""

    model_config = ConfigDict(frozen=True, extra="forbid", arbitrary_types_allowed=True, validate_default=True)

    @field_validator("*", mode="before")
    @classmethod
    def _admit(cls, raw: Any, info: ValidationInfo) -> Any:
        entry = info.context if isinstance(info.context, Entry) else Entry()
        return admitted(raw, about(cls, info.field_name or ""), entry)

    @property
    def digest(self) -> bytes:
        """A fingerprint of all values; not cached, because a cache would survive a copy with changed values."""
        total = hashlib.blake2b(digest_size=16)
        for name in type(self).model_fields:
            part = _bytes(getattr(self, name))
            total.update(f"\0{name}\0{len(part)}\0".encode() + part)
        return total.digest()

    def __hash__(self) -> int:
        return hash(self.digest)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Table) and type(self) is type(other) and self.digest == other.digest

    def leaves(self) -> dict[str, Any]:
        """Field name -> value, as they are."""
        return {name: getattr(self, name) for name in type(self).model_fields}

    @cached_property
    def sizes(self) -> set[int]:
        """Lengths of all arrays in the table and below it; what `with_admitted` leaves as it was is not looked through anew."""
        found: set[int] = set()
        for value in self.leaves().values():
            found |= value.sizes if isinstance(value, Table) else {array.size for array in _arrays(value)}
        return found

    def with_admitted(self, values: Mapping[str, Any], entry: Entry) -> Self:
        """The table with other values in some fields, which alone are checked.

        Raises `ValueError`, also where only the schema can tell.
        """
        kind = type(self)
        if any(value is None or about(kind, leaf).form == "table" for leaf, value in values.items()):
            raise ValueError("for the schema")
        new = {leaf: admitted(value, about(kind, leaf), entry) for leaf, value in values.items()}
        made: Self = type(self).model_construct(**{**self.leaves(), **new})  # type: ignore[assignment]
        return made


def _arrays(value: Any) -> list[Floats]:
    if isinstance(value, np.ndarray):
        return [value]
    if isinstance(value, Stated):
        return [value.values]
    if isinstance(value, Span):
        return [value.low, value.high]
    return [array for item in value.values() for array in _arrays(item)] if isinstance(value, dict) else []


def admitted(raw: Any, field_about: About, entry: Entry) -> Any:
    """A value as its field holds it. Raises `ValueError`; tables and what is left out are checked by the schema alone."""
    return raw if field_about.form == "table" or raw is None else _ADMIT[field_about.form](raw, field_about, entry)


def _bytes(value: Any) -> bytes:
    """A value as bytes that differ when the value does."""
    if isinstance(value, Table):
        return value.digest
    if isinstance(value, np.ndarray):
        return repr(value.shape).encode() + value.tobytes()
    if isinstance(value, Stated):
        return f"{value.kind}@{value.at_degC}".encode() + _bytes(value.values)
    if isinstance(value, Span):
        return _bytes(value.low) + b"\0" + _bytes(value.high)
    if isinstance(value, tuple) and value and isinstance(value[0], Table):
        return b"\0".join(item.digest for item in value)
    if isinstance(value, dict):
        return b"\0".join(str(key).encode() + b"=" + _bytes(value[key]) for key in sorted(value))
    return repr(value).encode()


def _values(raw: Any, field_about: About, entry: Entry) -> tuple[Floats, str, float | None]:
    """Values `(scenario,)` in the unit used inside, with the kind and temperature that a text stated."""
    kind, at, written = (field_about.kinds[0] if field_about.kinds else ""), None, ""
    if isinstance(raw, str) and field_about.kinds:
        reading = units.read(raw, field_about.kinds, entry.currency)
        written = units.written_unit(raw, reading.kind, entry.currency)
        raw, kind, at = reading.value, reading.kind, reading.at_degC
    elif entry.as_text and field_about.kinds:
        allowed = ", ".join(s for k in field_about.kinds for s in units.spellings(k, entry.currency))
        number = isinstance(raw, int | float) and not isinstance(raw, bool)
        meant = f', such as "{units.with_unit(repr(raw), field_about.kinds[0], entry.currency)}"' if number else ""
        raise ValueError(f"{raw!r} has no unit; write it as text with one of: {allowed}{meant}")
    if isinstance(raw, bool | str | Mapping) or (isinstance(raw, list | tuple) and entry.as_text):
        raise ValueError(f"takes one number, not {_shown(raw)}")
    values = np.array(raw, dtype=np.float64, ndmin=1)
    if values.ndim != 1 or (values.size > 1 and not field_about.varies):
        raise ValueError("takes one number, the same in every scenario")
    _check_bounds(values, field_about, kind, entry, written)
    values.flags.writeable = False
    return values, kind, at


def _check_bounds(values: Floats, field_about: About, kind: str, entry: Entry, written: str = "") -> None:
    """Raise `ValueError`, in the unit that was written, for values that the field may not have."""
    low, high = field_about.limits(kind)
    slack = BOUND_SLACK * np.maximum(np.abs(values), 1.0)
    outside = ~((values >= low - slack) & (values <= high + slack))  # NaN is outside too
    if not outside.any():
        return
    worst = float(values[outside.argmax()])
    unit = units.inside_label(kind, entry.currency) if kind else ""
    if written in {"", unit, "%", "%/yr"}:
        came, lowest, highest = (_in_words(value, unit) for value in (worst, low, high))
    else:
        turned = (units.from_inside(value, kind, written, entry.currency) for value in (worst, low, high))
        came, lowest, highest = (f"{value:.6g} {written}" for value in turned)
    where = f" ({int(outside.sum())} of {values.size} scenarios)" if values.size > 1 else ""
    raise ValueError(f"{came} is outside {lowest} to {highest}{where}")


def _in_words(value: float, unit: str) -> str:
    return f"{value * 100:.12g} %" if unit in {"1", "1/yr"} else f"{value:.12g} {unit}".strip()


def _admit_number(raw: Any, field_about: About, entry: Entry) -> Floats | Stated:
    if isinstance(raw, Stated):
        return Stated(raw.kind, _values(raw.values, _of_kind(field_about, raw.kind), entry)[0], raw.at_degC)
    values, kind, at = _values(raw, field_about, entry)
    return Stated(kind, values, at) if field_about.keeps_kind else values


def _of_kind(field_about: About, kind: str) -> About:
    low, high = field_about.limits(kind)
    return About("number", field_about.help, (kind,), low, high, varies=field_about.varies)


def _admit_count(raw: Any, field_about: About, entry: Entry) -> int:
    whole = isinstance(raw, int) and not isinstance(raw, bool)
    if not whole:
        raise ValueError(f"takes a whole number without a unit, not {_shown(raw)}")
    if not field_about.low <= raw <= field_about.high:
        raise ValueError(f"{raw} is outside {field_about.low:.0f} to {field_about.high:.0f}")
    return int(raw)


def _admit_choice(raw: Any, field_about: About, entry: Entry) -> str:
    if not isinstance(raw, str) or (field_about.options and raw not in field_about.options):
        import difflib

        near = difflib.get_close_matches(str(raw), field_about.options, n=1)
        hint = f"; did you mean {near[0]!r}?" if near else ""
        raise ValueError(f"{_shown(raw)} is not one of: {', '.join(field_about.options)}{hint}")
    return raw


def _admit_words(raw: Any, field_about: About, entry: Entry) -> str:
    if not isinstance(raw, str):
        raise ValueError(f"takes text, not {_shown(raw)}")
    if any((ord(letter) < 32 and letter not in "\n\t") or letter in TURNS_TEXT for letter in raw):
        raise ValueError("holds control characters; leave them out")
    return raw


def _admit_currency(raw: Any, field_about: About, entry: Entry) -> str:
    if not is_currency(raw):
        raise ValueError(f"{_shown(raw)} is not a currency code; write three capitals, such as USD")
    return str(raw)


def _admit_switch(raw: Any, field_about: About, entry: Entry) -> bool:
    if not isinstance(raw, bool):
        raise ValueError(f"takes true or false, not {_shown(raw)}")
    return raw


def _admit_months(raw: Any, field_about: About, entry: Entry) -> tuple[float, ...]:
    if isinstance(raw, str) and len(field_about.kinds) > 1:
        yearly = units.read(raw, field_about.kinds[1:], entry.currency).value
        return (yearly / MONTHS,) * MONTHS
    one_for_all = field_about.kinds in {("temperature",), ("share",)}
    if isinstance(raw, str) and one_for_all:
        return _each([raw] * MONTHS, field_about, entry)
    if not isinstance(raw, list | tuple) or len(raw) != MONTHS:
        came = f"{len(raw)} values" if isinstance(raw, list | tuple) else _shown(raw)
        or_one = "; one text with its unit stands for all" if one_for_all else ""
        raise ValueError(f"takes a list of 12 values, January first, not {came}{or_one}")
    return _each(raw, field_about, entry)


def _admit_by_year(raw: Any, field_about: About, entry: Entry) -> tuple[float, ...]:
    if not isinstance(raw, list | tuple) or not raw:
        raise ValueError(f"takes a list, one value for each operating year, not {_shown(raw)}")
    return _each(raw, field_about, entry)


def _each(raw: list[Any] | tuple[Any, ...], field_about: About, entry: Entry) -> tuple[float, ...]:
    single = _of_kind(field_about, field_about.kinds[0]) if field_about.kinds else replace(field_about, form="plain")
    return tuple(float(_values(item, single, entry)[0][0]) for item in raw)


def _admit_from_years(raw: Any, field_about: About, entry: Entry) -> dict[str, float]:
    if not isinstance(raw, Mapping) or not raw:
        raise ValueError(f"takes a table from operating year to value, such as {{1 = ..., 6 = ...}}, not {_shown(raw)}")
    years = [str(year) for year in raw]
    for year in years:
        if not (year.isascii() and year.isdigit() and year == str(int(year)) and 1 <= int(year) <= LONGEST_LIFE):
            raise ValueError(f"{_shown(year)} is not an operating year from 1 to {LONGEST_LIFE}")
    found = dict(zip(years, _each(tuple(raw.values()), field_about, entry), strict=True))
    if "1" not in found:
        raise ValueError(f"begins in operating year {min(map(int, years))}; say what holds from year 1 on")
    return {year: found[year] for year in sorted(found, key=int)}


def _admit_by_account(raw: Any, field_about: About, entry: Entry) -> dict[str, Any]:
    per_account = raw if isinstance(raw, Mapping) else {"all": raw}
    unknown = [name for name in per_account if name not in {"all", *field_about.known}]
    if unknown:
        raise ValueError(f"{unknown[0]!r} is not an account; known are: all, {', '.join(field_about.known)}")
    return {name: _one_account(value, field_about, entry) for name, value in per_account.items()}


def _one_account(value: Any, field_about: About, entry: Entry) -> Any:
    kind = field_about.kinds[0]
    if kind == "count":
        return _admit_count(value, field_about, entry)
    if kind == "shares":
        if not isinstance(value, list | tuple) or not all(isinstance(v, int | float) for v in value):
            raise ValueError(f"takes a list of shares such as [0.4, 0.6], not {_shown(value)}")
        return tuple(float(v) for v in value)
    return _values(value, field_about, entry)[0]


def _admit_span(raw: Any, field_about: About, entry: Entry) -> Span:
    if isinstance(raw, Span):
        return raw
    if isinstance(raw, Mapping) and set(raw) != {"low", "high"}:
        raise ValueError(f"takes low and high, not {', '.join(map(repr, raw)) or 'nothing'}")
    pair = (raw["low"], raw["high"]) if isinstance(raw, Mapping) else raw
    low, high = pair if isinstance(pair, list | tuple) and len(pair) == 2 else (pair, pair)
    found = Span(_values(low, field_about, entry)[0], _values(high, field_about, entry)[0])
    if (found.low > found.high).any():
        raise ValueError(f"low {low!r} is above high {high!r}")
    return found


def _shown(raw: Any) -> str:
    text = repr(raw)
    return text if len(text) <= units.LONGEST_TEXT else text[: units.LONGEST_TEXT - 3] + "..."


def _admit_plain(raw: Any, field_about: About, entry: Entry) -> Floats:
    return _values(raw, field_about, entry)[0]


_ADMIT: dict[str, Callable[[Any, About, Entry], Any]] = {
    "number": _admit_number,
    "plain": _admit_plain,
    "count": _admit_count,
    "choice": _admit_choice,
    "words": _admit_words,
    "currency": _admit_currency,
    "switch": _admit_switch,
    "months": _admit_months,
    "by year": _admit_by_year,
    "from years": _admit_from_years,
    "by account": _admit_by_account,
    "span": _admit_span,
}

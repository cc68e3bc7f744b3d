"""The list of all fields, made from the schema: what `geoecon fields` prints and forms are built from."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from geoecon import units
from geoecon.case.decision import Criterion, Decision
from geoecon.case.fields import About, Table, about
from geoecon.case.schema import TABLES, Note
from geoecon.case.site import SITE_TABLES
from geoecon.case.uncertainty import SHAPES, Correlation, Uncertainty

_FORMS = {
    "plain": "a bare number",
    "count": "a bare whole number",
    "words": "text",
    "currency": "three capitals",
    "switch": "true or false",
    "months": "a list of 12, January first, each",
    "by year": "a list, one for each operating year, each",
    "by account": "one value, or a table of accounts with `all` for the rest, each",
    "span": "a table with low and high, or one value,",
}


@dataclass(frozen=True)
class Described:
    """One field of a case as people and forms need it; bounds as used inside, shares of 1 where `bounds_unit` is in %."""

    path: str
    help: str
    form: str
    units: tuple[str, ...]
    bounds_unit: str
    low: float | None
    high: float | None
    default: Any
    required: bool
    varies: bool
    options: tuple[str, ...]

    @property
    def how(self) -> str:
        """How it is written, within which bounds, and what holds without it."""
        parts = [self._written(), self._bounds(), "required" if self.required else f"default {self._default()}"]
        return "; ".join(part for part in [*parts, "may vary" if self.varies else ""] if part)

    def as_json(self) -> dict[str, Any]:
        """The description as plain objects."""
        return vars(self)

    def _written(self) -> str:
        if self.options:
            return "one of " + ", ".join(self.options)
        form = _FORMS.get(self.form, "")
        of_units = ", ".join(self.units)
        return f"{form} in {of_units}".strip() if of_units else form

    def _bounds(self) -> str:
        if self.low is None or self.high is None:
            return ""
        scale = 100 if self.bounds_unit.startswith("%") else 1
        low, high = (f"{bound * scale:.10g}" for bound in (self.low, self.high))
        span = f"at least {low}" if self.high >= 1e12 else f"{low} to {high}"
        return f"{span} {self.bounds_unit}".strip()

    def _default(self) -> str:
        return "none" if self.default is None else str(self.default)


def reference() -> list[Described]:
    """Every field, in the order of the tables."""
    return [*_of_tables(), *_of_free_tables()]


def searched(words: str) -> tuple[list[Described], bool]:
    """Fields whose path, help or options hold the most of some words, and whether that is all of them."""
    wanted = words.lower().replace("_", " ").split()
    held = {f.path: sum(word in _speaks(f) for word in wanted) for f in reference()}
    most = max(held.values(), default=0)
    return [f for f in reference() if most and held[f.path] == most], most == len(wanted)


def _speaks(field: Described) -> str:
    """All that a field says of itself, small letters."""
    words = f"{field.path} {field.help} {' '.join(field.options)}".lower()
    return f"{words} {words.replace('_', ' ')}"


def site_reference() -> list[Described]:
    """Every field of a site file, in the order of its tables."""
    return [
        _described(f"{name}.{leaf}", model, leaf) for name, model in SITE_TABLES.items() for leaf in model.model_fields
    ]


def _of_tables() -> Iterator[Described]:
    for name, model in TABLES.items():
        for leaf in model.model_fields:
            yield _described(f"{name}.{leaf}", model, leaf)


def _of_free_tables() -> Iterator[Described]:
    """Tables whose keys are paths: uncertainty and notes."""
    for leaf in Uncertainty.model_fields:
        help_ = Uncertainty.model_fields[leaf].description or about(Uncertainty, leaf).help
        help_ += (
            f" ({'; '.join(f'{shape}: {keys.in_words}' for shape, keys in SHAPES.items())})" if leaf == "shape" else ""
        )
        yield Described(
            f'uncertainty."PATH".{leaf}', help_, "words", (), "", None, None, None, leaf == "shape", False, ()
        )
    for leaf in Correlation.model_fields:
        words = "the paths of two uncertain inputs" if leaf == "paths" else "rank correlation, -1 to 1"
        yield Described(f"uncertainty.correlation.{leaf}", words, "words", (), "", None, None, None, True, False, ())
    for name, model in (("decision.criteria", Criterion), ("decision", Decision)):
        yield from (_described(f"{name}.{leaf}", model, leaf) for leaf in model.model_fields if leaf != "criteria")
    for leaf in Note.model_fields:
        yield Described(
            f'notes."PATH".{leaf}',
            about(Note, leaf).help,
            "words",
            (),
            "",
            None,
            None,
            None,
            leaf == "source",
            False,
            (),
        )


def _described(path: str, model: type[Table], leaf: str) -> Described:
    field, field_about = model.model_fields[leaf], about(model, leaf)
    kinds = [kind for kind in field_about.kinds if kind in units.KINDS]
    low, high = _bounds(field_about)
    return Described(
        path,
        field_about.help,
        field_about.form,
        tuple(spelling for kind in kinds for spelling in units.spellings(kind)),
        _unit_of_bounds(kinds[0]) if kinds else "",
        low,
        high,
        None if field.is_required() else field.default,
        field.is_required(),
        field_about.varies,
        field_about.options or field_about.known,
    )


def _unit_of_bounds(kind: str) -> str:
    """The unit in which bounds are told: percent for what is a share inside."""
    first = next(iter(units.spellings(kind)))
    return first if first.startswith("%") else units.inside_label(kind)


def _bounds(field_about: About) -> tuple[float | None, float | None]:
    low, high = field_about.limits(field_about.kinds[0]) if field_about.kinds else (field_about.low, field_about.high)
    finite = low > float("-inf") and high < float("inf")
    return (float(low), float(high)) if finite else (None, None)

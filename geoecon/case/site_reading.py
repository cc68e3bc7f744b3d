"""A site file, read with every fault reported at once, each with its line."""

import tomllib
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any, Self

import numpy as np
from pydantic import PrivateAttr, ValidationError

from geoecon.arrays import Floats
from geoecon.case.documents import edited, line_of, nearest, parse, text_of, toml_value, worded
from geoecon.case.fields import Entry, Span
from geoecon.case.site import CURRENCY, SITE_TABLES, SiteTables
from geoecon.errors import CaseError, Fault
from geoecon.resource.geothermometers import geothermometer
from geoecon.resource.gradient import beyond_turn

CONSTITUENTS = ("silica", "sodium", "potassium", "calcium", "magnesium")
HOTTEST_SILICA = 250.0  # degC, end of the equation for the most soluble form
WIDEST_YEAR_K = 32.0
FORGIVEN = 1.2  # constituents over dissolved solids, before one of the two is called wrong


class Site(SiteTables):
    """Everything a person knows of a site. Frozen; equal when all values are equal."""

    _document: str = PrivateAttr(default="")
    _source: str = PrivateAttr(default="site")
    _told: tuple[str, ...] = PrivateAttr(default=())

    @classmethod
    def read(cls, text: str, source: str = "site", told: Mapping[str, str] | None = None) -> Self:
        """The site that a TOML text states. Raises `CaseError` with all faults, each with its line.

        told : path -> text that takes the place of what the file says; an empty text leaves the field out
        """
        told = told or {}
        parse(text, source)
        for path in told:
            _known(path, source)
        document = edited(text, {path: toml_value(value) for path, value in told.items() if value.strip()})
        data = _without(parse(document, source), [path for path, value in told.items() if not value.strip()])
        found, faults = cls._validated(data)
        if faults or found is None:
            raise CaseError([_placed(fault, document, told) for fault in faults], source)
        found._document, found._source, found._told = document, source, tuple(told)
        return found

    @classmethod
    def _validated(cls, data: dict[str, Any]) -> tuple[Self | None, list[Fault]]:
        """The site, or all its faults; what is left without the faulty values may still show faults between fields."""
        try:
            found = cls.model_validate(data, context=Entry(CURRENCY, as_text=True))
        except ValidationError as error:
            faults = [worded(dict(problem), cls, SITE_TABLES) for problem in error.errors()]
            sound = _without(data, [fault.path for fault in faults])
            more = cls._validated(sound)[1] if sound != data else []
            seen = " ".join(f"{fault.path} {fault.message}" for fault in faults)
            return None, [*faults, *(fault for fault in more if fault.path not in seen)]
        return found, list(site_faults(found))

    @property
    def source(self) -> str:
        """Where the site was read from."""
        return self._source

    def text(self, path: str) -> str:
        """The words in which the file states a field; a range as `LOW to HIGH`, nothing where it does not."""
        table, _, leaf = path.partition(".")
        stated = tomllib.loads(self._document).get(table, {}).get(leaf, "")
        if isinstance(stated, Mapping):
            return f"{stated['low']} to {stated['high']}"
        return str(stated).lower() if isinstance(stated, bool) else str(stated)

    def states(self, path: str) -> bool:
        """Whether the value of a field was written down."""
        table, _, leaf = path.partition(".")
        return leaf in getattr(self, table).model_fields_set and getattr(getattr(self, table), leaf) is not None

    def span(self, path: str) -> Span | None:
        """A quantity of the site as a range, one value being both ends."""
        table, _, leaf = path.partition(".")
        found: Span | None = getattr(getattr(self, table), leaf)
        return found


def load_site(file: str | Path, told: Mapping[str, str] | None = None) -> Site:
    """The site in a TOML file. Raises `CaseError` with every fault found, each with its line."""
    return Site.read(text_of(Path(file)), str(file), told)


def site_faults(site: SiteTables) -> Iterator[Fault]:
    """Values of a site that cannot be, or that ask for another."""
    if not site.place.name.strip():
        yield Fault("place.name", "is empty; give the place a name")
    yield from _climate(site)
    yield from _analysis(site)
    yield from _measured_ground(site)
    if site.flow_test.drawdown is not None and site.flow_test.flow is None:
        yield Fault("flow_test.flow", "is missing; a drawdown says nothing without the flow that made it")
    if site.flow_test.duration is not None and site.flow_test.flow is None:
        yield Fault("flow_test.flow", "is missing; the test has a duration and no flow")


def _climate(site: SiteTables) -> Iterator[Fault]:
    place = site.place
    if place.hottest_month is None or place.air_temperature is None:
        return
    above = _first(place.hottest_month) - _middle(place.air_temperature)
    if not 0 <= above <= WIDEST_YEAR_K:
        yield Fault(
            "place.hottest_month",
            f"{_first(place.hottest_month):g} degC is {abs(above):g} K {'above' if above > 0 else 'below'} the mean of the "
            f"year; the hottest month is 0 to {WIDEST_YEAR_K:g} K above it",
        )


def _analysis(site: SiteTables) -> Iterator[Fault]:
    given = {name: span for name in CONSTITUENTS if (span := getattr(site.water, name)) is not None}
    for name, span in given.items():
        if _first(span.low) <= 0:
            yield Fault(
                f"water.{name}",
                "is zero, and every geothermometer takes a logarithm or a ratio; if the laboratory found none, write its "
                "limit of detection, which bounds the temperature, or leave the field out",
            )
    most = float(geothermometer("amorphous").content(_array(HOTTEST_SILICA))[0])
    silica = site.water.silica
    if silica is not None and _first(silica.high) > most:
        yield Fault(
            "water.silica",
            f"{_first(silica.high):,.0f} mg/kg is above any saturation: amorphous silica, the most soluble form, lets "
            f"{most:,.0f} mg/kg stay in water at {HOTTEST_SILICA:.0f} degC; check the unit, and the filtering",
        )
    salinity = site.water.salinity
    total = sum(_first(span.low) for span in given.values())
    if salinity is not None and total > FORGIVEN * _first(salinity.high):
        yield Fault(
            "water.salinity",
            f"{_first(salinity.high):,.0f} mg/kg of dissolved solids is less than the constituents together, {total:,.0f} "
            "mg/kg; check the units",
        )


def _measured_ground(site: SiteTables) -> Iterator[Fault]:
    ground = site.ground
    for one, other in (("measured_temperature", "measured_depth"), ("measured_depth", "measured_temperature")):
        if getattr(ground, one) is not None and getattr(ground, other) is None:
            yield Fault(f"ground.{other}", f"is missing; ground.{one} asks for it")
    if ground.gradient_depth is not None and ground.gradient is None:
        yield Fault("ground.gradient", "is missing; ground.gradient_depth says how deep it was measured")
    if ground.heat_flow is not None and ground.heat_production is not None and site.reservoir.depth is not None:
        made, flow, depth = _middle(ground.heat_production), _middle(ground.heat_flow), _middle(site.reservoir.depth)
        if beyond_turn(_array(depth), _array(flow), _array(made))[0]:
            yield Fault(
                "reservoir.depth",
                f"{depth:,.0f} m is beyond the curve: rock that makes {made:.3g} uW/m3 would make all of the {flow:.3g} mW/m2 "
                f"within {1e3 * flow / made:,.0f} m, and below that it would grow cooler; check ground.heat_production",
            )


def _array(value: float) -> Floats:
    return np.array([value])


def _first(values: Floats) -> float:
    return float(values[0])


def _middle(span: Span) -> float:
    return (_first(span.low) + _first(span.high)) / 2


def _known(path: str, source: str) -> None:
    """Raises `CaseError` where a path is no field of a site."""
    table, _, leaf = path.partition(".")
    if table not in SITE_TABLES:
        raise CaseError([Fault(path, f"is not a path{nearest(table, SITE_TABLES)}")], source)
    if leaf not in SITE_TABLES[table].model_fields:
        raise CaseError([Fault(path, f"is not a known field{nearest(leaf, SITE_TABLES[table].model_fields)}")], source)


def _without(data: dict[str, Any], paths: list[str]) -> dict[str, Any]:
    """The data less the fields and tables at some paths."""
    left = [path.partition(".")[::2] for path in paths]
    return {
        name: {leaf: value for leaf, value in table.items() if (name, leaf) not in left}
        if isinstance(table, dict) else table
        for name, table in data.items()
        if name not in paths
    }  # fmt: skip


def _placed(fault: Fault, document: str, told: Mapping[str, str]) -> Fault:
    if fault.path in told:
        return Fault(fault.path, f"as set for this run: {fault.message}")
    return Fault(fault.path, fault.message, line_of(document, fault.path)) if fault.path else fault

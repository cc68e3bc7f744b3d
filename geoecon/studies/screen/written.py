"""A case made of a screen: what the screen found with its ranges, and everything else assumed and said to be."""

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from geoecon.arrays import Floats
from geoecon.case import Case
from geoecon.case.fields import about
from geoecon.case.schema import TABLES
from geoecon.case.wells import Wells
from geoecon.engine import evaluate
from geoecon.errors import CaseError, Fault
from geoecon.result import Result
from geoecon.studies.screen.criteria import HOURS, first_unit_kw
from geoecon.studies.screen.fitted import LOAD_FACTOR, Fit, Item, fits, in_kw, plant_items
from geoecon.studies.screen.known import OWN, middle
from geoecon.studies.screen.measures import CURVE, PRICE_YEAR, well_cost
from geoecon.studies.screen.power import limit
from geoecon.studies.screen.study import Screen
from geoecon.tables import citation, row, table
from geoecon.wells.drilling import cost_curve

FEWEST_HOT = 0.02
SWING_K = 12.0  # hottest month above the mean of the year, where it is not stated
MOST_DRAWDOWN_BAR = 20.0
PRODUCTIVITY = about(Wells, "productivity_index").limits("productivity")
FLOW = about(Wells, "flow_per_producer").limits("mass flow")
SUBSTATION = 700e3  # USD, beside the line
ENDS = (0.05, 0.5, 0.95)
RANK = 0.6


@dataclass(frozen=True)
class WrittenCase:
    """A case file and the inputs it is made of; `case` has been read back from `text`, `result` is what it comes to."""

    text: str
    case: Case
    items: tuple[Item, ...]
    result: Result

    @property
    def assumed(self) -> tuple[Item, ...]:
        """Inputs that nobody knows yet."""
        return tuple(item for item in self.items if item.origin == "assumed")


def write_case(found: Screen) -> WrittenCase:
    """A case of a first unit at the place, in the draws that are hot enough for one.

    Raises `CaseError` where the screen leaves hardly a draw with power in it, or what it leaves cannot be worked out.
    """
    enough = found.power.enough
    if enough.mean() < FEWEST_HOT:
        raise CaseError(
            [Fault("", f"water of {found.power.floor:.0f} degC or more in less than {FEWEST_HOT:.0%} of the draws: there is "
                       "no plant to write a case for; measure first")],
            found.site.source,
        )  # fmt: skip
    likeliest: CaseError | None = None
    for fit in fits(found):
        try:
            return _tried(found, fit)
        except CaseError as error:
            likeliest = likeliest or error
    assert likeliest is not None
    raise likeliest


def _tried(found: Screen, fit: Fit) -> WrittenCase:
    """The case with a plant, once it is seen that it can be worked out."""
    items = tuple(_items(found, fit))
    text = _text(found, items)
    case = Case.read(text, "written case")
    return WrittenCase(text, case, items, evaluate(case, unsolved="raise"))


def _items(found: Screen, fit: Fit) -> Iterator[Item]:
    """Every input, in the order of the schema's tables; what the screen knows goes before what is usual."""
    own = {
        item.path: item
        for item in (*_project(found), *_resource(found), *_wells(found), *plant_items(found, fit), *_sale(found))
    }
    for r in table("screened_case"):
        if r["path"] not in own and r["when"] in fit.asks:
            value: Any = int(r["value"]) if r["value"].isdigit() else _bare(r["value"])
            uncertain = (
                {"shape": "triangular", "low": r["low"], "mode": r["value"], "high": r["high"]} if r["low"] else None
            )
            own[r["path"]] = Item(r["path"], value, "assumed", _usual(r), uncertain)
    order = list(TABLES)
    yield from sorted(own.values(), key=lambda item: order.index(item.path.partition(".")[0]))


def _bare(text: str) -> float | str:
    try:
        return float(text)
    except ValueError:
        return text


def _usual(r: Mapping[str, str]) -> str:
    said = "; ".join(part for part in (r["place"], r["note"]) if part)
    return said if r["source"] == OWN else f"{said} ({r['evidence']}). {citation(r['source'])}"


def _project(found: Screen) -> Iterator[Item]:
    place, air = found.site.place, found.drawn["place.air_temperature"]
    mean, hottest = air.quantile(0.5), place.hottest_month
    swing = SWING_K if hottest is None else float(hottest[0]) - mean
    months = [mean - swing * np.cos(2 * np.pi * month / 12) for month in range(12)]
    origin = "stated" if air.stated else "assumed"
    said = f"mean of {mean:.1f} degC, hottest month {swing:.0f} K above it"
    yield Item("project.name", place.name, "stated", "")
    yield Item("project.summary", "Written from a screen; most of it is assumed", "found", "")
    yield Item("money.currency", "USD", "assumed", "cost figures of the screen are in US dollars")
    yield Item("site.air_temperature", [f"{month:.1f} degC" for month in months], origin, said)
    yield Item("site.elevation", f"{float(place.elevation[0]):g} m", "stated", "")


def _resource(found: Screen) -> Iterator[Item]:
    hot = found.power.enough
    low, mode, high = np.quantile(found.warmth.values[hot], ENDS)
    basis = f"the screen, in the {hot.mean():.0%} of its draws that are hot enough"
    yield Item(
        "resource.temperature", f"{mode:.0f} degC", "found", basis,
        {"shape": "triangular", "low": f"{low:.1f} degC", "mode": f"{mode:.1f} degC", "high": f"{high:.1f} degC"},
    )  # fmt: skip
    yield Item("resource.maturity", _maturity(found), "found", "what the site file rests on")
    power = found.power.either[hot]
    yield Item("resource.supported_power", in_kw(float(np.median(power)) * 1e3), "found", basis)
    salinity = middle(found.site.water.salinity)
    if salinity is not None:
        yield Item("resource.salinity", f"{max(salinity, 1.0):.4g} mg/kg", "stated", "the analysis")


def _maturity(found: Screen) -> str:
    site = found.site
    if site.flow_test.flow is not None:
        return "tested"
    if any(way.grade == 5 for way in found.warmth.ways):
        return "drilled"
    return "surface" if any(way.grade > 1 for way in found.warmth.ways) else "regional"


def _wells(found: Screen) -> Iterator[Item]:
    drawn = found.drawn
    depths = drawn["reservoir.depth"].values + drawn["reservoir.thickness"].values / 2
    curve = cost_curve(CURVE)
    origin = "found" if drawn["reservoir.depth"].stated else "assumed"
    low, mode, high = np.clip(np.quantile(depths, ENDS), 1, curve.to_m)
    within = low >= curve.from_m
    spread = {"shape": "triangular", "low": f"{low:.0f} m", "mode": f"{mode:.0f} m", "high": f"{high:.0f} m"}
    yield Item("wells.depth", f"{mode:.0f} m", origin, "middle of the reservoir", spread if within else None)
    if within:
        yield Item("wells.cost_method", "curve", "assumed", _usual(row("well_cost_curves", curve=CURVE)))
        yield Item("wells.cost_curve", CURVE, "assumed", "a published curve from memory; a quote replaces it")
    else:
        cost = well_cost(float(mode))
        words = f"the curve {CURVE!r} ends at {curve.from_m:,.0f} m; money of {PRICE_YEAR}"
        yield Item("wells.cost_per_producer", f"{cost:.3g} USD".replace("e+0", "e"), "assumed", words)
    flow, productivity = drawn["flow_test.flow"], drawn["flow_test.productivity"]
    most = productivity.quantile(0.5) * MOST_DRAWDOWN_BAR
    held = np.clip(np.minimum(flow.values, most), *FLOW)
    yield _ranged("wells.flow_per_producer", held, "kg/s", flow.stated, "a well of the place")
    level = found.site.flow_test.static_level
    held = np.clip(productivity.values, *PRODUCTIVITY)
    yield _ranged("wells.productivity_index", held, "kg/s/bar", productivity.stated, "a test of it")
    if level is not None:
        yield Item("wells.static_level", f"{float(level[0]):g} m", "stated", "the test")


def _ranged(path: str, values: Floats, unit: str, stated: bool, basis: str) -> Item:
    low, median, high = (f"{value:.3g} {unit}" for value in np.quantile(values, [0.1, 0.5, 0.9]))
    uncertain = {"shape": "lognormal", "p10": low, "p90": high} if low != high else None
    return Item(path, median, "found" if stated else "assumed", basis if stated else "no well has shown it", uncertain)


def _sale(found: Screen) -> Iterator[Item]:
    site, drawn = found.site, found.drawn
    if "buyer.price" in drawn:
        low, mode, high = (f"{drawn['buyer.price'].quantile(chance):.4g} USD/MWh" for chance in ENDS)
        spread = {"shape": "triangular", "low": low, "mode": mode, "high": high}
        yield Item("market.price", mode, "stated", "the site file", spread)
    if "access.grid_distance" in drawn:
        distance = drawn["access.grid_distance"].quantile(0.5) / 1e3
        low_cost, high_cost = (limit(f"line_{end}") * 1e3 * distance + SUBSTATION for end in ("low", "high"))
        low, mode, high = (f"{cost / 1e3:.0f} kUSD" for cost in (low_cost, (low_cost + high_cost) / 2, high_cost))
        spread = {"shape": "triangular", "low": low, "mode": mode, "high": high}
        basis = f"{distance:.3g} km of line at rural costs, and a substation"
        yield Item("capital.grid_connection", mode, "assumed", basis, spread if low != high else None)
    if site.buyer.islanded:
        yield Item("community.islanded", True, "stated", "")
    if site.buyer.islanded and "buyer.load" not in drawn:
        words = (
            f"as much as the unit makes at a load of {LOAD_FACTOR:.0%} of its size; the place's own use is not stated"
        )
        load = first_unit_kw(found.power) * HOURS * LOAD_FACTOR
        yield Item("community.local_load", f"{load:.0f} MWh/yr", "assumed", words)
    if "buyer.load" in drawn:
        yield Item(
            "community.local_load", f"{drawn['buyer.load'].quantile(0.5):.4g} MWh/yr".replace("e+0", "e"), "stated", ""
        )


def _text(found: Screen, items: tuple[Item, ...]) -> str:
    """The case as a file: tables with their values, ranges, and a note for each value that says where it comes from."""
    lines = [
        f"# Written from a screen of {json.dumps(found.site.place.name, ensure_ascii=False)}, {found.draws:,} draws, "
        f"seed {found.seed}. It is no estimate of a reserve.",
        "# The notes at the end say which values were found by the screen, stated by the site file, or assumed.",
    ]
    for name in TABLES:
        values = [item for item in items if item.path.startswith(f"{name}.")]
        if values:
            lines += ["", f"[{name}]", *(f"{item.path.partition('.')[2]} = {_toml(item.value)}" for item in values)]
    for item in items:
        if item.uncertain:
            lines += [
                "",
                f'[uncertainty."{item.path}"]',
                *(f"{key} = {_toml(value)}" for key, value in item.uncertain.items()),
            ]
    paths = {item.path for item in items if item.uncertain}
    if {"wells.flow_per_producer", "wells.productivity_index"} <= paths:
        lines += ["", "[[uncertainty.correlation]]", 'paths = ["wells.flow_per_producer", "wells.productivity_index"]',
                  f"rank = {RANK}"]  # fmt: skip
    lines += ["", "[notes]"]
    lines += [f'"{item.path}" = {{ source = {_toml(f"{item.origin}: {item.basis}")} }}' for item in items if item.basis]
    return "\n".join(lines) + "\n"


def _toml(value: Any) -> str:
    """A value as it stands in a TOML file, whose strings are written as those of JSON."""
    return json.dumps(value, ensure_ascii=False)

"""Every input as it was used: stated or by default, in which unit, from which source, and how good that evidence is."""

from collections.abc import Iterator
from typing import Any

import numpy as np

from geoecon import drilling, flooring, lifting, reservoir, steaming, units, watering
from geoecon.arrays import Floats
from geoecon.case import Case
from geoecon.case.fields import About, Span, Stated, about
from geoecon.case.plant_checks import FLASH, cooled_by
from geoecon.case.resource import OF_STORED_HEAT
from geoecon.case.schema import TABLES
from geoecon.payments import lease_rows
from geoecon.preparing.climate import weather
from geoecon.preparing.field import flow_is_worked_out, producer_flow, published_success
from geoecon.preparing.plants import RECUPERATOR_K
from geoecon.reservoir import Extraction, supported_gross_kw
from geoecon.result import Assumption
from geoecon.sizing import Design
from geoecon.tables import citation, row, table
from geoecon.taxing import has_a_part
from geoecon.terms import Rates

WORKED_OUT = "worked out"


def assumed(
    case: Case, rates: Rates, household_use: tuple[Floats, Floats], taken: Extraction, design: Design
) -> Iterator[Assumption]:
    """Every field that has a value, then what was put in the place of fields left open."""
    told = case.told
    for name, model in TABLES.items():
        for leaf, value in getattr(case, name).leaves().items():
            path = f"{name}.{leaf}"
            if value is not None and _matters(case, path):
                this_run = any(path == other or other.startswith(path + ".") for other in told)
                yield _stated(case, path, about(model, leaf), value, this_run)
    yield from _filled_in(case, rates, household_use)
    if flow_is_worked_out(case):
        source = "what a well gives by itself, as a column of liquid"
        yield Assumption("wells.flow_per_producer", _several(producer_flow(case)), "kg/s", source, WORKED_OUT)
    if design.fluids is not None:
        source = "the most unit net for each kg/s of brine at the design point"
        yield Assumption(FLUID_TAKEN, design.fluids.chosen(), "", source, WORKED_OUT)
    if case.plant.kind == "binary":
        coolest, rule = flooring.floor_told(case)
        yield Assumption(flooring.PATH, _several(coolest), "degC", rule, WORKED_OUT)
    for name, values, unit in (
        *reservoir.figures(case, taken),
        *lifting.figures(case, design),
        *steaming.figures(case, design.plant, design.inlet, design.brine_flow),
        *watering.figures(case, design),
        *_own_emission(case, design),
    ):
        yield Assumption(name, _several(values), unit, "from the design and the field", WORKED_OUT)
    if (supported := supported_gross_kw(case)) is not None:
        source = f"stored heat, gross: {citation('circular790')}"
        yield Assumption("resource.supported_power: stored heat", _several(supported), "kW", source, WORKED_OUT)


FLUID_TAKEN = "plant.fluid: taken"
MONTHLY_MEANS = "site.weather_file: monthly means"


def _own_emission(case: Case, design: Design) -> Iterator[tuple[str, Floats, str]]:
    own = steaming.own_emission(case, design.plant, design.net_kw, design.brine_flow)
    if own is not None:
        yield steaming.OWN_EMISSION, own, "kg/MWh"


def _matters(case: Case, path: str) -> bool:
    """Whether a default has a part in the answer: parts of a plant have none where it has not got them, nor has rock that no
    water passes, the insulation of a line that is not stated, and wells that explore where none does.
    """
    table, _, leaf = path.partition(".")
    if not case.states(path) and not steaming.has_a_part(case, path):
        return False
    if table == "resource" and not case.states(path):
        return reservoir.has_a_part(case, leaf) and (
            leaf not in OF_STORED_HEAT or case.resource.reservoir_area is not None
        )
    if table == "wells" and not case.states(path):
        return lifting.has_a_part(case, leaf) and drilling.has_a_part(case, leaf)
    return True


def _stated(case: Case, path: str, field_about: About, value: Any, this_run: bool) -> Assumption:
    shown, unit = _shown(value, field_about, case.money.currency)
    if case.states(path):
        note = case.notes.get(path)
        source = "set for this run" if this_run else note.source if note else "the case"
        return Assumption(path, shown, unit, source, "stated")
    source = citation(field_about.source) if field_about.source else "default"
    return Assumption(path, shown, unit, source, field_about.evidence)


def _filled_in(case: Case, rates: Rates, household_use: tuple[Floats, Floats]) -> Iterator[Assumption]:
    finance = case.finance
    if case.site.weather_file is not None and (known := weather(case)) is not None:
        means = ", ".join(f"{mean:.10g}" for mean in known.monthly)
        yield Assumption(MONTHLY_MEANS, means, "degC", case.site.weather_file, WORKED_OUT)
    if finance.discount_rate is None:
        yield Assumption("finance.discount_rate", _several(rates.discount), "1/yr", rates.origin, WORKED_OUT)
    if finance.equity_return is None:
        yield Assumption("finance.equity_return", _several(rates.equity), "1/yr", "the discount rate", WORKED_OUT)
    if case.community.household_use is None:
        low, high = household_use
        yield Assumption(
            "community.household_use", f"{_several(low)} to {_several(high)}", "MWh/yr",
            f"lowest and highest state average: {citation('eia_5a_2022')}", "compiled",
        )  # fmt: skip
    if case.plant.gross_capacity is None and case.plant.kind == "stated" and case.plant.performance is None:
        yield Assumption("plant.gross_capacity", _several(case.plant.net_capacity), "kW", "net capacity", "assumed")
    if case.plant.kind != "stated" and case.plant.cooling is None:
        yield Assumption("plant.cooling", cooled_by(case.plant), "", f"usual for {case.plant.kind}", "assumed")
    if case.plant.kind in FLASH and case.resource.silica is None:
        quartz = row("geothermometers", name=steaming.quartz_used(case))
        source = f"quartz at the temperature at depth: {citation(quartz['source'])}"
        yield Assumption("resource.silica", _several(steaming.silica(case)), "mg/kg", source, quartz["evidence"])
    if case.plant.layout == "recuperated" and case.plant.recuperator_pinch is None:
        yield Assumption("plant.recuperator_pinch", f"{RECUPERATOR_K:g}", "K", "common practice", "assumed")
    yield from _success(case)
    for path, values, unit, source, evidence in drilling.taken(case):
        yield Assumption(path, _several(values), unit, source, evidence)
    for path, values, unit in drilling.figures(case):
        yield Assumption(path, _several(values), unit, "built up from days and rates", WORKED_OUT)
    for r in lease_rows(case):
        if r["key"] != "rent" or case.operation.lease_acres is not None:
            begins = f" from year {r['from_year']}" if r["key"] in {"royalty", "rent"} else ""
            source = f"{citation(r['source'])}, {r['place']}, as of {r['read_on']}"
            yield Assumption(f"operation.lease: {r['key']}{begins}", r["value"], r["unit"], source, r["evidence"])
    for r in table("tax_rules"):
        if r["rules"] == case.tax.in_force and has_a_part(case, r["key"]):
            source = f"{citation(r['source'])}, {r['place']}, as of {r['read_on']}"
            yield Assumption(f"tax.rules: {r['key']}", r["value"], r["unit"], source, r["evidence"])


def _success(case: Case) -> Iterator[Assumption]:
    """Published chances of success and lengths of learning, where the case has such wells and states none."""
    wells = case.wells
    for path, key, unit, holds in (
        ("learning_wells", "learning", "", wells.success_first is not None and wells.learning_wells is None),
        ("success_exploration", "exploration", "1", wells.exploration_wells > 0 and wells.success_exploration is None),
    ):
        if holds:
            r, value = row("drilling_success", key=key), published_success(key) / (100 if unit else 1)
            source = f"{citation(r['source'])}, {r['note']}"
            yield Assumption(f"wells.{path}", f"{value:g}", unit, source, r["evidence"])


def _shown(value: Any, field_about: About, currency: str) -> tuple[str, str]:
    """A value in words, and its unit."""
    if isinstance(value, Stated):
        at = f" at {value.at_degC:g} degC" if value.at_degC is not None else ""
        return _several(value.values), units.inside_label(value.kind, currency) + at
    unit = (
        units.inside_label(field_about.kinds[0], currency)
        if field_about.kinds[:1] and field_about.kinds[0] in units.KINDS
        else ""
    )
    if isinstance(value, Span):
        return f"{_several(value.low)} to {_several(value.high)}", unit
    if isinstance(value, np.ndarray):
        return _several(value), unit
    if isinstance(value, dict):
        return ", ".join(f"{name} {_several(v) if isinstance(v, np.ndarray) else v}" for name, v in value.items()), unit
    if isinstance(value, tuple):
        return ", ".join(f"{v:g}" for v in value), unit
    return str(value), unit


def _several(values: Floats | None) -> str:
    if values is None:
        return ""
    low, high = (float(values.min()), float(values.max())) if values.size > 1 else (float(values[0]),) * 2
    return f"{low:.10g}" if low == high else f"{low:.10g} to {high:.10g} over {values.size} scenarios"

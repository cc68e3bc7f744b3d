"""How much cooler the produced brine comes each year, from a case and what its design takes out of the field."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np

from geoecon.arrays import Floats, column
from geoecon.case import Case
from geoecon.case.resource import DEFAULTED, OF_BORE, USED_BY
from geoecon.preparing.basics import wide
from geoecon.preparing.climate import design_air
from geoecon.preparing.field import inlet_temperature, mass_flow
from geoecon.preparing.files import beside
from geoecon.resource.breakthrough import (
    RETURNS,
    Flow,
    cold_share,
    conduction_years,
    doublet_breakthrough,
    layer_capacity,
    sweep_front,
    tracer_share,
)
from geoecon.resource.decline import cooling
from geoecon.resource.stored_heat import heat_in_place, stored_heat_power, utilization_at
from geoecon.resource.tables import yearly_temperatures
from geoecon.resource.water import water_density, water_enthalpy

PATH = "resource.temperature_path"
M2_PER_KM2, J_PER_MJ, KW_PER_MW = 1e6, 1e6, 1e3
TABLE_SLACK_K = 0.5
HOTTEST_LIQUID = 350.0


@dataclass(frozen=True)
class Extraction:
    """What a design takes out of the field and gives back, (scenario,): flow  [kg/s], pairs of wells, degC of injection.

    A pair is a producer with an injector; there are as many as there are wells of the kind of which there are fewer.
    """

    flow: Floats
    pairs: Floats
    injection: Floats


def follows_design(case: Case) -> bool:
    """Whether the fall in temperature follows from the design's flow, and is not known before it."""
    return case.resource.temperature_path in RETURNS or case.resource.decline_reference_flow is not None


def fall(case: Case, taken: Extraction | None) -> Floats:
    """Mean fall of the produced temperature in each operating year, (year, scenario)  [K].

    taken : what the design takes, None before there is one, which only a path that does not follow it allows
    """
    return _FALLS[case.resource.temperature_path](case, taken)


def _by_rate(case: Case, taken: Extraction | None) -> Floats:
    resource = case.resource
    return cooling(_rate(case, taken), resource.decline_start_years, case.timeline.operating_years)


def _rate(case: Case, taken: Extraction | None) -> Floats:
    """Fall a year, (scenario,)  [K/yr]; in proportion to the flow where the case says at which flow its rate holds."""
    rate, reference = wide(case, case.resource.temperature_decline), case.resource.decline_reference_flow
    if reference is None:
        return rate
    assert taken is not None
    return np.asarray(rate * taken.flow / mass_flow(case, reference))


def _by_returning_water(case: Case, taken: Extraction | None) -> Floats:
    assert taken is not None
    share = cold_share(case.resource.temperature_path, flow_between(case, taken), case.timeline.operating_years)
    return np.asarray(share * np.maximum(wide(case, case.resource.temperature) - taken.injection, 0.0))


def _by_table(case: Case, taken: Extraction | None) -> Floats:
    table = temperature_table(case)
    means = (table[1:] + table[:-1]) / 2
    return np.asarray(column(table[0] - means) * wide(case, case.resource.table_factor, 1.0))


_FALLS: dict[str, Callable[[Case, Extraction | None], Floats]] = {
    "rate": _by_rate,
    "table": _by_table,
    **dict.fromkeys(RETURNS, _by_returning_water),
}


def temperature_table(case: Case) -> Floats:
    """The table of a reservoir study, from the start of operation on, (year + 1,)  [degC]. Raises `CaseError`."""
    name, years = case.resource.temperature_table or "", case.timeline.operating_years
    return beside(case, "resource.temperature_table", name, lambda text: yearly_temperatures(text, years))


def flow_between(case: Case, taken: Extraction) -> Flow:
    """The flow of one pair of wells and the rock that it passes.

    Water holds as much heat as it gives off between the temperatures of the field and of injection, for each kelvin.
    """
    resource = case.resource
    rock = wide(case, resource.rock_density * resource.rock_heat_capacity)
    heat = _heat_of_water(case, taken)
    each = taken.flow / taken.pairs
    if resource.drawdown_parameter is not None:
        each = np.where(np.isnan(each), 1.0, each)  # the face goes with the flow, which then has no part
        face = each / wide(case, resource.drawdown_parameter)
    else:
        face = wide(case, resource.fracture_area, np.nan) * M2_PER_KM2
    return Flow(
        carries=each * heat,
        spacing_m=wide(case, resource.well_spacing, np.nan),
        thickness_m=wide(case, resource.aquifer_thickness, np.nan),
        width_m=wide(case, resource.swept_width, np.nan),
        layer=layer_capacity(wide(case, resource.porosity), rock, _heat_of_pores(case, heat)),
        rock=rock,
        conductivity=wide(case, resource.rock_conductivity),
        face_m2=face,
    )


def _heat_of_water(case: Case, taken: Extraction) -> Floats:
    """Heat capacity of water, its mean between field and injection, (scenario,)  [J/kg/K]."""
    hot = np.minimum(wide(case, case.resource.temperature), HOTTEST_LIQUID)
    cold = np.minimum(taken.injection, hot - 1.0)
    return np.asarray((water_enthalpy(hot) - water_enthalpy(cold)) / (hot - cold) * 1e3)


def _heat_of_pores(case: Case, heat: Floats) -> Floats:
    """Heat that the water in the pores holds, (scenario,)  [J/m3/K]."""
    return np.asarray(heat * water_density(np.minimum(wide(case, case.resource.temperature), HOTTEST_LIQUID)))


def brine_before_design(case: Case) -> Floats:
    """Brine at the plant's inlet as far as it is known before the design: at the start, and in years, (n, scenario)  [degC]."""
    start = inlet_temperature(case)
    return start.reshape(1, -1) if follows_design(case) else np.vstack([start, start - fall(case, None)])


def supported_gross_kw(case: Case) -> Floats | None:
    """Gross power that stored heat supports over the operating years, (scenario,)  [kW]; None where no area is stated."""
    resource = case.resource
    if resource.reservoir_area is None:
        return None
    assert resource.reservoir_thickness is not None
    hot, cold = wide(case, resource.temperature), np.clip(design_air(case), 0.0, None)
    volume = resource.reservoir_area * resource.reservoir_thickness / 1e3
    heat = heat_in_place(volume, hot, cold, resource.reservoir_heat_capacity)
    share = utilization_at(hot, resource.utilization)
    years = case.timeline.operating_years
    return stored_heat_power(heat, hot, cold, resource.recovery_factor, share, years) * KW_PER_MW


# --- in words -------------------------------------------------------------------------------------------------------


def thermal_breakthrough(case: Case, taken: Extraction) -> Floats:
    """When cold water begins to arrive by doublet or, without conduction, by sweep, (scenario,)  [yr]."""
    flow = flow_between(case, taken)
    if case.resource.temperature_path == "sweep":
        return sweep_front(flow)
    return doublet_breakthrough(flow.carries, flow.spacing_m, flow.thickness_m, flow.layer)


def figures(case: Case, taken: Extraction) -> Iterator[tuple[str, Floats, str]]:
    """What a path comes to for a design: name, value (scenario,), unit."""
    resource, path = case.resource, case.resource.temperature_path
    if resource.decline_reference_flow is not None:
        yield f"{PATH}: fall a year at the design flow", _rate(case, taken), "K/yr"
    if path == "table":
        table = temperature_table(case)
        yield f"{PATH}: start of the table", table[:1], "degC"
        yield f"{PATH}: last year of the table, mean", table[-2:].mean(keepdims=True), "degC"
    if path not in RETURNS:
        return
    flow = flow_between(case, taken)
    if resource.drawdown_parameter is None:
        yield f"{PATH}: flow of one pair of wells", taken.flow / taken.pairs, "kg/s"
    yield f"{PATH}: temperature of injection", taken.injection, "degC"
    if path == "fracture":
        yield f"{PATH}: flow over one face", flow.carries / _heat_of_water(case, taken) / flow.face_m2, "kg/s/m2"
        yield f"{PATH}: time of conduction", conduction_years(flow, flow.face_m2), "yr"
        return
    first = thermal_breakthrough(case, taken)
    yield f"{PATH}: thermal breakthrough", first, "yr"
    water = _heat_of_pores(case, _heat_of_water(case, taken))
    yield f"{PATH}: arrival of a tracer", first * tracer_share(wide(case, resource.porosity), flow.layer, water), "yr"
    if path == "sweep":
        yield f"{PATH}: time of conduction", conduction_years(flow, flow.spacing_m * flow.width_m), "yr"


def path_in_words(case: Case, taken: Extraction) -> str:
    """How the brine of a case cools, of the first scenario."""
    return _WORDS[case.resource.temperature_path](case, taken)


def _rate_in_words(case: Case, taken: Extraction) -> str:
    rate, start = float(_rate(case, taken)[0]), case.resource.decline_start_years
    if rate == 0:
        return "it does not cool"
    held = case.resource.decline_reference_flow
    flow = (
        ""
        if held is None
        else f", as the flow is {float((taken.flow / mass_flow(case, held))[0]):.2f} times the stated"
    )
    return f"at a rate of {rate:.3g} K a year{f' after {start} years' if start else ''}{flow}"


def _doublet_in_words(case: Case, taken: Extraction) -> str:
    first = float(thermal_breakthrough(case, taken)[0])
    return (
        f"as a doublet: cold water arrives after {first:.1f} years, then streamline by streamline; rock above and below gives "
        "nothing"
    )


def _sweep_in_words(case: Case, taken: Extraction) -> str:
    first = float(thermal_breakthrough(case, taken)[0])
    return f"swept in one dimension: the cold front arrives after {first:.1f} years, softened by heat from cap and base"


def _fracture_in_words(case: Case, taken: Extraction) -> str:
    years = float(next(value for name, value, _ in figures(case, taken) if name.endswith("of conduction"))[0])
    said = f"{years:,.0f}" if years >= 10 else f"{years:.2g}"
    return f"along one fracture between walls that conduct, with {said} years as its time of conduction"


def _table_in_words(case: Case, taken: Extraction) -> str:
    factor = float(wide(case, case.resource.table_factor, 1.0)[0])
    times = "" if factor == 1 else f", its fall times {factor:.3g}"
    return f"by the table {case.resource.temperature_table}{times}"


_WORDS: dict[str, Callable[[Case, Extraction], str]] = {
    "rate": _rate_in_words,
    "doublet": _doublet_in_words,
    "sweep": _sweep_in_words,
    "fracture": _fracture_in_words,
    "table": _table_in_words,
}


def has_a_part(case: Case, name: str) -> bool:
    """Whether a field of the resource is used by the way in which the brine cools, in the field or in the bore."""
    path = case.resource.temperature_path
    return path in USED_BY.get(name, (path,)) or (name in OF_BORE and case.wells.bore_heat_loss == "ramey")


def field_warnings(case: Case, taken: Extraction, cooler_K: Floats) -> Iterator[str]:
    """What is worth a second look in how the field cools."""
    resource, path = case.resource, case.resource.temperature_path
    for name in USED_BY:
        if name in DEFAULTED and not has_a_part(case, name) and case.states(f"resource.{name}"):
            yield f'resource.{name} has no part with temperature_path = "{path}"'
    if path in {"doublet", "sweep"} and (first := float(thermal_breakthrough(case, taken).min())) < 1:
        yield (
            f"cold water arrives within the first year, after {first * 12:.1f} months: the wells stand too near each other for "
            "this flow (resource.well_spacing)"
        )
    if path == "table":
        table, hot = temperature_table(case), wide(case, resource.temperature)
        if case.scenarios == 1 and abs(table[0] - hot[0]) > TABLE_SLACK_K:
            yield (
                f"the table begins at {table[0]:.1f} degC and the field at {hot[0]:.1f} degC; the fall is that of the table "
                "(resource.temperature_table)"
            )
        if (cooler_K < 0).any():
            yield "the table rises above its start; the plant is sized for the start (resource.temperature_table)"

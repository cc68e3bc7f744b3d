"""What lifts the brine of a design and puts it back: depth of pumps, pressures, flow of wells that are not pumped."""

from collections.abc import Iterator

import numpy as np

from geoecon.arrays import Floats
from geoecon.case import Case
from geoecon.plant.flash import SteamPlant
from geoecon.plant.stated import StatedPlant
from geoecon.preparing.climate import mean_air
from geoecon.preparing.field import (
    boils,
    bore_loss,
    flow_is_worked_out,
    line_conductance,
    line_loss,
    own_flow,
    producer_flow,
    pumping,
    wellhead_temperature,
)
from geoecon.sizing import Design
from geoecon.tables import row
from geoecon.wells.pumping import Pumping, mean_speed

PATH = "wells.pump"
IN_BORE = "wells.bore_heat_loss: lost in the well"
IN_LINE = "wells.pipe_length: lost in the line to the plant"
OF_LINE = ("pipe_insulation", "insulation_conductivity")
L_PER_M3 = 1e3


def is_known(design: Design) -> bool:
    """Whether a design tells what its pumps do: a stated plant has them deducted already."""
    return design.wells is not None and not isinstance(design.plant, StatedPlant)


def has_a_part(case: Case, name: str) -> bool:
    """Whether a field of the wells with a default has a part in how the brine loses heat."""
    if name in OF_LINE:
        return case.wells.pipe_length is not None
    return name != "temperature_loss" or case.wells.bore_heat_loss == "stated"


def figures(case: Case, design: Design) -> Iterator[tuple[str, Floats, str]]:
    """What wells, lines and pumps come to at the design point: name, value (scenario,), unit."""
    if case.wells.bore_heat_loss == "ramey":
        yield IN_BORE, bore_loss(case), "K"
    if case.wells.pipe_length is not None:
        yield IN_LINE, np.asarray(line_loss(case)), "K"
        above = wellhead_temperature(case) - mean_air(case)
        yield "wells.pipe_length: heat lost by a metre at the wellhead", line_conductance(case) * above, "W/m"
    if is_known(design):
        yield from _pumps(case, design)


def _pumps(case: Case, design: Design) -> Iterator[tuple[str, Floats, str]]:
    pumps, flow = pumping(case), producer_flow(case)
    if not _comes_as_steam(pumps, design):  # two phases or steam are no column of liquid
        yield f"{PATH}: drawdown", flow / pumps.productivity, "bar"
        yield f"{PATH}: friction in a producer", pumps.friction(flow), "bar"
        yield f"{PATH}: pressure kept at the wellhead", pumps.wellhead_bar, "bar"
    if pumps.pumped:
        yield f"{PATH}: depth of the intake", pumps.setting_m(flow), "m"
    elif flow_is_worked_out(case):
        yield f"{PATH}: pressure of a shut well above that kept", -pumps.missing_bar(np.zeros_like(flow)), "bar"
    yield f"{PATH}: all production pumps", design.production_kw, "kW"
    yield f"{PATH}: all injection pumps", design.injection_kw, "kW"
    yield f"{PATH}: pressure of injection at the wellhead", _injection(pumps, design), "bar"


def _injection(pumps: Pumping, design: Design) -> Floats:
    """Absolute pressure at the wellhead of an injector, all of them in service, no less than that of the air  [bar]."""
    assert design.wells is not None
    down = design.brine_flow * design.returned / design.wells.injectors
    return np.maximum(pumps.injection_bar(down, design.injection), pumps.air_bar)


def _comes_as_steam(pumps: Pumping, design: Design) -> bool:
    """Whether a producer brings steam, alone or with its water."""
    return isinstance(design.plant, SteamPlant) and not pumps.pumped


def _limit(what: str, limit: str) -> float:
    return float(row("pump_limits", what=what, limit=limit)["value"])


def pump_warnings(case: Case, design: Design) -> Iterator[str]:
    """What is worth a second look in pumps, wells that flow by themselves, pressures, and heat lost on the way."""
    for name in (*OF_LINE, "temperature_loss"):
        if case.states(f"wells.{name}") and not has_a_part(case, name):
            why = "without pipe_length" if name in OF_LINE else 'with bore_heat_loss = "ramey"'
            yield f"wells.{name} has no part {why}"
    if not is_known(design):
        return
    pumps, flow = pumping(case), producer_flow(case)
    if not _comes_as_steam(pumps, design):
        yield from _fast(pumps, flow)
    if pumps.pumped:
        yield from _too_hot_or_large(pumps, flow)
        yield from _shaft(pumps, flow) if case.wells.pump == "lineshaft" else _motor_below(pumps)
    else:
        yield from _not_pumped(case, pumps, flow, _comes_as_steam(pumps, design))
    yield from _opens_the_rock(pumps, design)


def _fast(pumps: Pumping, flow: Floats) -> Iterator[str]:
    speed = float(np.nanmax(mean_speed(flow, pumps.bore_m, pumps.density), initial=0.0))
    if speed > _limit("bore", "speed"):
        yield (
            f"brine would rise at {speed:.1f} m/s, and common practice is 1 to 4 m/s: look at the units of wells.bore_diameter "
            "and wells.flow_per_producer"
        )


def _too_hot_or_large(pumps: Pumping, flow: Floats) -> Iterator[str]:
    hottest, most = float(np.nanmax(pumps.temperature)), _limit("pumped", "temperature")
    if hottest > most:
        yield (
            f"brine of {hottest:.0f} degC is pumped, and the practical limit of pumps is about {most:.0f} degC; hotter wells "
            'flow by themselves: say wells.pump = "none" with the flow measured, or wells.shut_in_pressure'
        )
    largest, most = float(np.nanmax(flow / pumps.density)) * L_PER_M3, _limit("pumped", "flow")
    if largest > most:
        yield (
            f"each pump lifts {largest:.0f} L/s, and the practical limit is about {most:.0f} L/s; more wells would each give "
            "less (wells.flow_per_producer)"
        )


def _shaft(pumps: Pumping, flow: Floats) -> Iterator[str]:
    deepest = float(np.nanmax(pumps.setting_m(flow)))
    careful, most = _limit("lineshaft", "setting_careful"), _limit("lineshaft", "setting")
    cure = 'a submersible pump (wells.pump = "submersible"), or less flow from each well'
    if deepest > most:
        yield f"pumps would hang at {deepest:,.0f} m; driven from the top they reach about {most:,.0f} m: {cure}"
    elif deepest > careful:
        yield (
            f"pumps would hang at {deepest:,.0f} m; sources disagree on how deep one driven from the top may hang: "
            f"{careful:,.0f} m in one, {most:,.0f} m in a guidebook: ask a maker, or take {cure}"
        )


def _motor_below(pumps: Pumping) -> Iterator[str]:
    hottest = float(np.nanmax(pumps.temperature))
    careful, most = _limit("submersible", "temperature_careful"), _limit("submersible", "temperature")
    if hottest > most:
        yield (
            f"brine has {hottest:.0f} degC, and submersible pumps reach about {most:.0f} degC at most: wells as hot as that "
            'flow by themselves (wells.pump = "none")'
        )
    elif hottest > careful:
        yield (
            f"brine has {hottest:.0f} degC; submersible pumps went to {careful:.0f} degC in 2014, and newer ones are said to "
            f"go to about {most:.0f} degC: ask a maker, and how long one lasts (operation.pump_life_years)"
        )


def _not_pumped(case: Case, pumps: Pumping, flow: Floats, steam: bool) -> Iterator[str]:
    """What is said of wells that flow by themselves; those that bring steam are spoken of with their plant."""
    for name in ("pump_cost", "pump_life_years"):
        if getattr(case.operation, name) is not None:
            yield f'operation.{name} has no part with wells.pump = "none": no pump hangs in a producer'
    if steam:
        return
    if boils(pumps).any():
        yield "the water boils on its way up, so the flow stands as stated (wells.flow_per_producer)"
    elif case.wells.shut_in_pressure is None:
        yield "nothing says that the wells flow by themselves; the flow stands as stated (wells.shut_in_pressure)"
    elif not flow_is_worked_out(case):
        gives = np.nan_to_num(own_flow(pumps))
        at = int((flow - gives).argmax())
        if flow[at] > gives[at] * (1 + 1e-9):
            yield (
                f"{flow[at]:.1f} kg/s are stated, and the pressure of the shut well brings {gives[at]:.1f} kg/s by itself "
                "(wells.flow_per_producer)"
            )


def _opens_the_rock(pumps: Pumping, design: Design) -> Iterator[str]:
    """An injector whose feed zone comes near the pressure at which rock opens."""
    assert design.wells is not None
    below = pumps.feed_zone_bar(design.brine_flow * design.returned / design.wells.injectors)
    gradient, share = _limit("injection", "fracture_gradient"), _limit("injection", "fracture_share")
    opens = gradient * pumps.depth_m
    over = np.nan_to_num(below - share * opens, nan=-np.inf)
    at = int(over.argmax())
    if over[at] > 0:
        yield (
            f"injection brings {below[at]:.0f} bar to the feed zone, more than {share:.0%} of the {opens[at]:.0f} bar at which "
            f"rock may open ({gradient:g} bar/m, as recalled): more injectors, or a better wells.injectivity_index"
        )

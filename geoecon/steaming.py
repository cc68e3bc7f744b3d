"""From a case to a plant that steam drives, and what is said of one."""

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from geoecon.arrays import Floats
from geoecon.case import Case
from geoecon.case.cooling_checks import OF_AIR, OF_TOWER
from geoecon.case.plant_checks import FLASH, STEAM, WITH_FLUID, cooled_by
from geoecon.energy import KW_PER_MW
from geoecon.plant.bottoming import ToBottom
from geoecon.plant.flash import LEAST_SEPARATOR, SteamPlant, Water, ordered
from geoecon.plant.mapped import BinaryPlant, VendorPlant
from geoecon.plant.steam import SteamTerms
from geoecon.preparing import (
    absolute_pressure,
    built_binary,
    cycle_terms,
    design_sink,
    inlet_temperature,
    mapped_plants,
    pumping,
    tower,
    wide,
)
from geoecon.resource.silica import amorphous_silica_temperature, quartz_silica, silica_floor
from geoecon.resource.water import air_pressure, saturation_pressure
from geoecon.wells.pumping import Pumping

SECONDS = 3600.0
NONE = np.empty((0, 1))
WHOLE = 0.999
SEPARATORS = ("plant.separator_temperature", "plant.second_separator_temperature")
OF_STEAM = "steam from each kg of water"
COOLEST = "resource.silica: coolest brine that keeps it"
CONDENSING = "plant.cooling: condensing temperature"
GOES_BACK = "plant.tower_evaporation: share that goes back"
OWN_EMISSION = "resource.gas: let out for each MWh delivered"
OF_STEAM_ALONE = (
    "tower_evaporation", "least_condensing_temperature", "gas_removal", "ejector_steam",
    "compressor_efficiency",
)  # fmt: skip


def plants_of(case: Case) -> tuple[BinaryPlant | VendorPlant | SteamPlant, ...]:
    """The plants of a case that are worked out or known by maps: with the best fluid one of each fluid, otherwise one.

    One that steam drives is ordered for its design point.
    """
    return (steam_plant(case),) if case.plant.kind in STEAM else mapped_plants(case)


def any_plant_of(case: Case) -> BinaryPlant | VendorPlant | SteamPlant:
    """The same, for who asks only for which temperatures it can be worked out: no separators are looked for."""
    return SteamPlant(case.plant.kind, steam_terms(case), NONE) if case.plant.kind in STEAM else mapped_plants(case)[0]


def steam_plant(case: Case) -> SteamPlant:
    """The plant that steam drives, with the separators that are stated or best at the design point of each scenario."""
    plant = case.plant
    first, second = (
        None if at is None else float(at[0]) for at in (plant.separator_temperature, plant.second_separator_temperature)
    )
    below = None
    if plant.kind == "flash-binary":
        binary = BinaryPlant(plant.fluid or "", cycle_terms(case))
        below = ToBottom(binary, lambda unit, brine: built_binary(case, unit, brine))
    floor = plant.injection_temperature_floor
    water = Water(silica(case), 0.0 if floor is None else float(floor[0]))
    return ordered(
        plant.kind, steam_terms(case), water, (first, second), inlet_temperature(case), design_sink(case), below
    )


def steam_terms(case: Case) -> SteamTerms:
    """Parts of the plant of a case."""
    plant, wet = case.plant, tower(case)
    return SteamTerms(
        turbine_efficiency=float(plant.turbine_efficiency[0]),
        generator_efficiency=float(plant.generator_efficiency[0]),
        approach_K=wet.above_wet_bulb if wet else float(plant.condenser_approach[0]),
        least_condensing_degC=float(plant.least_condensing_temperature[0]),
        cooling_share=wet.power_share if wet else float(plant.fan_power[0]),
        auxiliary_share=float(plant.auxiliary_power[0]),
        gas=float(case.resource.gas[0]),
        ejector_steam=float(plant.ejector_steam[0]) if plant.gas_removal == "ejector" else None,
        compressor_efficiency=float(plant.compressor_efficiency[0]),
        air_bar=float(air_pressure(case.site.elevation)[0]),
        lost=float(plant.tower_evaporation[0]) if wet else 0.0,
    )


def silica(case: Case) -> Floats:
    """Silica of the water of a flash plant, stated or that of quartz at depth, (scenario,)  [mg/kg]; NaN where unknown."""
    if case.resource.silica is not None:
        return wide(case, case.resource.silica)
    return quartz_silica(wide(case, case.resource.temperature, np.nan))


def pumping_with(case: Case, plant: object, injection: Floats) -> Pumping:
    """The wells of a case; brine of a flash plant comes to the injection pumps at the pressure of its separator.

    injection : temperature of what is injected, (scenario,)  [degC]
    """
    pumps = pumping(case)
    if not isinstance(plant, SteamPlant):
        return pumps
    leaving = saturation_pressure(injection) if plant.kind in FLASH else pumps.air_bar
    return replace(pumps, plant_drop_bar=pumps.wellhead_bar - np.maximum(leaving, pumps.air_bar))


def returned(plant: object, inlet: Floats) -> Floats:
    """Share of what the wells bring that goes back, (scenario,)  [1]; all of it but where steam goes into the air."""
    return plant.returned(inlet) if isinstance(plant, SteamPlant) else np.ones_like(inlet)


def no_power(case: Case, plant: SteamPlant, scenario: int) -> tuple[str, str]:
    """Why no steam makes power in a scenario: the path to look at, and words."""
    inlet = float(inlet_temperature(case)[scenario])
    first = case.plant.separator_temperature
    if plant.kind == "dry-steam":
        return (
            "resource.temperature",
            f"steam of {inlet:.1f} degC is no hotter than its condenser: no power can be made",
        )
    if first is not None and first[0] >= inlet:
        words = (
            f"{first[0]:.1f} degC is hotter than the water that reaches it, {inlet:.1f} degC: nothing flashes; lower it"
        )
        return "plant.separator_temperature", words
    content = float(silica(case)[scenario])
    limit = float(amorphous_silica_temperature(content))
    if limit >= inlet:
        words = (
            f"{content:.0f} mg/kg of silica comes out of water cooler than {limit:.0f} degC, and {inlet:.1f} degC reach the "
            "plant: more than any water there holds; look at the analysis"
        )
        return "resource.silica", words
    words = (
        f"water of {inlet:.1f} degC is too cold to flash: no separator from {LEAST_SEPARATOR:.0f} degC up gives power, with "
        f'brine that keeps its silica down to {limit:.0f} degC at least; say kind = "binary", or look at '
        "plant.injection_temperature_floor"
    )
    return "resource.temperature", words


def own_emission(case: Case, plant: object, net_kw: Floats, flow: Floats, inlet: Floats) -> Floats | None:
    """Gas that the steam lets out for each MWh delivered, all of it taken as CO2, (scenario,)  [kg/MWh]; None without gas.

    At the design point; the same over the life.
    """
    if not isinstance(plant, SteamPlant) or not plant.terms.gas:
        return None
    let_out = next(plant.streams(inlet))[0] * flow * plant.terms.gas
    with np.errstate(invalid="ignore", divide="ignore"):
        return let_out * SECONDS * KW_PER_MW / net_kw / (1 - case.site.line_loss)


def figures(case: Case, plant: object, inlet: Floats) -> Iterator[tuple[str, Floats, str]]:
    """What a plant that steam drives comes to at the design point: name, value (scenario,), unit."""
    if not isinstance(plant, SteamPlant):
        return
    for (path, separator), (share, _, _) in zip(_separators(plant), plant.streams(inlet), strict=False):
        if not case.states(path):
            yield path, separator, "degC"
        yield f"{path}: pressure", saturation_pressure(separator), "bar"
        yield f"{path}: {OF_STEAM}", share, "1"
    if plant.kind in FLASH:
        yield COOLEST, _coolest(case, plant, inlet), "degC"
    yield CONDENSING, plant.terms.condensing(design_sink(case)), "degC"
    if plant.terms.lost or plant.terms.gas:
        yield GOES_BACK, plant.returned(inlet), "1"


def _separators(plant: SteamPlant) -> Iterator[tuple[str, Floats]]:
    return zip(SEPARATORS, plant.separators, strict=False)


def _coolest(case: Case, plant: SteamPlant, inlet: Floats) -> Floats:
    """Coolest brine that keeps its silica after the steam is taken, (scenario,)  [degC]."""
    return silica_floor(silica(case), 1 - plant.brine_left(inlet))


def has_a_part(case: Case, path: str) -> bool:
    """Whether a default has a part in what the kind of plant and its cooling come to."""
    plant, leaf = case.plant, path.partition(".")[2]
    worked_out, steam, wet = plant.kind != "stated", plant.kind in STEAM, cooled_by(plant) == "wet"
    gas = steam and bool(case.resource.gas.any())
    asks = {
        **dict.fromkeys(("turbine_efficiency", "generator_efficiency", "auxiliary_power"), worked_out),
        **dict.fromkeys(
            ("feed_pump_efficiency", "pinch", "layout", "off_design", "fan_speed"), plant.kind in WITH_FLUID
        ),
        **dict.fromkeys(OF_AIR, worked_out and not wet),
        **dict.fromkeys(OF_TOWER, worked_out and wet),
        "tower_cycles": wet and not steam,
        "cooling": worked_out,
        "tower_evaporation": steam and wet,
        **dict.fromkeys(("least_condensing_temperature", "gas"), steam),
        "gas_removal": gas,
        "ejector_steam": gas and plant.gas_removal == "ejector",
        "compressor_efficiency": gas and plant.gas_removal == "compressor",
    }
    return asks.get(leaf, True)


def steam_warnings(case: Case, plant: object, inlet: Floats) -> Iterator[str]:
    """What is worth a second look in a plant that steam drives, or in what is stated as if there were one."""
    for path in ("resource.gas", *(f"plant.{leaf}" for leaf in OF_STEAM_ALONE)):
        if case.states(path) and not has_a_part(case, path):
            yield f"it has no part in a {case.plant.kind} plant as it is cooled and freed of gas ({path})"
    if case.site.relative_humidity is not None and cooled_by(case.plant) == "air":
        yield "it has no part: air cools the plant (site.relative_humidity)"
    if not isinstance(plant, SteamPlant):
        return
    yield from _held(case, plant, inlet)
    if not plant.terms.gas:
        yield "no gas is stated, and steam of most fields holds some, which takes power to draw off (resource.gas)"
    else:
        yield (
            "gas of the steam is let out and may hold hydrogen sulfide, which kills: what may be let out, and how people are "
            "kept safe, is for local codes and licensed practice (resource.gas)"
        )
    back = float(np.nanmin(plant.returned(inlet)))
    if back < WHOLE:
        yield (
            f"{back:.0%} of what the wells bring goes back, the rest into the air: the field loses it, and nothing here says "
            "what that does to its pressure (plant.tower_evaporation)"
        )


def _held(case: Case, plant: SteamPlant, inlet: Floats) -> Iterator[str]:
    """What is said of separators, the wells before them and the brine behind."""
    if plant.kind == "dry-steam":
        yield "steam reaches the turbine saturated at the temperature of the wellhead, and cools as the field does"
        return
    first = float(np.nanmax(plant.separators[0]))
    bar = float(saturation_pressure(first))
    yield (
        f"separators keep the temperature they are built for, the first {first:.0f} degC ({bar:.1f} bar), and the turbine its "
        "efficiency with less steam (plant.separator_temperature)"
    )
    if not pumping(case).pumped:
        stated = case.wells.wellhead_pressure
        kept = None if stated is None else float(absolute_pressure(case, stated).min())
        if kept is not None and kept < bar:
            yield (
                f"{kept:.1f} bar at the wellhead do not bring water into a separator of {bar:.1f} bar "
                "(wells.wellhead_pressure, plant.separator_temperature)"
            )
        else:
            yield (
                "wells flow by themselves, and what they give at the pressure of the separator is not worked out: state the "
                "flow as measured there (wells.flow_per_producer)"
            )
    over = _coolest(case, plant, inlet) - plant.separators[-1]
    if plant.bottoming is None and np.nanmax(over, initial=0.0) > 0:
        at = int(np.nan_to_num(over).argmax())
        yield (
            f"brine leaves at {plant.separators[-1][at]:.0f} degC, and keeps its silica down to "
            f"{plant.separators[-1][at] + over[at]:.0f} degC: scale forms unless it is held back "
            "(plant.separator_temperature, resource.silica)"
        )

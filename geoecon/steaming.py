"""From a case to a plant that steam drives, and what is said of one."""

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from geoecon.arrays import Floats
from geoecon.case import Case
from geoecon.case.plant_checks import FLASH, STEAM, cooled_by
from geoecon.plant.bottoming import ToBottom
from geoecon.plant.flash import SteamPlant, Water, ordered
from geoecon.plant.mapped import BinaryPlant, VendorPlant
from geoecon.plant.steam import SteamTerms
from geoecon.preparing import binary_plant, built_binary, design_sink, inlet_temperature, mapped_plant, pumping, wide
from geoecon.resource.silica import amorphous_silica_temperature, quartz_silica, silica_floor
from geoecon.resource.water import air_pressure, saturation_pressure
from geoecon.wells.pumping import Pumping

SECONDS = 3600.0


def plant_of(case: Case) -> BinaryPlant | VendorPlant | SteamPlant:
    """The plant of a case that is worked out or known by its map; one that steam drives is ordered for its design point."""
    return steam_plant(case) if case.plant.kind in STEAM else mapped_plant(case)


def steam_plant(case: Case) -> SteamPlant:
    """The plant that steam drives, with the separators that are stated or best at the design point of each scenario."""
    plant = case.plant
    stated = tuple(
        None if at is None else float(at[0]) for at in (plant.separator_temperature, plant.second_separator_temperature)
    )
    below = None
    if plant.kind == "flash-binary":
        binary = binary_plant(case)
        below = ToBottom(binary, lambda unit, brine: built_binary(case, unit, brine))
    floor = plant.injection_temperature_floor
    water = Water(silica(case), 0.0 if floor is None else float(floor[0]))
    return ordered(
        plant.kind, steam_terms(case), water, (stated[0], stated[1]), inlet_temperature(case), design_sink(case), below
    )


def steam_terms(case: Case) -> SteamTerms:
    """Parts of the plant of a case."""
    plant, wet = case.plant, cooled_by(case.plant) == "wet"
    return SteamTerms(
        turbine_efficiency=float(plant.turbine_efficiency[0]),
        generator_efficiency=float(plant.generator_efficiency[0]),
        approach_K=float((plant.wet_approach if wet else plant.condenser_approach)[0]),
        least_condensing_degC=float(plant.least_condensing_temperature[0]),
        cooling_share=float((plant.tower_power if wet else plant.fan_power)[0]),
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
        f"water of {inlet:.1f} degC is too cold to flash: no separator from 80 degC up gives power, with brine that keeps its "
        f'silica down to {limit:.0f} degC; say kind = "binary", or look at plant.injection_temperature_floor'
    )
    return "resource.temperature", words


def figures(case: Case, plant: object, inlet: Floats) -> Iterator[tuple[str, Floats, str]]:
    """What a plant that steam drives comes to at the design point: name, value (scenario,), unit."""
    if not isinstance(plant, SteamPlant):
        return
    streams = list(plant.streams(inlet))
    for stage, separator in enumerate(plant.separators):
        path = ("plant.separator_temperature", "plant.second_separator_temperature")[stage]
        if not case.states(path):
            yield path, separator, "degC"
        yield f"{path}: pressure", saturation_pressure(separator), "bar"
        yield f"{path}: steam from each kg of water", streams[stage][0], "kg/kg"
    if plant.kind in FLASH:
        if case.resource.silica is None:
            yield "resource.silica", silica(case), "mg/kg"
        steam = 1 - plant.brine_left(inlet)
        yield "resource.silica: coolest brine that keeps it", silica_floor(silica(case), steam), "degC"
    yield "plant.cooling: condensing temperature", plant.terms.condensing(design_sink(case)), "degC"
    yield "plant.tower_evaporation: share that goes back", plant.returned(inlet), "kg/kg"

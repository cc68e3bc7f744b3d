"""From a case to a plant that steam drives, and what it comes to.

`steam_limits` says what is odd in it or stands in its way.
"""

from collections.abc import Callable, Iterator
from dataclasses import replace

import numpy as np

from geoecon.arrays import Floats
from geoecon.case import Case
from geoecon.case.cooling_checks import OF_AIR, OF_TOWER
from geoecon.case.plant_checks import FLASH, STEAM, WITH_FLUID, cooled_by
from geoecon.energy import KW_PER_MW
from geoecon.plant.bottoming import AnyBinary, ToBottom
from geoecon.plant.flash import SteamPlant, Stream, Water, equal_split, gas_in_water, ordered
from geoecon.plant.mapped import BinaryPlant, VendorPlant
from geoecon.plant.steam import SteamTerms, expanded
from geoecon.preparing.basics import wide
from geoecon.preparing.climate import design_sink, tower
from geoecon.preparing.field import absolute_pressure, inlet_temperature, pumping
from geoecon.preparing.plants import built_binary, cycle_terms, mapped_plants
from geoecon.resource.geothermometers import geothermometer
from geoecon.resource.silica import quartz_silica, silica_floor
from geoecon.resource.water import air_pressure, saturation_pressure, saturation_temperature
from geoecon.wells.pumping import Pumping

SECONDS = 3600.0
NONE = np.empty((0, 1))
SEPARATORS = ("plant.separator_temperature", "plant.second_separator_temperature")
STAGES = ("first", "second")
SILICA, GAS, FLOOR, WELLHEAD = (
    "resource.silica", "resource.gas", "plant.injection_temperature_floor", "wells.wellhead_pressure",
)  # fmt: skip
# What keeps separators from where most power is, what is chosen before what is measured.
LIMITS = (*SEPARATORS, FLOOR, WELLHEAD, SILICA, GAS)
OF_STEAM = "steam from each kg of water"
EQUAL_SPLIT = "by equal steps"
NET_BY_EQUAL_SPLIT = f"plant.kind: plant net {EQUAL_SPLIT}"
OF_TURBINE = "plant.turbine_efficiency"
IDEAL, WETNESS = "isentropic drop", "mean wetness"
OF_GAS = "resource.gas: with each kg that comes"
IN_STEAM = "resource.gas: share of the first steam"
COOLING = "plant.cooling: power of fans and pumps"
AUXILIARIES = "plant.auxiliary_power: other plant use"
COMPRESSOR = "plant.gas_removal: power of the compressor"
BELOW_GROSS = "plant.fluid: gross power of the binary unit"
BELOW_OWN = "plant.fluid: own use of the binary unit"
COOLEST = "resource.silica: coolest brine that keeps it"
CONDENSING = "plant.cooling: condensing temperature"
GOES_BACK = "plant.tower_evaporation: share that goes back"
OWN_EMISSION = "resource.gas: let out for each MWh delivered"
OF_STEAM_ALONE = (
    "plant.tower_evaporation", "plant.least_condensing_temperature", "plant.gas_removal", "plant.ejector_steam",
    "plant.compressor_efficiency",
)  # fmt: skip


def plants_of(case: Case) -> tuple[BinaryPlant | VendorPlant | SteamPlant, ...]:
    """The plants of a case that are worked out or known by maps: with the best fluid one of each fluid, otherwise one.

    One that steam drives is ordered for its design point.
    """
    return (steam_plant(case),) if case.plant.kind in STEAM else mapped_plants(case)


def any_plant_of(case: Case) -> BinaryPlant | VendorPlant | SteamPlant:
    """The same, for who asks only for which temperatures it can be worked out: no separators are looked for."""
    if case.plant.kind not in STEAM:
        return mapped_plants(case)[0]
    return SteamPlant(case.plant.kind, steam_terms(case), NONE, Water(np.zeros(1)))


def steam_plant(case: Case) -> SteamPlant:
    """The plant that steam drives, with the separators that are stated or best at the design point of each scenario."""
    return _ordered(case, "", slice(None), lambda unit, brine: built_binary(case, unit, brine))


def net_without(case: Case, path: str, scenario: int) -> float:
    """Plant net of each kg/s in a scenario where one of `LIMITS` does not hold, or with all  [kW per kg/s].

    Of a binary unit as the best one, not as built.
    """
    here = slice(scenario, scenario + 1)
    plant = _ordered(case, path, here, lambda unit, brine: unit)
    return float(plant.at(inlet_temperature(case)[here], design_sink(case)[here])[1][0])


def _ordered(case: Case, without: str, here: slice, as_built: Callable[[BinaryPlant, Floats], AnyBinary]) -> SteamPlant:
    plant = case.plant
    first, second = (None if path == without else stated_temperature(case, path) for path in SEPARATORS)
    below = None
    if plant.kind == "flash-binary":
        below = ToBottom(BinaryPlant(plant.fluid or "", cycle_terms(case)), as_built)
    return ordered(
        plant.kind, steam_terms(case), water(case, without, here), (first, second), inlet_temperature(case)[here],
        design_sink(case)[here], below,
    )  # fmt: skip


def stated_temperature(case: Case, path: str) -> float | None:
    """A temperature of the plant that does not vary, None where it is not stated  [degC]."""
    stated = getattr(case.plant, path.partition(".")[2])
    return None if stated is None else float(stated[0])


def water(case: Case, without: str = "", here: slice = slice(None)) -> Water:
    """What the wells of a case bring to a plant that steam drives, (scenario,)."""
    flash, none = case.plant.kind in FLASH, np.zeros(1)
    floor = stated_temperature(case, FLOOR) if flash and without != FLOOR else None
    return Water(
        silica=silica(case)[here] if flash and without != SILICA else none,
        floor_degC=0.0 if floor is None else floor,
        gas=gas(case)[here] if without != GAS else none,
        wellhead_degC=wellhead_boiling(case)[here] if without != WELLHEAD else none + np.inf,
    )


def wellhead_boiling(case: Case) -> Floats:
    """Boiling point at the pressure stated of the wellhead, (scenario,), infinite where none is  [degC]."""
    stated = case.wells.wellhead_pressure
    return wide(case, np.inf) if stated is None else saturation_temperature(absolute_pressure(case, stated))


def gas_told_at(case: Case) -> tuple[str, Floats]:
    """Which pressure the gas of a flash is told at, and its boiling point, (scenario,)  [degC]."""
    stated = case.resource.gas_pressure
    if stated is None:
        return WELLHEAD, wellhead_boiling(case)
    return "resource.gas_pressure", saturation_temperature(absolute_pressure(case, stated))


def gas(case: Case) -> Floats:
    """Gas in what the wells bring, (scenario,)  [1]; NaN where water does not boil at the pressure that it is told at."""
    share = case.resource.gas
    if case.plant.kind not in FLASH or not share.any():
        return wide(case, share)
    return gas_in_water(share, gas_told_at(case)[1], inlet_temperature(case))


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


def quartz_used(case: Case) -> str:
    """The relation of quartz that tells the silica of a case, or that of its hottest scenario."""
    quartz = geothermometer("quartz")
    return quartz.name if quartz.covers(wide(case, case.resource.temperature)).all() else "quartz-hot"


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


def own_emission(case: Case, plant: object, net_kw: Floats, flow: Floats) -> Floats | None:
    """Gas that the steam lets out for each MWh delivered, all of it taken as CO2, (scenario,)  [kg/MWh]; None without gas.

    At the design point; the same over the life.
    """
    if not isinstance(plant, SteamPlant) or not plant.water.gas.any():
        return None
    let_out = plant.water.gas * flow * SECONDS * KW_PER_MW
    return np.where(net_kw > 0, let_out / np.maximum(net_kw, 1e-9) / (1 - case.site.line_loss), np.nan)


def figures(case: Case, plant: object, inlet: Floats, flow: Floats) -> Iterator[tuple[str, Floats, str]]:
    """What a plant that steam drives comes to at the design point: name, value (scenario,), unit."""
    if not isinstance(plant, SteamPlant):
        return
    streams, gas_of_all = list(plant.streams(inlet)), wide(case, plant.water.gas)
    for (path, separator), stream in zip(separators(plant), streams, strict=False):
        if not case.states(path):
            yield path, separator, "degC"
        yield f"{path}: pressure", saturation_pressure(separator), "bar"
        yield f"{path}: {OF_STEAM}", stream.steam + stream.gas, "1"
    if gas_of_all.any():
        yield OF_GAS, gas_of_all, "1"
        yield IN_STEAM, gas_of_all / (streams[0].gas + streams[0].steam), "1"
    if plant.kind in FLASH and (limit := coolest(case, plant, inlet)).max() > 0:
        yield COOLEST, limit, "degC"
    yield CONDENSING, plant.terms.condensing(design_sink(case)), "degC"
    if plant.terms.lost or gas_of_all.any():
        yield GOES_BACK, plant.returned(inlet), "1"
    yield from _turbine(case, plant, streams)
    yield from _own_use(case, plant, streams, inlet, flow)
    if plant.kind == "double-flash":
        yield from _by_equal_split(case, plant, inlet)


def _turbine(case: Case, plant: SteamPlant, streams: list[Stream]) -> Iterator[tuple[str, Floats, str]]:
    """The way of each steam through the turbine, of the mean wetness by which Baumann's rule lessens its efficiency."""
    cold, efficiency = plant.terms.condensing(design_sink(case)), plant.terms.turbine_efficiency
    for stage, stream in zip(STAGES, streams, strict=False):
        made = expanded(stream.boiling_degC, cold, efficiency, stream.enthalpy)
        yield f"{OF_TURBINE}: {IDEAL}, {stage} steam", made.ideal, "kJ/kg"
        with np.errstate(invalid="ignore", divide="ignore"):
            wetness = 1 - made.work / (made.ideal * efficiency)
        yield f"{OF_TURBINE}: {WETNESS}, {stage} steam", wetness, "1"


def _own_use(
    case: Case, plant: SteamPlant, streams: list[Stream], inlet: Floats, flow: Floats
) -> Iterator[tuple[str, Floats, str]]:
    """What lies between gross and plant net."""
    sink, full = design_sink(case), flow * case.plant.performance_factor
    made = [stream.power(plant.terms, sink) for stream in streams]
    yield COOLING, sum((each.cooling for each in made), start=np.zeros_like(inlet)) * full, "kW"
    yield AUXILIARIES, sum((each.auxiliaries for each in made), start=np.zeros_like(inlet)) * full, "kW"
    if plant.terms.ejector_steam is None and plant.water.gas.any():
        yield COMPRESSOR, sum((each.compressor for each in made), start=np.zeros_like(inlet)) * full, "kW"
    if plant.bottoming is not None:
        gross, net, _ = (plant.brine_left(inlet) * each for each in plant.bottoming.at(inlet, sink))
        yield BELOW_GROSS, gross * full, "kW"
        yield BELOW_OWN, (gross - net) * full, "kW"


def _by_equal_split(case: Case, plant: SteamPlant, inlet: Floats) -> Iterator[tuple[str, Floats, str]]:
    """What the rule of equal steps gives, beside the separators found; neither silica nor the wellhead has a part in it."""
    sink = design_sink(case)
    ruled = replace(plant, separators=equal_split(inlet, plant.terms.condensing(sink)))
    for path, separator in separators(ruled):
        yield f"{path}: {EQUAL_SPLIT}", separator, "degC"
    yield NET_BY_EQUAL_SPLIT, ruled.at(inlet, sink)[1] * case.plant.performance_factor, "kW per kg/s"


def separators(plant: SteamPlant) -> Iterator[tuple[str, Floats]]:
    """Each separator with its path, (scenario,)  [degC]."""
    return zip(SEPARATORS, plant.separators, strict=False)


def coolest(case: Case, plant: SteamPlant, inlet: Floats) -> Floats:
    """Coolest brine that keeps its silica after the steam is taken, (scenario,)  [degC]."""
    return silica_floor(silica(case), 1 - plant.brine_left(inlet))


def has_a_part(case: Case, path: str) -> bool:
    """Whether a default has a part in what the kind of plant and its cooling come to."""
    plant, leaf = case.plant, path.partition(".")[2]
    worked_out, steam, wet = plant.kind != "stated", plant.kind in STEAM, cooled_by(plant) == "wet"
    flash, gas = plant.kind in FLASH, steam and bool(case.resource.gas.any())
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
        **dict.fromkeys(("silica", "injection_temperature_floor"), flash or not steam),
        "brine_pressure_drop": not steam,
        "gas_pressure": flash and gas,
        "gas_removal": gas,
        "ejector_steam": gas and plant.gas_removal == "ejector",
        "compressor_efficiency": gas and plant.gas_removal == "compressor",
    }
    return asks.get(leaf, True)

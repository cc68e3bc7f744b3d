"""The plant of a case as its maps take it: which, with what parts, and how far it reaches."""

from functools import lru_cache

import numpy as np

from geoecon.arrays import Bools, Floats
from geoecon.case import Case
from geoecon.case.plant_checks import cooled_by
from geoecon.plant.binary import CycleTerms
from geoecon.plant.built import Keeping
from geoecon.plant.chosen import ChosenMap, ChosenPlant
from geoecon.plant.designed import BuiltMap, BuiltPlant
from geoecon.plant.flash import SteamPlant
from geoecon.plant.fluids import BEST, below_critical, fluid_names
from geoecon.plant.mapped import BinaryPlant, VendorPlant
from geoecon.plant.maps import PerformanceMap, vendor_map
from geoecon.preparing.climate import design_air, design_sink, sink_in_parts, tower
from geoecon.preparing.field import absolute_pressure, inlet_temperature
from geoecon.preparing.files import beside
from geoecon.resource.silica import amorphous_silica_temperature

MappedPlant = BinaryPlant | BuiltPlant | ChosenPlant | VendorPlant | SteamPlant
PlantMap = PerformanceMap | BuiltMap | ChosenMap | SteamPlant
RECUPERATOR_K = 8.0


def is_mapped(case: Case) -> bool:
    """Whether the plant is known by what it makes of brine and air at any temperature, worked out or from a vendor."""
    return case.plant.kind != "stated" or case.plant.performance is not None


def in_map(case: Case, plant: MappedPlant, brine: Floats, life: Floats) -> Floats:
    """Brine temperatures with NaN in every scenario where the plant's map does not reach over life and climate.

    life : (n, scenario) brine of the years  [degC]
    """
    return np.where(beyond_map(case, plant, life), np.nan, brine)


def beyond_map(case: Case, plant: MappedPlant, life: Floats) -> Bools:
    """Scenarios whose brine over the life, (n, scenario), or climate, the plant's map does not reach, (scenario,)."""
    sink = np.vstack([*sink_in_parts(case), design_sink(case)])
    ends = _ends(case, life)
    covered = [plant.covers(brine, at) for brine in ends for at in (sink.min(axis=0), sink.max(axis=0))]
    beyond: Bools = ~np.logical_and.reduce(covered)
    return beyond


def _ends(case: Case, life: Floats) -> Floats:
    """Brine at the start, at its coolest and at its hottest, (3, scenario)  [degC]."""
    return np.vstack([inlet_temperature(case), life.min(axis=0), life.max(axis=0)])


def plant_map(case: Case, plant: MappedPlant, inlet: Floats, life: Floats) -> PlantMap:
    """The map of a plant over the life, (n, scenario), and the climate of a case and a design inlet: one for a whole pass."""
    brine = in_map(case, plant, _ends(case, life), life)
    sink = np.vstack([*sink_in_parts(case), design_sink(case)])
    return plant.over(np.vstack(np.broadcast_arrays(*brine, inlet)), sink)


@lru_cache(maxsize=8)
def _vendor_plant(text: str) -> VendorPlant:
    return VendorPlant(vendor_map(text))


def mapped_plant(case: Case) -> BinaryPlant | VendorPlant:
    """The plant of a case that is known by its map, the first of those with each fluid where the best is looked for."""
    return mapped_plants(case)[0]


def mapped_plants(case: Case) -> tuple[BinaryPlant | VendorPlant, ...]:
    """The plants of a case that are known by maps: with the best fluid one of each fluid, otherwise one.

    Raises `CaseError` where a vendor's table cannot be read.
    """
    plant = case.plant
    if plant.performance is not None:
        return (beside(case, "plant.performance", plant.performance, _vendor_plant),)
    terms = cycle_terms(case)
    return tuple(BinaryPlant(fluid, terms) for fluid in fluids_tried(case))


def fluids_tried(case: Case) -> tuple[str, ...]:
    """The working fluids that a binary plant is worked out with, all where none boils at a stated evaporation."""
    plant = case.plant
    if plant.fluid != BEST:
        return (plant.fluid or "",)
    stated = plant.evaporating_temperature
    return below_critical(None if stated is None else float(stated[0])) or fluid_names()


def cycle_terms(case: Case) -> CycleTerms:
    """Parts of the binary plant of a case."""
    plant = case.plant
    silica, wet = case.resource.silica, tower(case)
    return CycleTerms(
        turbine_efficiency=float(plant.turbine_efficiency[0]),
        pump_efficiency=float(plant.feed_pump_efficiency[0]),
        generator_efficiency=float(plant.generator_efficiency[0]),
        pinch_K=float(plant.pinch[0]),
        approach_K=wet.above_wet_bulb if wet else float(plant.condenser_approach[0]),
        fan_share=wet.power_share if wet else float(plant.fan_power[0]),
        auxiliary_share=float(plant.auxiliary_power[0]),
        floor_degC=None if plant.injection_temperature_floor is None else float(plant.injection_temperature_floor[0]),
        evaporating_degC=None if plant.evaporating_temperature is None else float(plant.evaporating_temperature[0]),
        quartz=plant.kind == "binary" and silica is None and plant.injection_temperature_floor is None,
        silica_degC=0.0 if silica is None else float(amorphous_silica_temperature(silica)[0]),
        layout=plant.layout,
        recuperator_K=_recuperator(case),
    )


def _recuperator(case: Case) -> float | None:
    """Least difference in the recuperator, None where there is none  [K]."""
    stated = case.plant.recuperator_pinch
    if stated is not None:
        return float(stated[0])
    return RECUPERATOR_K if case.plant.layout == "recuperated" else None


def as_built(case: Case, plant: BinaryPlant | VendorPlant | SteamPlant, inlet: Floats) -> MappedPlant:
    """The plant that is ordered for a brine at the inlet, (scenario,), and the design air; others than binary are already."""
    return built_binary(case, plant, inlet) if isinstance(plant, BinaryPlant) else plant


def built_binary(case: Case, plant: BinaryPlant, inlet: Floats) -> BinaryPlant | BuiltPlant:
    """The binary plant that is ordered for a brine at its inlet, (scenario,), and the design air.

    Only the basic layout, cooled by air, is worked out as built; the others are the best at every temperature.
    """
    stated = case.plant
    if stated.off_design != "built" or stated.layout != "basic" or cooled_by(stated) != "air":
        return plant
    least, most = stated.least_condensing_pressure, stated.generator_limit
    keeping = Keeping(
        stated.fan_speed == "variable",
        None if least is None else float(absolute_pressure(case, least)[0]),
        None if most is None else float(most[0]),
    )
    return BuiltPlant(plant, keeping, inlet, design_air(case))

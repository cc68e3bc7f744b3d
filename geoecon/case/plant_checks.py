"""Faults between fields of a plant: what a binary one or one of steam needs, and what has no part in it."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from geoecon.errors import Fault

if TYPE_CHECKING:
    from geoecon.case.plant import Plant
    from geoecon.case.schema import CaseTables

FLASH = ("single-flash", "double-flash", "flash-binary")
STEAM = (*FLASH, "dry-steam")  # kinds that steam drives
WITH_FLUID = ("binary", "flash-binary")

# What only some layouts have a part for.
USED_BY = {
    "recuperator_pinch": ("recuperated", "supercritical"),
    "evaporating_temperature": ("basic", "recuperated", "dual-pressure"),
}


def cooled_by(plant: "Plant") -> str:
    """What carries the heat of a plant away, air unless a wet tower does."""
    wet_unless_stated = plant.kind in STEAM and plant.kind != "flash-binary"
    return plant.cooling or ("wet" if wet_unless_stated else "air")


def plant_faults(plant: "Plant") -> Iterator[Fault]:
    """Every fault of the parts of a plant that is worked out."""
    yield from _not_as_built(plant)
    if plant.fluid == "best" and plant.kind != "binary":
        words = f'"best" is only for binary plants that are worked out, not for {plant.kind!r}; name a fluid or leave it out'
        yield Fault("plant.fluid", words)
    if plant.kind not in WITH_FLUID:
        if plant.layout != "basic":
            yield Fault("plant.layout", f"is only for binary plants, not for {plant.kind!r}; leave it out")
        if plant.recuperator_pinch is not None:
            yield Fault("plant.recuperator_pinch", f"is only for binary plants, not for {plant.kind!r}; leave it out")
        if plant.fluid is not None and plant.kind in STEAM:
            words = f"is only for binary units; a {plant.kind} plant has no working fluid but steam: leave it out"
            yield Fault("plant.fluid", words)
        return
    if plant.fluid is None:
        yield Fault("plant.fluid", f"is missing; a {plant.kind} plant needs a working fluid")
    for name, layouts in USED_BY.items():
        if getattr(plant, name) is not None and plant.layout not in layouts:
            use = " or ".join(f'"{layout}"' for layout in layouts)
            words = f'is not used with layout = "{plant.layout}"; leave it out, or say layout = {use}'
            yield Fault(f"plant.{name}", words)


def _not_as_built(plant: "Plant") -> Iterator[Fault]:
    """What is stated of a plant as built where none is worked out."""
    binary = plant.kind in WITH_FLUID
    worked_out = plant.off_design == "built" and plant.layout == "basic" and cooled_by(plant) == "air"
    stated = {
        "fan_speed": plant.fan_speed != "fixed",
        "least_condensing_pressure": plant.least_condensing_pressure is not None,
        "generator_limit": plant.generator_limit is not None,
    }
    for name in (name for name, stands in stated.items() if stands):
        if not binary:
            yield Fault(f"plant.{name}", f'is only for kind = "binary"; a {plant.kind} plant does not use it')
        elif not worked_out:
            words = 'is not used; say off_design = "built", layout = "basic" and cooling = "air", or leave it out'
            yield Fault(f"plant.{name}", words)
    if not binary and plant.off_design != "built":
        yield Fault("plant.off_design", f'is only for kind = "binary"; a {plant.kind} plant does not use it')


def steam_faults(case: "CaseTables") -> Iterator[Fault]:
    """Every fault of what steam asks for, or has no part in."""
    plant, kind = case.plant, case.plant.kind
    yield from _separators(plant)
    if kind == "dry-steam" and case.resource.gas.max() * (1 + _jets(plant)) >= 1:
        words = "and the steam that draws it off leave none for the turbine; take a compressor (plant.gas_removal)"
        yield Fault("resource.gas", words)
    if kind in FLASH and case.resource.gas.any():
        yield from _gas_without_pressure(case)
    if kind == "dry-steam":
        yield from _steam_is_no_water(case)
    worked_out = case.wells.pump == "none" and case.wells.shut_in_pressure is not None
    if kind in STEAM and worked_out and case.wells.flow_per_producer is None:
        words = f"is missing; the water of a {kind} plant boils on its way up, and what a well then gives has to be measured"
        yield Fault("wells.flow_per_producer", words)


def _gas_without_pressure(case: "CaseTables") -> Iterator[Fault]:
    """How much gas comes with the water follows from its share of steam only at a known pressure."""
    if case.resource.gas_pressure is None and case.wells.wellhead_pressure is None:
        words = (
            "is missing; gas is a share of the steam that leaves the water at some pressure, and less steam holds the same "
            "gas: state that pressure, or wells.wellhead_pressure if it was measured there"
        )
        yield Fault("resource.gas_pressure", words)


def _steam_is_no_water(case: "CaseTables") -> Iterator[Fault]:
    """What is only for wells that bring water."""
    wells = case.wells
    if wells.pump != "none":
        yield Fault("wells.pump", 'steam is not pumped; a dry-steam plant needs pump = "none"')
    if wells.bore_heat_loss != "stated":
        yield Fault("wells.bore_heat_loss", "is worked out for water only; state wells.temperature_loss of the steam")
    if wells.pipe_length is not None:
        yield Fault("wells.pipe_length", "is worked out for water only; leave it out, and state wells.temperature_loss")


def _jets(plant: "Plant") -> float:
    return float(plant.ejector_steam.max()) if plant.gas_removal == "ejector" else 0.0


def _separators(plant: "Plant") -> Iterator[Fault]:
    first, second = plant.separator_temperature, plant.second_separator_temperature
    if first is not None and plant.kind not in FLASH:
        yield Fault("plant.separator_temperature", f"is only for flash plants; a {plant.kind} plant does not use it")
    if second is not None and plant.kind != "double-flash":
        words = f'is only for kind = "double-flash"; a {plant.kind} plant does not use it'
        yield Fault("plant.second_separator_temperature", words)
    elif first is not None and second is not None and (second >= first).any():
        yield Fault("plant.second_separator_temperature", "is no cooler than the first, whose brine it takes")

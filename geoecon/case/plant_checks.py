"""Faults between fields of a plant: what a binary one needs, and what has no part in its layout."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from geoecon.errors import Fault

if TYPE_CHECKING:
    from geoecon.case.schema import Plant

# What only some layouts have a part for.
USED_BY = {
    "recuperator_pinch": ("recuperated", "supercritical"),
    "evaporating_temperature": ("basic", "recuperated", "dual-pressure"),
}


def plant_faults(plant: "Plant") -> Iterator[Fault]:
    """Every fault of the parts of a plant that is worked out."""
    yield from _not_as_built(plant)
    if plant.kind != "binary":
        if plant.layout != "basic":
            yield Fault("plant.layout", f"is only for binary plants, not for {plant.kind!r}; leave it out")
        if plant.recuperator_pinch is not None:
            yield Fault("plant.recuperator_pinch", f"is only for binary plants, not for {plant.kind!r}; leave it out")
        return
    if plant.fluid is None:
        yield Fault("plant.fluid", "is missing; a binary plant needs a working fluid")
    for name, layouts in USED_BY.items():
        if getattr(plant, name) is not None and plant.layout not in layouts:
            use = " or ".join(f'"{layout}"' for layout in layouts)
            words = f'is not used with layout = "{plant.layout}"; leave it out, or say layout = {use}'
            yield Fault(f"plant.{name}", words)


def _not_as_built(plant: "Plant") -> Iterator[Fault]:
    """What is stated of a plant as built where none is worked out."""
    binary, worked_out = plant.kind == "binary", plant.off_design == "built" and plant.layout == "basic"
    stated = {
        "fan_speed": plant.fan_speed != "fixed",
        "least_condensing_pressure": plant.least_condensing_pressure is not None,
        "generator_limit": plant.generator_limit is not None,
    }
    for name in (name for name, stands in stated.items() if stands):
        if not binary:
            yield Fault(f"plant.{name}", f'is only for kind = "binary"; a {plant.kind} plant does not use it')
        elif not worked_out:
            words = 'is not used; say off_design = "built" and layout = "basic", or leave it out'
            yield Fault(f"plant.{name}", words)
    if not binary and plant.off_design != "built":
        yield Fault("plant.off_design", f'is only for kind = "binary"; a {plant.kind} plant does not use it')

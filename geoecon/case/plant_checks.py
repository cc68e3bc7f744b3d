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

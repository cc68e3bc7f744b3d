"""Faults between fields about how a plant is cooled."""

from collections.abc import Iterator
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np

from geoecon.case.plant import Plant
from geoecon.case.plant_checks import cooled_by
from geoecon.errors import Fault

if TYPE_CHECKING:
    from geoecon.case.schema import CaseTables

OF_AIR = ("condenser_approach", "fan_power")
OF_TOWER = (
    "tower_approach", "tower_range", "tower_terminal_difference", "tower_fan_power", "tower_pump_head",
    "tower_pump_efficiency", "tower_cycles",
)  # fmt: skip


def cooling_faults(case: "CaseTables") -> Iterator[Fault]:
    """What wet cooling needs, and what is stated of the cooling that a plant does not have."""
    plant, water = case.plant, case.operation.water_cost
    wet = cooled_by(plant) == "wet"
    if plant.kind == "stated" and plant.cooling is not None:
        yield Fault("plant.cooling", "is not used: a stated plant holds its cooling already; leave it out")
        return
    if plant.kind == "flash-binary" and wet:
        yield Fault("plant.cooling", "air cools a flash-binary plant, both parts of it; leave it out")
        return
    if wet and case.site.relative_humidity is None:
        words = 'is missing; a wet tower cools toward the wet bulb of the air: state it, or say plant.cooling = "air"'
        yield Fault("site.relative_humidity", words)
    unused, other = (OF_AIR, "air") if wet else (OF_TOWER, "wet")
    usual = _as_usual()
    for name in (name for name in unused if not np.array_equal(getattr(plant, name), getattr(usual, name))):
        yield Fault(f"plant.{name}", f'is not used; say cooling = "{other}", or leave it out')
    if water is not None and not (wet and plant.kind == "binary"):
        yield Fault(
            "operation.water_cost", "buys nothing: only the wet tower of a binary plant takes water; leave it out"
        )


@lru_cache
def _as_usual() -> Plant:
    """A plant of which nothing is stated; a value that is stated as it is by default is no fault."""
    return Plant(kind="binary")

"""Faults between fields of the resource: what a way of the temperature needs, and what has no part in it."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

import numpy as np

from geoecon.case.resource import DEFAULTED, USED_BY
from geoecon.errors import Fault

if TYPE_CHECKING:
    from geoecon.case.schema import CaseTables

NEEDS = {
    "rate": (),
    "doublet": ("well_spacing", "aquifer_thickness"),
    "sweep": ("well_spacing", "aquifer_thickness", "swept_width"),
    "fracture": (),
    "table": ("temperature_table",),
}


def resource_faults(case: "CaseTables") -> Iterator[Fault]:
    """Every fault of the resource."""
    yield from _path(case)
    yield from _stored_heat(case)


def _path(case: "CaseTables") -> Iterator[Fault]:
    resource, path = case.resource, case.resource.temperature_path
    asked = f'temperature_path = "{path}" needs it'
    for name in NEEDS[path]:
        if getattr(resource, name) is None:
            yield Fault(f"resource.{name}", f"is missing; {asked}")
    for name, paths in USED_BY.items():
        if path not in paths and _stands(getattr(resource, name), name):
            use = " or ".join(f'"{other}"' for other in paths)
            yield Fault(
                f"resource.{name}",
                f'is not used with temperature_path = "{path}"; leave it out, or say temperature_path = {use}',
            )
    if path == "fracture":
        yield from _fracture(case)
    if path != "rate" and resource.temperature is None:
        yield Fault("resource.temperature", f"is missing; {asked}")
    yield from _of_the_design(case)


def _stands(value: object, name: str) -> bool:
    """Whether a value stands that would move something; defaults of rock and water stand always."""
    if name in {"temperature_decline", "decline_start_years"}:
        return bool(np.asarray(value).any())
    return value is not None and name not in DEFAULTED


def _fracture(case: "CaseTables") -> Iterator[Fault]:
    area, parameter = case.resource.fracture_area, case.resource.drawdown_parameter
    if area is None and parameter is None:
        words = 'is missing; temperature_path = "fracture" needs it, or drawdown_parameter, the flow over that area'
        yield Fault("resource.fracture_area", words)
    if area is not None and parameter is not None:
        yield Fault("resource.drawdown_parameter", "stands beside fracture_area, from which it follows; keep one")


def _of_the_design(case: "CaseTables") -> Iterator[Fault]:
    """What a plant that is worked out tells the field, and a stated one has to be told for."""
    resource, path = case.resource, case.resource.temperature_path
    if case.plant.kind != "stated" or case.plant.performance is not None:
        return
    back = path in USED_BY["reinjection_temperature"]
    if back and resource.reinjection_temperature is None:
        words = f'is missing; temperature_path = "{path}" needs it, and a stated plant does not tell it'
        yield Fault("resource.reinjection_temperature", words)
    flow = (back and resource.drawdown_parameter is None) or resource.decline_reference_flow is not None
    if flow and case.plant.stated_brine_flow is None:
        what = f'temperature_path = "{path}"' if back else "resource.decline_reference_flow"
        yield Fault("plant.stated_brine_flow", f"is missing; {what} follows the flow that the plant takes")


def _stored_heat(case: "CaseTables") -> Iterator[Fault]:
    resource = case.resource
    area, thickness = resource.reservoir_area, resource.reservoir_thickness
    if area is None and thickness is not None:
        yield Fault("resource.reservoir_area", "is missing; reservoir_thickness asks for the area of the hot rock")
    if area is None:
        return
    if thickness is None:
        yield Fault("resource.reservoir_thickness", "is missing; reservoir_area asks for the thickness of the hot rock")
    if resource.supported_power is not None:
        words = "stands beside reservoir_area, from whose stored heat it follows; keep one of the two"
        yield Fault("resource.supported_power", words)
    if resource.temperature is None:
        yield Fault("resource.temperature", "is missing; stored heat needs it")
    if not case.site.states_air and case.plant.design_air_temperature is None:
        yield Fault("site.air_temperature", "is missing; stored heat is counted above the temperature of the air")

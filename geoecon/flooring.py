"""How cool the brine of a binary plant may leave, and which rule says so."""

from collections.abc import Iterator

import numpy as np

from geoecon.arrays import Floats
from geoecon.case import Case
from geoecon.plant.binary import FLOOR_OF_INLET
from geoecon.preparing.field import inlet_temperature
from geoecon.preparing.plants import cycle_terms
from geoecon.resource.geothermometers import geothermometer
from geoecon.resource.silica import amorphous_silica_temperature

PATH = "plant.injection_temperature_floor: used"
STATED = "as stated"
BY_PRACTICE = f"{FLOOR_OF_INLET:g} of the inlet, common practice"
BY_CONTENT = "amorphous silica, by the silica stated"
BY_QUARTZ = "amorphous silica, by water at rest with quartz"


def floors(case: Case) -> dict[str, Floats]:
    """Rule -> coolest brine that it lets leave at the design point, (scenario,)  [degC]; the highest holds."""
    terms, inlet = cycle_terms(case), inlet_temperature(case)
    asked = {BY_PRACTICE: FLOOR_OF_INLET * inlet}
    if terms.floor_degC is not None:
        asked = {STATED: np.full_like(inlet, terms.floor_degC)}
    if case.resource.silica is not None:
        asked[BY_CONTENT] = np.full_like(inlet, terms.silica_degC)
    if terms.quartz:
        asked[BY_QUARTZ] = terms.quartz_floor(inlet)
    return asked


def floor_told(case: Case) -> tuple[Floats, str]:
    """Coolest brine that may leave at the design point, (scenario,) [degC], and the rule that sets it, or rules."""
    asked = floors(case)
    values = np.stack(list(asked.values()))
    setting = np.unique(values.argmax(axis=0))
    return values.max(axis=0), ", or ".join(list(asked)[k] for k in setting)


def silica_limit(content_mg_kg: float) -> str:
    """Temperature below which a content of silica comes out of water, in words, no further than the curve is sound."""
    limit, known = float(amorphous_silica_temperature(content_mg_kg)), geothermometer("amorphous").high
    return f"{limit:.0f} degC" if limit <= known else f"{known:.0f} degC or hotter"


def silica_warnings(case: Case) -> Iterator[str]:
    """Rock so hot that quartz does not tell what the water holds."""
    hottest, hot = geothermometer("quartz").high, case.resource.temperature
    if case.plant.kind == "binary" and cycle_terms(case).quartz and hot is not None and (hot > hottest).any():
        yield (
            f"above {hottest:.0f} degC quartz does not tell the silica of the water; what it is there is taken as the least: "
            "state an analysis (resource.silica)"
        )

"""Water that a wet cooling tower takes: by the heat of the design point, and over the years by the energy made."""

from collections.abc import Iterator

import numpy as np

from geoecon.arrays import Floats
from geoecon.case import Case
from geoecon.energy import Ledger
from geoecon.plant.cooling import Tower, WaterUse
from geoecon.preparing.basics import wide
from geoecon.preparing.climate import tower
from geoecon.preparing.plants import cycle_terms
from geoecon.resource.water import water_enthalpy
from geoecon.sizing import Design

PATH = "plant.cooling"
M3_PER_MWH = 3600.0  # from kg/s for each kW, water at 1,000 kg/m3


def heat_rejected(case: Case, design: Design) -> Floats:
    """Heat that the plant gives to its cooling at the design point, (scenario,)  [kW].

    What the brine gives, less what leaves as power; the pump of the working fluid and the cooling's own power, which a map
    does not tell apart, follow from the balance of gross and plant net power.
    """
    terms, factor = cycle_terms(case), wide(case, case.plant.performance_factor)
    gross, net = design.gross_kw / factor, design.plant_net_kw / factor
    from_brine = design.brine_flow * (water_enthalpy(design.inlet) - water_enthalpy(design.injection))
    kept = gross * (1 - terms.auxiliary_share - 1 / terms.generator_efficiency)
    return np.asarray((from_brine + kept - net) / (1 + terms.fan_share))


def tower_with_makeup(case: Case) -> Tower | None:
    """The tower that takes water; that of a steam plant lives on condensed steam."""
    return tower(case) if case.plant.kind == "binary" else None


def water_use(case: Case, design: Design, ledger: Ledger) -> WaterUse | None:
    """Water over the operating years; None where no tower takes any. A MWh gross takes what it does at the design point."""
    wet = tower_with_makeup(case)
    if wet is None:
        return None
    per_gross = wet.makeup * heat_rejected(case, design) / design.gross_kw * M3_PER_MWH
    per_net = per_gross * design.gross_kw / design.net_kw
    return WaterUse(per_net, per_gross * ledger.gross_energy)


def figures(case: Case, design: Design) -> Iterator[tuple[str, Floats, str]]:
    """What the tower comes to at the design point: name, value (scenario,), unit."""
    wet = tower_with_makeup(case)
    if wet is None:
        return
    heat = heat_rejected(case, design)
    yield f"{PATH}: heat rejected", heat, "kW"
    yield f"{PATH}: condensing temperature above the wet bulb", _of_tower(wet.above_wet_bulb), "K"
    yield f"{PATH}: power of fans and circulating pump", heat * wet.power_share, "kW"
    for name, each in (("evaporated", wet.evaporated), ("blown down", wet.blown_down), ("make-up", wet.makeup)):
        yield f"{PATH}: water {name}", heat * each / design.net_kw * M3_PER_MWH, "m3/MWh"


def _of_tower(value: float) -> Floats:
    return np.array([value])

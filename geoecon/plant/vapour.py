"""Working fluids beyond their saturation line as tables: exhaust vapour, and heating above the critical pressure.

Made only for layouts that need it. Where the library's equation of a fluid ends, values are NaN and no machine is found.
"""

from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

import numpy as np

from geoecon.arrays import Floats
from geoecon.plant.kept import cache_file, kept_or_made
from geoecon.plant.properties import COLDEST_DEGC, FluidTable, fluid_table
from geoecon.resource.water import KELVIN
from geoecon.tables import row

GRID = "vapour-3"  # part of the file's name: raise it when the grid or what is tabulated changes
EXHAUST_SUPERHEATS = np.array([0.0, 2.0, 5.0, 10.0, 15.0, 20.0, 30.0, 40.0, 60.0])
PRESSURES = np.geomspace(1.04, 2.5, 46)  # over the critical one
HOTTEST_DEGC = 300.0
LIQUID_POINTS, NEAR_STEP, FAR_STEP, NEAR = 40, 1.0, 2.5, 40.0
ENTROPIES = 96


@dataclass(frozen=True)
class VapourTable:
    """One working fluid. Index j is a condensation of its `FluidTable`, m a superheat, s a pressure, g a temperature.

    exhaust : (j, m)  vapour at condensation j, superheated by `EXHAUST_SUPERHEATS`  [kJ/kg]
    temperature : (g)  rising  [degC];  pressure : (s)  above the critical one  [bar];  critical : ()  [degC]
    along, entropy : (s, g)  at a pressure and a temperature  [kJ/kg], [kJ/kg/K]
    entropies : (e)  rising  [kJ/kg/K];  expanded : (j, e)  enthalpy at condensing pressure and entropy  [kJ/kg]
    """

    exhaust: Floats
    temperature: Floats
    pressure: Floats
    critical: Floats
    along: Floats
    entropy: Floats
    entropies: Floats
    expanded: Floats

    def refined(self, parts: int) -> "VapourTable":
        """The same fluid with so many pressures for each tabulated one, linear between them."""
        coarse = np.arange(len(self.pressure))
        fine = np.linspace(0, coarse[-1], parts * coarse[-1] + 1)

        def between(rows: Floats) -> Floats:
            return np.array([np.interp(fine, coarse, column) for column in rows.T]).T

        pressure = np.interp(fine, coarse, self.pressure)
        return replace(self, pressure=pressure, along=between(self.along), entropy=between(self.entropy))


@lru_cache(maxsize=8)
def vapour_table(fluid: str) -> VapourTable:
    """The table of a fluid of tables/fluids.csv, from the cache folder or made and put there."""
    base = fluid_table(fluid)
    name = row("fluids", fluid=fluid)["library_name"]

    def whole(found: VapourTable) -> bool:
        shapes = found.exhaust.shape == (len(base.pressure), len(EXHAUST_SUPERHEATS)) and found.along.shape == (
            len(PRESSURES), len(found.temperature),
        )  # fmt: skip
        return shapes and bool(np.isfinite(found.expanded).all())

    return kept_or_made(cache_file(fluid, GRID), VapourTable, whole, lambda: tabulate_vapour(name, base))


def tabulate_vapour(library_name: str, base: FluidTable) -> VapourTable:
    """Tabulate a fluid for the condensations of its `FluidTable`; takes a second or two."""
    from CoolProp import CoolProp

    state = CoolProp.AbstractState("HEOS", library_name)
    critical, hottest = state.T_critical() - KELVIN, min(state.Tmax() - KELVIN, HOTTEST_DEGC)
    temperature = _temperatures(critical, hottest)
    pressure = state.p_critical() / 1e5 * PRESSURES
    heated = np.array([[_at(state, CoolProp.PT_INPUTS, p * 1e5, t + KELVIN) for t in temperature] for p in pressure])
    exhaust = np.array(
        [_exhaust(state, CoolProp, t, p, hottest) for t, p in zip(base.temperature, base.pressure, strict=True)]
    )
    above = heated[:, temperature >= critical, 1]
    entropies = np.linspace(above.min(), above.max(), ENTROPIES)
    expanded = np.array(
        [_expanded(state, CoolProp, t, p, entropies) for t, p in zip(base.temperature, base.pressure, strict=True)]
    )
    return VapourTable(
        exhaust, temperature, pressure, np.array(critical), heated[:, :, 0], heated[:, :, 1], entropies, expanded
    )


def _temperatures(critical: float, hottest: float) -> Floats:
    """Temperatures of a heater, closest where the heat capacity of the fluid has its peak."""
    near = min(critical + NEAR, hottest)
    return np.concatenate(
        [
            np.linspace(COLDEST_DEGC, critical - 10, LIQUID_POINTS, endpoint=False),
            np.arange(critical - 10, near, NEAR_STEP),
            np.arange(near, hottest + 1e-9, FAR_STEP),
        ]
    )


def _exhaust(state: Any, library: Any, saturation: float, pressure: float, hottest: float) -> list[float]:
    """Vapour at one condensation with each superheat  [kJ/kg]."""
    state.update(library.QT_INPUTS, 1.0, saturation + KELVIN)
    found = [state.hmass() / 1e3]
    for superheat in EXHAUST_SUPERHEATS[1:]:
        t = saturation + superheat
        found.append(_at(state, library.PT_INPUTS, pressure * 1e5, t + KELVIN)[0] if t <= hottest else np.nan)
    return found


def _expanded(state: Any, library: Any, saturation: float, pressure: float, entropies: Floats) -> list[float]:
    """Enthalpy at one condensing pressure for each entropy; between liquid and vapour it rises by T ds  [kJ/kg]."""
    state.update(library.QT_INPUTS, 1.0, saturation + KELVIN)
    vapour, entropy, kelvin = state.hmass() / 1e3, state.smass() / 1e3, saturation + KELVIN
    return [
        vapour - kelvin * (entropy - s)
        if s <= entropy
        else _at(state, library.PSmass_INPUTS, pressure * 1e5, s * 1e3)[0]
        for s in entropies
    ]


def _at(state: Any, inputs: Any, first: float, second: float) -> tuple[float, float]:
    """Enthalpy and entropy  [kJ/kg], [kJ/kg/K]."""
    state.update(inputs, first, second)
    return state.hmass() / 1e3, state.smass() / 1e3

"""Working fluids as tables: saturation line, liquid and superheated enthalpy along each pressure, isentropic outlets.

CoolProp is loaded here, in `vapour` and in `steam` alone, and only when a table is not in the cache folder. Tables depend on
the fluid, the library's version and the grid alone; everything about a plant is arithmetic on them.
"""

from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

import numpy as np

from geoecon.arrays import Floats
from geoecon.plant.kept import cache_file, kept_or_made
from geoecon.resource.water import KELVIN
from geoecon.tables import row

GRID = "2"  # part of the file's name: raise it when the grid or what is tabulated changes
COLDEST_DEGC = -30.0
POINTS = 96
BELOW_CRITICAL = 1.0  # kelvin between the hottest evaporation and the critical point
COOLEST_EVAPORATION = 25.0
PARTS = 16
EVAPORATION_ROWS = ("boiling", "boiling_pressure", "bubble", "dew", "along", "top", "outlet")
SUPERHEATS = np.array([0.0, 2.0, 5.0, 10.0, 15.0, 20.0, 30.0])


@dataclass(frozen=True)
class FluidTable:
    """One working fluid. Index i is an evaporation, j a temperature or condensation, k a superheat.

    temperature : (j)  saturation temperatures, rising  [degC];  pressure : (j)  [bar]
    liquid, vapour : (j)  saturated enthalpy  [kJ/kg];  volume : (j)  of saturated liquid  [m3/kg]
    boiling, boiling_pressure : (i)  [degC], [bar];  bubble, dew : (i)  saturated enthalpy  [kJ/kg]
    along : (i, j)  liquid enthalpy at pressure i and temperature j; saturated liquid where they meet, NaN above  [kJ/kg]
    top : (i, k)  turbine inlet  [kJ/kg]
    outlet : (i, k, j)  after isentropic expansion to pressure j; NaN where j is not below i  [kJ/kg]
    """

    temperature: Floats
    pressure: Floats
    liquid: Floats
    vapour: Floats
    volume: Floats
    boiling: Floats
    boiling_pressure: Floats
    bubble: Floats
    dew: Floats
    along: Floats
    top: Floats
    outlet: Floats

    def refined(self, parts: int) -> "FluidTable":
        """The same fluid with so many evaporations for each tabulated one, linear between them.

        Where the pinch and the coolest brine that may leave trade places, power has a kink; it falls between two
        tabulated evaporations, and finding it takes finer steps than properties do.
        """
        fine = np.linspace(0, len(self.boiling) - 1, parts * (len(self.boiling) - 1) + 1)
        low = np.minimum(fine.astype(int), len(self.boiling) - 2)
        share = fine - low

        def between(rows: Floats) -> Floats:
            w = share.reshape(-1, *(1,) * (rows.ndim - 1))
            mixed = rows[low] * (1 - w) + rows[low + 1] * w
            return np.asarray(np.where(w == 0, rows[low], np.where(w == 1, rows[low + 1], mixed)))

        return replace(self, **{name: between(getattr(self, name)) for name in EVAPORATION_ROWS})


@lru_cache(maxsize=8)
def fine_table(fluid: str) -> FluidTable:
    """The table of a fluid with evaporations fine enough to choose between."""
    return fluid_table(fluid).refined(PARTS)


@lru_cache(maxsize=8)
def fluid_table(fluid: str) -> FluidTable:
    """The table of a fluid of tables/fluids.csv, from the cache folder or made and put there."""
    library_name = row("fluids", fluid=fluid)["library_name"]
    return kept_or_made(cache_file(fluid, GRID), FluidTable, _is_whole, lambda: tabulate(library_name, POINTS))


def is_kept(fluid: str) -> bool:
    """Whether the table of a fluid is in the cache folder."""
    return cache_file(fluid, GRID).is_file()


def _is_whole(found: FluidTable) -> bool:
    n = len(found.temperature)
    shapes = found.outlet.shape == (n, len(SUPERHEATS), n) and found.along.shape == (n, n) and n == POINTS
    return shapes and bool(np.isfinite(found.pressure).all())


def tabulate(library_name: str, points: int) -> FluidTable:
    """Tabulate a fluid with `points` saturation temperatures; takes about a second."""
    from CoolProp import CoolProp

    state = CoolProp.AbstractState("HEOS", library_name)
    hottest = state.T_critical() - KELVIN - BELOW_CRITICAL
    # Steps shrink toward the critical point, where enthalpy curves most.
    temperature = hottest - (hottest - COLDEST_DEGC) * np.linspace(1, 0, points) ** 1.4
    saturated = np.array([_saturation(state, CoolProp, t) for t in temperature])
    pressure, liquid, vapour, volume = saturated.T
    top = np.full((points, len(SUPERHEATS)), np.nan)
    entropy = np.full_like(top, np.nan)
    along = np.full((points, points), np.nan)
    outlet = np.full((points, len(SUPERHEATS), points), np.nan)
    for i in range(points):
        along[i, i] = liquid[i]
        if temperature[i] < COOLEST_EVAPORATION:
            continue
        for j in range(i):
            along[i, j] = _at(state, CoolProp.PT_INPUTS, pressure[i] * 1e5, temperature[j] + KELVIN)[0]
        for k, superheat in enumerate(SUPERHEATS):
            top[i, k], entropy[i, k] = _turbine_inlet(state, CoolProp, temperature[i], pressure[i], superheat)
            for j in range(i):
                outlet[i, k, j] = _at(state, CoolProp.PSmass_INPUTS, pressure[j] * 1e5, entropy[i, k])[0]
    rows = (temperature, pressure, liquid, vapour)
    return FluidTable(temperature, pressure, liquid, vapour, volume, *rows, along, top, outlet)


def _saturation(state: Any, library: Any, temperature: float) -> tuple[float, float, float, float]:
    state.update(library.QT_INPUTS, 0.0, temperature + KELVIN)
    liquid, volume, pressure = state.hmass() / 1e3, 1 / state.rhomass(), state.p() / 1e5
    state.update(library.QT_INPUTS, 1.0, temperature + KELVIN)
    return pressure, liquid, state.hmass() / 1e3, volume


def _at(state: Any, inputs: Any, first: float, second: float) -> tuple[float, float]:
    state.update(inputs, first, second)
    return state.hmass() / 1e3, state.smass()


def _turbine_inlet(
    state: Any, library: Any, temperature: float, pressure: float, superheat: float
) -> tuple[float, float]:
    if superheat == 0:
        return _at(state, library.QT_INPUTS, 1.0, temperature + KELVIN)
    return _at(state, library.PT_INPUTS, pressure * 1e5, temperature + superheat + KELVIN)

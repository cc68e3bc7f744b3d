"""A cycle that is heated above the critical pressure: the fluid never boils, and follows the brine closer as it cools.

Heater pressure and temperature at the turbine's inlet are searched among those of a `VapourTable`. Often the best machine
is as high in pressure as the expansion stays dry; that one is found in finer steps.
"""

import numpy as np

from geoecon.arrays import Floats
from geoecon.plant.binary import (
    DRIEST_LOSS,
    FAR,
    KJ_PER_BAR_M3,
    Candidates,
    CycleTerms,
    at_condensation,
    brine_heat,
)
from geoecon.plant.properties import FluidTable
from geoecon.plant.vapour import VapourTable

INLET_STEP = 1.25  # kelvin
PARTS = 6  # pressures for each tabulated one, to find the highest that is dry


def supercritical_candidates(
    table: FluidTable, vapour: VapourTable, terms: CycleTerms, cold_degC: float, dry: Floats
) -> Candidates:
    """Machines at one condensing temperature: pressures with temperatures at the turbine's inlet.

    vapour : refined by `PARTS`;  dry : `least_quality_from_above(table, vapour, terms)`
    """
    at, here = at_condensation(table, cold_degC)
    inlet, top, entropy = _inlets(vapour, terms)
    pressure = np.broadcast_to(vapour.pressure[:, None], top.shape)
    isentropic = np.interp(entropy, vapour.entropies, here(vapour.expanded.T))
    work = terms.turbine_efficiency * (top - isentropic)
    condensing_bar, liquid, volume = float(np.exp(here(np.log(table.pressure)))), here(table.liquid), here(table.volume)
    pump = volume * (pressure - condensing_bar) * KJ_PER_BAR_M3 / terms.pump_efficiency
    entering = np.array(
        [np.interp(liquid + p[0], h, vapour.temperature) for p, h in zip(pump, vapour.along, strict=True)]
    )
    rows = np.flatnonzero(_tried(dry[:, :, at] >= DRIEST_LOSS) & (work > 0) & (cold_degC >= table.temperature[0]))
    of_pressure = rows // top.shape[1]
    inlet, top, pressure, work, pump = (values.ravel()[rows] for values in (inlet, top, pressure, work, pump))
    entering, cold = entering[of_pressure], liquid + pump
    gap, wanted = _exchange(vapour, of_pressure, top, inlet, cold, entering, terms.pinch_K)
    critical = np.full(len(rows), float(vapour.critical))
    return Candidates(
        np.ones(len(rows), dtype=bool), critical, top, inlet - critical, pressure, work, cold, entering, pump,
        top - work - liquid, gap, wanted,
    )  # fmt: skip


def _tried(dry: np.ndarray) -> np.ndarray:
    """Of the machines that are dry, (s, inlet), those at a tabulated pressure, and for each inlet the highest pressure."""
    higher = np.zeros_like(dry)
    higher[:-1] = np.logical_or.accumulate(dry[::-1], axis=0)[::-1][1:]
    tabulated = np.arange(len(dry)) % PARTS == 0
    return np.asarray(dry & (tabulated[:, None] | ~higher))


def _inlets(vapour: VapourTable, terms: CycleTerms) -> tuple[Floats, Floats, Floats]:
    """Temperature, enthalpy and entropy at the turbine's inlet, (s, inlet) each, the pinch below whole steps of brine."""
    first = float(np.floor((vapour.critical + terms.pinch_K) / INLET_STEP)) + 1
    hottest = float(vapour.temperature[-1])
    inlet = np.append(np.arange(first * INLET_STEP, hottest + terms.pinch_K, INLET_STEP) - terms.pinch_K, hottest)
    top, entropy = (
        np.array([np.interp(inlet, vapour.temperature, values) for values in of_pressure])
        for of_pressure in (vapour.along, vapour.entropy)
    )
    return np.broadcast_to(inlet, top.shape), top, entropy


def least_quality_from_above(table: FluidTable, vapour: VapourTable, terms: CycleTerms) -> Floats:
    """Least quality on the way down from a heater pressure and an inlet temperature to condensation j, (s, inlet, j)."""
    _, top, entropy = _inlets(vapour, terms)
    isentropic = np.stack([np.interp(entropy, vapour.entropies, column) for column in vapour.expanded], axis=-1)
    state = top[:, :, None] - terms.turbine_efficiency * (top[:, :, None] - isentropic)
    quality = (state - table.liquid) / (table.vapour - table.liquid)
    return np.minimum.accumulate(quality[:, :, ::-1], axis=2)[:, :, ::-1]


def _exchange(
    vapour: VapourTable,
    of_pressure: np.ndarray,
    top: Floats,
    inlet: Floats,
    cold: Floats,
    entering: Floats,
    pinch: float,
) -> tuple[Floats, Floats]:
    """Points along the heater, the tabulated temperatures and the cold end: heat to the hot end, and brine enthalpy asked."""
    grid = vapour.temperature
    on_the_way = (grid > entering[:, None]) & (grid < inlet[:, None])
    gap = np.where(on_the_way, top[:, None] - vapour.along[of_pressure], 1.0)
    wanted = np.where(on_the_way, brine_heat(grid + pinch), -FAR)
    return np.column_stack([gap, top - cold]), np.column_stack([wanted, brine_heat(entering + pinch)])

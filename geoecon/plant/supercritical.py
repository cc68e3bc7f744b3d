"""A cycle that is heated above the critical pressure: the fluid never boils, and follows the brine closer as it cools.

Heater pressure and temperature at the turbine's inlet are searched among those of a `VapourTable`.
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


def supercritical_candidates(
    table: FluidTable, vapour: VapourTable, terms: CycleTerms, cold_degC: float, dry: Floats
) -> Candidates:
    """Machines at one condensing temperature: every pressure with every temperature at the turbine's inlet.

    dry : `least_quality_from_above(table, vapour, terms)`
    """
    at, here = at_condensation(table, cold_degC)
    above = vapour.temperature > vapour.critical
    top, entropy = vapour.along[:, above], vapour.entropy[:, above]
    pressure = np.broadcast_to(vapour.pressure[:, None], top.shape)
    isentropic = np.interp(entropy, vapour.entropies, here(vapour.expanded.T))
    work = terms.turbine_efficiency * (top - isentropic)
    condensing_bar, liquid, volume = float(np.exp(here(np.log(table.pressure)))), here(table.liquid), here(table.volume)
    pump = volume * (pressure - condensing_bar) * KJ_PER_BAR_M3 / terms.pump_efficiency
    entering = np.array([np.interp(liquid + p[0], h, vapour.temperature) for p, h in zip(pump, vapour.along, strict=True)])
    inlet = np.broadcast_to(vapour.temperature[above], top.shape)
    gap, wanted = _exchange(vapour, top, inlet, liquid + pump, entering, terms.pinch_K)
    can = (dry[:, :, at] >= DRIEST_LOSS) & (cold_degC >= table.temperature[0]) & (work > 0)
    columns = (
        can, np.broadcast_to(vapour.critical, top.shape), top, inlet - vapour.critical, pressure, work, liquid + pump,
        np.broadcast_to(entering[:, None], top.shape), pump, top - work - liquid,
    )  # fmt: skip
    return Candidates(*(values.ravel() for values in columns), gap, wanted)


def least_quality_from_above(table: FluidTable, vapour: VapourTable, terms: CycleTerms) -> Floats:
    """Least quality on the way down from a heater pressure and an inlet temperature to condensation j, (s, inlet, j)."""
    above = vapour.temperature > vapour.critical
    top, entropy = vapour.along[:, above], vapour.entropy[:, above]
    isentropic = np.stack([np.interp(entropy, vapour.entropies, column) for column in vapour.expanded], axis=-1)
    state = top[:, :, None] - terms.turbine_efficiency * (top[:, :, None] - isentropic)
    quality = (state - table.liquid) / (table.vapour - table.liquid)
    return np.minimum.accumulate(quality[:, :, ::-1], axis=2)[:, :, ::-1]


def _exchange(
    vapour: VapourTable, top: Floats, inlet: Floats, cold: Floats, entering: Floats, pinch: float
) -> tuple[Floats, Floats]:
    """Points along the heater, the tabulated temperatures and the cold end: heat to the hot end, and brine enthalpy asked."""
    grid, shape = vapour.temperature, (*top.shape, len(vapour.temperature))
    on_the_way = (grid > entering[:, None, None]) & (grid < inlet[:, :, None])
    gap = np.where(on_the_way, top[:, :, None] - vapour.along[:, None, :], 1.0)
    wanted = np.broadcast_to(np.where(on_the_way, brine_heat(grid + pinch), -FAR), shape)
    at_the_end = np.broadcast_to(brine_heat(entering + pinch)[:, None], top.shape)
    points = shape[-1]
    return (
        np.column_stack([gap.reshape(-1, points), (top - cold).ravel()]),
        np.column_stack([wanted.reshape(-1, points), at_the_end.ravel()]),
    )

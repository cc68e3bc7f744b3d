"""A recuperator: hot exhaust of the turbine warms the liquid behind the pump, before the brine does.

It gives power only where the coolest brine that may leave is what binds: then the same heat of brine serves more fluid.
Elsewhere it leaves the brine hotter and the condenser smaller. Pressure lost by the exhaust in it is not counted.
"""

from dataclasses import replace

import numpy as np

from geoecon.arrays import Floats
from geoecon.plant.binary import FAR, Candidates, at_condensation
from geoecon.plant.properties import FluidTable
from geoecon.plant.vapour import EXHAUST_SUPERHEATS, VapourTable


def recuperated(
    made: Candidates, table: FluidTable, vapour: VapourTable, cold_degC: float, least_K: float
) -> Candidates:
    """Machines with a recuperator, wherever the exhaust is hot enough for one.

    cold_degC : condensing  [degC];  least_K : least difference in it, at its cold end: liquid takes up more heat for each
    kelvin than vapour gives  [K]
    """
    _, here = at_condensation(table, cold_degC)
    superheat_left = np.nan_to_num(made.entering) - cold_degC + least_K
    left = np.interp(superheat_left, EXHAUST_SUPERHEATS, here(vapour.exhaust.T))
    heat = np.where(made.can & (made.top - made.work > left), made.top - made.work - left, 0.0)
    return _preheated(made, heat)


def _preheated(made: Candidates, heat: Floats) -> Candidates:
    """Machines whose fluid enters the exchanger warmer by a heat each, taken from the exhaust  [kJ/kg]."""
    cold = made.cold + heat
    total = (made.top - cold)[:, None]
    stands = made.wanted > -FAR
    inside, outside = stands & (made.gap <= total), stands & (made.gap >= total)
    rows = np.arange(len(cold))
    above = np.where(inside, made.gap, -np.inf).argmax(axis=1)
    below = np.where(outside, made.gap, np.inf).argmin(axis=1)
    high, low = made.gap[rows, above], made.gap[rows, below]
    with np.errstate(invalid="ignore", divide="ignore"):
        share = np.where(low > high, (total[:, 0] - high) / (low - high), 0.0)
    wanted = made.wanted[rows, above] * (1 - share) + made.wanted[rows, below] * share
    return replace(
        made,
        cold=cold,
        heat_out=made.heat_out - heat,
        gap=np.column_stack([np.where(inside, made.gap, 1.0), total]),
        wanted=np.column_stack([np.where(inside, made.wanted, -FAR), wanted]),
    )

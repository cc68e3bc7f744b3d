"""Heat stored in hot rock and water, the work in it, and the power it could give over a life; power by area.

All arguments and results are arrays of shapes that broadcast. A volume of hot rock is no reserve: nothing here says that
wells would find water in it.
"""

import numpy as np

from geoecon.arrays import Floats
from geoecon.resource.water import KELVIN, water_enthalpy, water_entropy
from geoecon.tables import table

SECONDS_A_YEAR = 365.25 * 86_400
COOLEST_UTILIZATION = 90.0, 0.5  # degC, and the share of the full utilization that is left there
FULL_UTILIZATION = 150.0


def heat_in_place(
    volume_km3: Floats, temperature_degC: Floats, reference_degC: Floats, capacity_MJ_m3_K: Floats
) -> Floats:
    """Heat of a volume of rock and water above a reference temperature  [EJ, 1e18 J].

    capacity_MJ_m3_K : heat that rock and water hold together, 2.7 in the assessments of 1979 and 2008
    Source: L. J. P. Muffler and R. Cataldi, Geothermics 7 (1978), p. 53; C. A. Brook and others in US Geological Survey
    Circular 790 (1979).

    >>> float(heat_in_place(np.array(47.0), np.array(265.0), np.array(15.0), np.array(2.7)).round(1))
    31.7
    """
    above = np.maximum(temperature_degC - reference_degC, 0.0)
    return np.asarray(capacity_MJ_m3_K * 1e6 * volume_km3 * 1e9 * above / 1e18)


def work_per_heat(temperature_degC: Floats, reference_degC: Floats) -> Floats:
    """Work that ideal machines make of hot liquid water cooled to a reference, over the heat given off  [1].

    (h - h0 - T0 (s - s0)) / (h - h0) of saturated liquid.  Source: exergy, as in the reports above.

    >>> float(work_per_heat(np.array(265.0), np.array(15.0)).round(3))
    0.289
    """
    heat = water_enthalpy(temperature_degC) - water_enthalpy(reference_degC)
    lost = (reference_degC + KELVIN) * (water_entropy(temperature_degC) - water_entropy(reference_degC))
    return np.asarray(1 - lost / heat)


def utilization_at(temperature_degC: Floats, full: Floats) -> Floats:
    """Share of that work that plants make into power: all of `full` above 150 degC, half of it at 90, straight between.

    Source: 0.4 above 150 degC in the assessments (recalled); that it falls toward cooler water agrees with the 31.9 % at
    93 degC and 48.8 % at 149 degC that R. DiPippo prints for the basic cycle; the line is assumed.

    >>> utilization_at(np.array([90.0, 120.0, 200.0]), np.array(0.4)).round(2)
    array([0.2, 0.3, 0.4])
    """
    cool, left = COOLEST_UTILIZATION
    return np.asarray(full * np.interp(temperature_degC, [cool, FULL_UTILIZATION], [left, 1.0]))


def stored_heat_power(
    heat_EJ: Floats, temperature_degC: Floats, reference_degC: Floats, recovery: Floats, utilization: Floats, years: float
) -> Floats:  # fmt: skip
    """Electric power that stored heat gives for so many years  [MW].

    recovery : share of the heat that comes to the wellheads;  utilization : share of its work made into power
    Source: as `heat_in_place`; the reference is taken for rock, wellhead and surroundings alike.

    >>> float(stored_heat_power(np.array(31.725), np.array(265.0), np.array(15.0), np.array(0.25), np.array(0.4), 30).round())
    969.0
    """
    work = heat_EJ * recovery * work_per_heat(temperature_degC, reference_degC)
    return np.asarray(work * utilization * 1e18 / (years * SECONDS_A_YEAR) / 1e6)


def density_range(temperature_degC: Floats) -> tuple[Floats, Floats]:
    """Power that fields give for each km2, by temperature: the ends between which 8 of 10 lie  [MW/km2].

    Source: M. Wilmarth and J. Stimac 2014 above 200 degC; below it is assumed. See tables/power_density.csv.
    """
    rows = table("power_density")
    edges = np.array([float(r["from_degC"]) for r in rows])
    at = np.clip(np.searchsorted(edges, temperature_degC, side="right") - 1, 0, len(rows) - 1)
    return tuple(np.array([float(r[end]) for r in rows])[at] for end in ("low", "high"))  # type: ignore[return-value]

"""Temperature at depth where heat moves by conduction, and the hottest that water can be there.

Depths in m below ground, temperatures in degC, heat flow in mW/m2, conductivity in W/m/K, heat production in uW/m3; arrays of
any shapes that broadcast. Water that rises carries heat up and makes a place hotter than any of these curves.
"""

from functools import lru_cache

import numpy as np

from geoecon.arrays import Bools, Floats
from geoecon.resource.water import air_pressure, saturation_pressure, water_density

GRAVITY = 9.80665
DEEPEST_M = 7000.0
STEP_M = 5.0


def conductive_linear(depth_m: Floats, surface_degC: Floats, heat_flow: Floats, conductivity: Floats) -> Floats:
    """Temperature at depth where the rock makes no heat: a straight line.

    Source: conduction in one dimension, T = T0 + q z / k, as in any textbook of geothermics.

    >>> float(conductive_linear(np.array(3000.0), np.array(15.0), np.array(70.0), np.array(2.5)))
    99.0
    """
    return np.asarray(surface_degC + heat_flow / conductivity * depth_m / 1e3)


def conductive_constant(
    depth_m: Floats, surface_degC: Floats, heat_flow: Floats, conductivity: Floats, heat_production: Floats
) -> Floats:
    """Temperature at depth where the rock makes the same heat all the way down; NaN below the depth where it would turn.

    The curve bends, T = T0 + q z / k - A z^2 / (2 k), and at z = q / A the rock above makes all the heat there is.
    Source: the textbook solution with uniform heat production (recalled).

    >>> float(conductive_constant(np.array(3000.0), np.array(15.0), np.array(70.0), np.array(2.5), np.array(1.0)).round(1))
    97.2
    """
    bent = heat_production * (depth_m / 1e3) ** 2 / (2 * conductivity)
    curve = conductive_linear(depth_m, surface_degC, heat_flow, conductivity) - bent
    return np.where(beyond_turn(depth_m, heat_flow, heat_production), np.nan, curve)


def beyond_turn(depth_m: Floats, heat_flow: Floats, heat_production: Floats) -> Bools:
    """Whether the rock down to a depth would make more heat than comes out at the surface."""
    return np.asarray(heat_production * depth_m / 1e3 > heat_flow)


def conductive_exponential(
    depth_m: Floats, surface_degC: Floats, heat_flow: Floats, conductivity: Floats, heat_production: Floats, scale_m: Floats
) -> Floats:  # fmt: skip
    """Temperature at depth where heat production falls off with depth as A exp(-z / D).

    scale_m : D  [m].  T = T0 + (q - A D) z / k + (A D^2 / k) (1 - exp(-z / D))
    Source: A. H. Lachenbruch, J. Geophys. Res. 73 (1968) and 75 (1970), form seen in teaching material.

    >>> at = np.array(3000.0), np.array(15.0), np.array(70.0), np.array(2.5), np.array(1.0), np.array(10e3)
    >>> float(conductive_exponential(*at).round(1))
    97.4
    """
    scale, depth = scale_m / 1e3, depth_m / 1e3
    made = heat_production * scale
    curved = made * scale / conductivity * -np.expm1(-depth / scale)
    return np.asarray(surface_degC + (heat_flow - made) * depth / conductivity + curved)


def boiling_temperature(depth_m: Floats, elevation_m: float = 0.0) -> Floats:
    """Temperature at which water boils under a column of boiling water, the hottest that rising water keeps.

    depth_m : any shape, 0 to 7,000  [m];  returns  [degC], the critical temperature where pressure is above critical
    Source: hydrostatics with the density of `water_density`, pure water, summed in steps of 5 m. Salt raises it a little.

    >>> boiling_temperature(np.array([0.0, 500.0, 1500.0])).round(0)
    array([100., 254., 321.])
    """
    depths, temperatures = _boiling_curve(float(elevation_m))
    return np.interp(depth_m, depths, temperatures)


@lru_cache(maxsize=32)
def _boiling_curve(elevation_m: float) -> tuple[Floats, Floats]:
    grid = np.linspace(20.0, 370.0, 3501)
    pressures = saturation_pressure(grid)
    densities = water_density(grid)
    depths = np.arange(0.0, DEEPEST_M + STEP_M, STEP_M)
    found, pressure = np.empty_like(depths), float(air_pressure(elevation_m))
    for n in range(len(depths)):
        found[n] = np.interp(pressure, pressures, grid)
        pressure += float(np.interp(found[n], grid, densities)) * GRAVITY * STEP_M / 1e5
    return depths, found

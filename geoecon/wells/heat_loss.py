"""Heat that brine loses on its way: through the bore into rock, and through the insulation of a pipe into the air."""

import numpy as np

from geoecon.arrays import Floats

SECONDS_PER_YEAR = 365.25 * 86_400
LEAST_TIME = 10.0  # the logarithm holds from a week or so on


def time_function(dimensionless_time: Floats) -> Floats:
    """How far the cooling of a bore has reached into the rock, any shape  [1].

    dimensionless_time : diffusivity x time / radius^2, at least 10 is taken  [1]
    Source: H. J. Ramey, J. Pet. Tech. 14 (1962), p. 427: ln(2 sqrt(t)) - 0.29, from about a week on.

    >>> round(float(time_function(np.array(2868.9))), 3)
    4.384
    """
    return np.asarray(np.log(2 * np.sqrt(np.maximum(dimensionless_time, LEAST_TIME))) - 0.29)


def bore_time(years: float, conductivity: Floats, heat_of_volume: Floats, radius_m: Floats) -> Floats:
    """Dimensionless time of a bore, all broadcast  [yr], [W/m/K], [J/m3/K], [m] -> [1]."""
    return conductivity / heat_of_volume * years * SECONDS_PER_YEAR / radius_m**2


def bore_drop(
    flow: Floats, specific_heat: Floats, length_m: Floats, ground_K: Floats, conductivity: Floats, function: Floats
) -> Floats:
    """How much cooler water comes out of a well than it went in at the feed zone, all broadcast  [K].

    flow : [kg/s];  specific_heat : [J/kg/K];  length_m : of the bore  [m]
    ground_K : rock at the feed zone, as hot as the water, above rock at the surface; in a straight line between  [K]
    conductivity : of the rock  [W/m/K];  function : from `time_function`  [1]
    Source: Ramey (1962) with no resistance between water and rock: T(z) = T - a z + a A (1 - exp(-z / A)), relaxation
    length A = m c f / (2 pi k).

    >>> round(float(bore_drop(50.0, 4300.0, 2000.0, 145.0, 2.5, 4.384)), 2)
    2.39
    """
    relaxation = flow * specific_heat * function / (2 * np.pi * conductivity)
    share = length_m / relaxation
    return np.asarray(ground_K * (1 + np.expm1(-share) / share))


def pipe_conductance(
    radii_m: tuple[Floats, ...],
    conductivities: tuple[Floats, ...],
    inside_film: Floats | float,
    outside_film: Floats | float,
) -> Floats:
    """Heat that a metre of pipe lets out for each kelvin between what flows in it and the air, all broadcast  [W/m/K].

    radii_m : of the faces from the inside out, one more than there are layers  [m];  conductivities : of layers  [W/m/K]
    inside_film, outside_film : heat transfer at the first and last face, infinite where it holds nothing back  [W/m2/K]
    Source: resistances in series of a cylinder, any textbook.

    >>> q = (500 - 30) * pipe_conductance((0.050, 0.057, 0.157), (43.0, 0.1), 570.0, 12.0)
    >>> round(float(q), 1)
    276.0
    """
    layers = zip(radii_m[:-1], radii_m[1:], conductivities, strict=True)
    resistance = 1 / (2 * np.pi * radii_m[0] * inside_film) + 1 / (2 * np.pi * radii_m[-1] * outside_film)
    for inner, outer, conductivity in layers:
        resistance = resistance + np.log(outer / inner) / (2 * np.pi * conductivity)
    return np.asarray(1 / resistance)


def pipe_drop(
    above_air_K: Floats, conductance: Floats, length_m: Floats, flow: Floats, specific_heat: Floats
) -> Floats:
    """How much cooler water leaves a pipe than it entered, all broadcast  [K].

    above_air_K : water that enters above the air  [K];  conductance : [W/m/K];  length_m : [m];  flow : [kg/s]
    specific_heat : [J/kg/K]

    >>> round(float(pipe_drop(130.0, 0.7, 1000.0, 50.0, 4300.0)), 3)
    0.423
    """
    return np.asarray(-above_air_K * np.expm1(-conductance * length_m / (flow * specific_heat)))

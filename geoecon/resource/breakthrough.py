"""How cold water comes back: what has arrived at a producer of the water that an injector sends into the field.

The share of the produced flow that arrives at the temperature of injection, or the part of the way to it that the temperature
has fallen: by the streamlines of a doublet, by one-dimensional sweep under a cap and over a base that conduct, by a single
fracture. Times are from the start of operation at a steady flow  [yr]; arrays (scenario,) or (year, scenario).
"""

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from geoecon.arrays import Floats
from geoecon.resource.stored_heat import SECONDS_A_YEAR

ANGLES = 4096
SMALL_ANGLE = 1e-2
ERFC_STEP, ERFC_END = 1 / 512, 6.0


@dataclass(frozen=True)
class Flow:
    """Water on its way from one injector to one producer, and the rock that it passes; everything (scenario,), NaN unused.

    carries : flow times heat capacity of water  [W/K];  spacing_m, thickness_m, width_m : of the layer  [m]
    layer : heat that rock and water of the layer hold together  [J/m3/K];  rock : the same of dry rock  [J/m3/K]
    conductivity : of the rock beside it  [W/m/K];  face_m2 : one face of the fracture, both of which conduct  [m2]
    """

    carries: Floats
    spacing_m: Floats
    thickness_m: Floats
    width_m: Floats
    layer: Floats
    rock: Floats
    conductivity: Floats
    face_m2: Floats


def layer_capacity(porosity: Floats, rock: Floats, water: Floats) -> Floats:
    """Heat that rock and the water in its pores hold together  [of the unit of `rock` and `water`, per m3 and K].

    >>> float(layer_capacity(np.array(0.15), np.array(2.1), np.array(4.18)).round(3))
    2.412
    """
    return np.asarray(porosity * water + (1 - porosity) * rock)


def doublet_breakthrough(carries: Floats, spacing_m: Floats, thickness_m: Floats, layer: Floats) -> Floats:
    """Time at which the first cold water reaches the producer of a doublet, (scenario,)  [yr].

    (pi / 3) (rho c)_layer D^2 h / (flow x c_water), along the straight line between the wells; arguments as in `Flow`.
    Steady equal flows of one producer and one injector in an endless even layer, no regional flow, no heat from above and
    below, which makes it early.
    Source: A. C. Gringarten and J. P. Sauty, J. Geophys. Res. 80 (1975), p. 4956 (form from memory; the streamline integral
    gives it).

    >>> carries = np.array(150 / 3600 * 4.18e6)
    >>> float(doublet_breakthrough(carries, np.array(1000.0), np.array(100.0), np.array(2.412e6)).round(2))
    45.96
    """
    return np.asarray(math.pi / 3 * layer * spacing_m**2 * thickness_m / carries / SECONDS_A_YEAR)


def tracer_share(porosity: Floats, layer: Floats, water: Floats) -> Floats:
    """Time of water over the time of its cold: how much sooner a tracer arrives than the cold front  [1].

    One over the thermal retardation (rho c)_layer / (porosity (rho c)_water); rock and water are as warm as each other.

    >>> float(tracer_share(np.array(0.15), np.array(2.412), np.array(4.18)).round(2))
    0.26
    """
    return np.asarray(porosity * water / layer)


def _doublet(flow: Flow, times: Floats) -> Floats:
    """Integral over time of the share of the producer's flow that arrives cold  [yr]."""
    first = doublet_breakthrough(flow.carries, flow.spacing_m, flow.thickness_m, flow.layer)
    return first * arrived(times / first)


def arrived(times: Floats) -> Floats:
    """Integral over time of the share of streamlines of a doublet that have arrived, in units of the first arrival  [1].

    times : any shape, over the time of the first arrival  [1]

    Streamlines are arcs of circles through both wells. One that leaves at the angle a from the line between them arrives at
    3 (1 - a cot a) / sin(a)^2, and a / pi of the flow has left at smaller angles. The integral is (a t - I(a)) / pi with
    I(a) = 1.5 (a / sin(a)^2 - cot a), which an error in the angle moves only by its square.
    Source: potential flow of a source and a sink; computed here, and in the tests by following streamlines.

    >>> arrived(np.array([1.0, 2.0, 10.0])).round(4)
    array([0.    , 0.2919, 5.0662])
    """
    late = np.sqrt(np.maximum(times, 1.0) - 1)
    angle = np.interp(late, *_arrivals())
    sine = np.sin(angle)
    with np.errstate(invalid="ignore", divide="ignore"):
        sum_of_arrivals = 1.5 * (angle - sine * np.cos(angle)) / sine**2
    near = angle * (1 + 0.4 / 3 * angle**2)
    return np.asarray((angle * np.maximum(times, 1.0) - np.where(angle < SMALL_ANGLE, near, sum_of_arrivals)) / math.pi)


@lru_cache
def _arrivals() -> tuple[Floats, Floats]:
    """Square roots of what arrivals are after the first, rising, and the angles at which streamlines leave."""
    angle = np.linspace(0.0, math.pi, ANGLES + 1)[:-1]
    with np.errstate(invalid="ignore", divide="ignore"):
        after = 3 * (1 - angle / np.tan(angle)) / np.sin(angle) ** 2 - 1
    return np.sqrt(np.where(angle < SMALL_ANGLE, 0.4 * angle**2, after)), angle


def _sweep(flow: Flow, times: Floats) -> Floats:
    """Integral over time of the share of the way to the temperature of injection, swept in one dimension  [yr].

    erfc(k / sqrt(t - f)) with f the time of the front without conduction and k^2 that of conduction from cap and base.
    Source: H. A. Lauwerier, Appl. Sci. Res. A 5 (1955), p. 145 (from memory; a numerical solution in the tests agrees).
    """
    reached = np.maximum(times - sweep_front(flow), 0.0)
    return _conducted(conduction_years(flow, flow.spacing_m * flow.width_m), reached)


def sweep_front(flow: Flow) -> Floats:
    """Time in which water cools a strip from well to well, heat of cap and base left out, (scenario,)  [yr]."""
    strip = flow.spacing_m * flow.width_m * flow.thickness_m
    return np.asarray(flow.layer * strip / flow.carries / SECONDS_A_YEAR)


def _fracture(flow: Flow, times: Floats) -> Floats:
    """The same of a single fracture, which holds no heat itself; its walls conduct and are endless.

    T = T_injection + (T_rock - T_injection) erf(k / sqrt(t)).
    Source: thin-layer limit of Lauwerier's sweep; H. C. H. Armstead and J. W. Tester, Heat Mining (1987) (from memory).
    """
    return _conducted(conduction_years(flow, flow.face_m2), times)


def conduction_years(flow: Flow, face_m2: Floats) -> Floats:
    """Time in which rock beside a face gives as much as the water carries, (scenario,)  [yr].

    k^2 = A^2 conductivity (rho c)_rock / (flow x c_water)^2, both faces conducting;  face_m2 : A, one face  [m2]
    """
    return np.asarray((face_m2 / flow.carries) ** 2 * flow.conductivity * flow.rock / SECONDS_A_YEAR)


def _conducted(squared: Floats, times: Floats) -> Floats:
    """Integral of erfc(k / sqrt(t)) from 0 to `times`: (t + 2 k^2) erfc(k / sqrt t) - 2 k sqrt(t / pi) exp(-k^2 / t)."""
    with np.errstate(divide="ignore", invalid="ignore"):
        z_squared = np.where(times == 0, np.inf, squared / times)
    tail = 2 * np.sqrt(squared * times / math.pi) * np.exp(-z_squared)
    return np.asarray((times + 2 * squared) * erfc(np.sqrt(z_squared)) - tail)


def erfc(z: Floats) -> Floats:
    """Complementary error function of what is not negative, within 1e-12; 0 from 6 on.

    Cubic between points of a grid with their slopes: scipy has it too, and a run does not load scipy.

    >>> erfc(np.array([0.0, 0.5, 7.0])).round(6)
    array([1.    , 0.4795, 0.    ])
    """
    values, slopes = _erfc_grid()
    at = np.minimum(z, ERFC_END) / ERFC_STEP
    with np.errstate(invalid="ignore"):
        below = np.clip(at.astype(np.intp), 0, len(values) - 2)
    u = at - below
    low, high = values[below], values[below + 1]
    bend = (1 - u) * slopes[below] - u * slopes[below + 1]
    return np.asarray(low + u**2 * (3 - 2 * u) * (high - low) + ERFC_STEP * u * (1 - u) * bend)


@lru_cache
def _erfc_grid() -> tuple[Floats, Floats]:
    z = np.arange(0.0, ERFC_END + ERFC_STEP / 2, ERFC_STEP)
    values, slopes = np.array([math.erfc(x) for x in z]), -2 / math.sqrt(math.pi) * np.exp(-(z**2))
    values[-1] = slopes[-1] = 0.0
    return values, slopes


RETURNS: dict[str, Callable[[Flow, Floats], Floats]] = {
    "doublet": _doublet,
    "sweep": _sweep,
    "fracture": _fracture,
}


def cold_share(path: str, flow: Flow, years: int) -> Floats:
    """Mean share of the way to the temperature of injection that the produced water has fallen, in each year.

    path : key of `RETURNS`;  years : how many;  returns (year, scenario) in 0 to 1, never falling  [1]
    The mean over a year is the exact integral, as that of decline.
    """
    ends = np.arange(years + 1, dtype=np.float64).reshape(-1, 1)
    return np.clip(np.diff(RETURNS[path](flow, ends), axis=0), 0.0, 1.0)

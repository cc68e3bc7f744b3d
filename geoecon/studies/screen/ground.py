"""How hot the reservoir is: by conduction from what is known of the ground, by chemistry, by measurement.

Each way has a grade of evidence from 1 (a map of heat flow) to 5 (measured in the reservoir), and a share of the draws that
grows with the square of its grade. So ways that agree leave a narrow range and ways that do not a wide one.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np

from geoecon.arrays import Bools, Floats
from geoecon.case import Site
from geoecon.resource.gradient import (
    boiling_temperature,
    conductive_constant,
    conductive_exponential,
    conductive_linear,
)
from geoecon.studies.distributions import triangular
from geoecon.studies.draws import streams
from geoecon.studies.screen.chemistry import STATES, WIDE_APART_K, Chemistry
from geoecon.studies.screen.known import Drawn

CURVES = ("linear", "constant", "exponential")
CURVE_POINTS, CURVE_DRAWS = 41, 2_000
MEASURED = 5
NEAR = 1.25  # a measurement this near to the reservoir is one in it
FAR = 5.0  # a gradient carried further than so many times its hole is a guess


@dataclass(frozen=True)
class Way:
    """One way to the temperature of the reservoir.

    grade : 1 to 5;  share : of the draws that take it;  values : (draw,)  [degC];  basis : what it rests on, in words
    """

    name: str
    grade: int
    share: float
    values: Floats
    basis: str


@dataclass(frozen=True)
class Curves:
    """Temperature against depth by conduction, (point,): three curves of the middle values, and the range of draws.

    low, high : 8 draws in 10 lie between;  boiling : hottest that rising water keeps  [degC]
    """

    depth: Floats
    by_form: Mapping[str, Floats]
    low: Floats
    high: Floats
    boiling: Floats


@dataclass(frozen=True)
class Warmth:
    """Temperature of the reservoir over the draws, (draw,), how it was come by, and what was cut.

    held : whether it was held to the boiling point at its depth;  raised : whether to the water seen at the surface
    impossible : whether the drawn heat production would use up the drawn heat flow above the reservoir
    """

    values: Floats
    ways: tuple[Way, ...]
    curves: Curves
    held: Bools
    raised: Bools
    impossible: Bools


def warmth(
    site: Site, drawn: Mapping[str, Drawn], spring: Floats | None, chemistry: Chemistry | None, seed: int
) -> Warmth:  # fmt: skip
    """Temperature of the middle of the reservoir in every draw.

    spring : (draw,) hottest water seen at the surface, or None  [degC]
    """
    size = drawn["reservoir.depth"].values.size
    chances = streams(seed, ["temperature: way", "temperature: curve", "temperature: evened"], size, "latin")
    depth = drawn["reservoir.depth"].values + drawn["reservoir.thickness"].values / 2
    form = np.minimum((chances["temperature: curve"] * len(CURVES)).astype(int), len(CURVES) - 1)
    at = _conduction(site, drawn)
    by_form = at(depth, slice(None))
    conducted = np.choose(form, [by_form[name] for name in CURVES])
    impossible = np.isnan(conducted)
    below = triangular(0.0, 0.0, 1.0).quantile(chances["temperature: evened"])
    ways = _shares([_by_ground(site, drawn, depth, conducted, below), *_by_chemistry(chemistry)])
    edges = np.cumsum([way.share for way in ways])
    chosen = np.minimum(np.searchsorted(edges, chances["temperature: way"]), len(ways) - 1)
    found = np.choose(chosen, [way.values for way in ways])
    boiling = boiling_temperature(depth, float(site.place.elevation[0]))
    held = found > boiling
    found = np.minimum(found, boiling)
    raised = np.zeros(size, dtype=bool) if spring is None else found < spring
    if spring is not None:
        found = np.where(np.isnan(found), np.nan, np.maximum(found, spring))
    return Warmth(found, ways, _curves(site, drawn, at, form), held, raised, impossible)


Conduction = Callable[[Floats, slice], dict[str, Floats]]


def _conduction(site: Site, drawn: Mapping[str, Drawn]) -> Conduction:
    """A function from depths and draws to the three curves there; each goes through a temperature measured at depth."""
    surface, conductivity = drawn["place.air_temperature"].values, drawn["ground.conductivity"].values
    production, scale = drawn["ground.heat_production"].values, drawn["ground.heat_production_depth"].values
    slope = _slope(site, drawn)
    measured = None if site.ground.measured_depth is None else float(site.ground.measured_depth[0])

    def free(depth: Floats, part: slice) -> dict[str, Floats]:
        terms = surface[part], (slope * conductivity)[part], conductivity[part]
        made = production[part]
        return {
            "linear": conductive_linear(depth, *terms),
            "constant": conductive_constant(depth, *terms, made),
            "exponential": conductive_exponential(depth, *terms, made, scale[part]),
        }

    def held(depth: Floats, part: slice) -> dict[str, Floats]:
        """The curves with the heat flow that makes each meet the straight line where the temperature was measured."""
        assert measured is not None
        there, curves = free(np.array(measured), part), free(depth, part)
        return {name: curves[name] + (there["linear"] - there[name]) * depth / measured for name in curves}

    return free if measured is None else held


def _slope(site: Site, drawn: Mapping[str, Drawn]) -> Floats:
    """Rise of temperature with depth near the surface, in every draw  [K/km]."""
    if "ground.measured_temperature" in drawn and site.ground.measured_depth is not None:
        above = drawn["ground.measured_temperature"].values - drawn["place.air_temperature"].values
        return np.maximum(above, 0.0) / (float(site.ground.measured_depth[0]) / 1e3)
    if not drawn["ground.gradient"].stated and "ground.heat_flow" in drawn:
        return drawn["ground.heat_flow"].values / drawn["ground.conductivity"].values
    return drawn["ground.gradient"].values


def _by_ground(site: Site, drawn: Mapping[str, Drawn], depth: Floats, conducted: Floats, below: Floats) -> Way:
    """What the ground says; a temperature measured in the reservoir holds all through it where its water moves.

    below : (draw,) share of the way from the measured temperature to what conduction would make of it
    """
    grade, basis = _ground_grade(site, drawn, float(np.median(depth))), _ground_basis(site, drawn)
    if grade < MEASURED:
        return Way("conduction", grade, 0.0, conducted, basis)
    measured = drawn["ground.measured_temperature"].values
    return Way("measurement", grade, 0.0, measured + below * (conducted - measured), basis)


def _by_chemistry(chemistry: Chemistry | None) -> list[Way]:
    if chemistry is None or not any(reading.used for reading in chemistry.readings):
        return []
    poor = chemistry.state in STATES[2:] or chemistry.apart > WIDE_APART_K
    basis = f"geothermometers of a water {_in_words(chemistry)}"
    return [Way("chemistry", 2 if poor else 3, 0.0, chemistry.values, basis)]


def _in_words(chemistry: Chemistry) -> str:
    apart = f", {chemistry.apart:.0f} K apart" if chemistry.apart > WIDE_APART_K else ""
    known = {"not known": "whose rest with rock is not known"}.get(chemistry.state, f"{chemistry.state} with rock")
    return f"{known}{apart}"


def _ground_grade(site: Site, drawn: Mapping[str, Drawn], depth: float) -> int:
    """Grade of what is known of the ground: 0 where nothing is."""
    ground = site.ground
    if ground.measured_depth is not None:
        return MEASURED if depth <= NEAR * float(ground.measured_depth[0]) else 4
    if ground.gradient is not None:
        hole = 0.0 if ground.gradient_depth is None else float(ground.gradient_depth[0])
        return 2 if depth > FAR * hole else 4
    return 1 if "ground.heat_flow" in drawn else 0


def _ground_basis(site: Site, drawn: Mapping[str, Drawn]) -> str:
    ground = site.ground
    if ground.measured_depth is not None:
        return f"a temperature measured at {float(ground.measured_depth[0]):,.0f} m, carried on to the reservoir"
    if ground.gradient is not None and ground.gradient_depth is not None:
        return f"a gradient from a hole of {float(ground.gradient_depth[0]):,.0f} m, carried on by conduction"
    if ground.gradient is not None:
        return "a gradient from a hole of unknown depth, carried on by conduction"
    if "ground.heat_flow" in drawn:
        return "a stated heat flow, carried down by conduction"
    return "what is usual on continents: nothing is known of the ground here"


def _shares(ways: list[Way]) -> tuple[Way, ...]:
    """Ways with shares: one in the reservoir stands alone, the others by the square of their grade."""
    alone = [way for way in ways if way.grade == MEASURED]
    weights = [float(way in alone) if alone else float(way.grade**2) for way in ways]
    if not any(weights):
        weights = [1.0] * len(ways)
    return tuple(
        Way(way.name, way.grade, weight / sum(weights), way.values, way.basis)
        for way, weight in zip(ways, weights, strict=True)
    )


def _curves(site: Site, drawn: Mapping[str, Drawn], at: Conduction, form: Floats) -> Curves:
    deepest = drawn["reservoir.depth"].quantile(0.9) + drawn["reservoir.thickness"].quantile(0.9)
    depth = np.linspace(0.0, float(np.ceil(deepest / 500) * 500), CURVE_POINTS)
    part = slice(0, CURVE_DRAWS)
    many = at(depth[:, None], part)
    each = np.choose(np.broadcast_to(form[part], many["linear"].shape), [many[name] for name in CURVES])
    middle = _middle_curves(site, drawn, depth)
    low, high = np.nanquantile(each, [0.1, 0.9], axis=1)
    return Curves(depth, middle, low, high, boiling_temperature(depth, float(site.place.elevation[0])))


def _middle_curves(site: Site, drawn: Mapping[str, Drawn], depth: Floats) -> dict[str, Floats]:
    """The three curves with every quantity in its middle."""
    middles = {
        path: Drawn(**{**vars(one), "values": np.array([one.quantile(0.5)])}) for path, one in drawn.items()
    }  # fmt: skip
    return _conduction(site, middles)(depth, slice(None))

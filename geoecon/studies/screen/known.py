"""What a screen draws: every quantity as the site states it, or from a wide range that stands for not knowing."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from geoecon.arrays import Floats
from geoecon.case import Site
from geoecon.case.fields import Span, Stated
from geoecon.resource.water import water_density
from geoecon.studies.distributions import Distribution, lognormal_between, triangular, uniform
from geoecon.studies.draws import streams
from geoecon.tables import Row, citation, table

STATED, ASSUMED = "stated", "assumed"
OWN = "own_criteria"  # the source of what was set for this screen
CONSTITUENTS = ("silica", "sodium", "potassium", "calcium", "magnesium")
SAMPLER = "latin"
NARROWEST = 1e-6  # a range of one point is widened by this share, so that it has a slope


@dataclass(frozen=True)
class Drawn:
    """A quantity of the site over the draws.

    origin : stated by the site, or assumed;  basis : in words;  evidence : as in the tables, `stated` where the site says it
    values : (draw,)  [unit]
    """

    path: str
    title: str
    unit: str
    origin: str
    basis: str
    evidence: str
    values: Floats

    @property
    def stated(self) -> bool:
        """Whether the site states it."""
        return self.origin == STATED

    def quantile(self, chance: float) -> float:
        """The value with so much chance below it."""
        return float(np.quantile(self.values, chance))


def draw_site(site: Site, draws: int, seed: int) -> dict[str, Drawn]:
    """Path -> every quantity of a site that bears on heat and power, over so many draws.

    Each has a stream of its own, keyed by its path, so one more known quantity leaves the draws of the others as they were.
    """
    wanted = list(_wanted(site))
    chances = streams(seed, [path for path, *_ in wanted], draws, SAMPLER)
    return {
        path: Drawn(path, r["title"], r["unit"], origin, basis, evidence, shape.quantile(chances[path]))
        for path, r, shape, origin, basis, evidence in wanted
    }


def analysis_of(drawn: dict[str, Drawn]) -> dict[str, Floats]:
    """Constituent -> its draws, of those that the site states."""
    return {name: drawn[f"water.{name}"].values for name in CONSTITUENTS if f"water.{name}" in drawn}


def _wanted(site: Site) -> Iterator[tuple[str, Row, Distribution, str, str, str]]:
    tested = site.flow_test.flow is not None
    for r in table("site_defaults"):
        path = r["path"]
        if path == ("heat.recovery" if tested else "heat.recovery_tested"):
            continue
        for name in CONSTITUENTS if path == "water" else ("",):
            where = f"water.{name}" if name else path
            ends = _stated(site, where)
            if ends is not None:
                named = {**r, "title": name} if name else r
                shape, basis = _around(r, ends)
                yield where, named, shape, STATED, basis, STATED
            elif r["low"]:
                yield path, r, _shape(r, float(r["low"]), float(r["high"])), ASSUMED, _source(r), r["evidence"]


def _source(r: Row) -> str:
    said = "; ".join(part for part in (r["place"], r["note"]) if part)
    return said if r["source"] == OWN else f"{said}. {citation(r['source'])}"


def _stated(site: Site, path: str) -> tuple[float, float] | None:
    """Both ends of what the site states, in the unit used inside; a flow as mass, a productivity from the test."""
    if path == "flow_test.flow":
        flow = mass_flow(site.flow_test.flow)
        return None if flow is None else (flow, flow)
    if path == "flow_test.productivity":
        flow, drawdown = mass_flow(site.flow_test.flow), site.flow_test.drawdown
        return None if flow is None or drawdown is None else (flow / _high(drawdown), flow / _low(drawdown))
    span = None if path.startswith("heat.") else site.span(path)
    return None if span is None else (_low(span), _high(span))


def _around(r: Row, ends: tuple[float, float]) -> tuple[Distribution, str]:
    """The distribution of a stated value, by the spread that such values have, or of a stated range."""
    low, high = ends
    if high > low:
        words = "8 chances in 10 in the stated range" if r["shape"] == "lognormal" else "within the stated range"
        return _shape({**r, "mode": ""}, low, high), words
    spread = float(r["spread"])
    if r["unit"] == "degC":
        return _shape({**r, "mode": ""}, low - spread, low + spread), f"as stated, give or take {spread:g} K"
    if r["shape"] == "lognormal":
        return _shape(r, low / (1 + spread), low * (1 + spread)), f"as stated, within {spread:.0%} in 8 cases of 10"
    return _shape({**r, "mode": ""}, low * (1 - spread), low * (1 + spread)), f"as stated, give or take {spread:.0%}"


def _shape(r: Row, low: float, high: float) -> Distribution:
    high = max(high, low + NARROWEST * max(abs(low), 1.0))
    if r["shape"] == "uniform":
        return uniform(low, high)
    if r["shape"] == "lognormal":
        return lognormal_between(low, high)
    mode = float(r["mode"]) if r["mode"] else (low + high) / 2
    return triangular(low, mode, high)


def mass_flow(stated: Stated | None) -> float | None:
    """A stated flow as mass  [kg/s]."""
    if stated is None:
        return None
    value = float(stated.values[0])
    return value if stated.at_degC is None else value * float(water_density(stated.at_degC))


def middle(span: Span | None) -> float | None:
    """The middle of a range, None where nothing is stated."""
    return None if span is None else (_low(span) + _high(span)) / 2


def _low(span: Span) -> float:
    return float(span.low[0])


def _high(span: Span) -> float:
    return float(span.high[0])

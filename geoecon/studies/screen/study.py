"""Does a place qualify: one look at what is known of a site, with ranges, and what to learn next.

A screen is no estimate of a reserve. It says what the place could be if wells found water, how sure that is, and where the
next money is best spent.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from geoecon.case import Site
from geoecon.errors import CaseError, Fault
from geoecon.resource.gradient import boiling_temperature
from geoecon.studies.screen.chemistry import Chemistry, read_water
from geoecon.studies.screen.criteria import DOUBTFUL, FAILS, HOLDS, LIKELY, NOT_KNOWN, Verdict, typical, verdicts
from geoecon.studies.screen.ground import Warmth, warmth
from geoecon.studies.screen.known import Drawn, analysis_of, draw_site
from geoecon.studies.screen.measures import Measure, measures, spread_by
from geoecon.studies.screen.power import Power, limit, power

DRAWS, FEWEST, MOST = 10_000, 100, 1_000_000
PLANTS = ("no power", "binary, pumped wells", "binary or flash", "flash, wells that flow by themselves")
OUTCOMES = ("qualifies", "may qualify", "not yet known", "doubtful", "does not qualify")


@dataclass(frozen=True)
class Screen:
    """Everything that a screen says of a site.

    plants : kind of plant -> share of draws that it fits;  outcome : one of `OUTCOMES`, decided by `turns_on`
    """

    site: Site
    draws: int
    seed: int
    drawn: Mapping[str, Drawn]
    chemistry: Chemistry | None
    warmth: Warmth
    power: Power
    plants: Mapping[str, float]
    verdicts: tuple[Verdict, ...]
    measures: tuple[Measure, ...]

    @cached_property
    def spread_by(self) -> dict[str, float]:
        """Quantity -> share of the spread of the power that goes with it."""
        return spread_by(self.drawn, self.warmth.values, self.power.either)

    @property
    def outcome(self) -> str:
        """How the place stands as a whole."""
        grades = [verdict.grade for verdict in self.verdicts]
        heat = grades[0]
        if FAILS in grades:
            return OUTCOMES[4]
        if heat == NOT_KNOWN or grades.count(NOT_KNOWN) > 1:
            return OUTCOMES[2]
        if DOUBTFUL in grades:
            return OUTCOMES[3]
        return OUTCOMES[0] if all(grade == HOLDS for grade in grades) else OUTCOMES[1]

    @property
    def turns_on(self) -> tuple[str, ...]:
        """Criteria that decide the outcome: those that stand worst."""
        worst = next(
            (grade for grade in (FAILS, DOUBTFUL, NOT_KNOWN, LIKELY) if any(v.grade == grade for v in self.verdicts)),
            HOLDS,
        )
        if self.outcome == OUTCOMES[2]:
            worst = NOT_KNOWN
        return tuple(verdict.criterion for verdict in self.verdicts if verdict.grade == worst)

    @property
    def typical_mw(self) -> float:
        """Power in the middle of the draws that are hot enough, 0 where none is  [MW]."""
        return typical(self.power)


def screen(site: Site, draws: int = DRAWS, seed: int = 1) -> Screen:
    """A site looked at over so many draws of what is not known. Raises `CaseError` for a number of draws out of bounds."""
    if not FEWEST <= draws <= MOST:
        raise CaseError(
            [Fault("--draws", f"{draws:,} is outside {FEWEST:,} to {MOST:,}; ten thousand tell most")], "draws"
        )
    drawn = draw_site(site, draws, seed)
    spring = drawn["springs.temperature"].values if "springs.temperature" in drawn else None
    boiling = float(boiling_temperature(np.zeros(1), float(site.place.elevation[0]))[0])
    hottest = np.nan if spring is None else float(np.median(spring))
    chemistry = read_water(analysis_of(drawn), hottest, boiling, site.water.boiled, seed)
    warm = warmth(site, drawn, spring, chemistry, seed)
    strength = power(drawn, warm.values, seed)
    heat_by = tuple(way.basis for way in warm.ways if way.grade > 0 and way.share > 0)
    if not heat_by and spring is not None:
        heat_by = ("the water seen at the surface, in usual ground",)
    firm = any(way.grade > 1 and way.share > 0 for way in warm.ways)
    judged = verdicts(site, drawn, heat_by, firm, strength)
    return Screen(
        site, draws, seed, drawn, chemistry, warm, strength, _plants(warm, strength), judged,
        measures(site, drawn, warm.values, strength.either, judged),
    )  # fmt: skip


def _plants(warm: Warmth, strength: Power) -> dict[str, float]:
    """Kind of plant -> share of draws that it fits, by temperature; a draw without a temperature fits none."""
    edges = np.array([strength.floor, limit("flash_from"), limit("flash_only_from")])
    at = np.searchsorted(edges, np.where(np.isnan(warm.values), -np.inf, warm.values), side="right")
    return {name: float((at == n).mean()) for n, name in enumerate(PLANTS)}

"""What an analysis of hot water says of the temperature it comes from: every geothermometer, and which to believe.

Groups of geothermometers that rest on the same reaction share one weight, so that six calibrations of Na-K count no more than
one of K-Mg. A weight of 0 means that the reading is shown and not used; the reason stands beside it.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from geoecon.arrays import Floats
from geoecon.resource.geothermometers import (
    FULL,
    PARTIAL,
    Geothermometer,
    calcium_rules_out_na_k,
    geothermometer,
    geothermometers,
    maturity_index,
)
from geoecon.studies.distributions import triangular
from geoecon.studies.draws import streams

GROUPS = {
    "silica": "silica",
    "potassium-sodium": "Na-K",
    "sodium-potassium-calcium": "Na-K-Ca",
    "potassium-magnesium": "K-Mg",
}
STATES = ("at rest", "partly at rest", "not at rest", "not known")
# Weight of a group by the state of the water: a judgement, after what is written on which reaction settles how fast.
WEIGHTS = {
    "silica": (1.0, 1.0, 1.0, 1.0),
    "Na-K": (1.0, 0.25, 0.0, 0.25),
    "Na-K-Ca": (1.0, 0.5, 0.0, 0.5),
    "K-Mg": (1.0, 1.0, 0.25, 0.0),
}
CHALCEDONY_BELOW, QUARTZ_ABOVE = 120.0, 180.0
COMPARED = {
    "amorphous": "shown for comparison: below it, silica would come out of this water",
    "chalcedony-iceland": "shown for comparison: made for young basalt",
}
NEAR_BOILING_K = 5.0
WIDE_APART_K = 60.0


@dataclass(frozen=True)
class Reading:
    """One geothermometer: what it gives, the range it may be off by, how much it counts and why.

    temperature : (1,) of the analysis in the middle of its range, outside its own range too; NaN where it has none  [degC]
    weight : share in the draws, all readings together 1;  used : whether it lies in its range and counts
    """

    name: str
    title: str
    group: str
    temperature: float
    low: float
    high: float
    weight: float
    why: str
    evidence: str

    @property
    def used(self) -> bool:
        """Whether it counts."""
        return self.weight > 0


@dataclass(frozen=True)
class Chemistry:
    """The readings of an analysis, the state of the water, and the temperature it speaks of.

    maturity : index of rest, 2.66 at rest, NaN where sodium, potassium or magnesium is missing
    values : (draw,) temperature of the water at depth  [degC];  apart : widest distance between groups that count  [K]
    """

    readings: tuple[Reading, ...]
    maturity: float
    state: str
    apart: float
    values: Floats


def read_water(
    analysis: Mapping[str, Floats], spring_degC: float, boiling_degC: float, boiled: str | None, seed: int
) -> Chemistry | None:
    """Every geothermometer for an analysis over draws; None where nothing can be read from it.

    spring_degC : hottest water seen, NaN where none was;  boiling_degC : boiling point at the place
    """
    if not analysis:
        return None
    middles = {name: np.array([np.median(values)]) for name, values in analysis.items()}
    maturity, state = _state(middles)
    judged = [_judged(one, middles, state, spring_degC, boiling_degC, boiled) for one in geothermometers()]
    readings = _shared(judged, state)
    used = [reading for reading in readings if reading.used]
    if not used:
        return Chemistry(readings, maturity, state, 0.0, np.full(len(next(iter(analysis.values()))), np.nan))
    groups = [np.mean([r.temperature for r in used if r.group == group]) for group in {r.group for r in used}]
    values = _drawn(used, analysis, spring_degC, seed)
    return Chemistry(readings, maturity, state, float(max(groups) - min(groups)), values)


def _state(analysis: Mapping[str, Floats]) -> tuple[float, str]:
    if not {"sodium", "potassium", "magnesium"} <= set(analysis):
        return np.nan, "not known"
    index = float(maturity_index(*(analysis[name] for name in ("sodium", "potassium", "magnesium")))[0])
    return index, STATES[0] if index >= FULL else STATES[1] if index >= PARTIAL else STATES[2]


def _judged(
    one: Geothermometer, analysis: Mapping[str, Floats], state: str, spring: float, boiling: float, boiled: str | None
) -> Reading:  # fmt: skip
    """A reading with a weight of 1 or 0, before groups share theirs."""
    group = GROUPS[one.ratio]
    missing = [name for name in one.needs if name not in analysis]
    if missing:
        return Reading(
            one.name, one.title, group, np.nan, np.nan, np.nan, 0.0,
            f"needs {' and '.join(missing)}, which the analysis leaves out", one.evidence,
        )  # fmt: skip
    value = float(one.temperature(analysis)[0])
    why = _against(one, value, analysis, state, spring, boiling, boiled)
    low, high = value - one.spread_K, value + one.spread_K
    return Reading(one.name, one.title, group, value, low, high, 0.0 if why else 1.0, why, one.evidence)


def _against(
    one: Geothermometer, value: float, analysis: Mapping[str, Floats], state: str, spring: float, boiling: float,
    boiled: str | None,
) -> str:  # fmt: skip
    """Why a reading is not used, or nothing."""
    if not one.covers(np.array(value)):
        came = f"gives {value:.0f} degC" if np.isfinite(value) else "gives no temperature"
        return f"refused: {came}, outside the {one.low:.0f} to {one.high:.0f} degC for which it was made"
    if one.name in COMPARED:
        return COMPARED[one.name]
    if value + one.spread_K < spring:
        return f"cooler than the {spring:.0f} degC of the water seen"
    if one.ratio == "silica":
        return _against_silica(one.name, analysis, spring, boiling, boiled)
    if GROUPS[one.ratio] == "Na-K" and "calcium" in analysis and _much_calcium(analysis):
        return "not to be used where so much calcium stands beside sodium"
    if WEIGHTS[GROUPS[one.ratio]][STATES.index(state)] == 0:
        return "the water is not at rest with rock" if state == STATES[2] else "magnesium is not known"
    return ""


def _much_calcium(analysis: Mapping[str, Floats]) -> bool:
    return bool(calcium_rules_out_na_k(analysis["sodium"], analysis["calcium"])[0])


def _against_silica(
    name: str, analysis: Mapping[str, Floats], spring: float, boiling: float, boiled: str | None
) -> str:
    """Which form of silica the water was at rest with, and whether it boiled on its way."""
    may_boil = boiled == "yes" or (boiled is None and spring > boiling - NEAR_BOILING_K)
    quartz = geothermometer("quartz-boiled" if may_boil else "quartz")
    value = float(quartz.temperature(analysis)[0])
    if name == "quartz-boiled":
        return "" if may_boil else "the water did not boil on its way"
    if may_boil and boiled == "yes":
        return "the water boiled, which leaves it with more silica than it had below"
    if name == "quartz-hot":
        return "" if value > quartz.high else "the simpler form holds at this temperature"
    if name == "chalcedony":
        return f"above {QUARTZ_ABOVE:.0f} degC quartz rules" if value > QUARTZ_ABOVE else ""
    return (
        f"below {CHALCEDONY_BELOW:.0f} degC chalcedony mostly rules"
        if value < CHALCEDONY_BELOW and "quartz" in name
        else ""
    )


def _shared(judged: list[Reading], state: str) -> tuple[Reading, ...]:
    """Readings with weights that sum to 1: groups by the state of the water, members of a group alike."""
    at = STATES.index(state)
    counts = {group: sum(r.group == group and r.used for r in judged) for group in WEIGHTS}
    total = sum(WEIGHTS[group][at] for group, count in counts.items() if count) or 1.0
    made = []
    for r in judged:
        weight = WEIGHTS[r.group][at] / counts[r.group] / total if r.used else 0.0
        made.append(Reading(**{**vars(r), "weight": weight, "why": r.why or _because(r, state)}))
    return tuple(made)


def _because(reading: Reading, state: str) -> str:
    """Why a reading counts as it does."""
    if reading.group == "silica":
        return "silica keeps the temperature of the last hours to days; mixing with cold water lowers it"
    return {
        "at rest": "sodium, potassium and magnesium are at rest with rock",
        "partly at rest": {
            "K-Mg": "settles fast: the temperature shortly before the water came up",
            "Na-K": "settles slowly: an upper bound in water partly at rest",
            "Na-K-Ca": "settles slowly: counts half in water partly at rest",
        }.get(reading.group, ""),
        "not at rest": "counts little: the water is not at rest with rock",
        "not known": "counts little: without magnesium nobody knows whether the water is at rest with rock",
    }[state]


def _drawn(used: list[Reading], analysis: Mapping[str, Floats], spring: float, seed: int) -> Floats:
    """Each draw believes one reading, by the weights, with the analysis as drawn and the reading off by its spread."""
    size = len(next(iter(analysis.values())))
    chances = streams(seed, ["chemistry: which", "chemistry: how far off"], size, "latin")
    edges = np.cumsum([reading.weight for reading in used])
    chosen = np.minimum(np.searchsorted(edges, chances["chemistry: which"]), len(used) - 1)
    found = np.empty(size)
    off = triangular(-1.0, 0.0, 1.0).quantile(chances["chemistry: how far off"])
    for n, reading in enumerate(used):
        one, where = geothermometer(reading.name), chosen == n
        values = np.clip(one.temperature({name: analysis[name][where] for name in one.needs}), one.low, one.high)
        found[where] = np.where(np.isnan(values), reading.temperature, values) + one.spread_K * off[where]
    return found

"""How sure a number is: what a case may say of it, and whether what is said can be."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from pydantic import Field, field_validator, model_validator

from geoecon import units
from geoecon.arrays import Floats
from geoecon.case.fields import About, Stated, Table, choice
from geoecon.errors import DistributionError, UnitError


@dataclass(frozen=True)
class Keys:
    """What a shape is told by: one of several sets of keys, and keys that may be added."""

    ways: tuple[tuple[str, ...], ...]
    optional: tuple[str, ...] = ()

    @property
    def in_words(self) -> str:
        """The keys as a person reads them."""
        more = f", and may take {', '.join(self.optional)}" if self.optional else ""
        return " or ".join(", ".join(way) for way in self.ways) + more


CUTS = ("low", "high")
SHAPES: dict[str, Keys] = {
    "triangular": Keys((("low", "mode", "high"),)),
    "pert": Keys((("low", "mode", "high"),)),
    "uniform": Keys((("low", "high"),)),
    "normal": Keys((("mean", "deviation"),), CUTS),
    "lognormal": Keys((("median", "factor"), ("p10", "p90")), CUTS),
    "discrete": Keys((("values", "chances"),)),
    "empirical": Keys((("values",),)),
}


class Uncertainty(Table):
    """How sure one number is. Texts are read with the units of the field they belong to."""

    shape: str = choice(tuple(SHAPES), "Shape of the distribution")
    low: Any = Field(None, description="Lowest value; for normal and lognormal where the shape is cut off")
    mode: Any = Field(None, description="Most likely value: triangular, pert")
    high: Any = Field(None, description="Highest value; for normal and lognormal where the shape is cut off")
    mean: Any = Field(None, description="Mean: normal")
    deviation: Any = Field(None, description="Standard deviation: normal")
    median: Any = Field(None, description="Median: lognormal, with factor")
    factor: float | None = Field(
        None, gt=1, le=1000, description="Median over the value one standard deviation below it"
    )
    p10: Any = Field(None, description="Value with 10 % of cumulative chance below it: lognormal, with p90")
    p90: Any = Field(None, description="Value with 90 % of cumulative chance below it: lognormal, with p10")
    values: tuple[Any, ...] | None = Field(None, description="Values: discrete; observed values: empirical")
    chances: tuple[float, ...] | None = Field(
        None, description='Their chances, sum 1: discrete; as numbers or texts, 0.5 or "50 %"'
    )
    common: float = Field(
        1.0, ge=0, le=1,
        description="Only of wells: how much all wells of the field have in common, 0 to 1, as a part of the variance of "
        "their normal scores; 1: all wells are alike",
    )  # fmt: skip
    known: str = choice(
        ("before-design", "after-design"), "Whether it is known when the plant is ordered", default="after-design"
    )

    @field_validator("chances", mode="before")
    @classmethod
    def _as_shares(cls, raw: Any) -> Any:
        """Chances that are written as texts, as numbers."""
        if not isinstance(raw, list | tuple):
            return raw
        return tuple(units.read(one, ("share",)).value if isinstance(one, str) else one for one in raw)


class Correlation(Table):
    """Rank correlation between uncertain inputs."""

    paths: tuple[str, ...]
    rank: float = Field(ge=-1, le=1)


class Declared(Table):
    """What is uncertain: one table for each path, and rank correlations between them."""

    inputs: dict[str, Uncertainty] = Field(default_factory=dict)
    correlation: tuple[Correlation, ...] = ()

    @model_validator(mode="before")
    @classmethod
    def _split(cls, raw: Any) -> Any:
        """A path always has a dot, so the key `correlation` cannot clash with one."""
        if not isinstance(raw, dict) or set(raw) <= {"inputs"}:
            return raw
        inputs = {path: entry for path, entry in raw.items() if path != "correlation"}
        return {"inputs": inputs, "correlation": raw.get("correlation", ())}


CHANCES_SLACK = 1e-6
REACH = 3.0  # standard deviations
LEAST_KEPT = 1e-6  # of a curve that is cut off; what is cut off from less is a slip, and lost to rounding
Z90 = 1.2815515655446004  # standard normal quantile of 0.9
SINGLE = ("low", "mode", "high", "mean", "deviation", "median", "p10", "p90")


def numbers(declared: Uncertainty, about: About, now: Any, currency: str) -> dict[str, Floats]:
    """What an uncertainty says, key -> (n,) in the unit used inside, of the kind that the case's own value has.

    about, now : description and value of the field it belongs to
    Raises `DistributionError`.
    """
    keys = SHAPES[declared.shape]
    known = {key for shape in SHAPES.values() for key in (*shape.optional, *(k for way in shape.ways for k in way))}
    given = {key for key in known if getattr(declared, key) is not None}
    faults, found = dict[str, str](), dict[str, Floats]()
    if given - set(keys.optional) not in [set(way) for way in keys.ways]:
        came = ", ".join(sorted(given)) or "nothing"
        faults[""] = f"shape {declared.shape!r} takes {keys.in_words}; this has {came}"
    for key in (key for key in (*SINGLE, "values") if key in given):
        raw = getattr(declared, key)
        try:
            found[key] = _read(key, raw if key == "values" else [raw], about, now, currency)
        except UnitError as error:
            faults[key] = str(error)
    if faults:
        raise DistributionError(faults)
    if declared.chances is not None:
        found["chances"] = np.array(declared.chances)
    if declared.factor is not None:
        found["factor"] = np.array([declared.factor])
    if problem := _disagreement(declared.shape, found):
        raise DistributionError({"": problem})
    return found


def kept_share(shape: str, found: Mapping[str, Floats], low: float, high: float) -> float:
    """Share of a normal or lognormal curve that lies between two ends and those it states itself; 1 of another shape."""
    one = {key: float(values[0]) for key, values in found.items() if key not in {"values", "chances"}}
    low, high = max(low, one.get("low", low)), min(high, one.get("high", high))
    if shape == "normal":
        middle, spread = one["mean"], one["deviation"]
    elif shape == "lognormal":
        with np.errstate(divide="ignore"):
            low, high = float(np.log(max(low, 0.0))), float(np.log(high))
        by_ends = "p10" in one
        middle = np.log(one["p10"] * one["p90"]) / 2 if by_ends else np.log(one["median"])
        spread = np.log(one["p90"] / one["p10"]) / (2 * Z90) if by_ends else np.log(one["factor"])
    else:
        return 1.0
    below, above = (low - middle) / spread, (high - middle) / spread
    # Of what lies above the middle the part beyond is taken, which is small, and not what is left of one.
    return _chance(-below) - _chance(-above) if below > 0 else _chance(above) - _chance(below)


def _chance(score: float) -> float:
    """Chance of a standard normal number below a score."""
    return math.erfc(-score / math.sqrt(2)) / 2


def _read(key: str, raw: Sequence[Any], about: About, now: Any, currency: str) -> Floats:
    """Numbers of a distribution, read with the units of the field it belongs to."""
    return np.array([_number(key, one, about, now, currency) for one in raw], dtype=np.float64)


def _number(key: str, raw: Any, about: About, now: Any, currency: str) -> float:
    if not about.kinds:
        if isinstance(raw, bool) or not isinstance(raw, int | float):
            raise UnitError(f"{raw!r} is not a bare number, which this field takes")
        return float(raw)
    if not isinstance(raw, str):
        raise UnitError(f"{raw!r} has no unit; write it as text, as in the field itself")
    kinds = (now.kind,) if isinstance(now, Stated) else about.kinds
    if key == "deviation":
        kinds = tuple("difference" if kind == "temperature" else kind for kind in kinds)
    if isinstance(now, Stated) and units.read(raw, about.kinds, currency).kind != now.kind:
        raise UnitError(f"{raw!r}: the field itself is stated as a {now.kind}; state how sure it is in the same kind")
    reading = units.read(raw, kinds, currency)
    if isinstance(now, Stated) and reading.at_degC != now.at_degC:
        raise UnitError(f"{raw!r}: the field states this flow at {now.at_degC:.6g} degC; use the same")
    return reading.value


def _disagreement(shape: str, found: dict[str, Floats]) -> str:
    """How the numbers of a shape contradict each other, in words; empty where they do not."""
    ladder = [float(found[key][0]) for key in ("low", "mode", "high") if key in found]
    if ladder != sorted(ladder) or ("p10" in found and found["p10"] >= found["p90"]):
        return "the lower value stands above the higher one"
    if len(ladder) > 1 and ladder[0] == ladder[-1]:
        return "low and high are the same; an input that is sure needs no uncertainty"
    if not all(np.isfinite(values).all() for values in found.values()):
        return "a number is not finite"
    if "deviation" in found and found["deviation"] <= 0:
        return "the deviation is not above zero"
    if shape == "lognormal" and any(found[key] <= 0 for key in ("median", "p10") if key in found):
        return "a lognormal input is above zero; choose another shape, or positive values"
    if shape == "empirical" and len(found["values"]) < 2:
        return "empirical takes at least two observed values"
    return _wrong_chances(found) if shape == "discrete" else ""


def _wrong_chances(found: dict[str, Floats]) -> str:
    chances = found["chances"]
    right = len(found["values"]) == len(chances) and (chances >= 0).all() and abs(chances.sum() - 1) <= CHANCES_SLACK
    return "" if right else "discrete takes as many chances as values, none below zero, with the sum 1"


def ends(found: Mapping[str, Floats]) -> tuple[float, float]:
    """Least and most of a distribution by its numbers; of one without ends, three standard deviations either way."""
    one = {key: float(values[0]) for key, values in found.items()}
    if "values" in found:
        return float(found["values"].min()), float(found["values"].max())
    low, high = -np.inf, np.inf
    if "deviation" in one:
        low, high = (one["mean"] + way * REACH * one["deviation"] for way in (-1, 1))
    if "factor" in one:
        low, high = one["median"] * one["factor"] ** -REACH, one["median"] * one["factor"] ** REACH
    if "p10" in one:
        middle, span = np.log(one["p10"] * one["p90"]) / 2, np.log(one["p90"] / one["p10"]) / (2 * Z90)
        low, high = float(np.exp(middle - REACH * span)), float(np.exp(middle + REACH * span))
    return max(low, one.get("low", low)), min(high, one.get("high", high))


def latent_correlation(paths: Sequence[str], pairs: Sequence[Correlation]) -> Floats:
    """Correlation of normal scores that gives the stated rank correlations, (path, path).

    2 sin(pi/6 x rank): K. Pearson 1907, here from memory and tested against drawn ranks.
    """
    matrix = np.eye(len(paths))
    for pair in pairs:
        for one in pair.paths:
            for other in pair.paths:
                if one != other and one in paths and other in paths:
                    matrix[paths.index(one), paths.index(other)] = 2 * np.sin(np.pi / 6 * pair.rank)
    return matrix


def possible_share(matrix: Floats) -> float:
    """The largest share of all correlations, up to 1, that can hold together; 1 where they can as they are."""
    lowest = float(np.linalg.eigvalsh(matrix - np.eye(len(matrix))).min())
    return min(1.0, -1.0 / lowest) if lowest < 0 else 1.0

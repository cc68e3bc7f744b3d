"""A screen of a site as plain objects, for scripts; what does not exist is null."""

import math
from typing import Any

from geoecon.arrays import Floats
from geoecon.report.screen import CAUTION, believed, quantiles, reached, verdict
from geoecon.studies.screen import Screen
from geoecon.studies.screen.known import Drawn

SENSES = ("nine_in_ten_at_least", "even_chance_at_least", "one_in_ten_at_least")


def as_json(found: Screen) -> dict[str, Any]:
    """Everything that a screen says."""
    warm = found.warmth
    return {
        "site": found.site.place.name,
        "draws": found.draws,
        "seed": found.seed,
        "outcome": found.outcome,
        "verdict": verdict(found),
        "turns_on": list(found.turns_on),
        "criteria": _criteria(found),
        "temperature": {**_range(warm.values, "degC"), "ways": _ways(found)},
        "at_depth": _at_depth(found),
        "chemistry": _chemistry(found),
        "heat": _range(found.power.heat, "EJ"),
        "power": _power(found),
        "plants": dict(found.plants),
        "spread_by": found.spread_by,
        "measurements": [vars(one) for one in found.measures],
        "quantities": [_quantity(one) for one in found.drawn.values()],
        "caution": CAUTION,
    }


def _criteria(found: Screen) -> list[dict[str, Any]]:
    return [
        {
            "criterion": v.criterion,
            "stands": v.grade,
            "share_of_draws": _number(v.chance),
            "rests_on": list(v.rests_on),
            "facts": {key: _number(value) for key, value in v.facts.items()},
        }
        for v in found.verdicts
    ]


def _ways(found: Screen) -> list[dict[str, Any]]:
    return [
        {"way": way.name, "grade": way.grade, "share": way.share, "basis": way.basis, **_range(way.values, "degC")}
        for way in found.warmth.ways
    ]


def _at_depth(found: Screen) -> dict[str, Any]:
    curves = found.warmth.curves
    columns = {**curves.by_form, "low": curves.low, "high": curves.high, "boiling": curves.boiling}
    return {"depth_m": curves.depth.tolist()} | {f"{name}_degC": _numbers(values) for name, values in columns.items()}


def _power(found: Screen) -> dict[str, Any]:
    power = found.power
    ranges = {
        "stored_heat": power.stored,
        "by_area": power.density,
        "either": power.either,
        "one_producer": power.one_well,
    }
    return {
        "years": power.years,
        "least_temperature_degC": power.floor,
        "share_of_draws_hot_enough": float(power.enough.mean()),
        **{name: {"unit": "MW", **_named(reached(values))} for name, values in ranges.items()},
    }


def _chemistry(found: Screen) -> dict[str, Any] | None:
    chemistry = found.chemistry
    if chemistry is None:
        return None
    readings = [
        {key: _number(value) if isinstance(value, float) else value for key, value in vars(r).items()}
        for r in chemistry.readings
    ]
    maturity = _number(chemistry.maturity)
    return {"maturity": maturity, "state": chemistry.state, "believed": believed(found), "readings": readings}


def _quantity(one: Drawn) -> dict[str, Any]:
    said = {"path": one.path, "origin": one.origin, "basis": one.basis, "evidence": one.evidence}
    return said | _range(one.values, one.unit)


def _range(values: Floats, unit: str) -> dict[str, Any]:
    """Three figures with their sense: what 9, 5 and 1 in 10 draws are at or above."""
    return {"unit": unit, **_named(quantiles(values))}


def _named(ends: tuple[float, ...]) -> dict[str, float | None]:
    return dict(zip(SENSES, map(_number, ends), strict=True))


def _number(value: float) -> float | None:
    return float(value) if math.isfinite(value) else None


def _numbers(values: Floats) -> list[float | None]:
    return [_number(float(value)) for value in values]

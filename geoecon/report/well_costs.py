"""What a well costs beside published curves: as sentences, lines, JSON and columns."""

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from geoecon.case.well_cost import BUILT_UP, CURVE
from geoecon.report.aligned import aligned
from geoecon.report.tables import Column, no_alarm, study_files
from geoecon.report.words import money, share
from geoecon.studies.well_costs import WellCosts
from geoecon.tables import citation, row, table

if TYPE_CHECKING:
    from geoecon.report.charts import Chart

CURVES_MOVED = (
    "Every curve is recalled and moved to that money by consumer prices; drilling prices moved more, so a curve is an order of "
    "magnitude and no bid."
)


def verdict(found: WellCosts) -> str:
    """The case's own well beside what curves say of its depth, in sentences."""
    return " ".join((*_own(found), *_beside(found), *_slim(found), *_share(found)))


def _own(found: WellCosts) -> Iterator[str]:
    deep = f"{found.own_m:,.0f} m"
    if not np.isfinite(found.own):
        outside = found.method == CURVE
        yield (
            f"The curve {found.curve} does not reach {deep}."
            if outside
            else f"The case states no cost of a well of {deep}."
        )
        return
    how = {CURVE: f"by the curve {found.curve}", BUILT_UP: "built up from days of the rig"}.get(
        found.method, "as stated"
    )
    factor = "" if found.factor == 1 else f", with cost_factor {found.factor:g}"
    yield f"A well of {deep} costs {amount(found, found.own)} {how}{factor}."
    if found.built_up is not None:
        yield f"It takes the rig {float(found.built_up.total_days[0]):,.0f} days, moving included."


def _beside(found: WellCosts) -> Iterator[str]:
    if not found.compared:
        yield (
            f"Published curves are in US dollars and the case in {found.currency}: they cannot be compared without a rate of "
            "exchange, and none is made up."
        )
        return
    ranked = found.here.ranked()
    if not ranked:
        yield "No published curve reaches that depth."
        return
    if len(ranked) == 1:
        ((only, cost),) = ranked
        yield f"Of published curves only {only} reaches that depth: {amount(found, cost)}{_times(found, cost)}."
        return
    (least, low), (most, high), (middle, median) = ranked[0], ranked[-1], found.here.middle()
    of_middle = " and ".join(middle)
    yield (
        f"Published curves say {amount(found, low)} ({least}) to {amount(found, high)} ({most}), {amount(found, median)} in "
        f"the middle ({of_middle})."
    )
    if np.isfinite(found.own):
        yield _where(found, low, median, high)


def _times(found: WellCosts, cost: float) -> str:
    return f"; the case's own is {found.own / cost:.1f} times that" if np.isfinite(found.own) else ""


def _where(found: WellCosts, low: float, median: float, high: float) -> str:
    if found.own < low or found.own > high:
        side, end = ("below", low) if found.own < low else ("above", high)
        return f"The case's own lies {share(abs(found.own / end - 1), 0)} {side} them all: look at what it rests on."
    off = found.own / median - 1
    if abs(off) < 0.005:
        return "The case's own is that of the middle."
    return f"The case's own lies within them, {share(abs(off), 0)} {'above' if off > 0 else 'below'} the middle."


def _slim(found: WellCosts) -> Iterator[str]:
    if found.slim_holes:
        holes = "One slim hole costs" if found.slim_holes == 1 else f"Each of {found.slim_holes} slim holes costs"
        yield f"{holes} {amount(found, found.slim_hole)}."


def _share(found: WellCosts) -> Iterator[str]:
    if found.drilled_share > 0:
        low, high = (share(part, 0) for part in found.of_budget)
        yield (
            f"Drilling is {share(found.drilled_share, 0)} of this case's capital; in an indicative budget of 50 MW it is {low} "
            f"to {high} (recalled)."
        )


def amount(found: WellCosts, value: float) -> str:
    """A cost of one well with its unit."""
    return money(value, found.currency)


def family(curve: str) -> str:
    """The publication that a curve is of, as it is labelled."""
    return row("well_cost_curves", curve=curve)["family"]


def reach(curve: str) -> tuple[float, float]:
    """Depths between which a curve holds  [m]."""
    r = row("well_cost_curves", curve=curve)
    return float(r["from_m"]), float(r["to_m"])


def rows(found: WellCosts) -> list[tuple[str, ...]]:
    """The table with its two lines of headings: curves that reach the depth, the least first, the case's own among them."""
    body = [(name, family(name), cost, "{:,.0f} to {:,.0f}".format(*reach(name))) for name, cost in found.here.ranked()]
    if np.isfinite(found.own):
        body.append(("> the case", found.method, found.own, ""))
    body.sort(key=lambda one: one[2])
    middle = found.here.middle()[1]
    told = [
        (name, of, f"{cost / 1e6:,.2f}", f"{cost / middle:.2f}" if found.compared else "", depths)
        for name, of, cost, depths in body
    ]
    unit = f"[M{found.currency}]"
    return [("curve", "of", "one well", "of the middle", "depths"), ("", "", unit, "[times]", "[m]"), *told]


def part_rows(found: WellCosts) -> list[tuple[str, ...]]:
    """Days and cost of a well that is built up, part by part, with their shares; empty where none is."""
    one = found.built_up
    if one is None:
        return []
    days, cost = float(one.total_days[0]), float(one.cost[0])
    return [
        ("part", "amount", "unit", "share"),
        *((f"days of {name}", f"{float(v[0]):.1f}", "d", share(float(v[0]) / days, 0)) for name, v in one.days.items()),
        ("all days", f"{days:.1f}", "d", ""),
        *(
            (name, f"{float(v[0]) / 1e6:,.2f}", f"M{found.currency}", share(float(v[0]) / cost, 0))
            for name, v in one.parts.items()
        ),
        ("one well", f"{cost / 1e6:,.2f}", f"M{found.currency}", ""),
    ]


def lines(found: WellCosts, width: int | None = None) -> Iterator[str]:
    """The sentences, the table of curves at the case's depth, what a well is built up of, and what curves rest on."""
    yield verdict(found)
    if found.here.ranked():
        yield ""
        yield from aligned(rows(found), width)
    if parts := part_rows(found):
        yield ""
        yield from aligned(parts, width)
    if found.compared:
        yield ""
        yield f"Money of {found.price_year}. {CURVES_MOVED}"


def as_json(found: WellCosts) -> dict[str, Any]:
    """The study as plain objects; what does not exist is null."""

    def plain(value: float) -> float | None:
        return value if np.isfinite(value) else None

    ranked = found.here.ranked()
    middle, median = found.here.middle()
    one = found.built_up
    return {
        "depth": found.own_m,
        "depth_unit": "m",
        "unit": found.currency,
        "price_year": found.price_year,
        "cost_method": found.method,
        "one_well": plain(found.own),
        "slim_holes": found.slim_holes,
        "one_slim_hole": plain(found.slim_hole),
        "compared": found.compared,
        "least": {"curve": ranked[0][0], "cost": ranked[0][1]} if ranked else None,
        "median": {"curves": list(middle), "cost": median} if ranked else None,
        "most": {"curve": ranked[-1][0], "cost": ranked[-1][1]} if ranked else None,
        "curves": [
            {
                "curve": r["curve"], "family": r["family"], "source": citation(r["source"]), "place": r["place"],
                "evidence": r["evidence"], "from": float(r["from_m"]), "to": float(r["to_m"]),
                "cost": plain(float(cost)),
            }
            for r, cost in zip(table("well_cost_curves"), found.here.cost[:, 0], strict=False)
        ],
        "built_up": None if one is None else {
            "days": {name: float(v[0]) for name, v in one.days.items()},
            "casing": float(one.casing_m[0]),
            "parts": {name: float(v[0]) for name, v in one.parts.items()},
            "cost_factor": found.factor,
        },
        "drilled_share": plain(found.drilled_share),
        "drilled_share_of_budget": list(found.of_budget),
    }  # fmt: skip


def cost_columns(found: WellCosts) -> dict[str, Column]:
    """Cost against depth as columns with units: a row per depth, a column per curve, empty where it does not reach."""
    unit = f"[{found.currency} of {found.price_year}]"
    curves = zip(found.lines.names, found.lines.cost, strict=True)
    return {"depth [m]": found.depth_m, **{f"{name} {unit}": cost for name, cost in curves}}


def cost_files(found: WellCosts, chart: str | None, out: str | None, alarm: Callable[[], str] = no_alarm) -> list[Path]:
    """Write the chart of cost against depth and the table, where they are asked for. Raises `OutputError`."""

    def draw() -> "Chart":
        from geoecon.report.charts.well_costs import cost_by_depth

        return cost_by_depth(found)

    return study_files(chart, draw, out, lambda: cost_columns(found), alarm)

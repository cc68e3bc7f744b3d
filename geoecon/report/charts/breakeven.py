"""Charts of targets: needs on an axis of chance, pairs that just meet a target, lines of equal value."""

from collections.abc import Iterator
from typing import Any, Literal

import altair as alt
import numpy as np
import pandas as pd

from geoecon.report.breakeven import likeliest, ranked, rows
from geoecon.report.charts.frame import EARTH, INK, ROW, SAND, STONE, WATER, Chart, dressed
from geoecon.report.frontiers import curve_sentence, frontier_sentence, well_words
from geoecon.report.inputs import in_unit, unit_of, value_text
from geoecon.report.metrics import metric_text
from geoecon.studies.breakeven import Breakeven
from geoecon.studies.frontiers import Frontier, SuccessCurve
from geoecon.studies.inputs import Input

BASE, NEEDED, LOST = "as it is", "would have to be", "may go to"
LABELS = 210
SIDES = {  # shape, outline and inside of a point
    "the case": ("diamond", EARTH, EARTH),
    "meets it": ("circle", WATER, WATER),
    "misses it": ("cross", EARTH, "transparent"),
    "no value": ("triangle-down", STONE, "transparent"),
}
STROKE = "M-0.15,-1H0.15V1H-0.15Z"  # an upright bar, as a shape


def breakeven_bars(found: Breakeven, system: str = "SI") -> Chart:
    """Each uncertain input on an axis of its own chances: its range, the case's value, the value needed."""
    data = pd.DataFrame(_bars(found, system), columns=["input", "from", "to", "range", "now", "needed", "needs"])
    y = alt.Y("input:N", sort=None, title=None, axis=alt.Axis(labelLimit=LABELS, labelOverlap=False))
    title, needs = "chance of being at or below [%]", LOST if found.met else NEEDED
    scale, axis = alt.Scale(domain=[-2, 102], nice=False), alt.Axis(values=[0, 10, 50, 90, 100])
    x = alt.X("from:Q", title=title, scale=scale, axis=axis)
    tips = [
        alt.Tooltip("input:N"),
        alt.Tooltip("range:N", title="8 chances in 10"),
        alt.Tooltip("needs:N", title=needs),
    ]
    bars = alt.Chart(data).mark_bar(height={"band": 0.45}, color=SAND).encode(y=y, x=x, x2="to:Q", tooltip=tips)
    marks = data.melt(["input", "needs", "range"], ["now", "needed"], "what", "chance").dropna(subset=["chance"])
    marks["what"] = marks["what"].map({"now": BASE, "needed": needs})
    domain = [BASE, needs]
    points = alt.Chart(marks).mark_point(filled=True, opacity=1, size=110).encode(
        y=y, x=alt.X("chance:Q", title=title), tooltip=tips,
        shape=alt.Shape("what:N", scale=alt.Scale(domain=domain, range=[STROKE, "diamond"]), title=None),
        color=alt.Color("what:N", scale=alt.Scale(domain=domain, range=[INK, EARTH]), title=None),
    )  # fmt: skip
    picture = alt.layer(bars, points)
    sentence = (
        "A bar is the range that holds 8 chances in 10 of an input, the upright stroke the case's own value, the diamond "
        f"the value at which the target is {'lost' if found.met else 'met'}; one without a diamond does not do that alone. "
        f"{likeliest(found, system)}"
    )
    return Chart(dressed(picture, height=max(ROW * len(data), ROW)), sentence, data)


def _bars(found: Breakeven, system: str) -> Iterator[tuple[str, float, float, str, float, float, str]]:
    for need, row in zip(ranked(found), rows(found, system), strict=True):
        if need.chances is None:
            continue
        ends = (value_text(need.input, end, system, found.currency, 3) for end in (need.chances.p10, need.chances.p90))
        needed = np.nan if need.chances.needed is None else need.chances.needed * 100
        yield need.path, 10.0, 90.0, " to ".join(ends), need.chances.now * 100, needed, row.needed


def _axis(chosen: Input, system: str, currency: str) -> str:
    unit = unit_of(chosen, system, currency) or "-"
    return f"{chosen.path} [{unit}]"


def frontier_line(found: Frontier, system: str = "SI") -> Chart:
    """The second input that just meets a target over the first; marks point to the side that meets it."""
    first, second, currency = found.first, found.second, found.currency
    data = pd.DataFrame(
        {
            "first": in_unit(first, found.values, system, currency),
            "second": in_unit(second, found.needed, system, currency),
            "met": np.where(found.side > 0, "met above", np.where(found.side < 0, "met below", "no value")),
        }
    )
    known = data.dropna(subset=["second"])
    ends = [float(data["first"].min()), float(data["first"].max())]
    x = alt.X("first:Q", title=_axis(first, system, currency), scale=alt.Scale(domain=ends, nice=False, padding=6))
    y = alt.Y("second:Q", title=_axis(second, system, currency), scale=alt.Scale(zero=False, padding=10))
    tips = [alt.Tooltip("first:Q", title=first.path), alt.Tooltip("second:Q", title=second.path), "met:N"]
    line = alt.Chart(known).mark_line(color=WATER).encode(x=x, y=y, tooltip=tips)
    sides = {"met above": "triangle-up", "met below": "triangle-down"}
    shown = [side for side in sides if side in set(known["met"])]
    marks = alt.Chart(known).mark_point(filled=True, opacity=1, size=46, color=WATER).encode(
        x=x, y=y, tooltip=tips,
        shape=alt.Shape("met:N", title=None, scale=alt.Scale(domain=shown, range=[sides[side] for side in shown])),
    )  # fmt: skip
    own = pd.DataFrame(
        {
            "first": in_unit(first, np.array([first.value]), system, currency),
            "second": in_unit(second, np.array([second.value]), system, currency),
            "met": "the case",
        }
    )
    here = alt.Chart(own).mark_point(shape="diamond", size=170, color=EARTH, filled=True, opacity=1)
    sentence = f"{frontier_sentence(found, system)} The diamond is the case."
    return Chart(dressed(line + marks + here.encode(x=x, y=y, tooltip=tips)), sentence, data)


def success_lines(found: SuccessCurve, system: str = "SI") -> Chart:
    """Lines of equal value over two inputs, the target's thick, the case and wells as points."""
    currency = found.currency
    x = alt.X("x:Q", title=_axis(found.across, system, currency), scale=alt.Scale(zero=False, nice=False))
    y = alt.Y("y:Q", title=_axis(found.up, system, currency), scale=alt.Scale(zero=False, nice=False))
    pieces = pd.DataFrame(_pieces(found, system), columns=["x", "y", "x2", "y2", "value", "target"])
    labels = pieces.loc[pieces.groupby("value")["x2"].idxmax()] if len(pieces) else pieces
    layers = [
        alt.Chart(pieces[pieces["target"] == thick])
        .mark_rule(color=WATER if thick else STONE, strokeWidth=3 if thick else 1.2, strokeCap="round")
        .encode(x=x, y=y, x2="x2:Q", y2="y2:Q", tooltip=["value:N"])
        for thick in (False, True)
    ]
    words = alt.Chart(labels).mark_text(align="right", dx=-4, dy=-8, color=INK, fontSize=12)
    layers.append(words.encode(x=alt.X("x2:Q"), y=alt.Y("y2:Q"), text="value:N"))
    points = pd.DataFrame(_points(found, system), columns=["name", "x", "y", "value", "side"])
    shown = [side for side in SIDES if side in set(points["side"])]
    scales = [alt.Scale(domain=shown, range=[SIDES[side][n] for side in shown]) for n in range(3)]
    dots = alt.Chart(points).mark_point(size=110, opacity=1, strokeWidth=2).encode(
        x=x, y=y, tooltip=["name:N", "value:N", "side:N"],
        shape=alt.Shape("side:N", title=None, scale=scales[0]),
        color=alt.Color("side:N", title=None, scale=scales[1]),
        fill=alt.Fill("side:N", title=None, scale=scales[2]),
    )  # fmt: skip
    layers.append(dots)
    middle = float(np.mean(in_unit(found.across, found.x[[0, -1]], system, currency)))
    named = points[points["side"] != "the case"]
    layers.append(_names(named[named["x"] <= middle], "left").encode(x=x, y=y, text="name:N"))
    layers.append(_names(named[named["x"] > middle], "right").encode(x=x, y=y, text="name:N"))
    said = "; ".join(well_words(found, well, system) for well in found.wells)
    sentence = f"{curve_sentence(found, system)} The diamond is the case.{f' Wells: {said}.' if said else ''}"
    grid = pd.DataFrame(
        found.values, columns=[value_text(found.across, float(v), system, currency) for v in found.x],
        index=[value_text(found.up, float(v), system, currency) for v in found.y],
    )  # fmt: skip
    return Chart(dressed(alt.layer(*layers), height=360), sentence, grid.rename_axis(found.up.path).reset_index())


def _names(points: pd.DataFrame, align: Literal["left", "right"]) -> Any:
    """Names beside points, on the side where there is room."""
    return alt.Chart(points).mark_text(align=align, dx=9 if align == "left" else -9, color=INK, fontSize=12)


def _pieces(found: SuccessCurve, system: str) -> Iterator[tuple[float, float, float, float, str, bool]]:
    for level, pieces in found.lines.items():
        ends = [in_unit(chosen, pieces[:, n], system, found.currency)
                for n, chosen in enumerate((found.across, found.up, found.across, found.up))]  # fmt: skip
        text = metric_text(found.target.metric, level, found.currency)
        for x, y, x2, y2 in zip(*ends, strict=True):
            left_to_right = (x, y, x2, y2) if x <= x2 else (x2, y2, x, y)
            yield *left_to_right, text, level == found.target.value


def _points(found: SuccessCurve, system: str) -> Iterator[tuple[str, float, float, str, str]]:
    def placed(name: str, across: float, up: float, value: float, side: str) -> tuple[str, float, float, str, str]:
        x = float(in_unit(found.across, np.array(across), system, found.currency))
        y = float(in_unit(found.up, np.array(up), system, found.currency))
        return name, x, y, metric_text(found.target.metric, value, found.currency), side

    yield placed("the case", found.across.value, found.up.value, found.base, "the case")
    for well in found.wells:
        known = np.isfinite(well.value)
        side = "no value" if not known else "meets it" if found.target.met(np.array(well.value)) else "misses it"
        yield placed(well.name, well.across, well.up, well.value, side)

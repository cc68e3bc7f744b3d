"""Charts of two inputs and a target: pairs that just meet it, and lines of equal value."""

from collections.abc import Iterator
from typing import Any, Literal

import altair as alt
import numpy as np
import pandas as pd

from geoecon.arrays import Floats
from geoecon.report.charts.frame import EARTH, INK, STONE, WATER, Chart, dressed
from geoecon.report.frontiers import curve_sentence, frontier_sentence, well_words
from geoecon.report.inputs import in_unit, unit_of
from geoecon.report.metrics import metric_text
from geoecon.studies.frontiers import Frontier, SuccessCurve
from geoecon.studies.inputs import Input
from geoecon.units import SYSTEMS

ROOM = 0.08  # share of the width that labels keep from the sides
SIDES = {  # shape, outline and inside of a point
    "the case": ("diamond", EARTH, EARTH),
    "meets it": ("circle", WATER, WATER),
    "misses it": ("cross", EARTH, "transparent"),
    "no value": ("triangle-down", STONE, "transparent"),
}


def _axis(chosen: Input, system: str, currency: str) -> str:
    unit = unit_of(chosen, system, currency) or "-"
    return f"{chosen.path} [{unit}]"


def frontier_line(found: Frontier, system: str = SYSTEMS[0]) -> Chart:
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
    one_side = known["met"].nunique() == 1  # otherwise neighbours may lie on different borders
    line = alt.Chart(known if one_side else known.iloc[:0]).mark_line(color=WATER).encode(x=x, y=y, tooltip=tips)
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


def success_lines(found: SuccessCurve, system: str = SYSTEMS[0]) -> Chart:
    """Lines of equal value over two inputs, the target's thick, the case and wells as points."""
    currency = found.currency
    x = alt.X("x:Q", title=_axis(found.across, system, currency), scale=alt.Scale(zero=False, nice=False))
    y = alt.Y("y:Q", title=_axis(found.up, system, currency), scale=alt.Scale(zero=False, nice=False))
    pieces = pd.DataFrame(_pieces(found, system), columns=["x", "y", "x2", "y2", "value", "target"])
    shaded = pd.DataFrame(_met_area(found, system), columns=["x", "x2", "y", "y2"])
    area = alt.Chart(shaded).mark_rect(color=WATER, opacity=0.1, stroke=None)
    layers = [area.encode(x=x, y=y, x2="x2:Q", y2="y2:Q")]
    layers += [
        alt.Chart(pieces[pieces["target"] == thick])
        .mark_rule(color=WATER if thick else STONE, strokeWidth=3 if thick else 1.2, strokeCap="round")
        .encode(x=x, y=y, x2="x2:Q", y2="y2:Q", tooltip=["value:N"])
        for thick in (False, True)
    ]
    words = alt.Chart(_label_places(pieces)).mark_text(dy=-7, color=INK, fontSize=12)
    layers.append(words.encode(x=x, y=y, text="value:N"))
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
    across, up = (in_unit(chosen, axis, system, currency)
                  for chosen, axis in ((found.across, found.x), (found.up, found.y)))  # fmt: skip
    names = _axis(found.across, system, currency), _axis(found.up, system, currency), found.target.metric
    columns = (np.tile(across, up.size), np.repeat(up, across.size), found.values.ravel())
    return Chart(
        dressed(alt.layer(*layers), height=360), sentence, pd.DataFrame(dict(zip(names, columns, strict=True)))
    )


def _met_area(found: SuccessCurve, system: str) -> Iterator[tuple[float, float, float, float]]:
    """The area that meets the target as bars, a row of the grid at a time: from and to, across and up."""
    xs, ys = (in_unit(chosen, _borders(axis), system, found.currency)
              for chosen, axis in ((found.across, found.x), (found.up, found.y)))  # fmt: skip
    for row, met in enumerate(found.target.met(found.values)):
        turns = np.flatnonzero(np.diff(np.concatenate([[0], met.astype(np.int8), [0]])))
        for start, stop in turns.reshape(-1, 2):
            yield xs[start], xs[stop], ys[row], ys[row + 1]


def _borders(axis: Floats) -> Floats:
    """Borders between grid points, the first and last at the ends."""
    return np.concatenate([axis[:1], (axis[:-1] + axis[1:]) / 2, axis[-1:]])


def _label_places(pieces: pd.DataFrame) -> pd.DataFrame:
    """A piece of each line for its label, as far from the labels before it as there is room."""
    if pieces.empty:
        return pieces
    spots = pieces[["x", "y"]].to_numpy()
    low, high = spots.min(axis=0), spots.max(axis=0)
    share = (spots - low) / np.where(high > low, high - low, 1.0)
    roomy = (share[:, 0] > ROOM) & (share[:, 0] < 1 - ROOM)
    taken = np.array([[0.0, 0.0]])  # the first goes far up or to the right
    chosen = []
    for value in pieces["value"].unique():
        own = np.flatnonzero(pieces["value"] == value)
        own = own[roomy[own]] if roomy[own].any() else own
        distance = np.linalg.norm(share[own, None] - taken, axis=2).min(axis=1)
        best = own[distance.argmax()]
        chosen.append(best)
        taken = np.vstack([taken, share[best]])
    return pieces.iloc[chosen]


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

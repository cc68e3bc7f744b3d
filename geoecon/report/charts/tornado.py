"""Charts of what moves the answer most: bars of one input at a time, and lines over the whole range of each."""

from itertools import pairwise
from typing import Any

import altair as alt
import numpy as np
import pandas as pd

from geoecon.arrays import Floats
from geoecon.report.amounts import Scale
from geoecon.report.charts.frame import AROUND, EARTH, INK, LINES, STONE, WATER, Chart, dressed
from geoecon.report.tornado import (
    MOST_BARS,
    MOST_LINES,
    figure_heading,
    figure_scale,
    shown_value,
    spider_sentence,
    tornado_sentence,
)
from geoecon.studies.tornado import OneAtATime
from geoecon.units import SYSTEMS

ENDS = ("low", "high")
COLOURS = dict(zip(ENDS, (WATER, EARTH), strict=True))
LANE = 14  # pixels; an input has three lanes and a gap: its name, its low, its high
LANES = 3.8
WIDE = 620  # pixels from which labels are written out
ROOM = 0.42  # of the span of the figures, beside the bars for their labels
STYLES = [(colour, dash) for dash in ([1, 0], [6, 3]) for colour in (WATER, EARTH, INK, STONE)][:MOST_LINES]
POINT = ["input", "leaf", "chance", "value", "figure", "words", "own"]
SPIDER_HEIGHT, LABEL_PIXELS = 340, 14
TICKS = (5, 20, 35, 50, 65, 80, 95)
X_END = 138  # percent; what lies beyond 95 is room for the names
FURTHEST = 3.0  # times the second widest reach


def tornado_bars(study: OneAtATime, metric: str, system: str = SYSTEMS[0]) -> Chart:
    """For each input a bar from the case to its low and one to its high, the widest at the top."""
    scale, movers = figure_scale(study, metric), study.movers(metric)
    order = [n for n in study.by_reach(metric) if n in movers or any(study.reasons[metric][n])][:MOST_BARS]
    data, names = _bars(study, metric, scale, order, system), _names(study, order, system)
    sentence = tornado_sentence(study, metric, system)
    numbers = _numbers(study, metric, scale, system)
    if not data["figure"].notna().any():
        return _nothing(metric, sentence, numbers)
    domain = _roomy([*data["figure"], *data["base"]])
    x = alt.X(
        "base:Q",
        title=figure_heading(study, metric),
        scale=alt.Scale(domain=domain, nice=False, zero=False),
        axis=alt.Axis(tickCount=8),
    )
    y = alt.Y("top:Q", axis=None, scale=alt.Scale(domain=[0, LANES * len(order)], reverse=True, nice=False))
    known, none = data[data["figure"].notna()], data[data["figure"].isna()]
    colour = alt.Color(
        "end:N", scale=alt.Scale(domain=list(ENDS), range=list(COLOURS.values())),
        legend=alt.Legend(labelExpr="'the input at its ' + datum.label"),
    )  # fmt: skip
    tips = [alt.Tooltip(f"{name}:N", title=title) for name, title in
            (("input", "input"), ("value", "its value"), ("words", "figure"))]  # fmt: skip
    bars = alt.Chart(known).mark_rect().encode(x=x, x2="figure:Q", y=y, y2="bottom:Q", color=colour, tooltip=tips)
    rule = alt.Chart(data).mark_rule(color=INK, strokeWidth=1.5).encode(x="base:Q", y="top:Q", y2="lane:Q")
    layers = [bars, rule, _heads(names, domain[0]), *_labels(known)]
    if len(none):
        layers.append(_gaps(none))
    return Chart(dressed(alt.layer(*layers), height=round(LANE * LANES * len(order)) + AROUND), sentence, numbers)


def _nothing(metric: str, sentence: str, numbers: pd.DataFrame) -> Chart:
    """A picture where there is nothing to draw."""
    words = pd.DataFrame({"words": [f"nothing moves {metric} here"]})
    return Chart(dressed(alt.Chart(words).mark_text(color=INK).encode(text="words:N"), height=60), sentence, numbers)


def _bars(study: OneAtATime, metric: str, scale: Scale, order: list[int], system: str) -> pd.DataFrame:
    """A row for each bar: where it stands, from where to where it goes, and what is written beside it."""
    base, rows = study.base[metric] * scale.factor, []
    for place, n in enumerate(order):
        for point, end in enumerate(ENDS):
            figure = float(study.metrics[metric][n, point])
            value = shown_value(study, study.inputs[n], point, system, at=False)
            top = LANES * place + 1.1 + point
            rows.append(
                {
                    "input": study.inputs[n].input.path, "end": end, "value": value, "figure": figure * scale.factor,
                    "base": base, "top": top, "middle": top + 0.45, "bottom": top + 0.9, "lane": top + 1,
                    "words": scale.text(figure),
                    "short": scale.number(figure), "long": f"{value}: {scale.number(figure)}",
                    "none": f"{value}: no value",
                }
            )  # fmt: skip
    columns = [
        "input",
        "end",
        "value",
        "figure",
        "base",
        "top",
        "middle",
        "bottom",
        "lane",
        "words",
        "short",
        "long",
        "none",
    ]
    data = pd.DataFrame(rows, columns=columns)
    if not np.isfinite(base):  # without a base a bar runs from the middle of what there is
        data["base"] = data["figure"].mean()
    return data


def _names(study: OneAtATime, order: list[int], system: str) -> pd.DataFrame:
    spans = [" to ".join(shown_value(study, study.inputs[n], p, system, at=False) for p in (0, 1)) for n in order]
    paths = [study.inputs[n].input.path for n in order]
    heads = [f"{path}, {span}" for path, span in zip(paths, spans, strict=True)]
    return pd.DataFrame({"path": paths, "head": heads, "y": [LANES * place + 0.4 for place in range(len(order))]})


def _heads(names: pd.DataFrame, left: float) -> Any:
    """The name of each input over its bars; with its range where the bars have no room to say it."""
    words = {"text": _by_room("path", "head"), "fontSize": 12, "fontWeight": 600, "color": INK}
    return alt.Chart(names).mark_text(align="left", **words).encode(x=alt.datum(left), y="y:Q")


def _by_room(wide: str, narrow: str) -> Any:
    """The words of one column where the picture is wide, of another where it is narrow."""
    return alt.ExprRef(f"width >= {WIDE} ? datum.{wide} : datum.{narrow}")


def _labels(known: pd.DataFrame) -> list[Any]:
    """At the end of each bar the value of the input and the figure, or the figure alone where there is no room."""
    right = known["figure"] >= known["base"]
    words = {"fontSize": 11, "color": INK, "text": _by_room("long", "short")}
    marks = (alt.Chart(known[right]).mark_text(align="left", dx=4, **words),
             alt.Chart(known[~right]).mark_text(align="right", dx=-4, **words))  # fmt: skip
    return [mark.encode(x="figure:Q", y="middle:Q") for mark in marks]


def _gaps(none: pd.DataFrame) -> Any:
    return alt.Chart(none).mark_text(align="left", dx=4, fontSize=11, color=EARTH, fontStyle="italic").encode(
        x="base:Q", y="middle:Q", text="none:N"
    )  # fmt: skip


def _roomy(figures: list[float]) -> list[float]:
    """A span with room for labels on either side."""
    least, most = float(np.nanmin(figures)), float(np.nanmax(figures))
    room = ROOM * (most - least) or abs(most) or 1.0
    return [least - room, most + room]


def _numbers(study: OneAtATime, metric: str, scale: Scale, system: str) -> pd.DataFrame:
    """A row for each input by reach: its ends, the figures there, the reach, and where the range comes from."""
    unit, rows = scale.unit, []
    for n in study.by_reach(metric):
        moved, figures = study.inputs[n], study.metrics[metric][n] * scale.factor
        rows.append(
            {
                "input": moved.input.path, "its low": shown_value(study, moved, 0, system),
                "its high": shown_value(study, moved, 1, system), f"at low [{unit}]": figures[0],
                f"at high [{unit}]": figures[1], f"reach [{unit}]": study.reach(metric)[n] * scale.factor,
                "range": moved.origin, "evidence": moved.evidence,
            }
        )  # fmt: skip
    return pd.DataFrame(rows)


def spider_lines(study: OneAtATime, metric: str, system: str = SYSTEMS[0]) -> Chart:
    """A figure as each input goes through its own chances, those with the widest reach; each line bears its name."""
    scale, order = figure_scale(study, metric), study.movers(metric)[:MOST_LINES]
    paths = [study.inputs[n].input.path for n in order]
    data = pd.DataFrame([row for n in order for row in _line(study, metric, scale, n, system)], columns=POINT)
    shown = {"figure": f"{metric} [{scale.unit}]", "chance": "chance below [%]"}
    numbers = data.drop(columns=["own", "leaf", "words"]).rename(columns=shown)
    if not order:
        return _nothing(metric, spider_sentence(study, metric, paths, 0), numbers)
    domain, beyond = _plausible(study, metric, order, scale, data)
    sentence = spider_sentence(study, metric, paths, beyond)
    styles = STYLES[: len(paths)]
    x = alt.X(
        "chance:Q", title="chance of the input being lower [%]", scale=alt.Scale(domain=[5, X_END], nice=False, zero=False),
        axis=alt.Axis(values=list(TICKS), titleAnchor="start", tickCount=len(TICKS)),
    )  # fmt: skip
    y = alt.Y("figure:Q", title=figure_heading(study, metric), scale=alt.Scale(domain=domain, nice=False, zero=False))
    colour = alt.Color("input:N", scale=alt.Scale(domain=paths, range=[c for c, _ in styles]), legend=None)
    dash = alt.StrokeDash("input:N", scale=alt.Scale(domain=paths, range=[d for _, d in styles]), legend=None)
    tips = [alt.Tooltip("input:N"), alt.Tooltip("value:N", title="its value"), alt.Tooltip("words:N", title=metric)]
    drawn = alt.Chart(data).mark_line(clip=True, strokeWidth=2).encode(x=x, y=y, color=colour, strokeDash=dash)
    dots = alt.Chart(data[data["own"]]).mark_point(filled=True, size=45, opacity=1, clip=True).encode(
        x="chance:Q", y="figure:Q", color=colour, tooltip=tips
    )  # fmt: skip
    points = alt.Chart(data).mark_point(size=90, opacity=0, clip=True).encode(x="chance:Q", y="figure:Q", tooltip=tips)
    base = pd.DataFrame({"x": [5.0], "end": [95.0], "y": [study.base[metric] * scale.factor]})
    rule = alt.Chart(base).mark_rule(color=STONE, strokeDash=[4, 3]).encode(x="x:Q", x2="end:Q", y="y:Q")
    layers = [rule, drawn, points, dots, *_line_names(data, paths, domain)]
    return Chart(dressed(alt.layer(*layers), height=SPIDER_HEIGHT + AROUND), sentence, numbers)


def _line(study: OneAtATime, metric: str, scale: Scale, n: int, system: str) -> list[dict[str, Any]]:
    """Points of one line by chance, the case's own among them."""
    moved, values = study.inputs[n], study.metrics[metric][n]
    points = [
        (100 * float(chance), float(figure), shown_value(study, moved, point, system), False)
        for point, (chance, figure) in enumerate(zip(study.chances, values, strict=True))
    ]
    if study.chances[0] <= moved.own <= study.chances[-1]:
        points.append((100 * moved.own, study.base[metric], "as the case has it", True))
    path = moved.input.path
    return [
        {"input": path, "leaf": path.partition(".")[2], "chance": chance, "value": value, "figure": figure * scale.factor,
         "words": scale.text(figure), "own": own}
        for chance, figure, value, own in sorted(points)
    ]  # fmt: skip


def _plausible(
    study: OneAtATime, metric: str, order: list[int], scale: Scale, data: pd.DataFrame
) -> tuple[list[float], int]:
    """The span that is shown, and how many points lie beyond: one line alone does not press the others flat."""
    base, reach = study.base[metric] * scale.factor, study.reach(metric)[order] * scale.factor
    figures = data["figure"].to_numpy(dtype=float)
    if not np.isfinite(base):
        return _padded(float(np.nanmin(figures)), float(np.nanmax(figures))), 0
    furthest = FURTHEST * float(reach[min(1, len(reach) - 1)])
    low, high = max(base - furthest, float(np.nanmin(figures))), min(base + furthest, float(np.nanmax(figures)))
    return _padded(low, high), int(((figures < low) | (figures > high)).sum())


def _padded(low: float, high: float) -> list[float]:
    room = 0.04 * (high - low) or 1.0
    return [low - room, high + room]


def _line_names(data: pd.DataFrame, paths: list[str], domain: list[float]) -> list[Any]:
    """The name of each line at its right end, moved apart where lines end close together."""
    last = data[data["figure"].notna()].groupby("input", sort=False).tail(1).copy()
    last["at"] = _apart(np.clip(last["figure"].to_numpy(dtype=float), domain[0], domain[1]), domain)
    layers: list[Any] = []
    for path, (colour, _) in zip(paths, STYLES, strict=False):
        name = last[last["input"] == path]
        leader = alt.Chart(name).mark_rule(color=LINES).encode(x="chance:Q", x2=alt.datum(97), y="figure:Q", y2="at:Q")
        words = alt.Chart(name).mark_text(text=_by_room("input", "leaf"), align="left", dx=2, fontSize=11, color=colour).encode(
            x=alt.datum(97), y="at:Q"
        )  # fmt: skip
        layers += [leader, words]
    return layers


def _apart(wanted: Floats, domain: list[float]) -> list[float]:
    """Places as near as may be to those wanted, no two closer than a line of text, all within the span."""
    step = (domain[1] - domain[0]) * LABEL_PIXELS / SPIDER_HEIGHT
    order, placed = np.argsort(wanted, kind="stable"), np.array(wanted, dtype=np.float64)
    for one, other in pairwise(order):
        placed[other] = max(placed[other], placed[one] + step)
    over = max(0.0, float(placed[order[-1]]) - domain[1])
    placed[order[-1]] -= over
    for other, one in pairwise(order[::-1]):
        placed[one] = min(placed[one], placed[other] - step)
    return [float(place) for place in placed]

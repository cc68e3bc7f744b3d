"""The chart of a grid over two inputs: a heat map with the line at which the answer turns."""

from dataclasses import replace
from typing import Any

import altair as alt
import numpy as np
import pandas as pd

from geoecon.arrays import Floats
from geoecon.report.amounts import Scale, metric_heading, scale_of
from geoecon.report.charts.frame import AROUND, EARTH, HALO, INK, PAPER, STONE, WATER, Chart, dressed
from geoecon.report.grids import decision_sentence, heading, how_designed, missing_sentences
from geoecon.report.sweeps import figure
from geoecon.result import METRICS
from geoecon.studies.grid import Axis, Grid

PALE = "#e3eeee"
CELL, LEAST_HEIGHT, MOST_HEIGHT = 30, 200, 460  # pixels
ROOM = 44  # pixels of width that a figure of four digits needs
LEAST_CELL, MOST_DRAWN = 16, 70  # pixels of height that a figure needs; values of an input in a picture, at most
LABELS = 12  # of an axis, at most
COLOURS = alt.Scale(range=[PALE, WATER], interpolate="lab")
DARK = 0.7  # of the span; on darker cells white is easier to read than ink

Segment = tuple[float, float, float, float]


def heat_map(grid: Grid, metric: str) -> Chart:
    """One metric over two inputs, darker where it is greater; the case's own cell is boxed, the line is where it turns."""
    drawn, scale = _drawable(grid), scale_of(metric, grid.units[metric], grid.currency, grid.metrics[metric])
    title = metric_heading(metric, scale, grid.bases[metric])
    data, rows, columns = _cells(drawn, metric, scale), len(drawn.down.values), len(drawn.across.values)
    known, missing = data[data["figure"].notna()], data[data["figure"].isna()]
    turns = zero_line(drawn.margins[metric]) if metric in drawn.margins else []
    layers = [_painted(known, title, drawn), *_strokes(missing), *_line(turns), _box(drawn)]
    if rows * LEAST_CELL <= MOST_HEIGHT:
        layers += _figures(known, columns)
    height = min(max(CELL * rows, LEAST_HEIGHT), MOST_HEIGHT) + AROUND
    every = _cells(grid, metric, scale)
    numbers = pd.DataFrame({heading(grid.across): every["x"], heading(grid.down): every["y"], title: every["figure"]})
    sentence = heat_sentence(grid, metric, scale, lined=bool(turns))
    thinned = " The picture shows some of the values, evenly chosen; the numbers hold all." if drawn is not grid else ""
    return Chart(dressed(alt.layer(*layers), height=height), sentence + thinned, numbers)


def _drawable(grid: Grid) -> Grid:
    """The grid with as many values of each input as a picture can hold, the case's own among them."""
    across, down = grid.across, grid.down
    columns, rows = (np.arange(axis.at % _step(axis), len(axis.values), _step(axis)) for axis in (across, down))
    if (len(columns), len(rows)) == (len(across.values), len(down.values)):
        return grid
    kept = np.ix_(rows, columns)
    return replace(
        grid,
        across=replace(across, values=across.values[columns], at=across.at // _step(across)),
        down=replace(down, values=down.values[rows], at=down.at // _step(down)),
        metrics={key: values[kept] for key, values in grid.metrics.items()},
        margins={key: values[kept] for key, values in grid.margins.items()},
    )


def _step(axis: Axis) -> int:
    return -(-len(axis.values) // MOST_DRAWN)


def heat_sentence(grid: Grid, metric: str, scale: Scale, *, lined: bool) -> str:
    """What a heat map says: the span of the figure, what lies on which side of the line, and what has no value."""
    values, meaning = grid.metrics[metric], METRICS[metric].meaning
    if not np.isfinite(values).any():
        return f"There is no {metric} anywhere in this range: {next(iter(grid.reasons[metric]))}."
    span = f"from {scale.text(float(np.nanmin(values)))} to {scale.text(float(np.nanmax(values)))}"
    crossed = "The dark line is where it turns. " if lined else ""
    said = [
        f"{meaning[0].upper()}{meaning[1:]}: {span}, {scale.text(float(values[grid.at]))} in the boxed cell, which is the "
        f"case itself. {crossed}{decision_sentence(grid, metric)}",
        *missing_sentences(grid, metric),
        "Cells struck through have none." if np.isnan(values).any() else "",
        f"All else stays, {how_designed(grid)}.",
    ]
    return " ".join(words for words in said if words)


def _cells(grid: Grid, metric: str, scale: Scale) -> pd.DataFrame:
    """A row a cell: its place, both inputs, the figure as it is shown."""
    values = grid.metrics[metric]
    row, column = np.indices(values.shape)
    shown = (values * scale.factor).ravel()
    return pd.DataFrame(
        {
            "column": column.ravel(), "row": row.ravel(), "left": column.ravel() - 0.5, "right": column.ravel() + 0.5,
            "low": row.ravel() - 0.5, "high": row.ravel() + 0.5, "x": grid.across.values[column.ravel()],
            "y": grid.down.values[row.ravel()], "figure": shown,
            "text": [scale.number(float(value)) for value in values.ravel()],
        }
    )  # fmt: skip


def _position(channel: type[alt.X] | type[alt.Y], name: str, axis: Axis) -> alt.X | alt.Y:
    """A place on an axis of cells, which are equally wide; its labels are the values of the input."""
    count = len(axis.values)
    every = int(np.ceil(count / LABELS))
    ticks = sorted({*range(0, count, every), axis.at} - set(_beside(axis.at, every, count)))
    labels = ", ".join(f"'{figure(float(value), 4)}'" for value in axis.values)
    bold = alt.condition(f"datum.value == {axis.at}", alt.value("bold"), alt.value("normal"))
    look = alt.Axis(
        values=ticks, labelExpr=f"[{labels}][datum.value]", labelAngle=0, labelFontWeight=bold,
        grid=False, ticks=False, domain=False, **_thinned(channel, len(ticks)),
    )  # fmt: skip
    return channel(f"{name}:Q", title=heading(axis), axis=look, scale=alt.Scale(domain=[-0.5, count - 0.5], nice=False))


def _thinned(channel: type[alt.X] | type[alt.Y], ticks: int) -> dict[str, Any]:
    """Labels across make room for one another on a narrow picture; down there is always room for all."""
    return {"labelOverlap": True} if channel is alt.X else {"labelOverlap": False, "tickCount": ticks}


def _beside(at: int, every: int, count: int) -> list[int]:
    """Places too near the case's own for a label of their own, where not every value has one."""
    return [n for n in range(count) if 0 < abs(n - at) < every / 2] if every > 1 else []


def _painted(known: pd.DataFrame, title: str, grid: Grid) -> Any:
    legend = alt.Legend(title=title, orient="top", gradientLength=220, gradientThickness=10, titleLimit=340)
    tips = [
        alt.Tooltip("x:Q", title=heading(grid.across)), alt.Tooltip("y:Q", title=heading(grid.down)),
        alt.Tooltip("text:N", title=title),
    ]  # fmt: skip
    return alt.Chart(known).mark_rect(stroke=PAPER, strokeWidth=1 if grid.cells <= 1_000 else 0).encode(
        x=_position(alt.X, "left", grid.across), x2="right:Q", y=_position(alt.Y, "low", grid.down), y2="high:Q",
        color=alt.Color("figure:Q", scale=COLOURS, legend=legend), tooltip=tips,
    )  # fmt: skip


def _strokes(missing: pd.DataFrame) -> list[Any]:
    """Cells without a value: an empty field, struck through."""
    if missing.empty:
        return []
    corners = {"x": "left:Q", "x2": "right:Q", "y": "low:Q", "y2": "high:Q"}
    empty = alt.Chart(missing).mark_rect(fill=PAPER, stroke=STONE, strokeWidth=0.5).encode(**corners)
    return [empty, alt.Chart(missing).mark_rule(stroke=STONE, strokeWidth=1).encode(**corners)]


def _figures(known: pd.DataFrame, columns: int) -> list[Any]:
    """The figures in their cells, where the picture is wide enough for them; the line goes behind them."""
    least, most = float(known["figure"].min()), float(known["figure"].max())
    dark = least + DARK * (most - least) if len(known) else 0.0
    seen = alt.condition(f"width / {columns} >= {ROOM}", alt.value(1), alt.value(0))
    words = alt.Chart(known).encode(x="column:Q", y="row:Q", text="text:N", opacity=seen)
    ground = alt.Stroke("figure:Q", scale=COLOURS, legend=None)
    ink = alt.condition(f"datum.figure > {dark!r}", alt.value("#ffffff"), alt.value(INK))
    return [
        words.mark_text(fontSize=11, strokeWidth=HALO).encode(stroke=ground),
        words.mark_text(fontSize=11).encode(color=ink),
    ]


def _box(grid: Grid) -> Any:
    row, column = grid.at
    own = pd.DataFrame({"left": [column - 0.5], "right": [column + 0.5], "low": [row - 0.5], "high": [row + 0.5]})
    return alt.Chart(own).mark_rect(fill=None, stroke=EARTH, strokeWidth=2.5).encode(
        x="left:Q", x2="right:Q", y="low:Q", y2="high:Q"
    )  # fmt: skip


def _line(turns: list[Segment]) -> list[Any]:
    """The line between cells on one side and on the other, dark on a pale edge."""
    if not turns:
        return []
    line = alt.Chart(pd.DataFrame(turns, columns=["left", "low", "right", "high"])).encode(
        x="left:Q", x2="right:Q", y="low:Q", y2="high:Q"
    )
    return [
        line.mark_rule(stroke=colour, strokeWidth=width, strokeCap="round")
        for colour, width in ((PAPER, 4), (INK, 1.8))
    ]


def zero_line(margins: Floats) -> list[Segment]:
    """Where a grid of values passes zero, as segments (column, row, column, row) in places of cells.

    Between two neighbours of unlike sign it passes where a straight line from one to the other does. Among four cells
    the passings are joined in pairs; where there are four, the mean of the cells says which belong together. Four cells
    of which one has no value give none.

    >>> zero_line(np.array([[-1.0, 3.0], [-1.0, 1.0]]))
    [(0.25, 0.0, 0.5, 1.0)]
    """
    found: list[Segment] = []
    for row, column in np.ndindex(margins.shape[0] - 1, margins.shape[1] - 1):
        corners = [(column, row), (column + 1, row), (column + 1, row + 1), (column, row + 1)]  # around the square
        values = [float(margins[y, x]) for x, y in corners]
        if not np.isfinite(values).all():
            continue
        passed = [
            _passing(corners[n], corners[m], values[n], values[m])
            for n, m in ((0, 1), (1, 2), (2, 3), (3, 0))
            if (values[n] >= 0) != (values[m] >= 0)
        ]
        if len(passed) == 4 and (sum(values) >= 0) != (values[0] >= 0):
            passed = [passed[3], *passed[:3]]  # the corner with number 0 is cut off, else its two neighbours are
        found += [(*passed[n], *passed[n + 1]) for n in range(0, len(passed), 2)]
    return found


def _passing(one: tuple[int, int], other: tuple[int, int], at_one: float, at_other: float) -> tuple[float, float]:
    """Where a straight line between two cells passes zero."""
    part = at_one / (at_one - at_other)
    return one[0] + part * (other[0] - one[0]), one[1] + part * (other[1] - one[1])

"""A grid over two inputs as lines, sentences, JSON and files."""

from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from geoecon.arrays import Floats
from geoecon.report.amounts import metric_heading, scale_of
from geoecon.report.sweeps import figure, known_figures
from geoecon.report.tables import Column, no_alarm, study_files
from geoecon.result import METRICS
from geoecon.studies.decisions import DECISIONS
from geoecon.studies.grid import Axis, Grid
from geoecon.studies.targets import AT_LEAST

if TYPE_CHECKING:
    from geoecon.report.charts import Chart

GAP = "  "


def lines(grid: Grid, metrics: Sequence[str], width: int) -> Iterator[str]:
    """The first figure as rows and columns, the case's own cell marked, and what it says; the others are in the files."""
    metric = known_figures(grid.name, grid.metrics, metrics)[0]
    values = grid.metrics[metric]
    scale = scale_of(metric, grid.units[metric], grid.currency, values)
    yield f"{metric_heading(metric, scale, grid.bases[metric])}: {METRICS[metric].meaning}"
    yield f"down: {heading(grid.down)}, {grid.down.help}"
    yield f"across: {heading(grid.across)}, {grid.across.help}"
    heads = [_marked(figure(float(v), 5), n == grid.down.at) for n, v in enumerate(grid.down.values)]
    columns = [
        [_marked(figure(float(v), 5), n == grid.across.at),
         *(_marked(scale.number(float(cell)), (row, n) == grid.at) for row, cell in enumerate(values[:, n]))]
        for n, v in enumerate(grid.across.values)
    ]  # fmt: skip
    for block in _blocks([["", *heads]], columns, width):
        yield ""
        yield from block
    yield ""
    yield f"> is the case as it is; all else stays, {how_designed(grid)}"
    yield decision_sentence(grid, metric)
    yield from missing_sentences(grid, metric)


def heading(axis: Axis) -> str:
    """An input with its unit."""
    return f"{axis.path} [{axis.unit}]" if axis.unit else axis.path


def _marked(text: str, own: bool) -> str:
    return f"> {text}" if own else text


def _blocks(head: list[list[str]], columns: list[list[str]], width: int) -> Iterator[list[str]]:
    """Columns side by side as far as there is room, the head before each block of them."""
    while columns:
        taken = max(1, next((n for n in range(len(columns), 0, -1) if _wide([*head, *columns[:n]]) <= width), 1))
        shown, columns = [*head, *columns[:taken]], columns[taken:]
        widths = [max(map(len, column)) for column in shown]
        yield [GAP.join(cell.rjust(w) for cell, w in zip(row, widths, strict=True)) for row in zip(*shown, strict=True)]


def _wide(columns: list[list[str]]) -> int:
    return sum(max(map(len, column)) for column in columns) + len(GAP) * (len(columns) - 1)


def how_designed(grid: Grid) -> str:
    """How wells and plant were come by."""
    return "the design held" if grid.held else "every cell sized afresh"


def decision_sentence(grid: Grid, metric: str) -> str:
    """Where the figure passes the value at which the answer turns: which side, how many cells, on which the case is."""
    if metric not in DECISIONS:
        return f"No one value of {metric} decides, so no line is drawn."
    margins, decision = grid.margins[metric], DECISIONS[metric]
    known = int(np.isfinite(margins).sum())
    if not known:
        return f"There is no line where {metric} meets {decision.words}: one of them does not exist here."
    good = int((margins >= 0).sum())
    side = "at least" if decision.sense == AT_LEAST else "at most"
    own = margins[grid.at]
    where = "" if np.isnan(own) else f" The case itself is {'among them' if own >= 0 else 'not'}."
    if good in {0, known}:
        which = "all" if good else "none"
        return f"{metric} is {side} {decision.words} in {which} of {known} cells: no line runs through this range."
    towards = [way for axis, along in ((grid.across, 1), (grid.down, 0)) if (way := _way(axis, margins, along))]
    ends = f", towards {' and '.join(towards)}" if towards else ""
    return f"{metric} is {side} {decision.words} in {good} of {known} cells{ends}.{where}"


def _way(axis: Axis, margins: Floats, along: int) -> str:
    """Whether the good side lies towards higher or lower values of an input; nothing where it turns or stands still."""
    steps = np.diff(margins, axis=along)
    slack = 1e-9 * float(np.nanmax(np.abs(margins)))
    up, down = bool((steps > slack).any()), bool((steps < -slack).any())
    return f"{'higher' if up else 'lower'} {axis.path}" if up != down else ""


def missing_sentences(grid: Grid, metric: str) -> Iterator[str]:
    """How many cells have no value, and why."""
    counted = grid.reasons[metric]
    if not counted:
        return
    why = "; ".join(f"{words} ({cells})" for words, cells in counted.items())
    yield f"{sum(counted.values())} of {grid.cells} cells have no value: {why}."
    if grid.obstacle:
        yield f"What stands in the way of the first of those that cannot be worked out is {grid.obstacle}."


def as_json(grid: Grid) -> dict[str, Any]:
    """The grid as plain objects, rows of `down` by columns of `across`; what does not exist is null."""
    return {
        "across": _axis_json(grid.across),
        "down": _axis_json(grid.down),
        "design": "held" if grid.held else "sized afresh",
        "units": dict(grid.units),
        "metrics": {key: _rows(values) for key, values in grid.metrics.items()},
        "margins": {key: _rows(values) for key, values in grid.margins.items()},
        "no_value": {key: dict(counted) for key, counted in grid.reasons.items() if counted},
        "obstacle": grid.obstacle or None,
    }


def _axis_json(axis: Axis) -> dict[str, Any]:
    return {"path": axis.path, "unit": axis.unit, "values": axis.values.tolist(), "base": axis.base}


def _rows(values: Floats) -> list[list[float | None]]:
    return [[float(v) if np.isfinite(v) else None for v in row] for row in values]


def grid_columns(grid: Grid) -> dict[str, Column]:
    """The grid in long form, a row a cell: both inputs and every figure, with units."""
    across, down = np.meshgrid(grid.across.values, grid.down.values)
    figures = {f"{key} [{grid.units[key]}]": values.ravel() for key, values in grid.metrics.items()}
    return {
        f"{grid.across.path} [{grid.across.unit}]": across.ravel(),
        f"{grid.down.path} [{grid.down.unit}]": down.ravel(),
        **figures,
    }


def grid_files(
    grid: Grid, metrics: Sequence[str], chart: str | None, out: str | None, alarm: Callable[[], str] = no_alarm
) -> list[Path]:
    """Write the heat map of the first figure and the table, where they are asked for. Raises `OutputError`."""
    known_figures(grid.name, grid.metrics, metrics)

    def draw() -> "Chart":
        from geoecon.report.charts.grids import heat_map

        return heat_map(grid, metrics[0])

    return study_files(chart, draw, out, lambda: grid_columns(grid), alarm)

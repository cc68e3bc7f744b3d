"""What the page of sweeps asks: one input or two, their ranges, and which figure to look at."""

from collections.abc import Mapping

import streamlit as st

from geoecon.case import Case
from geoecon.report import charts
from geoecon.report.grids import grid_columns
from geoecon.report.sweeps import sweep_columns
from geoecon.report.tables import Column
from geoecon.report.words import plain_text
from geoecon.result import METRICS
from geoecon.studies.grid import Grid
from geoecon.studies.inputs import Input
from geoecon.studies.sweep import Sweep
from geoecon.ui import parts, passes, state

FIRST_SWEPT = "operation.fixed_cost"
ALONE = "none, the first input alone"
LINE_STEPS, GRID_STEPS, MOST = 21, 9, 201


def choice() -> tuple[charts.Chart, Mapping[str, Column]] | None:
    """Ask; the chart of the sweep and its table as columns, or nothing where it cannot be."""
    case = state.case()
    known = passes.inputs(case)
    paths = list(known)
    path = st.selectbox(
        "Input", paths, index=paths.index(FIRST_SWEPT) if FIRST_SWEPT in known else 0, key="sweep:path",
        format_func=lambda p: parts.option(p, known[p].about.help), help="Type a word to find an input.",
    )  # fmt: skip
    second = st.selectbox(
        "Second input", [ALONE, *(other for other in paths if other != path)], key="sweep:second",
        format_func=lambda p: p if p == ALONE else parts.option(p, known[p].about.help),
        help="With a second input the figure is a map over both.",
    )  # fmt: skip
    metric = st.selectbox(
        "Figure", list(METRICS), index=list(METRICS).index("required_price"), key="sweep:metric",
        format_func=lambda m: parts.option(m, METRICS[m].meaning),
    )  # fmt: skip
    across = _range(case, known[path], "From", "To", "Steps", LINE_STEPS if second == ALONE else GRID_STEPS)
    if second == ALONE:
        found: Sweep | Grid | str = passes.sweep_between(case, *across, _hold())
    else:
        down = _range(case, known[second], "Second from", "Second to", "Second steps", GRID_STEPS)
        found = passes.grid_between(case, across, down, _hold())
    if isinstance(found, str):
        st.error(plain_text(found))
        return None
    return _drawn(found, metric)


def _drawn(found: Sweep | Grid, metric: str) -> tuple[charts.Chart, Mapping[str, Column]]:
    if isinstance(found, Sweep):
        swept = found.shown_in(st.session_state.system)
        return charts.sweep_line(swept, metric), sweep_columns(swept)
    grid = found.shown_in(st.session_state.system)
    return charts.heat_map(grid, metric), grid_columns(grid)


def _hold() -> bool:
    return st.toggle("Hold the design", key="sweep:hold", help="Keep wells and plant as the base case has them.")


def _range(case: Case, chosen: Input, low: str, high: str, steps: str, usual_steps: int) -> tuple[str, str, str, int]:
    """Path, ends as texts with units, and number of values of one input."""
    columns, system, texts = st.columns([2, 2, 1], vertical_alignment="bottom"), st.session_state.system, []
    for column, label, value in zip(columns, (low, high), passes.usual_range(chosen), strict=False):
        usual = passes.as_text(chosen, value, case.money.currency, system)
        texts.append(column.text_input(label, value=usual, key=f"sweep:{chosen.path}:{label}:{system}"))
    count = columns[2].number_input(steps, 3, MOST, usual_steps, key=f"sweep:{steps}:{usual_steps}")
    return chosen.path, texts[0], texts[1], int(count)

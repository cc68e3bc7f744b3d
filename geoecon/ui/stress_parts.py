"""Pieces of the page of stresses: the table, and the figure to look at."""

import streamlit as st

from geoecon.report.stresses import cells, figures
from geoecon.result import METRICS
from geoecon.studies.stress import StressSet
from geoecon.ui import parts, passes, state
from geoecon.ui.ruled_parts import folding


def stressed() -> StressSet:
    """The stresses of the current case."""
    return passes.stresses_of(state.case())


def table(found: StressSet) -> None:
    """A row per stress and a column per figure, each with its unit."""
    heading, *rows = cells(found, figures(found))
    folding("Figures under each stress", heading, rows, {key: METRICS[key].meaning for key in heading[1:]})


def figure(found: StressSet) -> str:
    """Ask which figure to draw; the one that is asked of the case comes first."""
    keys = list(METRICS)
    first = found.criterion or "required_price"
    return str(st.selectbox(
        "Figure", keys, index=keys.index(first), key="stress:metric", format_func=lambda m: parts.option(m, METRICS[m].meaning),
    ))  # fmt: skip

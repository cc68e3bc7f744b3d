"""Pieces of the page of drivers: which figure, over how many draws."""

import streamlit as st

from geoecon.report.indices import Drivers, drivers, meaning
from geoecon.result import METRICS
from geoecon.ui import passes, state

DRAWS = (256, 1024, 4096)
FIRST = "required_price"


def choice() -> Drivers:
    """Ask for the figure and the draws; what drives it."""
    figure, number = st.columns([4, 1])
    keys = list(METRICS)
    metric = figure.selectbox("Figure", keys, index=keys.index(FIRST), key="drivers:metric", format_func=meaning)
    draws = number.selectbox(
        "Draws", DRAWS, key="drivers:draws", format_func=lambda n: f"{n:,}",
        help="Draws of all inputs; every input takes as many passes again. More draws, narrower ranges.",
    )  # fmt: skip
    return drivers(passes.drivers_of(state.case(), draws, 1), metric)

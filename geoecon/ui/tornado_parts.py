"""What the page of what moves the answer asks, and where the ranges of inputs come from."""

import streamlit as st

from geoecon.report.tornado import origins
from geoecon.report.words import plain_text
from geoecon.result import METRICS
from geoecon.studies.tornado import OneAtATime
from geoecon.ui import parts, passes, state


def choice() -> tuple[OneAtATime, OneAtATime, str] | None:
    """Ask for a figure and the design; inputs at their ends and through their ranges, or nothing where it cannot be."""
    figure, design = st.columns([3, 1], vertical_alignment="bottom")
    resize = design.toggle(
        "Size afresh", key="tornado:resize",
        help="Size wells and plant for every value; otherwise they are as ordered before the value is known.",
    )  # fmt: skip
    found = passes.one_by_one(state.case(), resize)
    if isinstance(found, str):
        st.error(plain_text(found))
        return None
    ends, ranges = found
    usual = ends.usual_metric
    metric = figure.selectbox(
        "Figure", list(METRICS), index=list(METRICS).index(usual), key=f"tornado:metric:{usual}",
        format_func=lambda m: parts.option(m, METRICS[m].meaning),
    )  # fmt: skip
    return ends, ranges, metric


def where_from(study: OneAtATime) -> None:
    """The origin of every range and how good its evidence is."""
    st.subheader("Where the ranges come from", divider="gray", anchor=False)
    for words in origins(study):
        st.markdown(f"- {plain_text(words)}")

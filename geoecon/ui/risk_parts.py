"""Pieces of the page on risk: what to draw, tables of texts, yearly fans."""

import streamlit as st

from geoecon.report.charts.risk import COLUMNS, fan
from geoecon.report.risk import chance_lines, known_metrics, told_by
from geoecon.report.sheets import Sheet
from geoecon.report.words import plain_text
from geoecon.result import METRICS
from geoecon.studies.risk import Risk
from geoecon.ui import parts, passes, state

DRAWS, FIRST_DRAWS = (1_000, 2_000, 5_000, 10_000, 20_000), 2_000


def choice() -> tuple[Risk, str] | None:
    """Ask how many draws and which figure to look at; the study and the figure, or nothing where it cannot be."""
    columns = st.columns([2, 1, 2], vertical_alignment="bottom")
    draws = columns[0].selectbox(
        "Draws", DRAWS, index=DRAWS.index(FIRST_DRAWS), format_func=lambda n: f"{n:,}", key="risk:draws",
        help="Four times the draws halve the errors, and take four times as long.",
    )  # fmt: skip
    seed = columns[1].number_input(
        "Seed", 0, 2**31 - 1, 1, key="risk:seed", help="The same seed gives the same draws, to the last digit."
    )
    resize = columns[2].toggle(
        "Size every draw for itself", key="risk:resize",
        help="As if all were known when the plant is ordered. Otherwise it is held as ordered.",
    )  # fmt: skip
    found = passes.risk_of(state.case(), int(draws), int(seed), bool(resize))
    if isinstance(found, str):
        st.error(plain_text(found))
        return None
    if found.failed.all():
        return found, told_by(found)
    has = [key for key in METRICS if not (found.metrics[key].codes != 0).all()]
    shown = [key for key in has if key in known_metrics(found)] + [
        key for key in has if key not in known_metrics(found)
    ]
    metric = st.selectbox(
        "Figure", shown, index=shown.index(told_by(found)), key="risk:metric",
        format_func=lambda key: parts.option(key, METRICS[key].meaning),
    )  # fmt: skip
    return found, metric


def chances(shown: Sheet) -> None:
    """Chances as a list, which a narrow screen shows whole."""
    parts.section(chance_lines(shown))
    for note in shown.notes:
        st.caption(plain_text(note))


def fans(found: Risk) -> None:
    """The yearly columns that the case has, two beside each other."""
    pictures = [(COLUMNS[column], fan(found, column, st.session_state.system)) for column in COLUMNS]
    shown = [(title, picture) for title, picture in pictures if picture]
    for start in range(0, len(shown), 2):
        for place, (title, picture) in zip(st.columns(2, gap="large"), shown[start : start + 2], strict=False):
            with place:
                parts.chart(picture, title)

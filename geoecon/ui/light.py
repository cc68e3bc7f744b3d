"""The master light: whether the figures of a page agree with each other, a quiet line or a red bar."""

from html import escape

import streamlit as st
from streamlit.navigation.page import StreamlitPage

from geoecon.audit import Check
from geoecon.report.charts.frame import ALARM
from geoecon.report.checks import all_hold, sentence
from geoecon.ui import passes, state

BAR = (
    '<div role="alert" style="background:{color};color:#ffffff;padding:0.9rem 1.1rem;border-radius:0.2rem;'
    'font-size:1.05rem;font-weight:600;line-height:1.45">'
    '<span aria-hidden="true" style="font-size:1.3rem;margin-right:0.6rem">&#10006;</span>{words}</div>'
)


def above() -> None:
    """A red bar above the page where a check fails; nothing where all hold or the case cannot be worked out."""
    found = _found()
    if not all_hold(found):
        st.html(BAR.format(color=ALARM, words=escape(sentence(found))))


def below(listed: StreamlitPage) -> None:
    """A line below the page that says what the checks say and leads to their list."""
    found = _found()
    if found:
        sign, words = ("\u2713", sentence(found)) if all_hold(found) else ("\u2716", "Checks FAIL: see which.")
        st.page_link(listed, label=f"{sign} {words}", query_params=state.address())


def _found() -> list[Check]:
    return passes.checks_of(state.case())

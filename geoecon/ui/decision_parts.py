"""Pieces of the page on the decision."""

import streamlit as st

from geoecon.report.words import plain_text
from geoecon.studies.gates import Decision
from geoecon.ui import passes, state


def decision() -> Decision | None:
    """The decision on the current case, or nothing where there is none, with the reason shown."""
    found = passes.decision_on(state.case())
    if isinstance(found, str):
        st.error(plain_text(found))
        return None
    return found

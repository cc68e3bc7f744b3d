"""Pieces of the page of wells: the study of the current case, and its tables."""

import streamlit as st

from geoecon.report.drilling import heads, rows
from geoecon.report.words import plain_text
from geoecon.studies.drilling import Drilling
from geoecon.ui import passes, state
from geoecon.ui.ruled_parts import folding


def looked_at() -> Drilling | None:
    """The outcomes of drilling, or nothing where the case drills no well, which is said."""
    found = passes.drilling_of(state.case())
    if isinstance(found, str):
        st.info(plain_text(found))
        return None
    return found


def by_chance(found: Drilling) -> None:
    """Wells and money that are not exceeded with a chance."""
    st.subheader("Wells and money by chance", divider="gray", anchor=False)
    folding("Wells and money by chance", heads(found), rows(found))

"""Pieces of the page on the decision."""

import streamlit as st

from geoecon.errors import CaseError
from geoecon.report.words import plain_text
from geoecon.studies.gates import Decision, decide
from geoecon.ui import passes, state

DRAWS, SEED = 2_000, 1


def decision() -> Decision | None:
    """The decision on the current case, or nothing where there is none, with the reason shown."""
    case = state.case()
    study = passes.risk_of(case, DRAWS, SEED, False)
    try:
        if not isinstance(study, str):
            return decide(case, study)
        problem = study
    except CaseError as error:
        problem = error.faults[0].message
    st.error(plain_text(problem))
    return None

"""What a late start costs, as a block of a page."""

import streamlit as st

from geoecon.report.delay import SAYS, causes, delay_columns, heads, rows, verdict
from geoecon.report.words import plain_text
from geoecon.ui import parts, passes, state
from geoecon.ui.ruled_parts import folding


def late_start() -> None:
    """The current case at the usual delays: figures, cost by cause, and what falls due meanwhile."""
    st.subheader("What a late start costs", divider="gray", anchor=False)
    found = passes.delays_of(state.case())
    if isinstance(found, str):
        st.info(plain_text(found))
        return
    st.markdown(plain_text(verdict(found)))
    folding("Figures by how late it starts", heads(found), rows(found))
    st.caption(SAYS)
    parts.section(causes(found))
    parts.take_along("Late start (CSV)", delay_columns(found), "late-start.csv")

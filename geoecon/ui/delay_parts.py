"""What a late start costs, as a block of a page."""

import pandas as pd
import streamlit as st

from geoecon.report.delay import SAYS, causes, delay_columns, heads, rows, verdict
from geoecon.report.words import plain_text
from geoecon.ui import parts, passes, state


def late_start() -> None:
    """The current case at the usual delays: figures, cost by cause, and what falls due meanwhile."""
    st.subheader("What a late start costs", divider="gray", anchor=False)
    found = passes.delays_of(state.case())
    if isinstance(found, str):
        st.info(plain_text(found))
        return
    st.markdown(plain_text(verdict(found)))
    columns = heads(found)
    shown = pd.DataFrame(rows(found), columns=list(columns)).set_index(columns[0])
    right = {name: st.column_config.TextColumn(alignment="right") for name in columns[1:]}
    st.dataframe(shown, width="stretch", height=35 * (len(shown) + 1) + 3, column_config=right)
    st.caption(SAYS)
    parts.section(causes(found))
    parts.take_along("Late start (CSV)", delay_columns(found), "late-start.csv")

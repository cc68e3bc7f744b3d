"""Go, wait or stop: what was asked, what holds and how surely, what would turn it, and what to learn next."""

import streamlit as st

from geoecon.report.charts import criteria_bars
from geoecon.report.decision import sheets, verdict
from geoecon.report.words import plain_text
from geoecon.ui import decision_parts, parts

result = parts.current_result()
st.title(plain_text(result.name), anchor=False)
found = decision_parts.decision()
if found:
    st.markdown(f"#### {plain_text(verdict(found))}")
    parts.chart(criteria_bars(found), "How surely each criterion holds")
    for sheet in sheets(found, st.session_state.system):
        parts.sheet(sheet)

"""How many wells are drilled until enough are good, and what they cost together."""

import streamlit as st

from geoecon.report.charts.drilling import wells_by_chance
from geoecon.report.drilling import basis, drilling_columns, notes, verdict
from geoecon.report.words import plain_text
from geoecon.ui import drilling_parts, parts

result = parts.current_result()
st.title(plain_text(result.name), anchor=False)
found = drilling_parts.looked_at()
if found:
    st.markdown(f"#### {plain_text(verdict(found))}")
    st.caption(plain_text(basis(found)))
    drilling_parts.by_chance(found)
    parts.chart(wells_by_chance(found), "How many wells are enough")
    for note in notes(found):
        st.caption(plain_text(note))
    parts.take_along("Wells by chance (CSV)", drilling_columns(found), "wells.csv")
drilling_parts.one_well()

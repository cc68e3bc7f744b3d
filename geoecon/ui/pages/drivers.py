"""What drives the spread: how much of it each uncertain input explains, alone and with others."""

import streamlit as st

from geoecon.report.charts.indices import driver_dots
from geoecon.report.indices import indices_columns, notes, sentences, verdict
from geoecon.report.words import plain_text
from geoecon.ui import driver_parts, parts

result = parts.current_result()
st.title(plain_text(result.name), anchor=False)
found = driver_parts.choice()
st.markdown(f"#### {plain_text(verdict(found))}")
if found.indices.varies:
    parts.chart(driver_dots(found), "What drives the spread")
    parts.section(sentences(found))
st.subheader("Notes", divider="gray", anchor=False)
for note in notes(found):
    st.markdown(f"- {plain_text(note)}.")
parts.take_along("Shares (CSV)", indices_columns([found]), "indices.csv")

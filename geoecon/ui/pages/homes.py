"""What it means for the people nearby: homes as a range, and what stands behind it."""

import streamlit as st

from geoecon.report.answer import HOMES_MEAN, homes_worked, sections
from geoecon.report.words import homes, plain_text
from geoecon.ui import parts

result = parts.current_result()
st.title(plain_text(result.name), anchor=False)
low, high = result.value("homes_low"), result.value("homes_high")
st.markdown(f"#### Over a year it makes as much electricity as {plain_text(homes(low, high))} use")
st.markdown(f"That is {HOMES_MEAN}.")
for group in (homes_worked(result), *[g for g in sections(result) if g.title == "Local supply"]):
    parts.section(group)

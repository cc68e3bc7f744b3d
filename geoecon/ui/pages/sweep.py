"""What one input moves, or two together, everything else staying as it is."""

import streamlit as st

from geoecon.report.words import plain_text
from geoecon.ui import parts, sweep_parts

result = parts.current_result()
st.title(plain_text(result.name), anchor=False)
chosen = sweep_parts.choice()
if chosen:
    shown, table = chosen
    parts.chart(shown, "What it moves")
    parts.take_along("Sweep (CSV)", table, "sweep.csv")

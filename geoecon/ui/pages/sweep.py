"""What one input moves, everything else staying as it is."""

import streamlit as st

from geoecon.report import charts
from geoecon.report.sweeps import sweep_csv
from geoecon.report.words import plain_text
from geoecon.ui import parts

result = parts.current_result()
st.title(plain_text(result.name), anchor=False)
chosen = parts.sweep_choice()
if chosen:
    swept, metric = chosen
    shown = charts.sweep_line(swept, metric)
    parts.chart(shown, "What it moves")
    st.download_button("Sweep (CSV)", sweep_csv(swept), "sweep.csv", "text/csv")

"""What a lender would test: named stresses, each alone and all together, and where each breaks the case."""

import streamlit as st

from geoecon.report.charts.stresses import stress_dots
from geoecon.report.stresses import outcomes, stress_columns, verdict
from geoecon.report.words import plain_text
from geoecon.ui import delay_parts, parts, stress_parts

result = parts.current_result()
st.title(plain_text(result.name), anchor=False)
found = stress_parts.stressed()
st.markdown(f"#### {plain_text(verdict(found))}")
st.caption(
    "Wells and plant stay as they were bought; debt is its share of what is spent. Sizes are usual lenders' tests."
)
stress_parts.table(found)
parts.chart(stress_dots(found, stress_parts.figure(found)), "One figure under each stress")
parts.section(outcomes(found, st.session_state.system))
delay_parts.late_start()
parts.take_along("Stresses (CSV)", stress_columns(found), "stresses.csv")

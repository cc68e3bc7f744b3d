"""What the plant gives: by the air of each month, and by brine that cools over the years."""

import streamlit as st

from geoecon.report import charts, outputs
from geoecon.report.pumping import pumping_section
from geoecon.report.words import plain_text
from geoecon.ui import parts

result = parts.current_result()
st.title(plain_text(result.name), anchor=False)
system = st.session_state.system
parts.chart(charts.output_by_air(result, system), "Output by the air of the months")
parts.chart(charts.output_by_brine(result, system), "Output by the brine of the years")
for sheet in outputs.sheets(result, system):
    parts.sheet(sheet)
parts.section(pumping_section(result, system))
if result.outputs:
    left, right = st.columns(2)
    parts.take_along("By air (CSV)", outputs.air_columns(result), "output-by-air.csv", left)
    parts.take_along("By brine (CSV)", outputs.brine_columns(result), "output-by-brine.csv", right)

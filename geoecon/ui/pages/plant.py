"""What the plant gives: by the air of each month, and by brine that cools over the years."""

import streamlit as st

from geoecon.report import charts, outputs
from geoecon.report.tables import table_file
from geoecon.report.words import plain_text
from geoecon.ui import parts

result = parts.current_result()
st.title(plain_text(result.name), anchor=False)
system = st.session_state.system
parts.chart(charts.output_by_air(result, system), "Output by the air of the months")
parts.chart(charts.output_by_brine(result, system), "Output by the brine of the years")
for sheet in outputs.sheets(result, system):
    parts.sheet(sheet)
if result.outputs:
    left, right = st.columns(2)
    air, brine = (table_file(columns(result), "csv") for columns in (outputs.air_columns, outputs.brine_columns))
    left.download_button("By air (CSV)", air, "output-by-air.csv", "text/csv", width="stretch")
    right.download_button("By brine (CSV)", brine, "output-by-brine.csv", "text/csv", width="stretch")

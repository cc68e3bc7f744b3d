"""How many MW to install on this field: cost and value by the size of the unit."""

import streamlit as st

from geoecon.report.charts.sizes import cost_by_size, value_by_size
from geoecon.report.sizes import STAYS, growth, size_columns, verdict
from geoecon.report.words import plain_text
from geoecon.ui import parts, size_parts

result = parts.current_result()
st.title(plain_text(result.name), anchor=False)
found = size_parts.looked_at()
if found:
    st.markdown(f"#### {plain_text(verdict(found))}")
    st.caption(plain_text(f"{growth(found)} {STAYS}"))
    parts.chart(cost_by_size(found), "Cost by size")
    parts.chart(value_by_size(found), "Value by size")
    size_parts.table(found)
    parts.take_along("Sizes (CSV)", size_columns(found), "sizes.csv")

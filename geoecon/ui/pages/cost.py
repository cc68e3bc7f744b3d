"""What one MWh costs, part by part, and how the ways of levelizing it follow from one another."""

import streamlit as st

from geoecon.report import charts
from geoecon.report import stack as words
from geoecon.report.words import plain_text
from geoecon.ui import parts

MONEY = {"real": "Price-year money", "nominal": "One nominal price"}

result = parts.current_result()
st.title(plain_text(result.name), anchor=False)
of = st.radio("Money", list(MONEY), format_func=MONEY.__getitem__, horizontal=True, key="cost:money")
st.markdown(f"#### {plain_text(words.verdict(result, of))}")
parts.chart(charts.cost_steps(result, of), "From the first part to the price required")
for sheet in words.sheets(result, of):
    parts.sheet(sheet)
parts.take_along("Parts (CSV)", words.stack_columns(result), "stack.csv")

"""Debt and tax: what is borrowed and how surely it is served, which rules of tax hold and what they take."""

import streamlit as st

from geoecon.report.charts.cover import cover_lines
from geoecon.report.financing import (
    cover_table,
    debt_figures,
    financing_columns,
    has_debt,
    has_tax,
    tax_figures,
    tax_years,
)
from geoecon.report.words import plain_text
from geoecon.ui import parts
from geoecon.ui.ruled_parts import ruled

result = parts.current_result()
st.title(plain_text(result.name), anchor=False)
left, right = st.columns(2, gap="large")
with left:
    parts.section(debt_figures(result))
with right:
    parts.section(tax_figures(result))
if has_debt(result):
    parts.chart(cover_lines(result), "How well the debt is covered")
    ruled(cover_table(result))
if has_tax(result):
    ruled(tax_years(result).shown())
parts.take_along("Debt and tax by year (CSV)", financing_columns(result), "debt-and-tax.csv")

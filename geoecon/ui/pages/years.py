"""Output and cash over the life."""

import streamlit as st

from geoecon.report import charts
from geoecon.report.price_readings import price_readings
from geoecon.report.recipients import recipients
from geoecon.report.words import plain_text
from geoecon.ui import parts

result = parts.current_result()
st.title(plain_text(result.name), anchor=False)
left, right = st.columns(2, gap="large")
with left:
    parts.chart(charts.yearly_energy(result), "Energy by year")
    parts.chart(charts.cash_flow(result), "Cash flow of the project")
with right:
    parts.chart(charts.monthly_energy(result), "Energy by month")
    parts.chart(charts.cash_flow(result, of_owner=True), "Cash flow to the owner")
parts.chart(charts.brine_temperature(result), "Brine at the plant inlet by year")
parts.chart(charts.ledger(result), "Where the energy of year 1 goes")
for group in (*recipients(result), *price_readings(result)):
    parts.section(group)

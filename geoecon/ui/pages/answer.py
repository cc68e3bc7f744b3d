"""What it comes to: the one-screen answer, and files to take along."""

import streamlit as st

from geoecon.report.answer import notes, sections, statement
from geoecon.report.files import result_files
from geoecon.report.verdict import verdict
from geoecon.report.words import plain_text
from geoecon.ui import parts, state

result = parts.current_result()
st.title(plain_text(result.name), anchor=False)
st.markdown(f"#### {plain_text(verdict(result))}")
left, right = st.columns(2, gap="large")
for group in sections(result, st.session_state.system):
    with right if group.title in {"Cost", "Value"} else left:
        parts.section(group)
st.subheader("Notes", divider="gray", anchor=False)
for note in notes(result):
    st.markdown(f"- {plain_text(note)}")
st.subheader("Yearly statement, nominal", divider="gray", anchor=False)
parts.statement(statement(result, every_year=True))
st.subheader("Take it along", divider="gray", anchor=False)
files = result_files(result)
case_file, json, annual, energy = st.columns(4)
case_file.download_button("Case (TOML)", state.case().to_toml(), "case.toml", "application/toml", width="stretch")
json.download_button("Result (JSON)", files["result.json"], "result.json", "application/json", width="stretch")
annual.download_button("Years (CSV)", files["annual.csv"], "annual.csv", "text/csv", width="stretch")
energy.download_button("Ledger (CSV)", files["ledger.csv"], "ledger.csv", "text/csv", width="stretch")

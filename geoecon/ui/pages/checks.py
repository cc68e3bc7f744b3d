"""Whether the figures agree with each other: every check, how far it is off, and how far it may be."""

import streamlit as st

from geoecon.report.checks import check_columns, check_table, sentence
from geoecon.report.tables import table_file
from geoecon.report.words import plain_text
from geoecon.ui import parts, passes, state
from geoecon.ui.ruled_parts import ruled

result = parts.current_result()
st.title(plain_text(result.name), anchor=False)
found = passes.checks_of(state.case())
st.markdown(f"#### {plain_text(sentence(found))}")
ruled(check_table(found))
st.download_button("Checks (CSV)", table_file(check_columns(found), "csv"), "checks.csv", "text/csv")

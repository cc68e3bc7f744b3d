"""The books: where the money comes from and goes, the statement by section, the cash waterfall, the balance sheet."""

import streamlit as st

from geoecon.report.books import FOOTED, ledgers, sources_and_uses, sources_columns
from geoecon.report.words import plain_text
from geoecon.ui import parts
from geoecon.ui.ruled_parts import ruled

result = parts.current_result()
st.title(plain_text(result.name), anchor=False)
st.subheader("Sources and uses", divider="gray", anchor=False)
for place, table in zip(st.columns(2, gap="large"), sources_and_uses(result), strict=True):
    with place:
        ruled(table, title=False, full=True)
st.caption(f"In whole {result.currency}, nominal, {FOOTED}.")
shown = ledgers(result)
for ledger in shown.values():
    ruled(ledger.shown())
st.subheader("Take it along", divider="gray", anchor=False)
files = {"sources-and-uses": ("Sources and uses", sources_columns(result))}
files |= {name: (ledger.title, ledger.columns) for name, ledger in shown.items()}
for place, (name, (title, columns)) in zip(st.columns(len(files)), files.items(), strict=True):
    parts.take_along(f"{title} (CSV)", columns, f"{name}.csv", place)

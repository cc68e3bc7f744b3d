"""What is known of site and project, grouped as a person thinks of it."""

import streamlit as st

from geoecon.report.words import plain_text
from geoecon.ui import input_parts, parts, state

case = state.case()
st.title(plain_text(case.project.name), anchor=False)
st.markdown(plain_text(case.project.summary))
st.caption(
    "Write a number with its unit; any unit of the field will do. Empty fields are not stated by the case; emptying one takes "
    "it out. What only goes together is taken over once all of it stands, in whichever order it is written."
)
shown: set[str] = set()
for column, groups in zip(st.columns(2, gap="large"), input_parts.COLUMNS, strict=True):
    with column:
        for name in groups:
            st.subheader(name, divider="gray", anchor=False)
            for path, label in input_parts.fields_shown(name).items():
                parts.field(path, label)
                shown.add(path)
st.subheader("Any other input", divider="gray", anchor=False)
paths = parts.other_paths(shown)
find, whole = st.columns([2, 1], gap="large")
chosen = find.selectbox(
    "Find it by its words", list(paths), index=None, format_func=lambda path: paths[path], key="other",
    placeholder="type a word, such as royalty or pinch",
)  # fmt: skip
tables = parts.tables_with(paths)
table = whole.selectbox(
    "Or see a whole table", list(tables), index=None, key="table", placeholder="such as finance or tax",
    format_func=lambda name: f"{name}, {len(tables[name])} more fields",
)  # fmt: skip
if chosen:
    parts.field(chosen, chosen)
if table:
    parts.fields_of(table, [path for path in tables[table] if path != chosen])
st.caption(
    "How sure a number is (uncertainty), criteria of a decision, and notes stand in the case file, which the page of the "
    "answer has to take along."
)

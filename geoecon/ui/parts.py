"""Pieces of pages: fields made from the schema, sections of an answer, charts with their sentences."""

from collections.abc import Iterable, Mapping

import streamlit as st
from streamlit.delta_generator import DeltaGenerator

from geoecon.case.fields import about
from geoecon.case.schema import TABLES
from geoecon.errors import CaseError
from geoecon.report.answer import StatementTable
from geoecon.report.charts import Chart
from geoecon.report.checks import alarm
from geoecon.report.lines import Line, Section
from geoecon.report.ruled import LINE, Ruled
from geoecon.report.sheets import Sheet
from geoecon.report.tables import Column, table_file
from geoecon.report.words import plain_text
from geoecon.result import Result
from geoecon.ui import passes, state
from geoecon.ui.ruled_parts import folding, ruled

SWITCH = ("false", "true")


def field(path: str, label: str) -> None:
    """One field of the case: text with its unit, or a choice; help from the schema, the reason beside it if refused."""
    table, _, leaf = path.partition(".")
    described = about(TABLES[table], leaf)
    key = state.draw_field(path)
    options = SWITCH if described.form == "switch" else described.options or described.known
    stands = TABLES[table].model_fields[leaf]
    if not stands.is_required() and stands.default is None:  # it may be left out, or taken out
        options = ("", *options)
    if st.session_state[key] in options and described.form in {"choice", "switch"}:
        st.selectbox(label, options, key=key, help=described.help)
    else:
        st.text_input(label, key=key, help=described.help)
    if path in st.session_state.rejected:
        st.error(plain_text(f"Not taken over: {st.session_state.rejected[path][1]}"))


def current_result() -> Result:
    """The result of the current case; a page without one says why and stops."""
    found = passes.result_of(state.case())
    if isinstance(found, CaseError):
        for fault in found.faults:
            st.error(plain_text(f"{fault.path}: {fault.message}"))
        st.stop()
    return found


def section(group: Section) -> None:
    """A section of the answer as an aligned list: label, figure, and what makes it exact."""
    if not group.lines:
        return
    st.subheader(group.title, divider="gray", anchor=False)
    for line in group.lines:
        name, figure = st.columns([1, 2], gap="xsmall")  # on a narrow screen the figure stands close below its name
        if line.label:
            name.markdown(plain_text(line.label))
        basis = f"  \n:gray[{plain_text(line.basis)}]" if line.basis else ""
        figure.markdown(f"**{plain_text(line.value)}**{basis}")


def chart(shown: Chart, title: str) -> None:
    """A chart under its title, with the sentence that says what it shows and the numbers behind it."""
    st.subheader(title, divider="gray", anchor=False)
    if shown.picture is None:
        st.markdown(plain_text(shown.sentence))
        return
    st.altair_chart(shown.picture, width="stretch", theme=None)
    st.markdown(plain_text(shown.sentence))
    with st.expander("The numbers"):
        first = {name: st.column_config.Column(pinned=True) for name in shown.data.columns[:1]}
        st.dataframe(shown.data, hide_index=True, width="stretch", column_config=first)


def other_paths(shown: set[str]) -> dict[str, str]:
    """Path -> words by which it is found, for every field of the schema that is not shown already."""
    paths = ((f"{table}.{leaf}", about(model, leaf)) for table, model in TABLES.items() for leaf in model.model_fields)
    return {path: option(path, described.help) for path, described in paths if path not in shown}


def tables_with(paths: Iterable[str]) -> dict[str, list[str]]:
    """Table of the schema -> those of the paths that stand in it, in the order of the schema."""
    found: dict[str, list[str]] = {}
    for path in paths:
        found.setdefault(path.partition(".")[0], []).append(path)
    return found


def fields_of(table: str, paths: list[str]) -> None:
    """The fields of a table in two columns, read down the first and then the second."""
    st.markdown(f"**{table}** :gray[a list is written in brackets, a table of accounts in braces]")
    half = (len(paths) + 1) // 2
    for place, part in zip(st.columns(2, gap="large"), (paths[:half], paths[half:]), strict=True):
        with place:
            for path in part:
                field(path, plain_label(path))


def plain_label(path: str) -> str:
    """The name of a field as a label where no other words are at hand."""
    words = path.partition(".")[2].replace("_", " ")
    return f"{words[:1].upper()}{words[1:]}"


def option(name: str, meaning: str) -> str:
    """A name with its meaning as an entry of a list, which knows no Markdown."""
    return f"{name}: {meaning.replace('`', '')}"


def statement(shown: StatementTable) -> None:
    """The statement with a line per row and a year per column, its texts as they are printed elsewhere."""
    rows = tuple((LINE, (f"{label} [{unit}]" if unit else label, *cells)) for label, unit, cells in shown.rows)
    ruled(Ruled("Yearly statement", ("", *(f"year {year}" for year in shown.years)), rows), title=False)


def take_along(label: str, columns: Mapping[str, Column], name: str, place: DeltaGenerator | None = None) -> None:
    """A button under which a table is taken along as CSV; where a check of the case fails, the table says so too."""
    data = table_file(columns, "csv", alarm(passes.checks_of(state.case())))
    (place or st).download_button(label, data, name, "text/csv", width="content" if place is None else "stretch")


def sheet(shown: Sheet) -> None:
    """A small table of texts under its title, with its notes below; words as a list, which a narrow screen shows whole."""
    if shown.words:
        section(Section(shown.title, tuple(Line(*row) for row in shown.rows)))
    else:
        st.subheader(plain_text(shown.title), divider="gray", anchor=False)
    if shown.rows and not shown.words:
        folding(shown.title, shown.heads, shown.rows)
    for note in shown.notes:
        st.caption(plain_text(note))

"""The frame around every page: which case, which units, what was changed, and the way to the pages."""

from pathlib import Path

import streamlit as st
from streamlit.navigation.page import StreamlitPage

from geoecon import shipped_cases
from geoecon.case import Case
from geoecon.errors import CaseError
from geoecon.report.answer import CAUTION
from geoecon.report.words import plain_text
from geoecon.ui import state
from geoecon.units import SYSTEMS

PAGES = Path(__file__).parent / "pages"
ENTRIES = (
    ("inputs", "Inputs", "What is known"),
    ("answer", "Answer", "What it comes to"),
    ("years", "Years", "Output and cash over the life"),
    ("sweep", "Sweep", "What one input moves"),
    ("drivers", "Drivers", "What drives the spread"),
    ("stress", "Stress", "What a lender would test"),
    ("homes", "Homes", "What it means nearby"),
)
UPLOAD = "a file of mine"


def show() -> None:
    """Draw the frame and the page that the address names."""
    st.set_page_config(page_title="geoecon", layout="wide")
    state.sync()
    pages = [
        st.Page(PAGES / f"{name}.py", title=title, url_path=name, default=name == "inputs")
        for name, title, _ in ENTRIES
    ]
    chosen = st.navigation(pages, position="hidden")
    _side_bar(pages)
    for words in st.session_state.dropped:
        st.warning(plain_text(f"Not taken over from the address: {words}"))
    chosen.run()
    st.caption(CAUTION)


def _side_bar(pages: list[StreamlitPage]) -> None:
    with st.sidebar:
        st.markdown("### geoecon")
        st.caption("Is a small geothermal unit worth building, for whom, and what would change the answer?")
        for page, (_, title, what) in zip(pages, ENTRIES, strict=True):
            st.page_link(page, label=title, help=what, query_params=state.address())
        st.divider()
        _case_picker()
        st.radio(
            "Units", SYSTEMS, index=SYSTEMS.index(st.session_state.system), key="units", on_change=_units_changed,
            help="As written: each field as the file has it. What you type may be in any unit of the field.",
        )  # fmt: skip
        _edits()


def _units_changed() -> None:
    state.choose_units(st.session_state.units)


def _case_picker() -> None:
    names = [*shipped_cases(), UPLOAD]
    current = st.session_state.case_name
    by_file = st.session_state.get("wants_file", False) or current not in names
    st.session_state.picked = UPLOAD if by_file else current
    st.selectbox("Case", names, key="picked", on_change=_picked, help="Examples are invented places and owners.")
    if by_file:
        st.file_uploader("Case file (TOML)", type="toml", key="file", on_change=_uploaded)
    for fault in st.session_state.get("upload_faults", []):
        st.error(plain_text(fault))


def _picked() -> None:
    st.session_state.upload_faults = []
    st.session_state.wants_file = st.session_state.picked == UPLOAD
    if not st.session_state.wants_file:
        state.choose(st.session_state.picked)


def _uploaded() -> None:
    file = st.session_state.file
    if file is None:
        return
    try:
        text = file.getvalue().decode("utf-8").removeprefix("\ufeff")
        Case.read(text, file.name)
    except UnicodeDecodeError:
        st.session_state.upload_faults = [f"{file.name} is not UTF-8 text"]
    except CaseError as error:
        st.session_state.upload_faults = [str(fault) for fault in error.faults]
    else:
        st.session_state.upload_faults, st.session_state.wants_file = [], False
        state.choose(state.keep_upload(text))


def _edits() -> None:
    edits = st.session_state.edits
    if not edits:
        return
    st.divider()
    st.markdown(f"**Changed:** {len(edits)}")
    for path, text in edits.items():
        st.caption(plain_text(f"{path} = {text}"))
    st.button("Take all back", on_click=state.forget, help="The browser's back button takes the last one back.")

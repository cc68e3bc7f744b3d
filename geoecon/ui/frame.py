"""The frame around every page: which case, which units, what was changed, and the way to the pages."""

from pathlib import Path

import streamlit as st
from streamlit.navigation.page import StreamlitPage

from geoecon import shipped_cases
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
    ("homes", "Homes", "What it means nearby"),
)


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
            "Units", SYSTEMS, key=state.draw("units", st.session_state.system),
            help="As written: each field as the file has it. What you type may be in any unit of the field.",
        )  # fmt: skip
        _edits()


def _case_picker() -> None:
    picked = state.picked()
    st.selectbox(
        "Case", [*shipped_cases(), state.UPLOAD], key=state.draw("picked", picked),
        help="Examples are invented places and owners.",
    )  # fmt: skip
    if picked == state.UPLOAD:
        st.file_uploader("Case file (TOML)", type="toml", key=state.draw("file", st.session_state.get("file")))
    for fault in st.session_state.upload_faults:
        st.error(plain_text(fault))


def _edits() -> None:
    edits = st.session_state.edits
    if not edits:
        return
    st.divider()
    st.markdown(f"**Changed:** {len(edits)}")
    for path, text in edits.items():
        st.caption(plain_text(f"{path} = {text}"))
    st.button("Take all back", on_click=state.forget, help="The browser's back button takes the last one back.")

"""The frame around every page: which case, which units, what was changed, and the way to the pages."""

from pathlib import Path

import streamlit as st
from streamlit.navigation.page import StreamlitPage

from geoecon import shipped_cases
from geoecon.report.answer import CAUTION
from geoecon.report.words import plain_text
from geoecon.ui import light, state
from geoecon.units import SYSTEMS

PAGES = Path(__file__).parent / "pages"
ENTRIES = {
    "inputs": "Inputs",
    "answer": "Answer",
    "years": "Years",
    "plant": "Plant",
    "cost": "Cost of a MWh",
    "books": "Books",
    "financing": "Debt and tax",
    "homes": "Homes",
    "wells": "Wells",
    "size": "How large",
    "sweep": "Sweep",
    "tornado": "What moves it",
    "breakeven": "Break-even",
    "stress": "Stress",
    "risk": "How sure it is",
    "drivers": "Drivers",
    "decision": "Go, wait or stop",
    "checks": "Checks",
    "screen": "Screen a site",
}


def show() -> None:
    """Draw the frame and the page that the address names; without a name it is the first."""
    st.set_page_config(page_title="geoecon", layout="wide")
    state.sync()
    pages = [st.Page(PAGES / f"{name}.py", title=title, url_path=name) for name, title in ENTRIES.items()]
    # The framework never serves a default page under its own name, so the first page stands at two addresses.
    first = st.Page(PAGES / "inputs.py", title="Inputs", url_path="first", default=True)
    chosen = st.navigation([first, *pages], position="hidden")
    _side_bar(chosen, pages)
    for words in st.session_state.dropped:
        st.warning(plain_text(f"Not taken over from the address: {words}"))
    st.markdown(f"**:gray[{chosen.title}]**")  # a narrow screen hides the list in which the page is marked
    light.above()
    chosen.run()
    light.below(pages[list(ENTRIES).index("checks")])
    st.caption(CAUTION)


def _side_bar(chosen: StreamlitPage, pages: list[StreamlitPage]) -> None:
    with st.sidebar:
        st.markdown("### geoecon")
        st.caption("Is a small geothermal unit worth building, for whom, and what would change the answer?")
        _case_picker()
        st.radio(
            "Units", SYSTEMS, key=state.draw("units", st.session_state.system),
            help="As written: each field as the file has it. What you type may be in any unit of the field.",
        )  # fmt: skip
        st.divider()
        for page in pages:
            here = page.title == chosen.title  # so the link is marked at either address of the first page
            st.page_link(chosen if here else page, label=page.title, query_params=state.address())
        _edits()


def _case_picker() -> None:
    picked = state.picked()
    st.selectbox(
        "Case", [*shipped_cases(), state.UPLOAD], key=state.draw("picked", picked),
        help="Examples are invented places and owners.",
    )  # fmt: skip
    if picked == state.UPLOAD:
        st.file_uploader(
            "Case file (TOML), with tables that it names (CSV)", type=["toml", "csv"], accept_multiple_files=True,
            key=state.draw("file", st.session_state.get("file")),
        )  # fmt: skip
    for fault in st.session_state.upload_faults:
        st.error(plain_text(fault))


def _edits() -> None:
    edits = st.session_state.edits
    if not edits:
        return
    st.divider()
    st.markdown(f"**Changed:** {len(edits)}")
    for path, text in edits.items():
        st.caption(plain_text(f"{path} = {text.strip() or 'nothing'}"))
    st.button("Take all back", on_click=state.forget, help="The browser's back button takes the last one back.")

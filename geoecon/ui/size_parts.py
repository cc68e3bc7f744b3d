"""Pieces of the page of sizes: the range that is asked, and the table."""

import streamlit as st

from geoecon.case import Case
from geoecon.report.sizes import FIGURES, rows
from geoecon.report.words import plain_text
from geoecon.result import METRICS
from geoecon.studies.sizes import CAPACITY, USUAL, Sizes
from geoecon.ui import passes, state
from geoecon.ui.ruled_parts import folding


def looked_at() -> Sizes | None:
    """Ask for a range; the sizes in it, or nothing where the case says nothing of them."""
    case = state.case()
    found = passes.sizes_between(case, *_range(case))
    if isinstance(found, str):
        st.info(plain_text(found))
        return None
    return found


def _range(case: Case) -> tuple[str | None, str | None]:
    """The smallest and the largest size as texts with units; none where the case states no size to begin with."""
    chosen = passes.inputs(case).get(CAPACITY)
    if chosen is None:
        return None, None
    usual = [
        passes.as_text(chosen, part * chosen.value, case.money.currency, st.session_state.system) for part in USUAL
    ]
    low, high = st.columns(2)
    return low.text_input("Smallest", usual[0], key=f"size:low:{usual[0]}"), high.text_input(
        "Largest", usual[1], key=f"size:high:{usual[1]}"
    )


def table(found: Sizes) -> None:
    """A row per size and a column per figure, each with its unit."""
    heads, of_unit, *body = rows(found)
    names = ["what it is", *(f"{head} {unit}" for head, unit in zip(heads[1:], of_unit[1:], strict=True))]
    told = {name: METRICS[key].meaning for name, key in zip(names[2:], FIGURES, strict=True)}
    folding("Figures by size", [names[1], names[0], *names[2:]], ((row[1], row[0], *row[2:]) for row in body), told)

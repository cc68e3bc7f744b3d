"""Pieces of the page of wells: how many the current case drills, and what one of them costs."""

import streamlit as st

from geoecon.report import well_costs
from geoecon.report.charts.well_costs import cost_by_depth
from geoecon.report.drilling import heads, rows
from geoecon.report.words import plain_text
from geoecon.studies.drilling import Drilling
from geoecon.ui import parts, passes, state
from geoecon.ui.ruled_parts import folding


def looked_at() -> Drilling | None:
    """The outcomes of drilling, or nothing where the case drills no well, which is said."""
    found = passes.drilling_of(state.case())
    if isinstance(found, str):
        st.info(plain_text(found))
        return None
    return found


def by_chance(found: Drilling) -> None:
    """Wells and money that are not exceeded with a chance."""
    st.subheader("Wells and money by chance", divider="gray", anchor=False)
    folding("Wells and money by chance", heads(found), rows(found))


def one_well() -> None:
    """What one well costs beside published curves, or why that cannot be said."""
    st.subheader("What one well costs", divider="gray", anchor=False)
    found = passes.well_costs_of(state.case())
    if isinstance(found, str):
        st.info(plain_text(found))
        return
    st.markdown(plain_text(well_costs.verdict(found)))
    if not found.compared:
        return
    parts.chart(cost_by_depth(found), "Cost of one well by depth")
    names, units, *curves = well_costs.rows(found)
    folding(
        "One well by each curve", [f"{name} {unit}".strip() for name, unit in zip(names, units, strict=True)], curves
    )
    if built := well_costs.part_rows(found):
        folding("What it is built up of", built[0], built[1:])
    st.caption(plain_text(f"Money of {found.price_year}. {well_costs.CURVES_MOVED}"))
    parts.take_along("One well by depth (CSV)", well_costs.cost_columns(found), "one-well.csv")

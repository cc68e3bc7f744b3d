"""Does a place qualify: what is known of it, what that comes to with ranges, and what to measure next."""

import streamlit as st

from geoecon.report import screen as words
from geoecon.report.charts.screen import geothermometer_dots, temperature_at_depth
from geoecon.report.words import plain_text
from geoecon.ui import parts, site_parts

title = st.empty()
found = site_parts.screened()
title.title(plain_text(found.site.place.name), anchor=False)
system = st.session_state.system
st.markdown(plain_text(found.site.place.summary))
st.markdown(f"#### {plain_text(words.verdict(found))}")
st.caption(plain_text(words.how_made(found)))
parts.sheet(words.criteria(found))
parts.sheet(words.next_steps(found))
parts.sheet(words.figures(found, system))
left, right = st.columns(2, gap="large")
with left:
    parts.chart(temperature_at_depth(found, system), "Temperature at depth")
dots = geothermometer_dots(found, system)
with right:
    if dots:
        parts.chart(dots, "Geothermometers")
    else:
        st.subheader("Geothermometers", divider="gray", anchor=False)
        st.markdown("No analysis is stated. That of the hottest water is the cheapest look below ground.")
for sheet in site_parts.more(found, system):
    parts.sheet(sheet)
site_parts.downloads(found)

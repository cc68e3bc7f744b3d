"""How sure the answer is: every figure over many draws of what is unsure, the plant held as ordered."""

import streamlit as st

from geoecon.report import risk as words
from geoecon.report.charts.risk import exceedance, tenth_dots
from geoecon.report.words import plain_text
from geoecon.ui import parts, risk_parts

result = parts.current_result()
st.title(plain_text(result.name), anchor=False)
chosen = risk_parts.choice()
if chosen:
    found, metric = chosen
    st.markdown(f"#### {plain_text(words.verdict(found))}")
    st.caption(plain_text(words.how_made(found)))
    if not found.failed.all():
        risk_parts.chances(words.chances(found))
        left, right = st.columns(2, gap="large")
        with left:
            parts.chart(exceedance(found, metric), "With which chance")
        with right:
            parts.chart(tenth_dots(found, metric), "What the worst tenth have in common")
        parts.sheet(words.figures(found, words.known_metrics(found)))
        parts.sheet(words.bad_tenth(found, metric, st.session_state.system))
        risk_parts.fans(found)
        if found.rolled:
            parts.sheet(words.rolled_up(found, st.session_state.system))
        parts.sheet(words.unsure(found, st.session_state.system))

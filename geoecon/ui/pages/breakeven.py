"""What would have to be otherwise for a target to be met."""

import streamlit as st

from geoecon.report.words import plain_text
from geoecon.ui import breakeven_parts, parts, state

result = parts.current_result()
st.title(plain_text(result.name), anchor=False)
asked, hold = breakeven_parts.target_choice(state.case(), result)
view = st.radio(
    "Show", list(breakeven_parts.VIEWS), horizontal=True, key="breakeven:view", label_visibility="collapsed"
)
breakeven_parts.VIEWS[view](state.case(), asked, hold, st.session_state.system)

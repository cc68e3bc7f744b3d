"""Debt and tax."""

import streamlit as st

from geoecon.report.words import plain_text
from geoecon.ui import parts

result = parts.current_result()
st.title(plain_text(result.name), anchor=False)

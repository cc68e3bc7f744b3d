"""The pages: `streamlit run app.py`, or `geoecon app` from anywhere."""

from geoecon.ui.frame import show

show()

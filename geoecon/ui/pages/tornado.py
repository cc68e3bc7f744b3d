"""Which unsure input moves the answer most, one at a time."""

import streamlit as st

from geoecon.report import charts
from geoecon.report.tornado import study_columns
from geoecon.report.words import plain_text
from geoecon.ui import parts, tornado_parts

result = parts.current_result()
st.title(plain_text(result.name), anchor=False)
chosen = tornado_parts.choice()
if chosen:
    ends, ranges, metric = chosen
    parts.chart(charts.tornado_bars(ends, metric, st.session_state.system), "What moves it most")
    parts.chart(charts.spider_lines(ranges, metric, st.session_state.system), "Over the whole range of each")
    tornado_parts.where_from(ends)
    left, right = st.columns(2)
    parts.take_along("Lows and highs (CSV)", study_columns(ends), "tornado.csv", left)
    parts.take_along("Whole ranges (CSV)", study_columns(ranges), "ranges.csv", right)

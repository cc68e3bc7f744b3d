"""Which unsure input moves the answer most, one at a time."""

import streamlit as st

from geoecon.report import charts
from geoecon.report.tornado import study_csv
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
    left.download_button("Lows and highs (CSV)", study_csv(ends), "tornado.csv", "text/csv", width="stretch")
    right.download_button("Whole ranges (CSV)", study_csv(ranges), "ranges.csv", "text/csv", width="stretch")

"""The chart of what drives a spread: the share of each input, alone and with all it takes part in."""

import altair as alt
import pandas as pd

from geoecon.report.charts.frame import EARTH, WATER, Chart, dressed
from geoecon.report.indices import Drivers, spread, verdict

ALONE, PART = "alone", "with all it takes part in"
ROW = 38


def driver_dots(found: Drivers) -> Chart:
    """Two marks an input, each with the range of 9 in 10 resamplings; the input that takes part in most on top."""
    indices = found.indices
    kinds = ((ALONE, indices.first, indices.first_range), (PART, indices.total, indices.total_range))
    data = pd.DataFrame(
        [
            {
                "input": name,
                "share of": kind,
                "%": values[n] * 100,
                "low": ranges[0, n] * 100,
                "high": ranges[1, n] * 100,
            }
            for n, name in zip(found.order, found.names, strict=True)
            for kind, values, ranges in kinds
        ]
    )
    y = alt.Y("input:N", sort=None, title=None, axis=alt.Axis(labelLimit=200, labelOverlap=False))
    within = alt.YOffset("share of:N", sort=[ALONE, PART])
    title = "share of the spread [%]"
    colour = alt.Color("share of:N", scale=alt.Scale(domain=[ALONE, PART], range=[WATER, EARTH]))
    shape = alt.Shape("share of:N", scale=alt.Scale(domain=[ALONE, PART], range=["circle", "diamond"]))
    tips = ["input:N", "share of:N", *(alt.Tooltip(f"{key}:Q", format=".1f") for key in ("%", "low", "high"))]
    picture = alt.Chart(data).mark_rule(strokeWidth=2).encode(
        y=y, yOffset=within, x=alt.X("low:Q", title=title), x2="high:Q", color=colour
    ) + alt.Chart(data).mark_point(filled=True, size=70, opacity=1).encode(
        y=y, yOffset=within, x=alt.X("%:Q", title=title), color=colour, shape=shape, tooltip=tips
    )  # fmt: skip
    return Chart(dressed(picture, height=ROW * len(found.names)), _sentence(found), data)


def _sentence(found: Drivers) -> str:
    if not found.indices.varies:
        return verdict(found)
    return (
        f"Shares of the spread of {found.metric}, which has a standard deviation of {spread(found)}. Circles are what an input "
        "explains alone, diamonds all it takes part in; a line spans 9 in 10 resamplings of the draws."
    )

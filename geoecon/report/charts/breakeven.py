"""The chart of needs: every input on an axis of its own chances."""

from collections.abc import Iterator

import altair as alt
import numpy as np
import pandas as pd

from geoecon.report.breakeven import likeliest, ranked, rows
from geoecon.report.charts.frame import AROUND, EARTH, INK, ROW, SAND, Chart, dressed
from geoecon.report.inputs import value_text
from geoecon.studies.breakeven import Breakeven
from geoecon.units import SYSTEMS

BASE, NEEDED, LOST = "as it is", "would have to be", "may go to"
LABELS = 210
STROKE = "M-0.15,-1H0.15V1H-0.15Z"  # an upright bar, as a shape


def breakeven_bars(found: Breakeven, system: str = SYSTEMS[0]) -> Chart:
    """Each uncertain input on an axis of its own chances: its range, the case's value, the value needed."""
    data = pd.DataFrame(_bars(found, system), columns=["input", "from", "to", "range", "now", "needed", "needs"])
    y = alt.Y("input:N", sort=None, title=None, axis=alt.Axis(labelLimit=LABELS, labelOverlap=False))
    title, needs = "chance of being at or below [%]", LOST if found.met else NEEDED
    scale, axis = alt.Scale(domain=[-2, 102], nice=False), alt.Axis(values=[0, 10, 50, 90, 100])
    x = alt.X("from:Q", title=title, scale=scale, axis=axis)
    tips = [
        alt.Tooltip("input:N"),
        alt.Tooltip("range:N", title="8 chances in 10"),
        alt.Tooltip("needs:N", title=needs),
    ]
    bars = alt.Chart(data).mark_bar(height={"band": 0.45}, color=SAND).encode(y=y, x=x, x2="to:Q", tooltip=tips)
    marks = data.melt(["input", "needs", "range"], ["now", "needed"], "what", "chance").dropna(subset=["chance"])
    marks["what"] = marks["what"].map({"now": BASE, "needed": needs})
    domain = [BASE, needs]
    points = alt.Chart(marks).mark_point(filled=True, opacity=1, size=110).encode(
        y=y, x=alt.X("chance:Q", title=title), tooltip=tips,
        shape=alt.Shape("what:N", scale=alt.Scale(domain=domain, range=[STROKE, "diamond"]), title=None),
        color=alt.Color("what:N", scale=alt.Scale(domain=domain, range=[INK, EARTH]), title=None),
    )  # fmt: skip
    picture = alt.layer(bars, points)
    sentence = (
        "A bar is the range that holds 8 chances in 10 of an input, the upright stroke the case's own value, the diamond "
        f"the value at which the target is {'lost' if found.met else 'met'}; one without a diamond does not do that alone. "
        f"{likeliest(found, system)}"
    )
    return Chart(dressed(picture, height=ROW * len(data) + AROUND), sentence, data)


def _bars(found: Breakeven, system: str) -> Iterator[tuple[str, float, float, str, float, float, str]]:
    for need, row in zip(ranked(found), rows(found, system), strict=True):
        if need.chances is None:
            continue
        ends = (value_text(need.input, end, system, found.currency) for end in (need.chances.p10, need.chances.p90))
        needed = np.nan if need.chances.needed is None else need.chances.needed * 100
        yield need.path, 10.0, 90.0, " to ".join(ends), need.chances.now * 100, needed, row.needed

"""The chart of a decision: the chance found for each criterion beside the chance asked."""

import altair as alt
import pandas as pd

from geoecon.report.charts.frame import AROUND, EARTH, INK, ROW, WATER, Chart, dressed
from geoecon.report.words import share
from geoecon.studies.gates import Decision

HOLDS = {"as sure as asked": WATER, "less sure": EARTH}


def criteria_bars(found: Decision) -> Chart:
    """Chance of each criterion as a bar, the chance asked as a mark."""
    data = pd.DataFrame(
        {
            "criterion": [one.target.in_words(found.risk.base.currency) for one in found.judged],
            "found": [one.found * 100 for one in found.judged],
            "asked": [one.asked * 100 for one in found.judged],
            "holds": [list(HOLDS)[0 if one.holds else 1] for one in found.judged],
        }
    )
    y = alt.Y("criterion:N", sort=None, title=None, axis=alt.Axis(labelLimit=230))
    x = alt.X("found:Q", title="chance [%]", scale=alt.Scale(domain=[0, 100]))
    tips = [
        "criterion:N",
        *(alt.Tooltip(f"{name}:Q", title=f"{name} [%]", format=".1f") for name in ("found", "asked")),
    ]
    legend = alt.Legend(columns=1)  # side by side they would not fit beside the criteria on a narrow screen
    colour = alt.Color("holds:N", scale=alt.Scale(domain=list(HOLDS), range=list(HOLDS.values())), legend=legend)
    bars = alt.Chart(data).mark_bar(height={"band": 0.5}).encode(y=y, x=x, color=colour, tooltip=tips)
    marks = alt.Chart(data).mark_tick(color=INK, thickness=3, size=26).encode(y=y, x="asked:Q", tooltip=tips)
    said = "; ".join(
        f"{one.target.in_words(found.risk.base.currency)}: {share(one.found, 0)} against {share(one.asked, 0)} asked"
        for one in found.judged
    )
    sentence = f"Bars are the chance of each criterion over {found.risk.draws:,} draws, marks the chance asked. {said}."
    return Chart(dressed(bars + marks, height=ROW * (len(data) + 1) + AROUND), sentence, data)

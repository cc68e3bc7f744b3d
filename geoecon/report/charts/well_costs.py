"""Chart of the cost of one well against its depth: every published curve, and the case's own well."""

from typing import Any

import altair as alt
import numpy as np
import pandas as pd

from geoecon.report.charts.frame import EARTH, HALO, INK, PAPER, SAND, STONE, WATER, Chart, dressed
from geoecon.report.well_costs import amount, family, verdict
from geoecon.studies.well_costs import WellCosts

GAP = 0.055  # of the height, between labels of lines that end close together
TALL = 360
LABELS = 1.22  # of the depths, for the names of lines on the right
COLOURS = (WATER, EARTH, INK, SAND, STONE)  # one for each publication; every line has its name besides


def cost_by_depth(found: WellCosts) -> Chart:
    """A line for each published curve over its depths, labelled where it ends, and the case's own well as a diamond."""
    unit = f"M{found.currency} of {found.price_year}"
    told = pd.DataFrame(
        [
            (name, family(name), depth, cost / 1e6)
            for name, costs in zip(found.lines.names, found.lines.cost, strict=True)
            for depth, cost in zip(found.depth_m, costs, strict=True)
            if np.isfinite(cost)
        ],
        columns=["curve", "of", "depth [m]", f"one well [{unit}]"],
    )
    if told.empty:
        return Chart(None, verdict(found), told)
    drawn = told.set_axis(["curve", "of", "depth", "cost"], axis=1)
    deepest = float(found.depth_m[-1])
    x = alt.X("depth:Q", title="measured depth [m]", scale=alt.Scale(domain=[0, deepest * LABELS], nice=False))
    y = alt.Y("cost:Q", title=f"one well [{unit}]", scale=alt.Scale(zero=True))
    families = list(dict.fromkeys(drawn["of"]))
    colour = alt.Color(
        "of:N", legend=None, scale=alt.Scale(domain=families, range=[COLOURS[n % len(COLOURS)] for n in range(len(families))])
    )  # fmt: skip
    tips = [
        alt.Tooltip("curve:N"), alt.Tooltip("of:N"), alt.Tooltip("depth:Q", title="depth [m]", format=",.0f"),
        alt.Tooltip("cost:Q", title=f"one well [{unit}]", format=",.2f"),
    ]  # fmt: skip
    lines = alt.Chart(drawn).mark_line(strokeWidth=2).encode(x=x, y=y, color=colour, detail="curve:N", tooltip=tips)
    ends = _labels(drawn, deepest)
    names = (
        alt.Chart(ends)
        .mark_text(align="left", dx=6, fontSize=11, color=INK)
        .encode(x="right:Q", y="beside:Q", text="curve:N")
    )
    leaders = alt.Chart(ends[ends["depth"] < deepest]).mark_rule(color=STONE, strokeDash=[2, 3]).encode(
        x=x, x2="right:Q", y="cost:Q", y2="beside:Q"
    )  # fmt: skip
    picture = alt.layer(leaders, lines, names, *_own(found, x, y))
    return Chart(dressed(picture, height=TALL), _sentence(found), told)


def _labels(drawn: pd.DataFrame, right: float) -> pd.DataFrame:
    """The end of each line, and on the right a height for its name that keeps clear of the others."""
    ends = drawn.groupby("curve", as_index=False).last().sort_values("cost")
    apart, height, placed = GAP * float(drawn["cost"].max()), -np.inf, []
    for cost in ends["cost"]:
        height = max(float(cost), height + apart)
        placed.append(height)
    return ends.assign(right=right, beside=placed)


def _own(found: WellCosts, x: alt.X, y: alt.Y) -> list[alt.Chart]:
    """The case's own well, where it costs something."""
    if not np.isfinite(found.own):
        return []
    point = pd.DataFrame({"depth": [found.own_m], "cost": [found.own / 1e6], "label": ["the case"]})
    base = alt.Chart(point).encode(x=x, y=y)
    words: dict[str, Any] = {"dx": -10, "dy": -10, "align": "right", "fontSize": 12, "fontWeight": "bold"}
    return [
        base.mark_text(**words, color=PAPER, stroke=PAPER, strokeWidth=HALO, strokeJoin="round").encode(text="label:N"),
        base.mark_text(**words, color=INK).encode(text="label:N"),
        base.mark_point(shape="diamond", size=140, filled=True, color=INK, opacity=1),
    ]


def _sentence(found: WellCosts) -> str:
    ranked = found.here.ranked()
    between = (
        f"at its depth of {found.own_m:,.0f} m they run from {amount(found, ranked[0][1])} to {amount(found, ranked[-1][1])}"
        if ranked
        else f"none of them reaches its depth of {found.own_m:,.0f} m"
    )
    own = f"; the diamond is the case's own well, {amount(found, found.own)}" if np.isfinite(found.own) else ""
    return (
        f"Each line is a published curve over the depths it holds for, in money of {found.price_year}: {between}{own}."
    )

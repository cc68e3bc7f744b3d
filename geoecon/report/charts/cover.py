"""The chart of how well debt is covered, year by year, beside what lenders ask."""

from collections.abc import Iterator

import altair as alt
import numpy as np
import pandas as pd

from geoecon.report.charts.frame import EARTH, INK, SAND, STONE, WATER, Chart, dressed
from geoecon.result import Result

SERIES = {  # column -> name, colour, dash, mark
    "dscr": ("debt service", WATER, [1, 0], "circle"),
    "loan_life_cover": ("loan life", EARTH, [6, 3], "diamond"),
    "project_life_cover": ("project life", SAND, [2, 2], "square"),
}
HEADROOM = 1.25


def cover_lines(result: Result) -> Chart:
    """Cover of debt service, over the loan's life and over the project's, with what lenders ask and their lock-up bar."""
    covers = {name: result.annual[name][:, 0] for name in SERIES}
    owed = np.isfinite(covers["dscr"])
    if not owed.any():
        return Chart(None, f"There is none: {result.metrics['dscr_min'].reason}.", pd.DataFrame())
    years = result.annual["year"][owed, 0].astype(int)
    data = pd.DataFrame(
        [
            {"year": year, "cover": name, "times": value}
            for key, (name, *_) in SERIES.items()
            for year, value in zip(years, covers[key][owed], strict=True)
        ]
    )
    bars = dict(_bars(result))
    kept = [*covers["dscr"][owed], *np.nan_to_num(covers["loan_life_cover"][owed]), *bars.values()]
    top, floor = HEADROOM * max(kept), min(0.0, *kept)
    names, colours, dashes, marks = (list(column) for column in zip(*SERIES.values(), strict=True))
    x = alt.X("year:O", title="operating year", axis=alt.Axis(labelAngle=0, labelOverlap=True))
    y = alt.Y("times:Q", title="cover [times]", scale=alt.Scale(domain=[floor, top], nice=False))
    colour = alt.Color("cover:N", scale=alt.Scale(domain=names, range=colours))
    tips = ["year:O", "cover:N", alt.Tooltip("times:Q", format=".2f")]
    seen = data[data["times"] <= top]
    lines = alt.Chart(seen).mark_line().encode(
        x=x, y=y, color=colour, tooltip=tips, strokeDash=alt.StrokeDash("cover:N", scale=alt.Scale(domain=names, range=dashes)),
    )  # fmt: skip
    points = alt.Chart(seen).mark_point(filled=True, size=34, opacity=1).encode(
        x=x, y=y, color=colour, tooltip=tips, shape=alt.Shape("cover:N", scale=alt.Scale(domain=names, range=marks)),
    )  # fmt: skip
    picture = lines + points
    looks = ((INK, [1, 0], "width", -36), (STONE, [4, 4], 0, 42))
    for (name, value), (ink, dash, at, dx) in zip(bars.items(), looks, strict=False):
        frame = pd.DataFrame({"times": [value], "words": [f"{name} {value:.2f}"]})
        rule = alt.Chart(frame).mark_rule(strokeWidth=1.4, color=ink, strokeDash=dash).encode(y="times:Q")
        words = (
            alt.Chart(frame).mark_text(baseline="top", dx=dx, dy=4, color=INK, fontSize=12)
            .encode(x=alt.value(at), y="times:Q", text="words:N")
        )  # fmt: skip
        picture = picture + rule + words
    beyond = int((covers["project_life_cover"][owed] > top).sum())
    return Chart(dressed(picture), _sentence(result, years, covers["dscr"][owed], bars, beyond), data)


def _bars(result: Result) -> Iterator[tuple[str, float]]:
    """What lenders ask, and the bar below which nothing is paid out, where there is one."""
    yield "asked", float(result.asked["target_dscr"][0])
    lockup = float(result.case.finance.lockup_dscr[0])
    if lockup:
        yield "lock-up", lockup


def _sentence(result: Result, years: np.ndarray, cover: np.ndarray, bars: dict[str, float], beyond: int) -> str:
    least, asked = int(cover.argmin()), bars["asked"]
    below = int((cover < asked).sum())
    many = "in no year" if not below else f"in {below} of {len(cover)} years"
    said = (
        f"Cash covers debt service {cover[least]:.2f} times in the least year, year {years[least]}, and less than the "
        f"{asked:.2f} asked {many}."
    )
    if "lock-up" in bars:
        shut = int((cover < bars["lock-up"]).sum())
        said += f" Below the dashed line at {bars['lock-up']:.2f} nothing is paid out to the owner: {shut} years."
    if beyond:
        said += " Cover over the project's life leaves the picture where little is still owed; the numbers have it."
    return said

"""Charts of a screen: temperature against depth, and the geothermometers beside each other."""

import altair as alt
import numpy as np
import pandas as pd

from geoecon.report.charts.frame import EARTH, INK, SAND, STONE, WATER, Chart, dressed
from geoecon.report.screen import believed, between, quantiles, text_in
from geoecon.report.words import share
from geoecon.studies.screen import Screen
from geoecon.studies.screen.ground import CURVES
from geoecon.units import from_inside, unit_shown

DEPTH_HEIGHT, ROW = 380, 26
LINES = dict(
    zip((*CURVES, "water boils"), ((WATER, [1, 0]), (EARTH, [7, 3]), (INK, [2, 2]), (STONE, [9, 2, 2, 2])), strict=True)
)
USED, NOT_USED = "believed", "not believed"


def temperature_at_depth(found: Screen, system: str = "SI") -> Chart:
    """Temperature against depth by three curves of conduction, the range of the draws, and where the reservoir may lie."""
    curves, warm, length = found.warmth.curves, unit_shown("temperature", system), unit_shown("length", system)

    def degrees(values: np.ndarray) -> list[float]:
        return [from_inside(float(value), "temperature", warm) for value in values]

    depth = [from_inside(float(value), "length", length) for value in curves.depth]
    data = pd.DataFrame({f"depth [{length}]": depth})
    for name, values in curves.by_form.items():
        data[f"{name} [{warm}]"] = degrees(values)
    data[f"low [{warm}]"], data[f"high [{warm}]"] = degrees(curves.low), degrees(curves.high)
    data[f"water boils [{warm}]"] = degrees(curves.boiling)
    rows = [(d, name, t) for name in LINES for d, t in zip(depth, data[f"{name} [{warm}]"], strict=True)]
    lines = pd.DataFrame(rows, columns=["depth", "curve", "temperature"]).dropna()
    most = float(np.nanmax([*data[f"high [{warm}]"], *degrees(np.array(quantiles(found.warmth.values)))])) * 1.15
    x = alt.X(
        "temperature:Q",
        title=f"temperature [{warm}]",
        scale=alt.Scale(domain=[min(data.iloc[0, 1:4]), most], nice=False),
    )
    y = alt.Y("depth:Q", title=f"depth [{length}]", scale=alt.Scale(reverse=True, nice=False))
    names = list(LINES)
    colour = alt.Color("curve:N", scale=alt.Scale(domain=names, range=[LINES[n][0] for n in names]))
    dash = alt.StrokeDash("curve:N", scale=alt.Scale(domain=names, range=[LINES[n][1] for n in names]))
    band = pd.DataFrame({"depth": depth, "low": data[f"low [{warm}]"], "high": data[f"high [{warm}]"]})
    tips = [alt.Tooltip("curve:N"), alt.Tooltip("depth:Q", format=",.0f", title=f"depth [{length}]"),
            alt.Tooltip("temperature:Q", format=".0f", title=f"temperature [{warm}]")]  # fmt: skip
    picture = alt.layer(
        alt.Chart(band).mark_area(color=SAND, opacity=0.35, orient="horizontal").encode(
            x=alt.X("low:Q", title=f"temperature [{warm}]"), x2="high:Q", y=y
        ),
        alt.Chart(lines).mark_line(strokeWidth=2, clip=True).encode(
            x=x, y=y, color=colour, strokeDash=dash, order="depth:Q", tooltip=tips
        ),
        *_reservoir(found, system),
    )  # fmt: skip
    return Chart(dressed(picture, height=DEPTH_HEIGHT), depth_sentence(found, system), data)


def _reservoir(found: Screen, system: str) -> list[alt.Chart]:
    """A cross for the reservoir: 8 draws in 10 of its temperature and of its middle depth."""
    warm, length = unit_shown("temperature", system), unit_shown("length", system)
    cool, mid, hot = (from_inside(v, "temperature", warm) for v in quantiles(found.warmth.values))
    upper, at, lower = (from_inside(v, "length", length) for v in quantiles(middle_depth(found)))
    cross = pd.DataFrame({"cool": [cool], "mid": [mid], "hot": [hot], "upper": [upper], "at": [at], "lower": [lower]})
    base = alt.Chart(cross)
    return [
        base.mark_rule(color=INK, strokeWidth=3).encode(x="cool:Q", x2="hot:Q", y="at:Q"),
        base.mark_rule(color=INK, strokeWidth=3).encode(x="mid:Q", y="upper:Q", y2="lower:Q"),
        base.mark_point(color=INK, filled=True, size=90, opacity=1, shape="diamond").encode(x="mid:Q", y="at:Q"),
    ]


def middle_depth(found: Screen) -> np.ndarray:
    """Depth of the middle of the reservoir in every draw  [m]."""
    return np.asarray(found.drawn["reservoir.depth"].values + found.drawn["reservoir.thickness"].values / 2)


def depth_sentence(found: Screen, system: str) -> str:
    """What the chart of depth says, in words."""
    depth, temperature = between(middle_depth(found), "m", system), between(found.warmth.values, "degC", system)
    taken = " and ".join(
        f"{way.name} in {share(way.share, 0)} of the draws" for way in found.warmth.ways if way.share > 0
    )
    return (
        f"The cross is the reservoir: in 8 draws of 10 its middle lies at {depth} and it has {temperature}, by {taken}. Curves "
        "are conduction alone with every quantity in its middle, the band 8 draws of 10; rising water makes a place hotter."
    )


def geothermometer_dots(found: Screen, system: str = "SI") -> Chart | None:
    """Each geothermometer with the range it may be off by, those believed filled; None without an analysis."""
    if found.chemistry is None:
        return None
    warm = unit_shown("temperature", system)
    order = sorted(found.chemistry.readings, key=lambda r: -r.weight)
    rows = [
        {
            "geothermometer": r.title, "counts": share(r.weight, 0), "state": USED if r.used else NOT_USED, "why": r.why,
            **{name: from_inside(value, "temperature", warm) for name, value in
               (("low", r.low), ("temperature", r.temperature), ("high", r.high))},
        }
        for r in order
    ]  # fmt: skip
    data = pd.DataFrame(rows)
    shown = data.dropna(subset=["temperature"])
    y = alt.Y("geothermometer:N", sort=None, title=None, axis=alt.Axis(labelLimit=210, labelOverlap=False))
    x = alt.X("temperature:Q", title=f"temperature [{warm}]", scale=alt.Scale(zero=False, nice=True))
    states = [USED, NOT_USED]
    colour = alt.Color("state:N", scale=alt.Scale(domain=states, range=[WATER, STONE]))
    shape = alt.Shape("state:N", scale=alt.Scale(domain=states, range=["circle", "cross"]))
    tips = [alt.Tooltip(f"{name}:N") for name in ("geothermometer", "counts", "why")]
    base = alt.Chart(shown)
    layers = [
        base.mark_rule(strokeWidth=2)
        .encode(y=y, x=x, x2="high:Q", color=colour)
        .encode(x=alt.X("low:Q", title=f"temperature [{warm}]")),
        base.mark_point(filled=True, size=80, opacity=1).encode(y=y, x=x, color=colour, shape=shape, tooltip=tips),
    ]
    seen = found.drawn.get("springs.temperature")
    sentence = believed(found, system)
    if seen is not None:
        at = from_inside(seen.quantile(0.5), "temperature", warm)
        layers.append(
            alt.Chart(pd.DataFrame({"seen": [at]})).mark_rule(color=EARTH, strokeDash=[5, 3]).encode(x="seen:Q")
        )
        sentence += f" The dashed line is the hottest water seen, {text_in(seen.quantile(0.5), 'degC', system)}."
    columns = {name: f"{name} [{warm}]" for name in ("low", "temperature", "high")}
    return Chart(dressed(alt.layer(*layers), height=ROW * max(len(shown), 2)), sentence, data.rename(columns=columns))

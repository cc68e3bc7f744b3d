"""Charts of what a plant gives: by the air of the months, and by the brine of the years."""

from typing import Any

import altair as alt
import numpy as np
import pandas as pd

from geoecon.energy import KW_PER_MW
from geoecon.outputs import AIR, BRINE, MONTHS, YEARS
from geoecon.report import outputs as words
from geoecon.report.charts.frame import EARTH, HALO, PAPER, STONE, WATER, Chart, dressed
from geoecon.result import Output, Result
from geoecon.units import unit_shown

HEIGHT = 340
LABELLED_YEARS = 5
THICK = 2.5
EDGE = 26  # pixels beside the outermost dots, for their names
LEVEL = 0.01  # of power; a line that moves by less is drawn as level
NEAR = 0.04  # of the span of air, within which months share one name


def output_by_air(result: Result, system: str = words.SYSTEM) -> Chart:
    """Unit net of year 1 over the air: a line of the plant as it is, the months on it, the best cycle beside it."""
    if not result.outputs:
        return Chart(None, words.why_none(result), pd.DataFrame())
    axis, found = f"{words.sink(result)} [{unit_shown('temperature', system)}]", result.outputs[MONTHS]
    air, power = words.month_means(found)
    months = pd.DataFrame({
        "month": words.NAMES, "label": _month_labels(air), "at": words.degrees(air, system), "mw": words.megawatts(power),
        "cool": words.degrees(found.temperature.min(axis=1), system),
        "warm": words.degrees(found.temperature.max(axis=1), system),
        "up": _rising(air),
    })  # fmt: skip
    x = alt.X("at:Q", title=axis, scale=alt.Scale(zero=False, nice=False, padding=EDGE))
    y = alt.Y("mw:Q", title="unit net in year 1, before outages [MW]", scale=_room(result.outputs[AIR]))
    spread = alt.Chart(months).mark_rule(color=EARTH, strokeWidth=1.5, opacity=0.6).encode(
        x=alt.X("cool:Q", title=axis), x2="warm:Q", y=y
    )  # fmt: skip
    tips = [alt.Tooltip("month:N"), alt.Tooltip("at:Q", title=axis, format=".1f"),
            alt.Tooltip("mw:Q", title="unit net [MW]", format=",.3f")]  # fmt: skip
    picture = alt.layer(
        _lines(result.outputs[AIR], words.kind(result), x, y, system),
        *([spread] if (months["warm"] - months["cool"]).max() > words.STEADY_K else []),
        *_dots(months, x, y, tips),
    )
    data = pd.DataFrame(words.air_columns(result))
    return Chart(dressed(picture, height=HEIGHT), words.air_sentence(result, system), data)


def output_by_brine(result: Result, system: str = words.SYSTEM) -> Chart:
    """Unit net at design air over the brine: a line of the design flow, the years as dots, the best cycle beside it."""
    if not result.outputs:
        return Chart(None, words.why_none(result), pd.DataFrame())
    unit, found = unit_shown("temperature", system), result.outputs[YEARS]
    count = len(found.power)
    told = {round(at) for at in np.linspace(0, count - 1, min(LABELLED_YEARS, count))}
    years = pd.DataFrame({
        "year": [f"year {n + 1}" for n in range(count)], "at": words.degrees(found.temperature, system),
        "mw": words.megawatts(found.power), "label": [f"{n + 1}" if n in told else "" for n in range(count)],
        "up": [n % 2 == 0 for n in range(count)],
    })  # fmt: skip
    years.loc[0, "label"] = "year 1"
    x = alt.X("at:Q", title=f"brine at the plant inlet [{unit}]", scale=alt.Scale(zero=False, nice=False, padding=EDGE))
    y = alt.Y("mw:Q", title=f"unit net at {words.design_sink(result)} [MW]", scale=_room(result.outputs[BRINE]))
    tips = [alt.Tooltip("year:N"), alt.Tooltip("at:Q", title=f"brine [{unit}]", format=".1f"),
            alt.Tooltip("mw:Q", title="unit net [MW]", format=",.3f")]  # fmt: skip
    picture = alt.layer(_lines(result.outputs[BRINE], words.kind(result), x, y, system), *_dots(years, x, y, tips))
    data = pd.DataFrame(words.brine_columns(result))
    return Chart(dressed(picture, height=HEIGHT), words.brine_sentence(result, system), data)


def _room(found: Output) -> alt.Scale:
    """The scale of power, which leaves a line that is level room above and below."""
    low, high = np.nanmin(found.power) / KW_PER_MW, np.nanmax(found.power) / KW_PER_MW
    return (
        alt.Scale(zero=False)
        if high - low > LEVEL * high
        else alt.Scale(domain=[low - LEVEL * high, high + LEVEL * high])
    )


def _rising(air: np.ndarray) -> list[bool]:
    """Whether a month is warmer than the one before: spring and autumn are told apart by the side of their names."""
    return [bool(rise > 0) for rise in air - np.roll(air, 1)]


def _month_labels(air: np.ndarray) -> list[str]:
    """Names of the months; those on the same side that lie next to each other share one, which stands at the first."""
    up, labels, near = _rising(air), dict[int, str](), NEAR * float(np.ptp(air))
    for n in range(len(air)):
        at = next((m for m in labels if up[m] == up[n] and abs(air[m] - air[n]) <= near), n)
        labels[at] = f"{labels[at]}, {words.NAMES[n]}" if at in labels else words.NAMES[n]
    return [labels.get(n, "") for n in range(len(air))]


def _lines(found: Output, kind: str, x: alt.X, y: alt.Y, system: str) -> Any:
    """The line of the plant, and thin and broken the cycle that is re-optimised at every temperature, where there is one."""
    at = words.degrees(found.temperature, system)
    own = pd.DataFrame({"at": at, "mw": words.megawatts(found.power), "line": kind}).dropna()
    drawn: alt.Chart
    if found.ideal is None:
        drawn = alt.Chart(own).mark_line(color=WATER, strokeWidth=THICK).encode(x=x, y=y)
        return drawn
    other = pd.DataFrame({"at": at, "mw": words.megawatts(found.ideal), "line": words.IDEAL}).dropna()
    names = [kind, words.IDEAL]

    def looks(*of_each: Any) -> alt.Scale:
        return alt.Scale(domain=names, range=list(of_each))

    legend = alt.Legend(columns=1, labelLimit=300)
    drawn = alt.Chart(pd.concat([own, other])).mark_line().encode(
        x=x, y=y, color=alt.Color("line:N", scale=looks(WATER, STONE), legend=legend),
        strokeDash=alt.StrokeDash("line:N", scale=looks([1, 0], [6, 3])),
        strokeWidth=alt.StrokeWidth("line:N", scale=looks(THICK, THICK / 2)),
    )  # fmt: skip
    return drawn


def _dots(data: pd.DataFrame, x: alt.X, y: alt.Y, tips: list[alt.Tooltip]) -> list[alt.Chart]:
    """Dots with names above or below them, each with a halo where a line may cross it."""
    dots = alt.Chart(data).mark_point(color=EARTH, filled=True, size=55, opacity=1).encode(x=x, y=y, tooltip=tips)
    named = []
    for up, away in ((True, -13), (False, 14)):
        some = alt.Chart(data[data["up"] == up]).encode(x=x, y=y, text="label:N")
        named.append(some.mark_text(stroke=PAPER, strokeWidth=HALO, strokeJoin="round", dy=away, fontSize=11))
        named.append(some.mark_text(color=EARTH, dy=away, fontSize=11))
    return [*named, dots]

"""Charts of a study of risk: what a figure reaches with which chance, years as fans, what bad draws have in common."""

from typing import Any, Literal

import altair as alt
import numpy as np
import pandas as pd

from geoecon import units
from geoecon.arrays import Floats
from geoecon.report.chances import in_chances
from geoecon.report.charts.frame import AROUND, EARTH, HALO, INK, PAPER, ROW, STONE, WATER, Chart, dressed
from geoecon.report.risk import CHANCE_WORDS, MOST_IN_COMMON, amount, common, reached, unit_of
from geoecon.report.words import share
from geoecon.result import METRICS
from geoecon.studies.ranks import worst_tenth
from geoecon.studies.risk import QUANTILES, Risk
from geoecon.studies.spread import CHANCES, goodness, spread
from geoecon.units import SYSTEMS

POINTS, TAIL = 199, 0.005  # of a curve, and the share left out at each end
COLUMNS = {
    "delivered_energy": "Delivered energy",
    "brine_temperature": "Brine at the plant",
    "cash_flow_equity": "Cash of the owner, added up",
    "dscr": "Cover of debt service",
}
BAND_WIDE, BAND_NARROW = (0.05, 0.95), (0.25, 0.75)


def break_even(found: Risk, metric: str) -> tuple[float, str] | None:
    """The value of a figure that parts good from bad, and what it is; nothing where none does."""
    asked = {name: float(values[0]) for name, values in found.base.asked.items()}
    price = float(found.base.annual["price"][found.base.build_years, 0])
    limits = {
        "npv": (0.0, "break-even"), "npv_equity": (0.0, "break-even"), "npv_at_decision": (0.0, "break-even"),
        "irr_equity": (asked["equity_return"], "return asked"), "irr_project": (asked["discount_rate"], "discount rate"),
        "dscr_min": (asked["target_dscr"], "cover asked"), "required_price": (price, "stated price"),
    }  # fmt: skip
    limit = limits.get(metric)
    return limit if limit and np.isfinite(limit[0]) else None


def _scale(unit: str, currency: str) -> tuple[float, str]:
    """Factor and unit in which a figure is drawn: money in millions, rates in percent."""
    if unit == currency:
        return 1e-6, f"M{currency}"
    percent = {"1/yr": "%/yr", "share": "%"}
    return (100.0, percent[unit]) if unit in percent else (1.0, unit)


def exceedance(found: Risk, metric: str) -> Chart:
    """The chance that a figure reaches a value, over the values; for a cost, of at most the value."""
    about, own = found.metrics[metric], spread(metric, found.metrics[metric])
    factor, unit = _scale(unit_of(found, metric), found.base.currency)
    sense = "at most" if own.at_most else "at least"
    rising = np.sort(goodness(metric, about))
    sign = -factor if own.at_most else factor
    places = np.unique((np.linspace(TAIL, 1 - TAIL, POINTS) * (rising.size - 1)).round().astype(int))
    data = pd.DataFrame({"value": sign * rising[places], "chance": 100 * (1 - places / max(rising.size - 1, 1))})
    data = data[np.isfinite(data["value"])].reset_index(drop=True)
    basis = f", {about.basis}" if about.basis != "none" else ""
    x = alt.X("value:Q", title=f"{metric} [{unit}]{basis}", scale=alt.Scale(zero=False), axis=alt.Axis(tickCount=6))
    y = alt.Y("chance:Q", title=f"chance of {sense} that [%]", scale=alt.Scale(domain=[0, 100]))
    tips = [alt.Tooltip("value:Q", title=f"{sense} [{unit}]", format=",.4~g"),
            alt.Tooltip("chance:Q", title="chance [%]", format=".0f")]  # fmt: skip
    line = alt.Chart(data).mark_line(color=WATER, strokeWidth=2.5).encode(x=x, y=y, tooltip=tips)
    if data.empty:
        return Chart(dressed(line), exceedance_sentence(found, metric), data)
    marks = pd.DataFrame({"value": factor * own.reached, "chance": 100 * np.array(CHANCES), "words": CHANCE_WORDS})
    marks = marks[np.isfinite(marks["value"])]
    points = alt.Chart(marks).mark_point(color=INK, filled=True, size=80, opacity=1).encode(x=x, y=y, tooltip=tips)
    names = [part.encode(x=x, y=y, text="words:N") for part in _named(marks, rising=own.at_most)]
    limit, least, most = break_even(found, metric), data["value"].min(), data["value"].max()
    marked = limit is not None and least <= factor * limit[0] <= most
    limits = _limit_marked(factor * limit[0], limit[1], least, most) if limit and marked else []
    return Chart(dressed(alt.layer(*limits, line, points, *names)), exceedance_sentence(found, metric), data)


def _named(marks: pd.DataFrame, *, rising: bool) -> list[Any]:
    """Words beside points where the curve is not: outside of it above, inside of it at the lowest, where room ends."""
    low = marks["chance"] < 100 * CHANCES[1]
    right, left = {"align": "left", "dx": 10}, {"align": "right", "dx": -10}
    above, below = (left, right) if rising else (right, left)
    chart: Any = alt.Chart
    return [
        chart(marks[here]).mark_text(fontSize=12, dy=dy, **side, **look)
        for here, dy, side in ((~low, -7, above), (low, 7, below))
        for look in ({"color": PAPER, "stroke": PAPER, "strokeWidth": HALO}, {"color": INK})
    ]


def _limit_marked(value: float, words: str, least: float, most: float) -> list[Any]:
    """A line at a value; its name stands over the picture, where nothing crosses it, and ends with it at either side."""
    data, place = pd.DataFrame({"value": [value], "words": [words]}), (value - least) / ((most - least) or 1.0)
    align: Literal["left", "center", "right"] = "left" if place < 0.25 else "right" if place > 0.75 else "center"
    rule = alt.Chart(data).mark_rule(color=EARTH, strokeDash=[5, 3], strokeWidth=1.5).encode(x="value:Q")
    name = alt.Chart(data).mark_text(color=EARTH, fontSize=12, align=align, baseline="bottom").encode(
        x="value:Q", y=alt.value(-4), text="words:N"
    )  # fmt: skip
    return [rule, name]


def exceedance_sentence(found: Risk, metric: str) -> str:
    """What the curve says, in words, with its units."""
    about, own = found.metrics[metric], spread(metric, found.metrics[metric])
    if own.reason:
        return f"There is no {metric} in any of {found.draws:,} draws: {own.reason}."
    meaning = METRICS[metric].meaning
    said = f"{meaning[0].upper()}{meaning[1:]}: {reached(found, own)}"
    limit = break_even(found, metric)
    if limit:
        good = goodness(metric, about)
        edge = -limit[0] if own.at_most else limit[0]
        chance = in_chances(float((good >= edge).mean()), found.draws)
        worth = amount(limit[0], unit_of(found, metric), found.base.currency)
        said += f"; {chance} it is {'at most' if own.at_most else 'at least'} {worth}, the {limit[1]}"
    gone = f" {own.missing:,} of {found.draws:,} draws have no value." if own.missing else ""
    return f"{said}. The outermost draw in 200 at each end is left out of the picture.{gone}"


def fan(found: Risk, column: str, system: str = SYSTEMS[0]) -> Chart | None:
    """A yearly column over the draws: half of them in the dark band, 9 in 10 in the light one, and the case as it is.

    Nothing where the case has no such column, or the draws do not move it.
    """
    shown = found.fans.get(column)
    if shown is None or (shown.quantiles[:, 0] == shown.quantiles[:, -1]).all():
        return None
    written = _written(shown.unit, system)
    factor, unit = _scale("times" if written == "1" else written, found.base.currency)
    quantiles = factor * _in(written, shown.quantiles, shown.unit)
    at = {q: quantiles[:, n] for n, q in enumerate(QUANTILES)}
    data = pd.DataFrame({"year": shown.years.astype(int), **{_below(q): v for q, v in at.items()}})
    base = found.base.annual[column][:, 0]
    base = np.cumsum(base) if column == "cash_flow_equity" else base
    rows = np.isin(found.base.annual["year"][:, 0], shown.years)
    data["as it is"] = factor * _in(written, base[rows], shown.unit)
    title = f"{COLUMNS[column].lower()} [{unit}]"
    x = alt.X(
        "year:Q", title="year (0 ends when operation begins)", scale=alt.Scale(nice=False), axis=alt.Axis(tickMinStep=1)
    )
    scale = alt.Scale(zero=False)

    def band(ends: tuple[float, float], opacity: float) -> Any:
        low, high = map(_below, ends)
        y = alt.Y(f"{low}:Q", title=title, scale=scale)
        return alt.Chart(data).mark_area(color=WATER, opacity=opacity).encode(x=x, y=y, y2=f"{high}:Q")

    middle = (
        alt.Chart(data).mark_line(color=WATER, strokeWidth=2.5).encode(x=x, y=alt.Y(f"{_below(0.5)}:Q", scale=scale))
    )
    own = alt.Chart(data).mark_line(color=EARTH, strokeDash=[5, 3]).encode(
        x=x, y=alt.Y("as it is:Q", scale=scale), tooltip=["year:Q", alt.Tooltip("as it is:Q", format=",.4~g")]
    )  # fmt: skip
    picture = alt.layer(band(BAND_WIDE, 0.18), band(BAND_NARROW, 0.32), middle, own)
    return Chart(dressed(picture), _fan_sentence(found, column, system), data)


def _below(chance: float) -> str:
    """Heading of a quantile; without a dot, which a chart would take for a path."""
    return f"{chance:.0%} below"


def _written(unit: str, system: str) -> str:
    """The unit in which a system of units writes a yearly column."""
    return units.unit_shown("temperature", system) if unit == "degC" else unit


def _in(written: str, values: Floats, unit: str) -> Floats:
    """Values of a yearly column in another unit."""
    if written == unit:
        return values
    turned = [units.from_inside(value, "temperature", written) for value in values.ravel().tolist()]
    return np.array(turned).reshape(values.shape)


def _fan_sentence(found: Risk, column: str, system: str) -> str:
    shown = found.fans[column]
    written = _written(shown.unit, system)
    unit, last = "times" if written == "1" else written, _in(written, shown.quantiles[-1], shown.unit)
    low, middle, high = (amount(float(last[QUANTILES.index(q)]), unit, found.base.currency) for q in (0.05, 0.5, 0.95))
    return (
        f"{COLUMNS[column]} in year {shown.years[-1]:.0f}: an even chance of at least {middle}, and 9 chances in 10 of "
        f"{low} to {high}. The line is the even chance of each year, half of {shown.draws:,} draws lie in the dark "
        f"band and 9 in 10 in the light one; the dashed line is the case as it is."
    )


def tenth_dots(found: Risk, by: str) -> Chart:
    """Where the worst tenth of draws by a figure lie in each input: a dot away from 50 % is what they have in common."""
    shown = common(found, by)[:MOST_IN_COMMON]
    data = pd.DataFrame({"input": [one.path for one in shown], "chance": [100 * one.chance_bad for one in shown]})
    data["middle"] = 50.0
    x = alt.X("chance:Q", title="mean cumulative chance there [%]", scale=alt.Scale(domain=[0, 100]))
    y = alt.Y("input:N", sort=None, title=None, axis=alt.Axis(labelLimit=190, labelOverlap=False))
    tips = ["input:N", alt.Tooltip("chance:Q", title="mean chance below [%]", format=".0f")]
    stem = alt.Chart(data).mark_rule(color=EARTH, strokeWidth=2).encode(x=x, x2="middle:Q", y=y)
    dots = alt.Chart(data).mark_point(color=EARTH, filled=True, size=120, opacity=1).encode(x=x, y=y, tooltip=tips)
    half = alt.Chart(pd.DataFrame({"middle": [50.0]})).mark_rule(color=STONE, strokeDash=[5, 3]).encode(x="middle:Q")
    tenth = worst_tenth(goodness(by, found.metrics[by]))
    first = shown[0]
    way = "high" if first.chance_bad > 0.5 else "low"
    lost = int(found.failed[tenth].sum())
    gone = f" {lost:,} of these draws could not be worked out." if lost else ""
    sentence = (
        f"In the worst {tenth.size:,} of {found.draws:,} draws by {by}, {first.path} is {way}: its cumulative chance is "
        f"{share(first.chance_bad, 0)} there on average, against 50 % in all draws. Inputs further down differ less.{gone}"
    )
    return Chart(dressed(half + stem + dots, height=ROW * len(shown) + AROUND), sentence, data.drop(columns="middle"))

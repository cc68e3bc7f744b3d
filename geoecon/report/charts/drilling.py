"""A chart of how many wells are enough, with what they cost."""

from typing import Any

import altair as alt
import pandas as pd

from geoecon.report.amounts import scale_of
from geoecon.report.charts.frame import EARTH, HALO, INK, PAPER, WATER, Chart, dressed
from geoecon.report.drilling import CHANCE_WORDS
from geoecon.report.words import money
from geoecon.studies.drilling import OFTEN, Drilling

SHOWN = 0.995  # chance of being enough, up to which the curve is drawn

ROOM = 0.24  # of the numbers shown, left free before the least


def wells_by_chance(found: Drilling) -> Chart:
    """The chance that so many wells are enough, over the number drilled, with the cost of so many on an axis of its own."""
    by = found.ends.by_wells
    last = int((by.enough < SHOWN).sum()) + 1
    scale = scale_of("capital_cost", found.currency, found.currency, by.cost[:last])
    heading = f"cost on average [{scale.unit}], money of {found.price_year}"
    data = pd.DataFrame(
        {"wells": by.drilled[:last], "chance": 100 * by.enough[:last], "cost": by.cost[:last] * scale.factor}
    )
    x = alt.X(
        "wells:Q", title="wells drilled [wells]", scale=alt.Scale(domain=_room(data["wells"]), nice=False),
        axis=alt.Axis(tickMinStep=1, format="d", grid=False),
    )  # fmt: skip
    y = alt.Y("chance:Q", title="chance that they are enough [%]", scale=alt.Scale(domain=[0, 100]),
              axis=alt.Axis(titleColor=WATER, titleFontWeight="bold"))  # fmt: skip
    tips = [
        alt.Tooltip("wells:Q", title="wells drilled", format="d"),
        alt.Tooltip("chance:Q", title="chance that they are enough [%]", format=".0f"),
        alt.Tooltip("cost:Q", title=heading, format=",.2f"),
    ]
    steps = alt.Chart(data).mark_area(
        interpolate="step-after", color=WATER, opacity=0.18, line={"color": WATER, "strokeWidth": 2.5}
    ).encode(x=x, y=y)  # fmt: skip
    chance = alt.layer(steps, *_chances(found, x, y))
    cost = alt.Chart(data).mark_line(
        color=EARTH, strokeDash=[5, 3], point={"color": EARTH, "filled": True, "size": 45, "shape": "diamond"}
    ).encode(
        x=x, y=alt.Y("cost:Q", title=heading, axis=alt.Axis(titleColor=EARTH, titleFontWeight="bold", grid=False),
                     scale=alt.Scale(domainMin=0)), tooltip=tips,
    )  # fmt: skip
    picture = alt.layer(chance, *_expected(found), cost).resolve_scale(y="independent")
    shown = data.rename(columns={"wells": "wells drilled", "chance": "enough [%]", "cost": heading})
    shown.insert(1, "just so many [%]", 100 * by.chance[:last])
    return Chart(dressed(picture), _sentence(found), shown)


def _room(wells: "pd.Series[float]") -> list[float]:
    """Ends of the axis, with room on the left for words beside the first step."""
    least, most = float(wells.min()), float(wells.max())
    spread = max(most - least, 1.0)
    return [least - ROOM * spread, most + ROOM / 5 * spread]


def _chances(found: Drilling, x: alt.X, y: alt.Y) -> list[Any]:
    """Points where the curve passes the chances that people ask for, with their words."""
    wells = [found.ends.wells.at_most(chance) for chance in CHANCE_WORDS]
    marks = pd.DataFrame({
        "wells": wells, "chance": [100 * found.ends.wells.within(number) for number in wells],
        "words": [f"{words.removesuffix(' in 10').split()[0]} in 10" for words in CHANCE_WORDS.values()],
    })  # fmt: skip
    marks = marks.groupby(["wells", "chance"], as_index=False).agg({"words": ", ".join})
    base = alt.Chart(marks)
    points = base.mark_point(color=INK, filled=True, size=80, opacity=1).encode(x=x, y=y)
    looks: tuple[dict[str, Any], ...] = ({"color": PAPER, "stroke": PAPER, "strokeWidth": HALO}, {"color": INK})
    names = [
        base.mark_text(fontSize=12, align="right", dx=-8, dy=-8, **look).encode(x=x, y=y, text="words:N")
        for look in looks
    ]
    return [*names, points]


def _expected(found: Drilling) -> list[Any]:
    """A line at the number that the case counts on; its name stands over the picture."""
    data = pd.DataFrame({"wells": [found.expected], "words": [f"the case counts on {found.expected:.1f}"]})
    rule = alt.Chart(data).mark_rule(color=INK, strokeWidth=1.5).encode(x="wells:Q")
    name = alt.Chart(data).mark_text(color=INK, fontSize=12, baseline="bottom").encode(
        x="wells:Q", y=alt.value(-4), text="words:N"
    )  # fmt: skip
    return [rule, name]


def _sentence(found: Drilling) -> str:
    sure = found.ends.wells.at_most(OFTEN)
    return (
        f"Steps: the chance that so many wells are enough; {sure:.0f} are with 9 chances in 10. Dashed, on the right: what so "
        f"many cost on average, as it depends on which fail; the case counts on "
        f"{money(found.expected_cost, found.currency)}. Dots stand where 1, 5 and 9 chances in 10 are reached."
    )

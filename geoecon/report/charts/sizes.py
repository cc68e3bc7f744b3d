"""Charts of cost and value of a unit by its size."""

from collections.abc import Callable

import altair as alt
import numpy as np
import pandas as pd

from geoecon.report.amounts import metric_heading, scale_of
from geoecon.report.charts.frame import EARTH, INK, SAND, WATER, Chart, dressed
from geoecon.report.sizes import mark
from geoecon.report.sweeps import figure
from geoecon.studies.sizes import LEAST_COST, MOST_VALUE, Sizes

MARKED = {"the case": (EARTH, "diamond"), "best": (INK, "triangle-up"), "wells at full flow": (WATER, "circle")}


def cost_by_size(found: Sizes) -> Chart:
    """Levelized cost over the net capacity of the unit."""
    return _by_size(found, LEAST_COST, found.cheapest, "least cost")


def value_by_size(found: Sizes) -> Chart:
    """Value of the project over the net capacity of the unit."""
    return _by_size(found, MOST_VALUE, found.best, "most value")


def _by_size(found: Sizes, metric: str, best: int | None, best_words: str) -> Chart:
    values = found.metrics[metric]
    scale = scale_of(metric, found.units[metric], found.currency, values)
    heading = metric_heading(metric, scale, found.bases[metric])
    data = pd.DataFrame({
        "net capacity [MW]": found.capacity / 1e3, heading: values * scale.factor, "producers": found.metrics["producers"],
        "make-up wells": found.metrics["makeup_wells"], "what it is": [mark(found, n) for n in range(found.capacity.size)],
    })  # fmt: skip
    if not np.isfinite(values).any():
        return Chart(None, f"There is none: {next(why for why in found.reasons[metric] if why)}.", data)
    drawn = pd.DataFrame(
        {"mw": found.capacity / 1e3, "value": values * scale.factor, "producers": found.metrics["producers"]}
    )
    x = alt.X("mw:Q", title="net capacity of the unit [MW]", scale=alt.Scale(zero=False, nice=False))
    y = alt.Y("value:Q", title=heading, scale=alt.Scale(zero=False))
    tips = [
        alt.Tooltip("mw:Q", title="net capacity [MW]", format=".3f"), alt.Tooltip("value:Q", title=heading, format=",.2f"),
        alt.Tooltip("producers:Q"),
    ]  # fmt: skip
    line = alt.Chart(drawn).mark_line(color=WATER).encode(x=x, y=y)
    placed = [("wells at full flow", n) for n in np.flatnonzero(found.full).tolist()] + [("the case", found.at)]
    placed += [] if best is None else [("best", best)]
    points = drawn.iloc[[n for _, n in placed]].assign(kind=[best_words if k == "best" else k for k, _ in placed])
    kinds = [best_words if k == "best" else k for k in MARKED]
    colours, shapes = [colour for colour, _ in MARKED.values()], [shape for _, shape in MARKED.values()]
    dots = alt.Chart(points).mark_point(size=120, filled=True, opacity=1).encode(
        x=x, y=y, tooltip=tips, color=alt.Color("kind:N", scale=alt.Scale(domain=kinds, range=colours)),
        shape=alt.Shape("kind:N", scale=alt.Scale(domain=kinds, range=shapes)),
    )  # fmt: skip
    picture = alt.layer(*_too_large(found), line, dots)
    return Chart(dressed(picture), _sentence(found, metric, best, best_words, scale.text), data)


def _too_large(found: Sizes) -> list[alt.Chart]:
    """A band over the sizes that are more than the field supports."""
    if found.supported.all():
        return []
    ends = pd.DataFrame({"from": [max(found.supported_kw, found.capacity[0]) / 1e3], "to": [found.capacity[-1] / 1e3]})
    return [alt.Chart(ends).mark_rect(color=SAND, opacity=0.25).encode(x="from:Q", x2="to:Q")]


def _sentence(found: Sizes, metric: str, best: int | None, best_words: str, text: Callable[[float], str]) -> str:
    values = found.metrics[metric]
    apart = "" if found.inside[found.at] else ", which was not asked for"
    own = f"the diamond is the case's own {_mw(found, found.at)}{apart}, {text(float(values[found.at]))}"
    top = ""
    if best is not None:
        top = f"; the triangle is the {best_words}, {text(float(values[best]))} at {_mw(found, best)}"
    band = "" if found.supported.all() else " The shaded sizes are more than the field carries."
    return f"Dots are sizes at which whole wells give all their flow, and beyond which one more is needed; {own}{top}.{band}"


def _mw(found: Sizes, index: int) -> str:
    return f"{figure(float(found.capacity[index]) / 1e3, 3)} MW"

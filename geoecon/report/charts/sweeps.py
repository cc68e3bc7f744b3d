"""The chart of a sweep over one input."""

import altair as alt
import numpy as np
import pandas as pd

from geoecon.report.charts.frame import EARTH, WATER, Chart, dressed
from geoecon.report.sweeps import figure, missing
from geoecon.report.words import significant
from geoecon.result import METRICS
from geoecon.studies.sweep import Sweep


def sweep_line(swept: Sweep, metric: str) -> Chart:
    """One metric over the values of one input, the case's own value marked."""
    unit, about = swept.units[metric], METRICS[metric]
    shown_unit = f" [{swept.unit}]" if swept.unit else ""
    data = pd.DataFrame({"input": swept.values, "metric": swept.metrics[metric]})
    x = alt.X("input:Q", title=f"{swept.path}{shown_unit}", scale=alt.Scale(zero=False, nice=False))
    basis = f", {swept.bases[metric]}" if swept.bases[metric] not in {"none", ""} else ""
    y = alt.Y("metric:Q", title=f"{metric} [{unit}]{basis}", scale=alt.Scale(zero=False))
    tips = [alt.Tooltip("input:Q", title=swept.path), alt.Tooltip("metric:Q", title=metric, format=",.4f")]
    line = alt.Chart(data).mark_line(color=WATER, point={"color": WATER, "size": 26}).encode(x=x, y=y, tooltip=tips)
    here = alt.Chart(data.iloc[[swept.at]]).mark_point(shape="diamond", size=170, color=EARTH, filled=True).encode(
        x=x, y=y, tooltip=tips
    )  # fmt: skip
    return Chart(dressed(line + here), sweep_sentence(swept, metric, about.meaning), data)


def sweep_sentence(swept: Sweep, metric: str, meaning: str) -> str:
    """What a sweep says, in words, with its units."""
    values, unit = swept.metrics[metric], swept.units[metric]
    known = np.flatnonzero(np.isfinite(values))
    if not known.size:
        return f"There is no {metric} anywhere in this range: {swept.reasons[metric][0]}."
    first, last = known[0], known[-1]
    ends = " to ".join(f"{significant(float(values[n]), 4)} {unit}".strip() for n in (first, last))
    span = " to ".join(f"{figure(float(swept.values[n]), 5)} {swept.unit}".strip() for n in (first, last))
    gone = "".join(f" It has no value at {at} of {len(values)} points: {why}." for why, at in missing(swept, metric))
    how = "the design held" if swept.held else "every value sized afresh"
    own = f"{figure(swept.base, 5)} {swept.unit}".strip()
    return (
        f"{meaning[0].upper()}{meaning[1:]}: {ends} as {swept.path} goes from {span}; the diamond is the case's own {own}. "
        f"All else stays, {how}.{gone}"
    )

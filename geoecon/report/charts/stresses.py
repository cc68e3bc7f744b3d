"""The chart of a lender's stresses: one figure under each of them, beside the case as it is."""

import altair as alt
import numpy as np
import pandas as pd

from geoecon.report.charts.frame import EARTH, INK, STONE, WATER, Chart, dressed
from geoecon.report.stresses import COVERS, cell, label
from geoecon.result import METRICS
from geoecon.studies.stress import StressSet

ROW = 34


def stress_dots(found: StressSet, metric: str) -> Chart:
    """A dot for each stress, joined to the line of the case as it is; a dashed line where the criterion fails."""
    unit, base = found.units[metric], found.base.metrics[metric]
    scale, shown = {found.currency: (1e6, f"M{unit}"), "1/yr": (0.01, "%/yr")}.get(
        unit, (1.0, "times" if metric in COVERS else unit)
    )
    rows = [row for row in found.rows if row.metrics]
    data = pd.DataFrame(
        {
            "stress": [label(row.stress) for row in rows],
            "value": [row.metrics[metric] / scale for row in rows],
            "base": base / scale,
            "in words": [cell(found, row, metric) for row in rows],
        }
    )
    y = alt.Y("stress:N", sort=None, title=None, axis=alt.Axis(labelLimit=200, labelOverlap=False))
    basis = f", {found.bases[metric]}" if found.bases[metric] not in {"none", ""} else ""
    x = alt.X("value:Q", title=f"{metric} [{shown}]{basis}", scale=alt.Scale(zero=False, nice=True))
    tips = [alt.Tooltip("stress:N"), alt.Tooltip("in words:N", title=metric)]
    picture = (
        alt.Chart(data).mark_rule(color=STONE, strokeWidth=2).encode(y=y, x=x, x2="base:Q")
        + alt.Chart(data.iloc[[0]]).mark_rule(color=INK, strokeWidth=1).encode(x="base:Q")
        + alt.Chart(data).mark_point(color=WATER, filled=True, size=90, opacity=1).encode(y=y, x=x, tooltip=tips)
    )
    if metric == found.criterion:
        picture += alt.Chart(pd.DataFrame({"value": [found.least / scale]})).mark_rule(
            color=EARTH, strokeDash=[5, 3], strokeWidth=2
        ).encode(x="value:Q")  # fmt: skip
    return Chart(dressed(picture, height=ROW * len(data)), sentence(found, metric), data)


def sentence(found: StressSet, metric: str) -> str:
    """What the chart says, in words."""
    meaning = METRICS[metric].meaning
    rows = [row for row in found.rows[1:] if row.metrics and np.isfinite(row.metrics[metric])]
    if not np.isfinite(found.base.metrics[metric]) or not rows:
        return f"There is no {metric} in the case as it is: {found.base.reasons.get(metric, 'nothing applies')}."
    single = [row for row in rows if row.stress.name != found.rows[-1].stress.name] or rows
    widest = max(single, key=lambda row: abs(row.metrics[metric] - found.base.metrics[metric]))
    none = [label(row.stress) for row in found.rows if row.metrics and not np.isfinite(row.metrics[metric])]
    gone = f" It has no value under: {', '.join(none)}." if none else ""
    fails = (
        f" The dashed line is where it fails, {found.least:g}{' times' if metric in COVERS else ''}."
        if metric == found.criterion
        else ""
    )
    return (
        f"{meaning[0].upper()}{meaning[1:]}: {cell(found, found.base, metric)} in the base, the thin line; of the single "
        f"stresses {label(widest.stress)} moves it most, to {cell(found, widest, metric)}.{fails}{gone}"
    )

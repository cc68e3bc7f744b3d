"""A sweep as lines, JSON and files."""

from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from geoecon.errors import CaseError, Fault
from geoecon.report.aligned import RIGHT, aligned
from geoecon.report.tables import Column, no_alarm, study_files
from geoecon.report.words import significant
from geoecon.studies.sweep import Sweep

if TYPE_CHECKING:
    from geoecon.report.charts import Chart


def known_figures(name: str, known: Mapping[str, object], metrics: Sequence[str]) -> Sequence[str]:
    """The metrics asked for, all of them real ones. Raises `CaseError`."""
    for metric in metrics:
        if metric not in known:
            raise CaseError([Fault("--metric", f"{metric!r} is no figure; known are: {', '.join(known)}")], name)
    return metrics


def lines(swept: Sweep, metrics: Sequence[str]) -> Iterator[str]:
    """The sweep as aligned lines: the input, then each figure with its unit; the case's own line marked with an arrow."""
    keys = [swept.path, *known_figures(swept.name, swept.metrics, metrics)]
    units = [swept.unit, *(swept.units[metric] for metric in metrics)]
    rows = [
        [
            f"{'> ' if n == swept.at else ''}{figure(float(value), 6)}",
            *(_cell(float(swept.metrics[metric][n])) for metric in metrics),
        ]
        for n, value in enumerate(swept.values)
    ]
    table = [keys, [f"[{unit}]" if unit else "" for unit in units], *rows]
    yield swept.help
    yield from aligned(table, first=RIGHT)
    yield f"> is the case as it is; all else stays, {'the design held' if swept.held else 'every value sized afresh'}"
    for metric in metrics:
        yield from (f"none in {metric} at {at} of {len(rows)} values: {why}" for why, at in missing(swept, metric))


def missing(swept: Sweep, metric: str) -> list[tuple[str, int]]:
    """Why a figure has no value, and at how many values of the input, the commonest first."""
    return Counter(why for why in swept.reasons[metric] if why).most_common()


def figure(value: float, digits: int) -> str:
    """A number with at most so many digits that count, thousands apart, no exponent and no idle zeros.

    >>> figure(420000.0, 5), figure(84.0, 5), figure(0.0123456, 3)
    ('420,000', '84', '0.0123')
    """
    text = significant(value, digits)
    return text.rstrip("0").rstrip(".") if "." in text else text


def _cell(value: float) -> str:
    return significant(value, 5) if np.isfinite(value) else "none"


def as_json(swept: Sweep) -> dict[str, Any]:
    """The sweep as plain objects; what does not exist is null."""
    return {
        "path": swept.path,
        "unit": swept.unit,
        "values": swept.values.tolist(),
        "base": swept.base,
        "design": "held" if swept.held else "sized afresh",
        "units": dict(swept.units),
        "metrics": {
            key: [v if np.isfinite(v) else None for v in map(float, column)] for key, column in swept.metrics.items()
        },
    }


def sweep_columns(swept: Sweep) -> dict[str, Column]:
    """The sweep as columns with units: the input and every figure, NaN where there is none."""
    figures = {f"{key} [{swept.units[key]}]": column for key, column in swept.metrics.items()}
    return {f"{swept.path} [{swept.unit}]": swept.values, **figures}


def sweep_files(
    swept: Sweep, metrics: Sequence[str], chart: str | None, out: str | None, alarm: Callable[[], str] = no_alarm
) -> list[Path]:
    """Write the chart of the first figure and the table, where they are asked for. Raises `OutputError`."""
    known_figures(swept.name, swept.metrics, metrics)

    def draw() -> "Chart":
        from geoecon.report.charts import sweep_line

        return sweep_line(swept, metrics[0])

    return study_files(chart, draw, out, lambda: sweep_columns(swept), alarm)

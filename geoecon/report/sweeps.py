"""A sweep as lines, JSON and files."""

import csv
import io
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

import numpy as np

from geoecon.errors import CaseError, Fault, OutputError
from geoecon.report.files import write_all
from geoecon.report.words import significant
from geoecon.studies.sweep import Sweep

PICTURES = ("svg", "png", "html")


def _known(swept: Sweep, metrics: Sequence[str]) -> Sequence[str]:
    """The metrics asked for, all of them real ones. Raises `CaseError`."""
    for metric in metrics:
        if metric not in swept.metrics:
            raise CaseError(
                [Fault("--metric", f"{metric!r} is no figure; known are: {', '.join(swept.metrics)}")], swept.name
            )
    return metrics


def lines(swept: Sweep, metrics: Sequence[str]) -> Iterator[str]:
    """The sweep as aligned lines: the input, then each figure with its unit; the case's own line marked with an arrow."""
    keys = [swept.path, *_known(swept, metrics)]
    units = [swept.unit, *(swept.units[metric] for metric in metrics)]
    rows = [
        [
            f"{'> ' if n == swept.at else ''}{figure(float(value), 6)}",
            *(_cell(float(swept.metrics[metric][n])) for metric in metrics),
        ]
        for n, value in enumerate(swept.values)
    ]
    table = [keys, [f"[{unit}]" if unit else "" for unit in units], *rows]
    widths = [max(len(row[k]) for row in table) for k in range(len(keys))]
    yield swept.help
    for row in table:
        yield "  ".join(cell.rjust(width) for cell, width in zip(row, widths, strict=True))
    yield f"> is the case as it is; all else stays, {'the design held' if swept.held else 'every value sized afresh'}"
    for metric in metrics:
        missing = next((why for why in swept.reasons[metric] if why), "")
        if missing:
            yield f"none in {metric}: {missing}"


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


def sweep_csv(swept: Sweep) -> bytes:
    """The sweep as CSV: the input and every figure, with units."""
    text = io.StringIO()
    table = csv.writer(text, lineterminator="\n")
    table.writerow([f"{swept.path} [{swept.unit}]", *(f"{key} [{swept.units[key]}]" for key in swept.metrics)])
    for n, value in enumerate(swept.values):
        figures = [float(column[n]) for column in swept.metrics.values()]
        table.writerow([value, *("" if np.isnan(figure) else figure for figure in figures)])
    return text.getvalue().encode()


def sweep_files(swept: Sweep, metrics: Sequence[str], chart: str | None, out: str | None) -> list[Path]:
    """Write the chart of the first figure and the table, where they are asked for. Raises `OutputError`."""
    _known(swept, metrics)
    wanted: dict[Path, bytes] = {}
    if chart is not None:
        ending = Path(chart).suffix.removeprefix(".").lower()
        if ending not in PICTURES:
            raise OutputError(f"{chart}: a chart ends in {', '.join('.' + p for p in PICTURES)}")
        from geoecon.report.charts import picture_file, sweep_line

        wanted[Path(chart)] = picture_file(sweep_line(swept, metrics[0]), ending)
    if out is not None:
        if Path(out).suffix.lower() != ".csv":
            raise OutputError(f"{out}: a table ends in .csv")
        wanted[Path(out)] = sweep_csv(swept)
    return write_all(wanted)

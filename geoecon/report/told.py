"""A study as everything it is told in: lines, JSON, a table and a chart; and those as files."""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from geoecon.report.tables import study_files

if TYPE_CHECKING:
    from geoecon.report.charts import Chart


@dataclass(frozen=True)
class Told:
    """Lines for a terminal, plain objects for JSON, a table as CSV, and how the chart is drawn where it is wanted."""

    lines: tuple[str, ...]
    json: dict[str, Any]
    csv: bytes
    draw: "Callable[[], Chart]"


def told_files(told: Told, chart: str | None, out: str | None) -> list[Path]:
    """Write chart and table where they are asked for. Raises `OutputError`."""
    return study_files(chart, told.draw, out, lambda _: told.csv)

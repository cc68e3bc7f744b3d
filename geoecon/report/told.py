"""A study as everything it is told in: lines, JSON, a table and a chart; and those as files."""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from geoecon.errors import OutputError
from geoecon.report.files import write_all
from geoecon.report.sweeps import PICTURES

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
    wanted: dict[Path, bytes] = {}
    if out is not None:
        if Path(out).suffix.lower() != ".csv":
            raise OutputError(f"{out}: a table ends in .csv")
        wanted[Path(out)] = told.csv
    if chart is not None:
        ending = Path(chart).suffix.removeprefix(".").lower()
        if ending not in PICTURES:
            raise OutputError(f"{chart}: a chart ends in {', '.join('.' + p for p in PICTURES)}")
        from geoecon.report.charts import picture_file

        wanted[Path(chart)] = picture_file(told.draw(), ending)
    for file in wanted:  # before anything is written, because the files may lie in different folders
        try:
            file.parent.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise OutputError(f"{file.parent}: cannot be written ({error.strerror}); nothing was changed") from None
    return [written for file, data in wanted.items() for written in write_all(file.parent, {file.name: data})]

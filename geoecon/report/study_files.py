"""The chart and the table of a study as files, written whole or not at all."""

from collections.abc import Callable
from pathlib import Path

from geoecon.errors import OutputError
from geoecon.report.charts.frame import Chart, picture_file
from geoecon.report.files import write_all

PICTURES = ("svg", "png", "html")


def study_files(
    chart: str | None, draw: Callable[[], Chart], out: str | None, tabulate: Callable[[], bytes]
) -> list[Path]:
    """Write the chart and the table of a study where they are asked for. Raises `OutputError`."""
    wanted: dict[Path, bytes] = {}
    if chart is not None:
        ending = Path(chart).suffix.removeprefix(".").lower()
        if ending not in PICTURES:
            raise OutputError(f"{chart}: a chart ends in {', '.join('.' + p for p in PICTURES)}")
        wanted[Path(chart)] = picture_file(draw(), ending)
    if out is not None:
        if Path(out).suffix.lower() != ".csv":
            raise OutputError(f"{out}: a table ends in .csv")
        wanted[Path(out)] = tabulate()
    for file in wanted:  # before anything is written, because the files may lie in different folders
        try:
            file.parent.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise OutputError(f"{file.parent}: cannot be written ({error.strerror}); nothing was changed") from None
    return [written for file, data in wanted.items() for written in write_all(file.parent, {file.name: data})]

"""Studies as files: a table as CSV or Parquet, and a chart, both written or neither."""

import csv
import io
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from geoecon.arrays import Floats
from geoecon.errors import OutputError
from geoecon.report.files import write_all

if TYPE_CHECKING:
    from geoecon.report.charts import Chart

Column = Floats | Sequence[str]
TABLES = ("csv", "parquet")
PICTURES = ("svg", "png", "html")
FAIL = "CHECKS FAIL"
FORMULA = ("=", "+", "-", "@", "\t", "\r")  # with which a spreadsheet takes a text for a formula


def no_alarm() -> str:
    """Of a study whose case has no checks that could fail."""
    return ""


def table_file(columns: Mapping[str, Column], ending: str, alarm: str = "") -> bytes:
    r"""Columns of equal length under headings with units; a number that does not exist is empty.

    alarm : stands in a first column of its own, in every row

    >>> table_file({"price [USD/MWh]": np.array([95.0, np.nan]), "why": ["", "no price"]}, "csv")
    b'price [USD/MWh],why\n95.0,\n,no price\n'
    """
    if alarm:
        columns = {FAIL: [alarm] * len(next(iter(columns.values()), ())), **columns}
    if ending == "parquet":
        return _parquet(columns)
    text = io.StringIO()
    table = csv.writer(text, lineterminator="\n")
    table.writerow(columns)
    table.writerows(zip(*(_cells(column) for column in columns.values()), strict=True))
    return text.getvalue().encode()


def _cells(column: Column) -> Sequence[object]:
    if not isinstance(column, np.ndarray):
        return [f"'{text}" if text.startswith(FORMULA) else text for text in column]
    return ["" if np.isnan(value) else value for value in map(float, column)]


def _parquet(columns: Mapping[str, Column]) -> bytes:
    import pyarrow
    from pyarrow import parquet

    arrays = {name: pyarrow.array(column, from_pandas=True) for name, column in columns.items()}
    made = pyarrow.BufferOutputStream()
    parquet.write_table(pyarrow.table(arrays), made)
    return bytes(made.getvalue())


def study_files(
    chart: str | None,
    draw: "Callable[[], Chart] | None",
    out: str | None,
    columns: Callable[[], Mapping[str, Column]],
    alarm: Callable[[], str] = no_alarm,
) -> list[Path]:
    """Write the chart and the table of a study, where they are asked for; the endings of their names say in which form.

    alarm : what both have to carry because a check fails. They say nothing where all hold: a picture has no room for it, and
    a table is read by programs, to which a line that is no row is a fault.

    Raises `OutputError`, for an ending that is not known before anything is drawn.
    """
    picture = None if chart is None else ending_of(chart, PICTURES, "a chart")
    form = None if out is None else ending_of(out, TABLES, "a table")
    wanted: dict[Path, bytes] = {}
    if chart is not None and picture is not None and draw is not None:
        from geoecon.report.charts import picture_file

        wanted[Path(chart)] = picture_file(draw(), picture, alarm())
    if out is not None and form is not None:
        wanted[Path(out)] = table_file(columns(), form, alarm())
    return write_all(wanted)


def ending_of(file: str, known: Sequence[str], what: str) -> str:
    """The ending of a file's name, one of those known. Raises `OutputError`."""
    ending = Path(file).suffix.removeprefix(".").lower()
    if ending not in known:
        raise OutputError(f"{file}: {what} ends in {', '.join('.' + one for one in known)}")
    return ending

"""`geoecon risk`: a case over many draws of what is unsure."""

import json as json_text
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

import click

from geoecon.cli.frame import app, case_options, json_option, load, say_what_takes_time, terminal

if TYPE_CHECKING:
    from rich.console import Console

    from geoecon.report.risk import Sheet

LONG_SECONDS = 1.0
COLUMNS_FIT = 100


@app.command()
@case_options
@json_option
@click.option("--draws", default=10_000, show_default=True, help="How many scenarios.")
@click.option("--seed", default=1, show_default=True, help="Whole number from which the draws follow.")
@click.option("--sampler", default="latin", show_default=True, metavar="NAME", help="latin, sobol or plain.")
@click.option("--metric", "metrics", multiple=True, metavar="KEY", help="Figures to show; the first tells bad draws.")
@click.option("--resize", is_flag=True, help="Size wells and plant in every draw, as if all were known before.")
@click.option("--workers", default=1, show_default=True, help="Processes that work; the answer is the same.")
@click.option("--out", metavar="FOLDER", help="Write risk.json, the draws and fans.csv into this folder.")
@click.option("--table", default="csv", show_default=True, metavar="ENDING", help="Draws as csv or parquet.")
@click.option("--chart", metavar="FILE", help="Draw the first figure into a file that ends in .svg, .png or .html.")
def risk(
    case: str, changes: tuple[str, ...], as_json: bool, draws: int, seed: int, sampler: str, metrics: tuple[str, ...],
    resize: bool, workers: int, out: str | None, table: str, chart: str | None,
) -> None:  # fmt: skip
    """Work a case out over many draws of what is unsure, the plant held as ordered.

    Ctrl-C stops and keeps what is done.
    """
    from geoecon.errors import CaseError, Fault
    from geoecon.report.risk import checked_metrics, how_made, known_metrics, sheets, told_by, verdict
    from geoecon.report.risk_files import as_json as in_json
    from geoecon.report.risk_files import check_places, risk_files
    from geoecon.studies.risk import risk as study

    read = load(case, changes)
    checked_metrics(metrics)
    check_places(chart, out, table, draws)
    say_what_takes_time(read)
    with _progress() as progress:
        found = study(read, draws, seed=seed, sampler=sampler, resize=resize, workers=workers, progress=progress)
    shown, by = known_metrics(found, metrics), told_by(found, metrics)
    written = risk_files(found, metrics, chart, out, table)
    if found.failed.all():
        kept = f" Written all the same: {', '.join(map(str, written))}." if written else ""
        raise CaseError([Fault("", f"{verdict(found)}{kept}")], read.source)
    if as_json:
        click.echo(json_text.dumps(in_json(found, shown, by), indent=2, ensure_ascii=False, allow_nan=False))
        return
    console = terminal()
    _print_heading(console, found.base.name, verdict(found), how_made(found))
    for sheet in sheets(found, shown, by):
        _print_sheet(console, sheet)
    for file in written:
        console.print(f"written: {file}", markup=False, highlight=False)


@contextmanager
def _progress() -> Iterator[Callable[[int, int], None]]:
    """A bar on a terminal, once it has taken long enough to wonder."""
    if not sys.stderr.isatty():
        yield lambda done, wanted: None
        return
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

    columns = (TextColumn("draws"), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn())
    bar, began = Progress(*columns, console=Console(stderr=True), transient=True), time.monotonic()
    task = bar.add_task("draws", total=None)

    def move(done: int, wanted: int) -> None:
        bar.update(task, completed=done, total=wanted)
        if time.monotonic() - began > LONG_SECONDS:
            bar.start()

    try:
        yield move
    finally:
        bar.stop()


def _print_heading(console: "Console", name: str, verdict: str, made: str) -> None:
    from rich.text import Text

    console.print(Text(name, style="bold"))
    console.print(Text(verdict))
    console.print(Text(made, style="dim"))


def _print_sheet(console: "Console", sheet: "Sheet") -> None:
    """A sheet as a table, or line under line where there is no room for columns."""
    from rich.table import Table
    from rich.text import Text

    console.print()
    console.print(Text(sheet.title, style="bold"))
    if console.width < COLUMNS_FIT:
        for row in sheet.rows:
            console.print(Text(row[0]))
            for head, cell in zip(sheet.heads[1:], row[1:], strict=True):
                console.print(Text(f"  {head}: {cell}" if head else f"  {cell}"))
    else:
        table = Table(box=None, padding=(0, 2, 0, 0), header_style="dim", show_edge=False)
        for n, head in enumerate(sheet.heads):
            table.add_column(head, justify="right" if n else "left", no_wrap=bool(n))
        for row in sheet.rows:
            table.add_row(*map(Text, row))
        console.print(table)
    for note in sheet.notes:
        console.print(Text(note, style="dim"))

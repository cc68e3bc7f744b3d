"""A study on a terminal: heading, small tables, and a bar while draws are worked out."""

import signal
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rich.console import Console

    from geoecon.report.sheets import Sheet

LONG_SECONDS = 1.0
COLUMNS_FIT = 100


@contextmanager
def progress(*, then_told: bool = False) -> Iterator[Callable[[int, int], None]]:
    """A bar on a terminal, once it has taken long enough to wonder.

    then_told : whether nothing is left after the last draw but to tell and write what was found: an interrupt that comes
        then is too late, and would lose finished work
    """
    show, stop = _bar() if sys.stderr.isatty() else (lambda done, wanted: None, lambda: None)
    before = signal.getsignal(signal.SIGINT)

    def move(done: int, wanted: int) -> None:
        show(done, wanted)
        if done == wanted and then_told:
            stop()
            signal.signal(signal.SIGINT, signal.SIG_IGN)

    try:
        yield move
    finally:
        stop()
        if signal.getsignal(signal.SIGINT) is not before:
            signal.signal(signal.SIGINT, before)


def _bar() -> tuple[Callable[[int, int], None], Callable[[], None]]:
    """What moves a bar, and what takes it away."""
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

    columns = (TextColumn("draws"), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn())
    bar, began = Progress(*columns, console=Console(stderr=True), transient=True), time.monotonic()
    task = bar.add_task("draws", total=None)

    def show(done: int, wanted: int) -> None:
        bar.update(task, completed=done, total=wanted)
        if time.monotonic() - began > LONG_SECONDS:
            bar.start()

    return show, bar.stop


def print_heading(console: "Console", name: str, verdict: str, made: str) -> None:
    """Name of the case, what the study says, and how it was made."""
    from rich.text import Text

    console.print(Text(name, style="bold"))
    console.print(Text(verdict))
    if made:
        console.print(Text(made, style="dim"))


def print_sheet(console: "Console", sheet: "Sheet") -> None:
    """A sheet as a table, or line under line where there is no room for columns."""
    from rich.table import Table
    from rich.text import Text

    console.print()
    console.print(Text(sheet.title, style="bold"))
    if not sheet.rows:
        pass
    elif console.width < COLUMNS_FIT:
        for row in sheet.rows:
            console.print(Text(row[0]))
            for head, cell in zip(sheet.heads[1:], row[1:], strict=True):
                console.print(Text(f"  {head}: {cell}" if head else f"  {cell}"))
    else:
        table = Table(box=None, padding=(0, 2, 0, 0), header_style="dim", show_edge=False, show_header=any(sheet.heads))
        for n, head in enumerate(sheet.heads):
            reason = sheet.words and n == len(sheet.heads) - 1
            table.add_column(head, justify="right" if n and not sheet.words else "left", no_wrap=bool(n) and not reason)
        for row in sheet.rows:
            table.add_row(*map(Text, row))
        console.print(table)
    for note in sheet.notes:
        console.print(Text(note, style="dim"))

"""`geoecon books`: where the money comes from and goes, who is served before whom, and what is owned and owed."""

import json as json_text
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import click

from geoecon.cli.answers import print_sections
from geoecon.cli.checked import end_by_checks, say_checks
from geoecon.cli.frame import app, case_options, json_option, load, say_what_takes_time, terminal

if TYPE_CHECKING:
    from rich.console import Console

    from geoecon.report.ruled import Ruled
    from geoecon.result import Result

CELL, GAP = 9, 2


@app.command()
@case_options
@json_option
@click.option(
    "--years", "asked", metavar="YEARS",
    help='"all", or as "0-10,15,20"; otherwise build years and those that show the course.',
)  # fmt: skip
@click.option("--out", metavar="DIR", help="Write the books, every year, exact, into CSV files in this folder.")
def books(case: str, changes: tuple[str, ...], as_json: bool, asked: str | None, out: str | None) -> None:
    """Sources and uses, debt, tax, the statement by section, the cash waterfall and the balance sheet; nominal."""
    from geoecon.audit import checks
    from geoecon.engine import evaluate
    from geoecon.report.answer import CAUTION
    from geoecon.report.files import write_all
    from geoecon.report.financing import debt_figures, tax_figures
    from geoecon.report.ruled_files import books_files, books_json

    if out is not None and not out.strip():
        raise click.UsageError("--out names no folder")
    read = load(case, changes)
    say_what_takes_time(read)
    result = evaluate(read, unsolved="raise")
    tables = list(_tables(result, asked))
    written = write_all({Path(out, name): data for name, data in books_files(result).items()}) if out else []
    if as_json:
        click.echo(json_text.dumps(books_json(result), indent=2, ensure_ascii=False, allow_nan=False))
        return
    console = terminal()
    console.print(result.name, style="bold", markup=False)
    print_sections(console, (debt_figures(result), tax_figures(result)))
    for table in tables:
        print_ruled(console, table)
    console.print()
    found = checks(result)
    say_checks(console, found)
    console.print(CAUTION, style="dim", markup=False)
    for file in written:
        console.print(f"written: {file}", markup=False, highlight=False)
    end_by_checks(found)


def _tables(result: "Result", asked: str | None) -> "Iterator[Ruled]":
    """The tables in the order of the pages, with the years that were asked for."""
    from geoecon.report.books import ledgers, sources_and_uses, years_asked
    from geoecon.report.financing import has_tax, tax_years

    years = years_asked(asked, result)
    yield from sources_and_uses(result)
    for ledger in (*ledgers(result).values(), *([tax_years(result)] if has_tax(result) else [])):
        yield ledger.shown(years)


def print_ruled(console: "Console", table: "Ruled") -> None:
    """A table of amounts, in as many pieces as its columns need on this terminal."""
    from rich.table import Table
    from rich.text import Text

    from geoecon.report.ruled import HEAD, SUM, in_blocks

    names = max(len(cells[0]) for _, cells in table.rows)
    most = max(1, (console.width - min(names, console.width // 2)) // (CELL + GAP))
    console.print()
    if not table.heads[0].startswith(table.title):
        console.print(Text(table.title, style="bold"))
    for block in in_blocks(table, most):
        shown = Table(box=None, padding=(0, GAP, 0, 0), header_style="dim", show_edge=False)
        for n, head in enumerate(block.heads):
            shown.add_column(Text(head), justify="right" if n >= block.words else "left", no_wrap=n >= block.words)
        for kind, cells in block.rows:
            shown.add_row(*map(Text, cells), style="bold" if kind in {HEAD, SUM} else "")
        console.print(shown)
    for note in table.notes:
        console.print(Text(note, style="dim"))

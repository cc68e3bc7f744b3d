"""Commands that know a case and answer it: check, fields, run, explain, app."""

import json as json_text
import shlex
import sys
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import click

from geoecon.cli.checked import check_lines, end_by_checks, say_checks
from geoecon.cli.frame import app, case_options, json_option, load, say_what_takes_time, terminal

if TYPE_CHECKING:
    from rich.console import Console

    from geoecon.audit import Check
    from geoecon.case import Case
    from geoecon.errors import Fault
    from geoecon.report.explain import Explanation
    from geoecon.report.lines import Section
    from geoecon.result import Result

COLUMNS_FIT = 90
STATEMENT_LABELS, STATEMENT_CELL = 40, 8


@app.command()
@case_options
@json_option
@click.option(
    "--deep", is_flag=True, help="Work the case out as well and check that its figures agree with each other."
)
def check(case: str, changes: tuple[str, ...], as_json: bool, deep: bool) -> None:
    """Read a case and report everything wrong with it, each with its line."""
    from geoecon.case.remarks import remarks
    from geoecon.errors import CaseError
    from geoecon.obstacles import not_built

    try:
        read = _without_fault(case, changes)
    except CaseError as error:
        if not as_json:
            raise
        click.echo(json_text.dumps({"faults": [vars(fault) for fault in error.faults]}, indent=2))
        sys.exit(2)
    later = [*remarks(read), *(f"{path}: {words}" for path, words in not_built(read))]
    found = _deep(read) if deep else []
    if as_json:
        deeper = {"checks": [one.as_json() for one in found]} if deep else {}
        click.echo(json_text.dumps({"faults": [], "notes": later, **deeper}, indent=2))
    else:
        click.echo(f"{read.source}: no fault found in {read.project.name!r}")
        for note in later:
            click.echo(f"note: {note}")
        for line in check_lines(found):
            click.echo(line)
    end_by_checks(found)


def _without_fault(name: str, changes: tuple[str, ...]) -> "Case":
    """The case in a file, in which no study will find a fault. Raises `CaseError` with all that are found."""
    from geoecon.case import Case
    from geoecon.errors import CaseError, Fault
    from geoecon.obstacles import obstacles

    try:
        read = load(name, changes)
    except CaseError as error:
        rest = error.rest if isinstance(error.rest, Case) else None
        raise CaseError([*error.faults, *(_of_studies(rest) if rest else ())], error.source) from None
    faults = [Fault(o.path, o.message, read.line(o.path)) for o in obstacles(read)]
    if faults := [*faults, *_of_studies(read)]:
        raise CaseError(faults, read.source)
    return read


def _of_studies(case: "Case") -> "Iterator[Fault]":
    """Faults that only studies would meet: in what is unsure and in the criteria of a decision."""
    from geoecon.errors import CaseError
    from geoecon.studies.gates import criteria
    from geoecon.studies.uncertain import uncertain_inputs

    for meet in (uncertain_inputs, *([criteria] if case.decision.criteria else [])):
        try:
            meet(case)
        except CaseError as error:
            yield from error.faults


def _deep(case: "Case") -> "list[Check]":
    """The checks of the figures that a case comes to."""
    from geoecon.audit import checks
    from geoecon.engine import evaluate

    say_what_takes_time(case)
    return checks(evaluate(case, unsolved="raise"))


@app.command()
@click.option("--search", metavar="WORDS", help="Only fields that speak of these words, in any order.")
@json_option
def fields(search: str | None, as_json: bool) -> None:
    """List every field of a case: path, how it is written, bounds, default, meaning."""
    from geoecon.case.reference import reference, searched

    found, every = searched(search) if search else (reference(), True)
    if not found:
        raise click.UsageError(f"no field speaks of {search!r}")
    if not every:
        click.echo(f"no field speaks of all of {search!r}; these speak of some", err=True)
    if as_json:
        click.echo(json_text.dumps([f.as_json() for f in found], indent=2, ensure_ascii=False))
        return
    for item in found:
        click.echo(f"{item.path}\n    {item.help}\n    {item.how}")


@app.command()
@case_options
@json_option
@click.option("--statement", is_flag=True, help="Print the statement for every year, accounts and the energy ledger.")
@click.option("--out", metavar="DIR", help="Write result.json, annual.csv and ledger.csv into this folder.")
def run(case: str, changes: tuple[str, ...], as_json: bool, statement: bool, out: str | None) -> None:
    """Work a case out: size, energy, cost, value, and what the numbers mean."""
    from geoecon.audit import checks, with_checks
    from geoecon.engine import evaluate
    from geoecon.report.files import result_files, write_all

    if out is not None and not str(out).strip():
        raise click.UsageError("--out names no folder")
    read = load(case, changes)
    say_what_takes_time(read)
    result = evaluate(read, unsolved="raise")
    written = write_all({Path(out, name): data for name, data in result_files(result).items()}) if out else []
    found = checks(result)
    if as_json:
        click.echo(json_text.dumps(with_checks(result), indent=2, ensure_ascii=False, allow_nan=False))
        end_by_checks(found)
        return
    console = terminal()
    _print_answer(console, result)
    say_checks(console, found)
    _print_statement(console, result, every_year=statement)
    if statement:
        from geoecon.report.answer import accounts
        from geoecon.report.price_readings import price_readings
        from geoecon.report.recipients import recipients

        console.print()
        print_sections(console, (*accounts(result), *recipients(result), *price_readings(result)))
    for file in written:
        console.print(f"written: {file}", markup=False, highlight=False)
    end_by_checks(found)


@app.command()
@click.argument("metric")
@case_options
@json_option
def explain(metric: str, case: str, changes: tuple[str, ...], as_json: bool) -> None:
    """Say how a metric comes about: the formula in words, with the numbers of a case, down to inputs and their sources.

    METRIC is a key that `geoecon run --json` prints, such as lcoe_real. METRIC and CASE may stand in either order.
    """
    from geoecon.engine import evaluate
    from geoecon.report.explain import explain as explained
    from geoecon.report.explain import known
    from geoecon.result import METRICS

    if case in METRICS and metric not in METRICS:
        metric, case = case, metric
    known(metric)
    read = load(case, changes)
    say_what_takes_time(read)
    found = explained(evaluate(read, unsolved="raise"), metric)
    if as_json:
        click.echo(json_text.dumps(found.as_json(), indent=2, ensure_ascii=False, allow_nan=False))
        return
    _print_explanation(
        terminal(), found, shlex.join([case, *(word for change in changes for word in ("--set", change))])
    )


@app.command("app")
@click.option("--port", type=int, help="Port to listen on; otherwise the first free one from 8501.")
def pages(port: int | None) -> None:
    """Open the pages in a browser."""
    import subprocess

    from geoecon import shipped_app

    command = [sys.executable, "-m", "streamlit", "run", str(shipped_app())]
    sys.exit(subprocess.run([*command, *(["--server.port", str(port)] if port else [])], check=False).returncode)


def _print_answer(console: "Console", result: "Result") -> None:
    from rich.text import Text

    from geoecon.report.answer import CAUTION, notes, sections
    from geoecon.report.verdict import verdict

    console.print(Text(result.name, style="bold"))
    console.print(Text(verdict(result)))
    print_sections(console, sections(result))
    for note in notes(result):
        console.print(Text(f"note: {note}"))
    console.print(Text(CAUTION, style="dim"))


def _print_explanation(console: "Console", found: "Explanation", asked: str) -> None:
    from rich.text import Text

    from geoecon.report.explain import listing

    for heading, lines in listing(found, asked):
        if heading:
            console.print(Text(heading, style="bold"))
        for line in lines:
            console.print(Text(line))


def print_sections(console: "Console", groups: "Iterable[Section]") -> None:
    """Groups as one table, or line under line where there is no room for columns."""
    from rich.table import Table
    from rich.text import Text

    if console.width < COLUMNS_FIT:
        for section in groups:
            for number, line in enumerate(section.lines):
                if not number:
                    console.print(Text(section.title, style="bold"))
                console.print(Text(f"{line.label}: {line.value}" if line.label else line.value))
                console.print(Text(line.basis, style="dim"))
        return
    table = Table(box=None, padding=(0, 2, 0, 0), show_header=False)
    table.add_column(style="bold", no_wrap=True)
    table.add_column(no_wrap=True)
    table.add_column(justify="right", no_wrap=True)
    table.add_column(style="dim")
    for section in groups:
        for number, line in enumerate(section.lines):
            table.add_row(Text("" if number else section.title), Text(line.label), Text(line.value), Text(line.basis))
    console.print(table)


def _print_statement(console: "Console", result: "Result", *, every_year: bool) -> None:
    from rich.table import Table

    from geoecon.report.answer import statement

    shown = statement(result, every_year=every_year)
    per_table = max(1, min(9, (console.width - STATEMENT_LABELS) // STATEMENT_CELL))
    for start in range(0, len(shown.years), per_table):
        stop = start + per_table
        table = Table(box=None, padding=(0, 1, 0, 0), header_style="dim")
        table.add_column("Statement, nominal; year", no_wrap=True)
        table.add_column("", no_wrap=True)
        for year in shown.years[start:stop]:
            table.add_column(year, justify="right", no_wrap=True)
        for label, unit, cells in shown.rows:
            table.add_row(label, unit, *cells[start:stop])
        console.print()
        console.print(table)

"""The command line: parse, call, print. Exit codes: 0 done, 2 the input is at fault, 1 a defect of ours."""

import io
import json as json_text
import os
import shlex
import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import click

from geoecon import __version__
from geoecon.errors import GeoeconError

if TYPE_CHECKING:
    from rich.console import Console

    from geoecon.case import Case
    from geoecon.report.answer import Section
    from geoecon.report.explain import Explanation
    from geoecon.result import Result

WIDEST = 118
DEFAULT_FIGURES = ("net_capacity", "first_year_energy", "lcoe_real", "required_price", "npv", "irr_equity", "dscr_min")
NARROWEST = 40
COLUMNS_FIT = 90
STATEMENT_LABELS, STATEMENT_CELL = 40, 8


@click.group(context_settings={"help_option_names": ["-h", "--help"], "max_content_width": WIDEST})
@click.version_option(__version__, prog_name="geoecon")
def app() -> None:
    """Decide whether a small geothermal power unit is worth building, for whom, and what would change the answer.

    CASE is a TOML file, or the name of an example that comes with the package.
    """


def main() -> None:
    """Run the command line; errors that a person can mend become messages and exit code 2."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")  # a terminal that knows no accents still gets an answer
    try:
        with app.make_context("geoecon", sys.argv[1:]) as context:
            app.invoke(context)
        sys.stdout.flush()
    except click.exceptions.Exit as end:
        sys.exit(end.exit_code)
    except GeoeconError as error:
        click.echo(str(error), err=True)
        sys.exit(2)
    except click.ClickException as error:
        error.show()
        sys.exit(error.exit_code)
    except click.Abort:
        click.echo("stopped", err=True)
        sys.exit(130)
    except BrokenPipeError:  # the reader, such as head, has had enough
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    except OSError as error:
        click.echo(f"the output cannot be written: {error.strerror}", err=True)
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        sys.exit(2)


def _case_options(command: Callable[..., None]) -> Callable[..., None]:
    """What every command that reads a case takes."""
    command = click.option(
        "--set",
        "changes",
        multiple=True,
        metavar="PATH=VALUE",
        help='Change a field for this run: --set wells.success="70 %".',
    )(command)
    return click.argument("case")(command)


_json_option = click.option("--json", "as_json", is_flag=True, help="Print one JSON object.")


def _load(name: str, changes: tuple[str, ...]) -> "Case":
    from geoecon import shipped_cases
    from geoecon.case import load_case

    shipped, file = shipped_cases(), Path(name)
    if not file.exists() and name in shipped:
        file = shipped[name]
    elif not file.exists() and Path(name).stem in shipped:
        raise click.UsageError(f"there is no file {name!r}; the example is called {Path(name).stem!r}")
    elif not file.exists() and "/" not in name and not name.endswith(".toml"):
        raise click.UsageError(f"{name!r} is neither a file nor an example; examples are: {', '.join(shipped)}")
    return load_case(file, dict(_pair(change) for change in changes))


def _pair(change: str) -> tuple[str, str]:
    path, equals, text = change.partition("=")
    if not equals:
        raise click.UsageError(f"--set {change!r} has no '='; write --set table.field=value")
    return path.strip(), text.strip()


@app.command()
@_case_options
@_json_option
def check(case: str, changes: tuple[str, ...], as_json: bool) -> None:
    """Read a case and report everything wrong with it, each with its line."""
    from geoecon.errors import CaseError, Fault
    from geoecon.obstacles import not_built, obstacles

    try:
        read = _load(case, changes)
        faults = [Fault(o.path, o.message, read.line(o.path)) for o in obstacles(read)]
        if faults:
            raise CaseError(faults, read.source)
    except CaseError as error:
        if not as_json:
            raise
        click.echo(json_text.dumps({"faults": [vars(fault) for fault in error.faults]}, indent=2))
        sys.exit(2)
    later = [f"{path}: {words}" for path, words in not_built(read)]
    if as_json:
        click.echo(json_text.dumps({"faults": [], "notes": later}, indent=2))
        return
    click.echo(f"{read.source}: no fault found in {read.project.name!r}")
    for note in later:
        click.echo(f"note: {note}")


@app.command()
@click.option("--search", metavar="WORDS", help="Only fields whose path or help holds these words.")
@_json_option
def fields(search: str | None, as_json: bool) -> None:
    """List every field of a case: path, how it is written, bounds, default, meaning."""
    from geoecon.case.reference import reference

    found = [f for f in reference() if not search or search.lower() in f"{f.path} {f.help}".lower()]
    if not found:
        raise click.UsageError(f"no field speaks of {search!r}")
    if as_json:
        click.echo(json_text.dumps([f.as_json() for f in found], indent=2, ensure_ascii=False))
        return
    for item in found:
        click.echo(f"{item.path}\n    {item.help}\n    {item.how}")


@app.command()
@_case_options
@_json_option
@click.option("--statement", is_flag=True, help="Print the statement for every year, accounts and the energy ledger.")
@click.option("--out", metavar="DIR", help="Write result.json, annual.csv and ledger.csv into this folder.")
def run(case: str, changes: tuple[str, ...], as_json: bool, statement: bool, out: str | None) -> None:
    """Work a case out: size, energy, cost, value, and what the numbers mean."""
    from geoecon.engine import evaluate
    from geoecon.report.files import result_files, write_all

    if out is not None and not str(out).strip():
        raise click.UsageError("--out names no folder")
    read = _load(case, changes)
    _say_what_takes_time(read)
    result = evaluate(read, unsolved="raise")
    written = write_all({Path(out, name): data for name, data in result_files(result).items()}) if out else []
    if as_json:
        click.echo(result.to_json(), nl=False)
        return
    console = _console()
    _print_answer(console, result)
    _print_statement(console, result, every_year=statement)
    if statement:
        from geoecon.report.answer import accounts

        console.print()
        _print_sections(console, accounts(result))
    for file in written:
        console.print(f"written: {file}", markup=False, highlight=False)


@app.command()
@_case_options
@click.argument("path")
@_json_option
@click.option("--from", "low", metavar="VALUE", help="Where to begin, with a unit; a third below the case's value.")
@click.option("--to", "high", metavar="VALUE", help="Where to end, with a unit; a third above the case's value.")
@click.option("--steps", default=13, show_default=True, help="How many values.")
@click.option("--metric", "metrics", multiple=True, metavar="KEY", help="Figures to show; may be given several times.")
@click.option(
    "--hold", is_flag=True, help="Keep wells and plant as the case has them; otherwise each value is sized afresh."
)
@click.option("--chart", metavar="FILE", help="Draw the first figure into a file that ends in .svg, .png or .html.")
@click.option("--out", metavar="FILE", help="Write every figure into a file that ends in .csv.")
def sweep(
    case: str, changes: tuple[str, ...], path: str, as_json: bool, low: str | None, high: str | None, steps: int,
    metrics: tuple[str, ...], hold: bool, chart: str | None, out: str | None,
) -> None:  # fmt: skip
    """Work a case out over a range of one input, everything else as it is."""
    from geoecon.report.sweeps import as_json as in_json
    from geoecon.report.sweeps import lines, sweep_files
    from geoecon.studies.sweep import sweep_texts

    swept = sweep_texts(_load(case, changes), path, low, high, steps, hold=hold)
    shown = metrics or DEFAULT_FIGURES
    written = sweep_files(swept, shown, chart, out)
    if as_json:
        click.echo(json_text.dumps(in_json(swept), indent=2, ensure_ascii=False))
        return
    for line in lines(swept, shown):
        click.echo(line)
    for file in written:
        click.echo(f"written: {file}")


@app.command()
@click.argument("metric")
@_case_options
@_json_option
def explain(metric: str, case: str, changes: tuple[str, ...], as_json: bool) -> None:
    """Say how a metric comes about: the formula in words, with the numbers of a case, down to inputs and their sources.

    METRIC is a key that `geoecon run --json` prints, such as lcoe_real.
    """
    from geoecon.engine import evaluate
    from geoecon.report.explain import explain as explained
    from geoecon.report.explain import known

    known(metric)
    read = _load(case, changes)
    _say_what_takes_time(read)
    found = explained(evaluate(read, unsolved="raise"), metric)
    if as_json:
        click.echo(json_text.dumps(found.as_json(), indent=2, ensure_ascii=False, allow_nan=False))
        return
    _print_explanation(
        _console(), found, shlex.join([case, *(word for change in changes for word in ("--set", change))])
    )


@app.command("app")
@click.option("--port", type=int, help="Port to listen on; otherwise the first free one from 8501.")
def pages(port: int | None) -> None:
    """Open the pages in a browser."""
    import subprocess

    from geoecon import shipped_app

    command = [sys.executable, "-m", "streamlit", "run", str(shipped_app())]
    sys.exit(subprocess.run([*command, *(["--server.port", str(port)] if port else [])], check=False).returncode)


def _say_what_takes_time(case: "Case") -> None:
    """A line for a person who waits, the first time a working fluid is met."""
    from geoecon.plant.properties import is_kept

    if case.plant.kind == "binary" and case.plant.fluid and sys.stderr.isatty() and not is_kept(case.plant.fluid):
        click.echo(f"tabulating {case.plant.fluid}, once: a few seconds", err=True)


def _console() -> "Console":
    """A console as wide as the terminal, or as COLUMNS says; wide enough for the answer where nothing is known."""
    from rich.console import Console

    known = Console(highlight=False, markup=False)
    wide = known.width if known.is_terminal or os.environ.get("COLUMNS", "").isdigit() else WIDEST
    return Console(highlight=False, markup=False, width=min(max(wide, NARROWEST), WIDEST), soft_wrap=False)


def _print_answer(console: "Console", result: "Result") -> None:
    from rich.text import Text

    from geoecon.report.answer import CAUTION, notes, sections, verdict

    console.print(Text(result.name, style="bold"))
    console.print(Text(verdict(result)))
    _print_sections(console, sections(result))
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


def _print_sections(console: "Console", groups: "tuple[Section, ...]") -> None:
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

"""The command line: parse, call, print. Exit codes: 0 done, 2 the input is at fault, 1 a defect of ours."""

import json as json_text
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
    from geoecon.result import Result

WIDEST = 118


@click.group(context_settings={"help_option_names": ["-h", "--help"], "max_content_width": WIDEST})
@click.version_option(__version__, prog_name="geoecon")
def app() -> None:
    """Decide whether a small geothermal power unit is worth building, for whom, and what would change the answer.

    CASE is a TOML file, or the name of an example that comes with the package.
    """


def main() -> None:
    """Run the command line; errors that a person can mend become messages and exit code 2."""
    try:
        app(standalone_mode=False)
    except GeoeconError as error:
        click.echo(str(error), err=True)
        sys.exit(2)
    except click.ClickException as error:
        error.show()
        sys.exit(error.exit_code)
    except click.Abort:
        click.echo("stopped", err=True)
        sys.exit(130)


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

    shipped = shipped_cases()
    file = Path(name)
    if not file.exists() and name in shipped:
        file = shipped[name]
    elif not file.exists() and "/" not in name and not name.endswith(".toml"):
        raise click.UsageError(f"{name!r} is neither a file nor an example; examples are: {', '.join(shipped)}")
    case = load_case(file)
    return case.with_texts(dict(_pair(change) for change in changes)) if changes else case


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
    from geoecon.preparing import not_built, obstacles

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
@click.option("--statement", is_flag=True, help="Print the yearly statement for every year.")
@click.option(
    "--out", type=click.Path(path_type=Path), help="Write result.json, annual.csv and ledger.csv into this folder."
)
def run(case: str, changes: tuple[str, ...], as_json: bool, statement: bool, out: Path | None) -> None:
    """Work a case out: size, energy, cost, value, and what the numbers mean."""
    from geoecon.engine import evaluate
    from geoecon.report.files import result_files, write_all

    result = evaluate(_load(case, changes), unsolved="raise")
    written = write_all(out, result_files(result)) if out else []
    if as_json:
        click.echo(result.to_json(), nl=False)
        return
    console = _console()
    _print_answer(console, result)
    _print_statement(console, result, every_year=statement)
    for file in written:
        console.print(f"written: {file}", markup=False, highlight=False)


def _console() -> "Console":
    from rich.console import Console

    console = Console(highlight=False, markup=False)
    return Console(highlight=False, markup=False, width=min(console.width, WIDEST) if console.is_terminal else WIDEST)


def _print_answer(console: "Console", result: "Result") -> None:
    from rich.table import Table
    from rich.text import Text

    from geoecon.report.answer import CAUTION, notes, sections, verdict

    console.print(Text(result.name, style="bold"))
    console.print(verdict(result))
    table = Table(box=None, padding=(0, 2, 0, 0), show_header=False)
    for style, options in (("bold", {}), ("", {}), ("", {"justify": "right", "no_wrap": True}), ("dim", {})):
        table.add_column(style=style, **options)  # type: ignore[arg-type]
    for section in sections(result):
        for number, line in enumerate(section.lines):
            table.add_row(Text("" if number else section.title), Text(line.label), Text(line.value), Text(line.basis))
    console.print(table)
    for note in notes(result):
        console.print(Text(f"note: {note}"))
    console.print(Text(CAUTION, style="dim"))


def _print_statement(console: "Console", result: "Result", *, every_year: bool) -> None:
    from rich.table import Table

    from geoecon.report.answer import statement

    shown = statement(result, every_year=every_year)
    per_table = 9
    for start in range(0, len(shown.years), per_table):
        stop = start + per_table
        table = Table(box=None, padding=(0, 1, 0, 0), title_justify="left", header_style="dim")
        table.add_column("year" if start else "Statement, nominal; year")
        table.add_column("")
        for year in shown.years[start:stop]:
            table.add_column(year, justify="right", no_wrap=True)
        for label, unit, cells in shown.rows:
            table.add_row(label, unit, *cells[start:stop])
        console.print()
        console.print(table)

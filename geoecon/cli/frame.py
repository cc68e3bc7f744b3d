"""What every command shares: the group, its errors as messages, reading a case, a console.

Exit codes: 0 done, 2 the input is at fault, 1 a defect of ours.
"""

import io
import os
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

WIDEST = 118
NARROWEST = 40


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
        if isinstance(error, click.MissingParameter) and error.param is not None and error.param.name == "case":
            _say_examples()
        sys.exit(error.exit_code)
    except (click.Abort, KeyboardInterrupt):
        click.echo("stopped", err=True)
        sys.exit(130)
    except BrokenPipeError:  # the reader, such as head, has had enough
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    except OSError as error:
        click.echo(f"the output cannot be written: {error.strerror}", err=True)
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        sys.exit(2)


def _say_examples() -> None:
    from geoecon import shipped_cases

    click.echo(f"CASE is a TOML file, or one of the examples: {', '.join(shipped_cases())}", err=True)


def case_options(command: Callable[..., None]) -> Callable[..., None]:
    """What every command that reads a case takes."""
    command = click.option(
        "--set",
        "changes",
        multiple=True,
        metavar="PATH=VALUE",
        help='Change a field for this run: --set wells.success="70 %"; with nothing after "=" it is left out.',
    )(command)
    return click.argument("case")(command)


json_option = click.option("--json", "as_json", is_flag=True, help="Print one JSON object.")


def load(name: str, changes: tuple[str, ...]) -> "Case":
    """The case in a file, or the example of that name, with the fields that `--set` changes."""
    from geoecon import shipped_cases
    from geoecon.case import load_case

    shipped, file = shipped_cases(), Path(name)
    if not file.exists() and name in shipped:
        file = shipped[name]
    elif not file.exists() and Path(name).stem in shipped:
        raise click.UsageError(f"there is no file {name!r}; the example is called {Path(name).stem!r}")
    elif not file.exists() and "/" not in name and not name.endswith(".toml"):
        raise click.UsageError(f"{name!r} is neither a file nor an example; examples are: {', '.join(shipped)}")
    return load_case(file, pairs(changes))


def pairs(changes: tuple[str, ...]) -> dict[str, str]:
    """Path -> text of what `--set` changes."""
    return dict(_pair(change) for change in changes)


def _pair(change: str) -> tuple[str, str]:
    path, equals, text = change.partition("=")
    if not equals:
        raise click.UsageError(f"--set {change!r} has no '='; write --set table.field=value")
    return path.strip(), text.strip()


def say_what_takes_time(case: "Case") -> None:
    """A line for a person who waits, the first time a working fluid or steam is met."""
    from geoecon.case.plant_checks import STEAM, WITH_FLUID
    from geoecon.plant import properties, steam
    from geoecon.preparing.plants import fluids_tried

    plant, missing = case.plant, []
    if plant.kind in STEAM and not steam.is_kept():
        missing.append("steam")
    if plant.kind in WITH_FLUID and plant.fluid:
        missing += [fluid for fluid in fluids_tried(case) if not properties.is_kept(fluid)]
    if missing and sys.stderr.isatty():
        click.echo(f"tabulating {', '.join(missing)}, once: a few seconds for each", err=True)


def room() -> int | None:
    """Columns of the terminal, or as COLUMNS says; None where nothing is known, and lines may run on."""
    from rich.console import Console

    known = Console(highlight=False, markup=False)
    told = known.is_terminal or os.environ.get("COLUMNS", "").isdigit()
    return max(known.width, NARROWEST) if told else None


def terminal() -> "Console":
    """A console as wide as the terminal, or as COLUMNS says; wide enough for the answer where nothing is known."""
    from rich.console import Console

    return Console(highlight=False, markup=False, width=min(room() or WIDEST, WIDEST), soft_wrap=False)

"""Commands that study a case: the same pass over many scenarios."""

import json as json_text
import textwrap
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from geoecon.cli.checked import base_alarm, base_line, with_base_checks
from geoecon.cli.frame import app, case_options, json_option, load, room, terminal

if TYPE_CHECKING:
    from geoecon.case import Case

DEFAULT_FIGURES = ("net_capacity", "first_year_energy", "lcoe_real", "required_price", "npv", "irr_equity", "dscr_min")
DEFAULT_OF_GRID = ("required_price",)
LINE_STEPS, GRID_STEPS = 13, 9


@app.command()
@case_options
@click.argument("path")
@click.argument("path2", required=False)
@json_option
@click.option("--from", "low", metavar="VALUE", help="Where to begin, with a unit; 30 % below the case's value.")
@click.option("--to", "high", metavar="VALUE", help="Where to end, with a unit; 30 % above the case's value.")
@click.option(
    "--steps", type=int, help=f"How many values; {LINE_STEPS}, or {GRID_STEPS} where there is a second input."
)
@click.option("--from2", "low2", metavar="VALUE", help="Where the second input begins.")
@click.option("--to2", "high2", metavar="VALUE", help="Where the second input ends.")
@click.option("--steps2", type=int, help=f"How many values of the second input; {GRID_STEPS}.")
@click.option("--metric", "metrics", multiple=True, metavar="KEY", help="Figures to show; may be given several times.")
@click.option(
    "--hold", is_flag=True, help="Keep wells and plant as the case has them; otherwise each value is sized afresh."
)
@click.option("--chart", metavar="FILE", help="Draw the first figure into a file that ends in .svg, .png or .html.")
@click.option("--out", metavar="FILE", help="Write every figure into a file that ends in .csv or .parquet.")
def sweep(
    case: str, changes: tuple[str, ...], path: str, path2: str | None, as_json: bool, low: str | None, high: str | None,
    steps: int | None, low2: str | None, high2: str | None, steps2: int | None, metrics: tuple[str, ...], hold: bool,
    chart: str | None, out: str | None,
) -> None:  # fmt: skip
    """Work a case out over a range of one input or of two, everything else as it is.

    With PATH2 the first figure is a table: PATH runs across, PATH2 down.
    """
    from geoecon.report import grids, sweeps
    from geoecon.studies.grid import Range, grid
    from geoecon.studies.sweep import sweep_texts

    if path2 is None:
        if (low2, high2, steps2) != (None, None, None):
            raise click.UsageError("--from2, --to2 and --steps2 are of a second input; name it after the first")
        read = load(case, changes)
        swept = sweep_texts(read, path, low, high, LINE_STEPS if steps is None else steps, hold=hold)
        shown = metrics or DEFAULT_FIGURES
        written = sweeps.sweep_files(swept, shown, chart, out, lambda: base_alarm(read))
        show(lambda: sweeps.as_json(swept), lambda: sweeps.lines(swept, shown), written, read, as_json=as_json)
        return
    across = Range(path, low, high, GRID_STEPS if steps is None else steps)
    down = Range(path2, low2, high2, GRID_STEPS if steps2 is None else steps2)
    read = load(case, changes)
    found = grid(read, across, down, hold=hold)
    shown = metrics or DEFAULT_OF_GRID
    written = grids.grid_files(found, shown, chart, out, lambda: base_alarm(read))
    show(
        lambda: grids.as_json(found),
        lambda: grids.lines(found, shown, terminal().width),
        written,
        read,
        as_json=as_json,
    )


def wrapped(line: str, width: int | None) -> str:
    """A line in the width of a terminal, what goes on set in; as it is where it fits or no width is known."""
    if width is None or len(line) <= width:
        return line
    inset = " " * (len(line) - len(line.lstrip()) + 2)
    return textwrap.fill(line, width, subsequent_indent=inset, break_long_words=False, break_on_hyphens=False)


def show(
    in_json: Callable[[], Any], in_lines: Callable[[], Iterable[str]], written: Iterable[Path], case: "Case", *,
    as_json: bool,
) -> None:  # fmt: skip
    """Print a study as one JSON object, or as lines, the checks of its case, and the files that were written."""
    if as_json:
        click.echo(json_text.dumps(with_base_checks(in_json(), case), indent=2, ensure_ascii=False, allow_nan=False))
        return
    for line in in_lines():
        click.echo(wrapped(line, room()))
    line, failed = base_line(case)
    click.echo(
        click.style(wrapped(line, room()), bold=failed, fg="white" if failed else None, bg="red" if failed else None)
    )
    for file in written:
        click.echo(f"written: {file}")

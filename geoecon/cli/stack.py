"""`geoecon stack`: what one MWh costs, part by part."""

import json as json_text
from typing import TYPE_CHECKING

import click

from geoecon.cli.checked import end_by_checks, say_checks
from geoecon.cli.frame import app, case_options, json_option, load, say_what_takes_time, terminal
from geoecon.cli.sheets import print_heading, print_sheet

if TYPE_CHECKING:
    from geoecon.report.charts import Chart


@app.command()
@case_options
@json_option
@click.option("--nominal", is_flag=True, help="Parts of the level nominal price; otherwise in price-year money.")
@click.option("--chart", metavar="FILE", help="Draw the parts into a file that ends in .svg, .png or .html.")
@click.option(
    "--out", metavar="FILE", help="Write every part of every price into a file that ends in .csv or .parquet."
)
def stack(
    case: str, changes: tuple[str, ...], as_json: bool, nominal: bool, chart: str | None, out: str | None
) -> None:
    """What one MWh costs, part by part, and how the ways of levelizing a cost follow from one another.

    The parts of the levelized cost, of the level price after tax and of the price that the owner requires sum to each.
    """
    from geoecon.audit import checks
    from geoecon.engine import evaluate
    from geoecon.report import stack as words
    from geoecon.report.checks import alarm
    from geoecon.report.tables import study_files

    def draw() -> "Chart":
        from geoecon.report.charts.stack import cost_steps

        return cost_steps(result, of)

    read = load(case, changes)
    say_what_takes_time(read)
    result, of = evaluate(read, unsolved="raise"), "nominal" if nominal else "real"
    found = checks(result)
    written = study_files(chart, draw, out, lambda: words.stack_columns(result), lambda: alarm(found))
    if as_json:
        shown = words.in_json(result) | {"checks": [one.as_json() for one in found]}
        click.echo(json_text.dumps(shown, indent=2, ensure_ascii=False, allow_nan=False))
        end_by_checks(found)
        return
    console = terminal()
    print_heading(console, result.name, words.verdict(result, of), "")
    for sheet in words.sheets(result, of):
        print_sheet(console, sheet)
    say_checks(console, found)
    for file in written:
        click.echo(f"written: {file}")
    end_by_checks(found)

"""`geoecon plant`: what the plant gives by the air of the months and by the brine of the years."""

import json as json_text
from typing import TYPE_CHECKING

import click

from geoecon.cli.answers import print_sections
from geoecon.cli.checked import end_by_checks, say_checks
from geoecon.cli.frame import app, case_options, json_option, load, say_what_takes_time, terminal
from geoecon.cli.sheets import print_heading, print_sheet

if TYPE_CHECKING:
    from geoecon.report.charts import Chart


@app.command()
@case_options
@json_option
@click.option(
    "--brine", is_flag=True, help="Chart and file over the brine of the years; otherwise over the air of the months."
)
@click.option("--chart", metavar="FILE", help="Draw it into a file that ends in .svg, .png or .html.")
@click.option("--out", metavar="FILE", help="Write the numbers into a file that ends in .csv or .parquet.")
def plant(case: str, changes: tuple[str, ...], as_json: bool, brine: bool, chart: str | None, out: str | None) -> None:
    """What the plant gives: by the air of each month of year 1, and by brine that cools over the years.

    A plant that is stated without a table of its performance has no such map; then that is said.
    """
    from geoecon.audit import checks
    from geoecon.engine import evaluate
    from geoecon.report import outputs as words
    from geoecon.report.checks import alarm
    from geoecon.report.pumping import pumping_section
    from geoecon.report.tables import study_files

    def draw() -> "Chart":
        from geoecon.report.charts.outputs import output_by_air, output_by_brine

        return output_by_brine(result) if brine else output_by_air(result)

    read = load(case, changes)
    say_what_takes_time(read)
    result = evaluate(read, unsolved="raise")
    found = checks(result)
    columns = words.brine_columns if brine else words.air_columns
    written = study_files(chart, draw, out, lambda: columns(result), lambda: alarm(found))
    if as_json:
        shown = words.as_json(result) | {"checks": [one.as_json() for one in found]}
        click.echo(json_text.dumps(shown, indent=2, ensure_ascii=False, allow_nan=False))
        end_by_checks(found)
        return
    console = terminal()
    sentences = (
        (words.air_sentence(result), words.brine_sentence(result)) if result.outputs else (words.why_none(result),)
    )
    print_heading(console, result.name, "\n".join(sentences), "")
    for sheet in words.sheets(result):
        print_sheet(console, sheet)
    print_sections(console, (pumping_section(result),))
    say_checks(console, found)
    for file in written:
        click.echo(f"written: {file}")
    end_by_checks(found)

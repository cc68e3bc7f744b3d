"""`geoecon wells`: how many wells are drilled, and what they cost together."""

import click

from geoecon.cli.checked import base_alarm
from geoecon.cli.frame import app, case_options, json_option, load, room, say_what_takes_time
from geoecon.cli.studies import show


@app.command()
@case_options
@json_option
@click.option("--chart", metavar="FILE", help="Draw wells by chance into a file that ends in .svg, .png or .html.")
@click.option(
    "--out", metavar="FILE", help="Write the chance of each number into a file that ends in .csv or .parquet."
)
def wells(case: str, changes: tuple[str, ...], as_json: bool, chart: str | None, out: str | None) -> None:
    """Say how many wells it takes until enough are good, and what they cost together, each with its chance.

    Chances follow phases and learning where the case states them (wells.exploration_wells, wells.success_first).
    """
    from geoecon.report import drilling as words
    from geoecon.studies.drilling import drilling

    read = load(case, changes)
    say_what_takes_time(read)
    found = drilling(read)
    written = words.drilling_files(found, chart, out, lambda: base_alarm(read))
    show(lambda: words.as_json(found), lambda: words.lines(found, room()), written, read, as_json=as_json)

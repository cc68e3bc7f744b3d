"""`geoecon sizes`: how large a unit to install on one field."""

import click

from geoecon.cli.checked import base_alarm
from geoecon.cli.frame import app, case_options, json_option, load, room, say_what_takes_time
from geoecon.cli.studies import show


@app.command()
@case_options
@json_option
@click.option("--from", "low", metavar="POWER", help="The smallest size; three tenths of the case's own.")
@click.option("--to", "high", metavar="POWER", help="The largest size; two and a half times the case's own.")
@click.option(
    "--steps", type=int, default=45, show_default=True, help="How many sizes, besides those that use wells to the full."
)
@click.option("--chart", metavar="FILE", help="Draw cost by size into a file that ends in .svg, .png or .html.")
@click.option("--out", metavar="FILE", help="Write every figure into a file that ends in .csv or .parquet.")
def sizes(
    case: str, changes: tuple[str, ...], as_json: bool, low: str | None, high: str | None, steps: int, chart: str | None,
    out: str | None,
) -> None:  # fmt: skip
    """Say how many MW to install: cost and value of the unit by its size, each with wells of its own.

    The case has to say how the plant's cost grows with its size (plant.cost_exponent).
    """
    from geoecon.report import sizes as words
    from geoecon.studies import sizes as study

    read = load(case, changes)
    say_what_takes_time(read)
    found = study.sizes(read, low, high, steps)
    written = words.size_files(found, chart, out, lambda: base_alarm(read))
    show(lambda: words.as_json(found), lambda: words.lines(found, room()), written, read, as_json=as_json)

"""`geoecon delay`: what a late start costs."""

import click

from geoecon.cli.checked import base_alarm
from geoecon.cli.frame import app, case_options, json_option, load, say_what_takes_time
from geoecon.cli.studies import show


@app.command()
@case_options
@json_option
@click.option(
    "--months", multiple=True, type=float, help="How late, 0 to 36; may be given several times, beside 3, 6 and 12."
)
@click.option("--out", metavar="FILE", help="Write every figure into a file that ends in .csv or .parquet.")
def delay(case: str, changes: tuple[str, ...], as_json: bool, months: tuple[float, ...], out: str | None) -> None:
    """Say what a start that is late costs, by cause: energy, prices that do not wait, costs saved, tax, a credit lost.

    Wells and plant stay as they were bought; the years of the case, debt service and prices keep their calendar.
    """
    from geoecon.report import delay as words
    from geoecon.report.tables import study_files
    from geoecon.studies.delay import USUAL, delay_cost

    read = load(case, changes)
    say_what_takes_time(read)
    found = delay_cost(read, (*USUAL, *months))
    written = study_files(None, None, out, lambda: words.delay_columns(found), lambda: base_alarm(read))
    show(lambda: words.as_json(found), lambda: words.lines(found), written, read, as_json=as_json)

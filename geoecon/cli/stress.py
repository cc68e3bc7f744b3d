"""`geoecon stress`: a lender's named cases in one table."""

from pathlib import Path

import click

from geoecon.cli.checked import base_alarm
from geoecon.cli.frame import app, case_options, json_option, load, room, say_what_takes_time
from geoecon.cli.studies import show


@app.command()
@case_options
@json_option
@click.option("--metric", "metrics", multiple=True, metavar="KEY", help="Figures to show; may be given several times.")
@click.option("--chart", metavar="FILE", help="Draw the first figure into a file that ends in .svg, .png or .html.")
@click.option("--out", metavar="FILE", help="Write every figure into a file that ends in .csv or .parquet.")
def stress(
    case: str, changes: tuple[str, ...], as_json: bool, metrics: tuple[str, ...], chart: str | None, out: str | None
) -> None:
    """Work a case out under a lender's usual stresses, each alone and all together, and say where each breaks it.

    Weak resource, capital and operating cost +10 %, six months late, faster decline, price -10 %, debt rate +1 point;
    wells and plant stay as they were bought.
    """
    from geoecon.report.stresses import as_json as in_json
    from geoecon.report.stresses import known, lines
    from geoecon.studies.stress import stress_set

    read = load(case, changes)
    say_what_takes_time(read)
    found = stress_set(read)
    shown = known(found, metrics)
    written: list[Path] = []
    if chart is not None or out is not None:
        from geoecon.report.charts.stresses import stress_dots
        from geoecon.report.stresses import stress_columns
        from geoecon.report.tables import study_files

        written = study_files(
            chart, lambda: stress_dots(found, shown[0]), out, lambda: stress_columns(found), lambda: base_alarm(read)
        )
    show(lambda: in_json(found), lambda: lines(found, shown, room()), written, read, as_json=as_json)

"""`geoecon indices`: which uncertain inputs drive the spread of a figure."""

from itertools import chain
from pathlib import Path

import click

from geoecon.cli.checked import base_alarm
from geoecon.cli.frame import app, case_options, json_option, load, say_what_takes_time
from geoecon.cli.studies import show


@app.command()
@case_options
@json_option
@click.option(
    "--metric", "metrics", multiple=True, metavar="KEY", default=("required_price",), show_default=True,
    help="Figure whose spread is looked at; may be given several times.",
)  # fmt: skip
@click.option(
    "--draws", default=1024, show_default=True,
    help="Draws of all inputs, rounded up to a power of two; every input takes as many passes again.",
)  # fmt: skip
@click.option("--seed", default=1, show_default=True, type=click.IntRange(min=0), help="Another seed, other draws.")
@click.option("--chart", metavar="FILE", help="Draw the first figure into a file that ends in .svg, .png or .html.")
@click.option("--out", metavar="FILE", help="Write the shares into a file that ends in .csv or .parquet.")
def indices(
    case: str, changes: tuple[str, ...], as_json: bool, metrics: tuple[str, ...], draws: int, seed: int,
    chart: str | None, out: str | None,
) -> None:  # fmt: skip
    """Say which uncertain inputs drive the spread of a figure: what each explains alone, and with all it takes part in."""
    from geoecon.report.indices import as_json as in_json
    from geoecon.report.indices import drivers, lines
    from geoecon.studies.indices import explore_case

    read = load(case, changes)
    say_what_takes_time(read)
    explored = explore_case(read, metrics, draws, seed)
    found = [drivers(explored, metric) for metric in metrics]
    written: list[Path] = []
    if chart is not None or out is not None:
        from geoecon.report.charts.indices import driver_dots
        from geoecon.report.indices import indices_columns
        from geoecon.report.tables import study_files

        written = study_files(
            chart, lambda: driver_dots(found[0]), out, lambda: indices_columns(found), lambda: base_alarm(read)
        )
    show(lambda: in_json(explored, metrics), lambda: chain(*map(lines, found)), written, read, as_json=as_json)

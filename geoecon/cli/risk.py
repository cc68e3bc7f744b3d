"""`geoecon risk`: a case over many draws of what is unsure."""

import json as json_text

import click

from geoecon.cli.checked import say_checks
from geoecon.cli.frame import app, case_options, json_option, load, say_what_takes_time, terminal
from geoecon.cli.sheets import print_heading, print_sheet, progress


@app.command()
@case_options
@json_option
@click.option("--draws", default=10_000, show_default=True, help="How many scenarios.")
@click.option("--seed", default=1, show_default=True, help="Whole number from which the draws follow.")
@click.option("--sampler", default="latin", show_default=True, metavar="NAME", help="latin, sobol or plain.")
@click.option("--metric", "metrics", multiple=True, metavar="KEY", help="Figures to show; the first tells bad draws.")
@click.option("--resize", is_flag=True, help="Size wells and plant in every draw, as if all were known before.")
@click.option("--workers", default=1, show_default=True, help="Processes that work; the answer is the same.")
@click.option("--out", metavar="FOLDER", help="Write risk.json, the draws and fans.csv into this folder.")
@click.option("--table", default="csv", show_default=True, metavar="ENDING", help="Draws as csv or parquet.")
@click.option("--chart", metavar="FILE", help="Draw the first figure into a file that ends in .svg, .png or .html.")
def risk(
    case: str, changes: tuple[str, ...], as_json: bool, draws: int, seed: int, sampler: str, metrics: tuple[str, ...],
    resize: bool, workers: int, out: str | None, table: str, chart: str | None,
) -> None:  # fmt: skip
    """Work a case out over many draws of what is unsure, the plant held as ordered.

    Ctrl-C stops and keeps what is done.
    """
    from geoecon.audit import checks
    from geoecon.errors import CaseError, Fault
    from geoecon.report.risk import FIGURES, checked_metrics, how_made, known_metrics, sheets, told_by, verdict
    from geoecon.report.risk_files import as_json as in_json
    from geoecon.report.risk_files import check_places, risk_files
    from geoecon.studies.risk import risk as study

    read = load(case, changes)
    checked_metrics(metrics)
    check_places(chart, out, table, draws)
    say_what_takes_time(read)
    keep = {*FIGURES, *metrics} if out is None else ()  # the files hold every figure
    with progress(then_told=True) as move:
        found = study(
            read, draws, seed=seed, sampler=sampler, resize=resize, workers=workers, progress=move, keep=keep,
            fans=out is not None,
        )  # fmt: skip
        shown, by = known_metrics(found, metrics), told_by(found, metrics)
        written = risk_files(found, metrics, chart, out, table)
        if found.failed.all():
            kept = f" Written all the same: {', '.join(map(str, written))}." if written else ""
            raise CaseError([Fault("", f"{verdict(found)}{kept}")], read.source)
        if as_json:
            click.echo(json_text.dumps(in_json(found, shown, by), indent=2, ensure_ascii=False, allow_nan=False))
            return
        console = terminal()
        print_heading(console, found.base.name, verdict(found), how_made(found))
        for sheet in sheets(found, shown, by):
            print_sheet(console, sheet)
        say_checks(console, checks(found.base))
        for file in written:
            console.print(f"written: {file}", markup=False, highlight=False)

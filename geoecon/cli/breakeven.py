"""`geoecon breakeven`: what would have to be otherwise for a target to be met."""

from typing import TYPE_CHECKING

import click

from geoecon.cli.checked import base_alarm
from geoecon.cli.frame import app, case_options, json_option, load, room, say_what_takes_time
from geoecon.cli.studies import show

if TYPE_CHECKING:
    from geoecon.case import Case
    from geoecon.report.told import Told
    from geoecon.studies.targets import Target


@app.command()
@case_options
@json_option
@click.option(
    "--target", "asked", metavar="TEXT",
    help='What has to be reached, as "npv >= 0 USD" or "lcoe_real <= 95 USD/MWh"; otherwise what the owner asks: the '
    "return on equity, cover of the debt, or value above zero.",
)  # fmt: skip
@click.option("--input", "paths", multiple=True, metavar="PATH", help="Try this input too; may be given several times.")
@click.option("--with", "pair", nargs=2, metavar="PATH PATH", help="Pairs of two inputs that just meet the target.")
@click.option(
    "--success-curve", "curve", is_flag=True,
    help="Lines of equal value over temperature and flow of a producer, or over the two inputs of --with.",
)  # fmt: skip
@click.option(
    "--well", "wells", multiple=True, metavar="TEXT",
    help='A point among the lines: --well "NAME: 155 degC, 1300 gpm @ 155 degC"; may be given several times.',
)  # fmt: skip
@click.option("--hold", is_flag=True, help="Keep the plant as ordered; otherwise every trial is sized afresh.")
@click.option("--chart", metavar="FILE", help="Draw it into a file that ends in .svg, .png or .html.")
@click.option("--out", metavar="FILE", help="Write the numbers into a file that ends in .csv or .parquet.")
def breakeven(
    case: str, changes: tuple[str, ...], as_json: bool, asked: str | None, paths: tuple[str, ...],
    pair: tuple[str, str] | None, curve: bool, wells: tuple[str, ...], hold: bool, chart: str | None, out: str | None,
) -> None:  # fmt: skip
    """Say what each input alone would have to be for a target to be met, how far that is, and how likely.

    With --with, pairs of two inputs that just meet it; with --success-curve, lines of equal value and wells among them.
    """
    from geoecon.report.tables import study_files
    from geoecon.studies.breakeven import usual_target
    from geoecon.studies.targets import target

    if wells and not curve:
        raise click.UsageError("--well is a point among the lines of --success-curve; ask for these too")
    if paths and (pair or curve):
        raise click.UsageError("--input adds a single input; leave it out with --with and --success-curve")
    read = load(case, changes)
    say_what_takes_time(read)
    wanted = target(asked, read.money.currency) if asked is not None else usual_target(read)
    told = _told(read, wanted, paths, pair, curve, wells, hold)
    written = study_files(chart, told.draw, out, lambda: told.columns, lambda: base_alarm(read))
    show(lambda: told.json, lambda: told.say(room()), written, read, as_json=as_json)


def _told(
    case: "Case", target: "Target", paths: tuple[str, ...], pair: tuple[str, str] | None, curve: bool,
    wells: tuple[str, ...], hold: bool,
) -> "Told":  # fmt: skip
    """What was asked for: single inputs, a pair, or lines of equal value."""
    from geoecon.report.breakeven import breakeven_told
    from geoecon.report.frontiers import curve_told, frontier_told
    from geoecon.studies.breakeven import breakeven as needs
    from geoecon.studies.frontiers import FLOW, TEMPERATURE, frontier, success_curve

    if curve:
        return curve_told(success_curve(case, target, *(pair or (TEMPERATURE, FLOW)), wells, hold=hold))
    if pair:
        return frontier_told(frontier(case, target, *pair, hold=hold))
    return breakeven_told(needs(case, target, paths, hold=hold))

"""`geoecon wells`: how many wells are drilled and what they cost together, or what one of them costs."""

import click

from geoecon.cli.checked import base_alarm
from geoecon.cli.frame import app, case_options, json_option, load, room, say_what_takes_time
from geoecon.cli.studies import show


@app.command()
@case_options
@json_option
@click.option("--one", is_flag=True, help="The cost of one well beside published curves of depth, instead.")
@click.option("--chart", metavar="FILE", help="Draw it into a file that ends in .svg, .png or .html.")
@click.option("--out", metavar="FILE", help="Write the numbers into a file that ends in .csv or .parquet.")
def wells(case: str, changes: tuple[str, ...], as_json: bool, one: bool, chart: str | None, out: str | None) -> None:
    """Say how many wells it takes until enough are good, and what they cost together, each with its chance.

    Chances follow phases and learning where the case states them (wells.exploration_wells, wells.success_first).
    """
    from geoecon.report import drilling, well_costs
    from geoecon.studies.drilling import drilling as drilled
    from geoecon.studies.well_costs import well_costs as costed

    read = load(case, changes)
    say_what_takes_time(read)
    if one:
        cost = costed(read)
        written = well_costs.cost_files(cost, chart, out, lambda: base_alarm(read))
        show(lambda: well_costs.as_json(cost), lambda: well_costs.lines(cost, room()), written, read, as_json=as_json)
        return
    found = drilled(read)
    written = drilling.drilling_files(found, chart, out, lambda: base_alarm(read))
    show(lambda: drilling.as_json(found), lambda: drilling.lines(found, room()), written, read, as_json=as_json)

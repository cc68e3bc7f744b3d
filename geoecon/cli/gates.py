"""`geoecon gates`: go, wait or stop."""

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
@click.option("--workers", default=1, show_default=True, help="Processes that work; the answer is the same.")
def gates(case: str, changes: tuple[str, ...], as_json: bool, draws: int, seed: int, workers: int) -> None:
    """Go, wait or stop: which criteria hold and how surely, what would turn it, what to learn next.

    Criteria are those of [[decision.criteria]] in the case; where it states none, the usual ones of its kind of owner.
    """
    from geoecon.audit import checks
    from geoecon.report.decision import as_json as in_json
    from geoecon.report.decision import sheets, verdict
    from geoecon.studies.gates import criteria, decide
    from geoecon.studies.risk import risk

    read = load(case, changes)
    say_what_takes_time(read)
    criteria(read)  # what is wrong with them is said before hours of work
    with progress() as move:
        study = risk(read, draws, seed=seed, workers=workers, progress=move)
    found = decide(read, study)
    checked = checks(study.base)
    if as_json:
        click.echo(
            json_text.dumps(
                {**in_json(found), "checks": [one.as_json() for one in checked]},
                indent=2,
                ensure_ascii=False,
                allow_nan=False,
            )
        )
        return
    console = terminal()
    print_heading(console, found.risk.base.name, verdict(found), "")
    for sheet in sheets(found):
        print_sheet(console, sheet)
    say_checks(console, checked)

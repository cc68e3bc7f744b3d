"""`geoecon screen`: does a place qualify."""

import json as json_text
from pathlib import Path

import click

from geoecon.cli.frame import app, json_option, pairs, terminal
from geoecon.cli.sheets import print_heading, print_sheet


@app.command()
@click.argument("site", required=False)
@click.option("--fields", "list_fields", is_flag=True, help="List what a site file may state, and how it is written.")
@click.option(
    "--set", "changes", multiple=True, metavar="PATH=VALUE",
    help='Change what is known for this run: --set ground.gradient="40 to 60 K/km".',
)  # fmt: skip
@json_option
@click.option("--draws", default=10_000, show_default=True, help="How many draws of what is not known.")
@click.option("--seed", default=1, show_default=True, help="Whole number from which the draws follow.")
@click.option("--write", metavar="CASE.toml", help="Write a case of a first unit, with its ranges, into this file.")
@click.option("--force", is_flag=True, help="Let --write take the place of a file that is there.")
@click.option(
    "--chart", metavar="FILE", help="Draw temperature against depth into a file that ends in .svg, .png or .html."
)
def screen(
    site: str | None, list_fields: bool, changes: tuple[str, ...], as_json: bool, draws: int, seed: int, write: str | None,
    force: bool, chart: str | None,
) -> None:  # fmt: skip
    """Say whether a place qualifies: heat, power with ranges, a verdict by criterion, and what to measure next.

    SITE is a short TOML file of what is known, or the name of an example. A site that states nothing but its name is answered
    too, with wide ranges.
    """
    if list_fields:
        _print_fields(as_json=as_json)
        return
    if site is None:
        raise click.UsageError("name a site: a TOML file, or an example; --fields lists what a file may state")
    from geoecon.case import load_site
    from geoecon.report.files import write_all
    from geoecon.report.screen import how_made, sheets, told_of_case, verdict
    from geoecon.report.screen_json import as_json as in_json
    from geoecon.report.tables import PICTURES, ending_of
    from geoecon.studies.screen import screen as study
    from geoecon.studies.screen.written import write_case

    picture = None if chart is None else ending_of(chart, PICTURES, "a chart")
    if write is not None and not write.strip():
        raise click.UsageError("--write names no file")
    if write and Path(write).exists() and not force:
        raise click.UsageError(f"{write} is there already and is left as it is; name another file, or add --force")
    found = study(load_site(site_file(site), pairs(changes)), draws, seed)
    made = write_case(found) if write else None
    files = {Path(write): made.text.encode()} if write and made else {}
    if chart is not None and picture is not None:
        from geoecon.report.charts.frame import picture_file
        from geoecon.report.charts.screen import temperature_at_depth

        files[Path(chart)] = picture_file(temperature_at_depth(found), picture)
    write_all(files)
    if as_json:
        click.echo(json_text.dumps(in_json(found), indent=2, ensure_ascii=False, allow_nan=False))
        return
    console = terminal()
    print_heading(console, found.site.place.name, verdict(found), how_made(found))
    for sheet in sheets(found):
        print_sheet(console, sheet)
    for line in told_of_case(made, str(write)) if made else ():
        console.print(line, markup=False, highlight=False)
    if chart:
        console.print(f"written: {chart}", markup=False, highlight=False)


def _print_fields(*, as_json: bool) -> None:
    from geoecon.case.reference import site_reference

    if as_json:
        click.echo(json_text.dumps([f.as_json() for f in site_reference()], indent=2, ensure_ascii=False))
        return
    click.echo('A quantity is one value or a range, "40 to 60 K/km". All but a name may be left out.\n')
    for item in site_reference():
        click.echo(f"{item.path}\n    {item.help}\n    {item.how}")


def site_file(name: str) -> Path:
    """The file of a site, or of the example of that name."""
    from geoecon import shipped_sites

    shipped, file = shipped_sites(), Path(name)
    if file.exists() or name.endswith(".toml") or "/" in name:
        return file
    if name not in shipped:
        raise click.UsageError(
            f"{name!r} is neither a file nor an example of a site; examples are: {', '.join(shipped)}"
        )
    return shipped[name]

"""Commands that study a case: the same pass over many scenarios."""

import json as json_text

import click

from geoecon.cli.frame import app, case_options, json_option, load

DEFAULT_FIGURES = ("net_capacity", "first_year_energy", "lcoe_real", "required_price", "npv", "irr_equity", "dscr_min")


@app.command()
@case_options
@click.argument("path")
@json_option
@click.option("--from", "low", metavar="VALUE", help="Where to begin, with a unit; a third below the case's value.")
@click.option("--to", "high", metavar="VALUE", help="Where to end, with a unit; a third above the case's value.")
@click.option("--steps", default=13, show_default=True, help="How many values.")
@click.option("--metric", "metrics", multiple=True, metavar="KEY", help="Figures to show; may be given several times.")
@click.option(
    "--hold", is_flag=True, help="Keep wells and plant as the case has them; otherwise each value is sized afresh."
)
@click.option("--chart", metavar="FILE", help="Draw the first figure into a file that ends in .svg, .png or .html.")
@click.option("--out", metavar="FILE", help="Write every figure into a file that ends in .csv.")
def sweep(
    case: str, changes: tuple[str, ...], path: str, as_json: bool, low: str | None, high: str | None, steps: int,
    metrics: tuple[str, ...], hold: bool, chart: str | None, out: str | None,
) -> None:  # fmt: skip
    """Work a case out over a range of one input, everything else as it is."""
    from geoecon.report.sweeps import as_json as in_json
    from geoecon.report.sweeps import lines, sweep_files
    from geoecon.studies.sweep import sweep_texts

    swept = sweep_texts(load(case, changes), path, low, high, steps, hold=hold)
    shown = metrics or DEFAULT_FIGURES
    written = sweep_files(swept, shown, chart, out)
    if as_json:
        click.echo(json_text.dumps(in_json(swept), indent=2, ensure_ascii=False))
        return
    for line in lines(swept, shown):
        click.echo(line)
    for file in written:
        click.echo(f"written: {file}")

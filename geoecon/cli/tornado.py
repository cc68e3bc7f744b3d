"""The command that says what moves the answer most."""

from collections.abc import Iterator

import click

from geoecon.cli.checked import base_alarm
from geoecon.cli.frame import app, case_options, json_option, load, room
from geoecon.cli.studies import show


@app.command()
@case_options
@json_option
@click.option(
    "--metric", "metrics", multiple=True, metavar="KEY",
    help="Figures to show, the first in the chart; npv_equity, or required_price where the case states no price.",
)  # fmt: skip
@click.option(
    "--resize", is_flag=True, help="Size wells and plant afresh in every scenario; otherwise they are as ordered."
)
@click.option(
    "--spider", is_flag=True, help="Also take each input through its whole range, from 5 % to 95 % of chance."
)
@click.option("--only", multiple=True, metavar="PATH", help="Only this uncertain input; may be given several times.")
@click.option("--out", metavar="FILE", help="Write every figure into a file that ends in .csv or .parquet.")
@click.option("--chart", metavar="FILE", help="Draw the first figure into a file that ends in .svg, .png or .html.")
def tornado(
    case: str, changes: tuple[str, ...], as_json: bool, metrics: tuple[str, ...], resize: bool, spider: bool,
    only: tuple[str, ...], out: str | None, chart: str | None,
) -> None:  # fmt: skip
    """Move one uncertain input at a time to its own low and high, and say which moves the answer most.

    Low and high have 1 chance in 10 below and 1 in 10 above. With --spider, --chart and --out are of the whole ranges.
    """
    from geoecon.report import tornado as words
    from geoecon.report.sweeps import known_figures
    from geoecon.studies import tornado as studies

    read = load(case, changes)
    found = studies.tornado(read, only=only, resize=resize)
    ranged = studies.spider(read, only=only, resize=resize) if spider else None
    shown = known_figures(found.name, found.metrics, metrics or (found.usual_metric,))

    def lines() -> Iterator[str]:
        yield from words.lines(found, shown, room())
        if ranged:
            for metric in shown:
                yield ""
                yield from words.spider_lines(ranged, metric, room())

    written = words.tornado_files(found, ranged, shown[0], chart, out, lambda: base_alarm(read))
    spread = {"spider": words.as_json(ranged)} if ranged else {}
    show(lambda: {**words.as_json(found), **spread}, lines, written, read, as_json=as_json)

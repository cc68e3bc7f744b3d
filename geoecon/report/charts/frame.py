"""What all charts share: the picture with its sentence and numbers, the colours, the look, charts as files.

Colours are told apart by people who do not see red and green as others do, and every series has a shape or a place of its
own besides its colour.
"""

from dataclasses import dataclass
from typing import Any

import pandas as pd

from geoecon.errors import OutputError

INK, WATER, EARTH, SAND, STONE = "#22313a", "#0f6b78", "#b3562b", "#d8ae5f", "#7d8d98"
LINES, PAPER = "#e5e7e3", "#fbfaf6"
ALARM = "#a3121f"
HEIGHT = 280
ROW = 30
AROUND = 80  # pixels of legend and axis, which pages take out of the height
HALO = 4  # pixels around words that a line may cross


@dataclass(frozen=True)
class Chart:
    """A picture, the sentence that says what it shows, and the numbers behind it; no picture where there is nothing."""

    picture: Any
    sentence: str
    data: pd.DataFrame


def dressed(picture: Any, height: int = HEIGHT) -> Any:
    """The look that all charts share."""
    return (
        picture.properties(width="container", height=height)
        .configure(background="transparent", font="Source Sans, Source Sans Pro, sans-serif")
        .configure_view(stroke=None)
        .configure_axis(
            labelColor=INK,
            titleColor=INK,
            gridColor=LINES,
            domainColor=STONE,
            labelFontSize=12,
            titleFontSize=12,
            labelSeparation=6,
        )
        .configure_legend(labelColor=INK, titleColor=INK, orient="top", title=None, labelFontSize=12)
    )


def picture_file(chart: Chart, ending: str, alarm: str = "") -> bytes:
    """A chart as a file: svg, png or html. Raises `OutputError` where there is nothing to draw.

    alarm : stands in red above it
    """
    import vl_convert

    if chart.picture is None:
        raise OutputError(f"no chart was written. {chart.sentence}")
    title = {"title": {"text": alarm.split(": "), "color": ALARM, "anchor": "start", "limit": 640}} if alarm else {}
    spec = chart.picture.properties(width=640, **title).to_json()
    if ending == "svg":
        return vl_convert.vegalite_to_svg(spec).encode()
    if ending == "png":
        return bytes(vl_convert.vegalite_to_png(spec, scale=2))
    return vl_convert.vegalite_to_html(spec, bundle=True).encode()

"""What a binary plant is made of, in lines of the answer."""

from collections.abc import Iterator

from geoecon.energy import KW_PER_MW
from geoecon.report.lines import Line, have
from geoecon.report.words import significant
from geoecon.result import Result

LAYOUTS = {
    "basic": "evaporates at one pressure",
    "recuperated": "exhaust of the turbine warms the liquid in a recuperator",
    "dual-pressure": "evaporates at two pressures",
    "supercritical": "heated above its critical pressure",
}


def binary_lines(result: Result) -> Iterator[Line]:
    """What a binary plant makes of its brine, with which working fluid and layout; nothing for others."""
    given = {a.path: a.value for a in result.assumptions}
    if given["plant.kind"] != "binary" or not have(result, "plant_net_capacity", "brine_flow"):
        return
    each = result.value("plant_net_capacity") * KW_PER_MW / result.value("brine_flow")
    layout = LAYOUTS[given["plant.layout"]]
    if "plant.recuperator_pinch" in given and given["plant.layout"] == "supercritical":
        layout += ", with a recuperator"
    yield Line("Each kg/s of brine", f"{significant(each, 3)} kW", f"plant net; {given['plant.fluid']}, {layout}")

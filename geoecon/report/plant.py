"""What a plant that is worked out is made of, in lines of the answer."""

from collections.abc import Iterator, Mapping

from geoecon.energy import KW_PER_MW
from geoecon.report.lines import Line, have
from geoecon.report.words import share, significant
from geoecon.result import Result
from geoecon.steaming import CONDENSING, COOLEST, GOES_BACK, OF_STEAM, SEPARATORS

LAYOUTS = {
    "basic": "evaporates at one pressure",
    "recuperated": "exhaust of the turbine warms the liquid in a recuperator",
    "dual-pressure": "evaporates at two pressures",
    "supercritical": "heated above its critical pressure",
}


def plant_lines(result: Result) -> Iterator[Line]:
    """What a plant makes of what the wells bring, and with what; nothing of one that is stated."""
    given = {a.path: a.value for a in result.assumptions}
    if given["plant.kind"] == "stated" or not have(result, "plant_net_capacity", "brine_flow"):
        return
    each = f"{significant(result.value('plant_net_capacity') * KW_PER_MW / result.value('brine_flow'), 3)} kW"
    if given["plant.kind"] == "binary":
        yield Line("Each kg/s of brine", each, f"plant net; {_fluid(given)}")
        return
    of = "steam" if given["plant.kind"] == "dry-steam" else "water"
    yield Line(f"Each kg/s of {of}", each, f"plant net; {_steam(given)}")
    coolest = given.get(COOLEST)
    if coolest is not None:
        words = (
            f"coolest brine that keeps it; {_number(given['resource.silica'])} mg/kg at depth, more once steam has left"
        )
        yield Line("Silica", f"{_number(coolest)} degC", words)
    back = given.get(GOES_BACK)
    if back is not None:
        yield Line("Goes back", share(float(back)), f"of the {of}; the rest goes into the air, as vapour and gas")


def _fluid(given: Mapping[str, str]) -> str:
    layout = LAYOUTS[given["plant.layout"]]
    if "plant.recuperator_pinch" in given and given["plant.layout"] == "supercritical":
        layout += ", with a recuperator"
    return f"{given['plant.fluid']}, {layout}"


def _steam(given: Mapping[str, str]) -> str:
    """Separators and condenser in words, and the binary unit below."""
    stages = [
        f"{share(float(given[f'{path}: {OF_STEAM}']))} becomes steam at {_number(given[path])} degC "
        f"({significant(float(given[f'{path}: pressure']), 2)} bar)"
        for path in SEPARATORS
        if f"{path}: pressure" in given
    ]
    condensed = f"condensed at {_number(given[CONDENSING])} degC"
    below = [f"its brine heats {_fluid(given)}"] if given["plant.kind"] == "flash-binary" else []
    return ", ".join([*stages, condensed, *below])


def _number(value: str) -> str:
    return f"{float(value):.0f}"

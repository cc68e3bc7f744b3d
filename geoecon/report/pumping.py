"""What lifts the brine and puts it back, in words."""

from collections.abc import Iterator

from geoecon.report.lines import Line, Section
from geoecon.report.words import significant
from geoecon.result import Result
from geoecon.units import from_inside, unit_shown

PATH = "wells.pump"
KINDS = {
    "lineshaft": "a shaft from the top",
    "submersible": "a motor in the well",
}


def pumping_section(result: Result, system: str = "SI") -> Section:
    """Wells, pumps and heat lost at the design point; no pumps of a stated plant, whose output has them deducted."""
    return Section("Pumps and wells", tuple(_lines(result, system)))


def pumps_in_short(result: Result, system: str = "SI") -> Line | None:
    """Pumps as one line of the answer; None where the case does not tell them."""
    known = _known(result)
    if f"{PATH}: all injection pumps" not in known:
        return None
    depth = known.get(f"{PATH}: depth of the intake")
    up = "wells flow by themselves" if depth is None else f"intake at {_shown(depth, 'length', system)}"
    back = "brine sinks back by its own weight"
    if float(known[f"{PATH}: all injection pumps"]) > 0:
        pressure = _shown(known[f"{PATH}: pressure of injection at the wellhead"], "absolute pressure", system)
        back = f"brine is pumped back with {pressure} at the wellhead"
    return Line("Well pumps", f"{significant(result.value('well_pump_power'), 3)} MW", f"{up}; {back}")


def _lines(result: Result, system: str) -> Iterator[Line]:
    known = _known(result)
    if f"{PATH}: all injection pumps" in known:
        yield from _production(known, system)
    for path, label, kind, basis in _SHOWN:
        if path in known:
            yield Line(label, _shown(known[path], kind, system), basis)


def _production(known: dict[str, str], system: str) -> Iterator[Line]:
    depth = known.get(f"{PATH}: depth of the intake")
    if depth is None:
        yield Line("Production pumps", "none", "wells flow by themselves")
        return
    power = _shown(known[f"{PATH}: all production pumps"], "power", system)
    yield Line("Production pumps", power, f"by {KINDS[known[PATH]]}, all")
    yield Line("Intake", _shown(depth, "length", system), "below the wellhead, where the brine stays liquid")


_SHOWN = (
    (f"{PATH}: pressure of a shut well above that kept", "Spare pressure", "pressure drop", "above the wellhead's, when shut"),
    (f"{PATH}: drawdown", "Drawdown", "pressure drop", "at the feed zone of a producer at full flow"),
    (f"{PATH}: friction in a producer", "Friction", "pressure drop", "on the way up a producer"),
    (f"{PATH}: pressure kept at the wellhead", "At a producer's wellhead", "absolute pressure", "kept, so that nothing boils"),
    (f"{PATH}: all injection pumps", "Injection pumps", "power", "all; none where the weight of cool brine suffices"),
    (f"{PATH}: pressure of injection at the wellhead", "At an injector's wellhead", "absolute pressure",
     "with all injectors in service"),
    ("wells.temperature_loss", "Lost on the way", "difference", "from feed zone to plant, or to the wellhead of a line"),
    ("wells.bore_heat_loss: lost in the well", "Lost in the well", "difference", "into rock, after a year of flow"),
    ("wells.pipe_length: lost in the line to the plant", "Lost in the line", "difference", "from wellhead to plant"),
)  # fmt: skip


def _known(result: Result) -> dict[str, str]:
    """Inputs as used and what was worked out from them, path -> value."""
    return {row.path: row.value for row in result.assumptions}


def _shown(inside: str, kind: str, system: str) -> str:
    unit = unit_shown(kind, system)
    return f"{significant(from_inside(float(inside), kind, unit), 3)} {unit}"

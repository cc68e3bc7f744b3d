"""What a plant that is worked out is made of, in lines of the answer."""

from collections.abc import Iterator, Mapping

from geoecon.energy import KW_PER_MW
from geoecon.plant.fluids import Ranked, burns, flammable_figure, inventory_kg, safety
from geoecon.report.lines import Line, have
from geoecon.report.words import share, significant
from geoecon.resource.geothermometers import geothermometer
from geoecon.result import Result
from geoecon.steaming import (
    BELOW_GROSS,
    CONDENSING,
    COOLEST,
    EQUAL_SPLIT,
    GOES_BACK,
    IN_STEAM,
    NET_BY_EQUAL_SPLIT,
    OF_STEAM,
    SEPARATORS,
)

LAYOUTS = {
    "basic": "evaporates at one pressure",
    "recuperated": "exhaust of the turbine warms the liquid in a recuperator",
    "dual-pressure": "evaporates at two pressures",
    "supercritical": "heated above its critical pressure",
}
KG_PER_T = 1e3
NEARLY_ALL = 0.99  # above which a share is told to a hundredth of a per cent
THRESHOLD = "the 10,000 lb from which US 29 CFR 1910.119 asks for process safety management; local codes decide"


def plant_lines(result: Result) -> Iterator[Line]:
    """What a plant makes of what the wells bring, and with what; nothing of one that is stated."""
    given = {a.path: a.value for a in result.assumptions}
    if given["plant.kind"] == "stated" or not have(result, "plant_net_capacity", "brine_flow"):
        return
    each = f"{significant(result.value('plant_net_capacity') * KW_PER_MW / result.value('brine_flow'), 3)} kW"
    if given["plant.kind"] == "binary":
        yield Line("Each kg/s of brine", each, f"plant net; {_fluid(given)}")
        yield _store(_name(given), result.value("gross_capacity") * KW_PER_MW)
        yield from _cooling(result, given)
        return
    of = "steam" if given["plant.kind"] == "dry-steam" else "water"
    yield Line(f"Each kg/s of {of}", each, f"plant net; {_steam(given)}")
    yield from _by_equal_split(given)
    if given["plant.kind"] != "dry-steam":
        yield _silica(given)
    if IN_STEAM in given:
        words = "of the steam by mass" if of == "steam" else "of the first steam by mass; all that comes goes with it"
        yield Line("Gas", share(float(given[IN_STEAM])), words)
    if GOES_BACK in given:
        yield _goes_back(float(given[GOES_BACK]), of, vapour=float(given.get("plant.tower_evaporation", 0)) > 0)
    if BELOW_GROSS in given:
        yield _store(_name(given), float(given[BELOW_GROSS]))


def _goes_back(back: float, of: str, *, vapour: bool) -> Line:
    """How much of what comes up is injected; of water whose steam is all condensed next to all."""
    what = "as vapour and gas" if vapour else "as gas"
    return Line(
        "Goes back", share(back, 2 if back > NEARLY_ALL else 1), f"of the {of}; the rest goes into the air, {what}"
    )


def _by_equal_split(given: Mapping[str, str]) -> Iterator[Line]:
    """What the rule of equal steps would give for two separators, for a check by hand."""
    if NET_BY_EQUAL_SPLIT not in given:
        return
    first, second = (_number(given[f"{path}: {EQUAL_SPLIT}"]) for path in SEPARATORS)
    words = (
        f"plant net of each kg/s with separators at {first} and {second} degC, in equal steps down to the condenser: the rule "
        "of thumb, which asks neither silica nor the wellhead"
    )
    yield Line("By equal steps", f"{significant(float(given[NET_BY_EQUAL_SPLIT]), 3)} kW", words)


def _silica(given: Mapping[str, str]) -> Line:
    """How cool brine may leave after boiling."""
    depth = f"{_number(given['resource.silica'])} mg/kg at depth, more once steam has left"
    if COOLEST not in given:
        return Line("Silica", "no limit", f"it stays dissolved however cool the brine leaves; {depth}")
    known = geothermometer("amorphous").high
    beyond = f", beyond the {known:.0f} degC to which the curve was made" if float(given[COOLEST]) > known else ""
    return Line("Silica", f"{_number(given[COOLEST])} degC", f"coolest brine that keeps it{beyond}; {depth}")


def _name(given: Mapping[str, str]) -> str:
    """The working fluid, the best one where it is looked for."""
    return given.get("plant.fluid: taken", given["plant.fluid"])


def _fluid(given: Mapping[str, str]) -> str:
    layout = LAYOUTS[given["plant.layout"]]
    if "plant.recuperator_pinch" in given and given["plant.layout"] == "supercritical":
        layout += ", with a recuperator"
    return f"{_name(given)}, {layout}"


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


def _cooling(result: Result, given: Mapping[str, str]) -> Iterator[Line]:
    """How a plant with a tower is cooled, and the water that it takes; nothing where air cools it."""
    if result.water is None:
        return
    above = float(given["plant.cooling: condensing temperature above the wet bulb"])
    kw = float(given["plant.cooling: power of fans and circulating pump"])
    fans = f"condensing {above:g} K above the wet bulb; fans and circulating pump take {significant(kw, 3)} kW"
    yield Line("Cooled by", "wet tower", fans)
    each, first = float(result.water.per_net_mwh[0]), float(result.water.by_year[0, 0])
    up, out = (float(given[f"plant.cooling: water {name}"]) for name in ("evaporated", "blown down"))
    parts = f"for each MWh of unit net at the design point, {significant(up, 3)} evaporated and {significant(out, 3)} let out"
    rights = "; rights to water and what is let out are for local rules"
    yield Line("Make-up water", f"{significant(each, 3)} m3", parts)
    yield Line("", f"{significant(first, 3)} m3", f"in year 1, at the rate of the design point{rights}")


def _store(fluid: str, gross_kw: float) -> Line:
    """How much working fluid the plant holds, and what that asks for where it burns."""
    kind = safety(fluid)
    held = inventory_kg(gross_kw)
    each = f"{flammable_figure('inventory'):g} kg for each kW gross, assumed"
    group = f"safety group {kind['group']}, recalled"
    if not burns(fluid):
        more = f", {kind['note']}" if kind["note"] else ""
        return Line("Fluid in the plant", _tonnes(held), f"{each}; {fluid} is not flammable ({group}{more})")
    how = "flammable" if kind["burns"] == "yes" else "mildly flammable"
    side = "above" if held > flammable_figure("threshold") else "below"
    return Line("Fluid in the plant", _tonnes(held), f"{each}; {fluid} is {how} ({group}); {side} {THRESHOLD}")


def fluid_lines(result: Result) -> Iterator[Line]:
    """The best working fluid and the next, and how far the others are behind; nothing where the case names its fluid."""
    if result.fluids is None:
        return
    ranked = list(result.fluids.in_order())
    for place, fluid in enumerate(ranked[:2]):
        yield Line(
            fluid.fluid,
            f"{significant(fluid.unit_net, 3)} kW",
            ", ".join(_beside(fluid, ranked[1:2] if not place else [])),
        )
    if others := ranked[2:]:
        yield Line(
            "Others", _behind(others[0], others[-1]), ", ".join(f"{one.fluid} {_percent(one)}" for one in others)
        )
    if none := result.fluids.without():
        yield Line("No power", "none", ", ".join(none))


def _behind(first: Ranked, last: Ranked) -> str:
    return f"{_percent(first)} less" if first is last else f"{_percent(first)} to {_percent(last)} less"


def _percent(fluid: Ranked) -> str:
    return f"{-fluid.behind * 100:.1f} %"


def _beside(fluid: Ranked, following: list[Ranked]) -> Iterator[str]:
    """What is said of a fluid: by how much it leads the next or trails the best, brine, and how much of it would burn."""
    if fluid.behind:
        yield f"{_percent(fluid)} less than the best"
    elif following:
        ahead = fluid.unit_net / following[0].unit_net - 1
        yield f"taken: unit net for each kg/s of brine, {ahead * 100:.1f} % more than {following[0].fluid}"
    else:
        yield "taken: unit net for each kg/s of brine"
    yield f"{significant(fluid.brine, 3)} kg/s of brine"
    how = {"yes": "flammable", "mildly": "mildly flammable", "no": "not flammable"}[safety(fluid.fluid)["burns"]]
    yield f"{_tonnes(inventory_kg(fluid.gross))} {how}" if burns(fluid.fluid) else how


def _tonnes(kg: float) -> str:
    return f"{significant(kg / KG_PER_T, 2)} t"

"""A screen of a site in words, small tables and plain objects."""

import math
from collections.abc import Iterator

import numpy as np

from geoecon.arrays import Floats
from geoecon.report.chances import in_chances
from geoecon.report.sheets import Sheet
from geoecon.report.sweeps import figure
from geoecon.report.words import share, significant
from geoecon.studies.screen import Screen
from geoecon.studies.screen.chemistry import Reading
from geoecon.studies.screen.criteria import Verdict
from geoecon.studies.screen.ground import CURVES, Way
from geoecon.studies.screen.known import middle
from geoecon.studies.screen.measures import Measure
from geoecon.studies.screen.power import limit
from geoecon.studies.screen.study import OUTCOMES
from geoecon.studies.screen.written import WrittenCase
from geoecon.units import from_inside, unit_shown

CAUTION = (
    "A screen is no estimate of a reserve: it says what to learn next, and no more. Hot springs and wells scald; gas from "
    "them (hydrogen sulphide, carbon dioxide) kills in hollows and closed rooms; drilling into hot water is dangerous work. "
    "Sampling, drilling and design need licensed practice under local codes."
)
GAS = {
    "bubbles": "Gas bubbles in the water: keep out of hollows beside it, and have the gas analysed before anything is planned.",
    "smell of rotten eggs": "The smell is hydrogen sulphide, which dulls the nose before it kills: measure before going near.",
}
SALTY = "Water of more than {:,.0f} mg/kg of salt corrodes and scales: have both looked at before a plant is chosen."
OPENING = {
    OUTCOMES[0]: "Qualifies for the next step: every criterion holds on what is known",
    OUTCOMES[1]: "May qualify: nothing known stands against it; not sure yet: {}",
    OUTCOMES[2]: "Cannot be said yet; not known: {}",
    OUTCOMES[3]: "Doubtful; what speaks against it: {}",
    OUTCOMES[4]: "Does not qualify as things are known; what stands in the way: {}",
}
CHANCES = (0.1, 0.5, 0.9)
TABLE_DEPTHS = 6
KINDS = {"degC": "temperature", "m": "length", "K/km": "gradient", "km2": "area", "kg/s": "mass flow"}
CRITERIA = {
    "heat": "Heat", "water": "Water", "permeability": "Permeability", "depth": "Depth", "access": "Access",
    "market": "Market",
}  # fmt: skip


def verdict(found: Screen) -> str:
    """How the place stands, in one sentence, and what it could give in another."""
    return f"{OPENING[found.outcome].format(', '.join(found.turns_on))}. {_power_sentence(found)}"


def _power_sentence(found: Screen) -> str:
    enough = found.power.enough.mean()
    if not enough:
        return f"No draw is hot enough for power, {found.power.floor:.0f} degC."
    low, even, _ = reached(found.power.either)
    if low > 0:
        return (
            f"If wells find water: 9 chances in 10 of at least {megawatts(low)}, even chances of at least {megawatts(even)}, "
            f"for {found.power.years:.0f} years."
        )
    hot = found.power.either[found.power.enough]
    return (
        f"{_capital(in_chances(float(enough), found.draws))} the water is hot enough for power ({found.power.floor:.0f} degC); "
        f"there, and if wells find water, even chances of at least {megawatts(float(np.median(hot)))}, over all draws of at "
        f"least {megawatts(even)}, for {found.power.years:.0f} years."
    )


def _capital(words: str) -> str:
    return words[0].upper() + words[1:]


def quantiles(values: Floats) -> tuple[float, ...]:
    """What 9, 5 and 1 in 10 draws reach; draws without a value are left out."""
    known = values[np.isfinite(values)]
    if not known.size:
        return (math.nan,) * len(CHANCES)
    return tuple(float(value) for value in np.quantile(known, CHANCES))


def reached(power: Floats) -> tuple[float, ...]:
    """What 9, 5 and 1 in 10 draws reach; a draw that could not be worked out gives no power."""
    return quantiles(np.nan_to_num(power))


def megawatts(value: float) -> str:
    """A power with two digits that count.

    >>> megawatts(4.012), megawatts(0.0234), megawatts(0.0)
    ('4.0 MW', '23 kW', '0 MW')
    """
    if value <= 0:
        return "0 MW"
    return f"{significant(value * 1e3, 2)} kW" if value < 0.9995 else f"{significant(value, 2)} MW"


def text_in(value: float, unit: str, system: str, digits: int = 3) -> str:
    """A value of the unit used inside, in the unit that a system shows."""
    kind = KINDS.get(unit)
    if unit == "1":
        return f"{figure(value * 100, digits)} %"
    if kind is None:
        return f"{figure(value, digits)} {unit}".strip()
    shown = unit_shown(kind, system)
    return f"{figure(from_inside(value, kind, shown), digits)} {shown}"


def between(values: Floats, unit: str, system: str) -> str:
    """The range in which 8 draws in 10 lie."""
    low, _, high = quantiles(values)
    first, last = text_in(low, unit, system), text_in(high, unit, system)
    return first if first == last else f"{first.rpartition(' ')[0]} to {last}"


def sheets(found: Screen, system: str = "SI") -> tuple[Sheet, ...]:
    """Everything that a screen says, in the order in which a person asks."""
    parts = [criteria(found), next_steps(found), figures(found, system), plants(found), ways(found, system)]
    if found.chemistry is not None:
        parts.append(geothermometers(found, system))
    return (*parts, at_depth(found, system), assumptions(found, system))


def criteria(found: Screen) -> Sheet:
    """Criterion by criterion, how it stands and what that rests on."""
    rows = tuple((CRITERIA[v.criterion], v.grade, _why(v)) for v in found.verdicts)
    return Sheet(
        "Does it qualify", ("criterion", "stands", "what it rests on"), rows, tuple(cautions(found)), words=True
    )


def cautions(found: Screen) -> Iterator[str]:
    """What to take care of at this place, and everywhere."""
    water, salty = found.site.water, limit("salty")
    if water.gas in GAS:
        yield GAS[water.gas]
    if (middle(water.salinity) or 0.0) > salty:
        yield SALTY.format(salty)
    yield CAUTION


def _why(v: Verdict) -> str:
    """What a verdict rests on, with the number it was held against."""
    rests, facts = "; ".join(v.rests_on), v.facts
    if v.criterion == "heat":
        return f"{share(v.chance, 0)} of the draws reach {facts['least temperature']:.0f} degC, by {rests}"
    if v.criterion == "permeability" and "productivity" in facts:
        return f"{figure(facts['productivity'], 2)} kg/s/bar, 2 to 10 is ordinary (recalled); {rests}"
    if v.criterion == "depth":
        return f"{share(v.chance, 0)} of the draws are within {facts['most']:,.0f} m, usual for such a unit (recalled); {rests}"
    if v.criterion == "access" and "line low" in facts:
        return f"{rests}: {dollars(facts['line low'], facts['line high'])} at rural costs"
    if v.criterion == "market":
        return (
            f"{rests}; units of that size as built cost {facts['cost low']:,.0f} to {facts['cost high']:,.0f} USD/MWh"
        )
    return rests


def next_steps(found: Screen) -> Sheet:
    """What to measure next, the cheapest for what it settles first."""
    rows = tuple((_capital(one.name), dollars(one.low, one.high), _learns(one)) for one in found.measures)
    note = (
        "Ordered by rough cost over what it settles, where what bears on an open criterion counts for more. Costs are orders "
        "of magnitude in USD of 2024, most of them set here and not read anywhere; ask for quotes."
    )
    heads = ("measurement", "rough cost", "what it tells")
    return Sheet(
        "What to measure next", heads, rows, (note,) if rows else ("Everything on the list has been done.",), words=True
    )


def dollars(low: float, high: float) -> str:
    """A rough range of cost, with two digits that count.

    >>> dollars(1000.0, 20_000.0), dollars(86_400.0, 1_234_000.0)
    ('1 to 20 kUSD', '0.086 to 1.2 MUSD')
    """
    size, unit = (1e6, "MUSD") if high >= 1e6 else (1e3, "kUSD")
    return f"{figure(low / size, 2)} to {figure(high / size, 2)} {unit}"


def _learns(one: Measure) -> str:
    settles = f"; could settle {share(one.settles, 0)} of the spread of the power" if one.settles >= 0.01 else ""
    return f"{one.learns}{settles}; bears on {one.criterion} ({one.state}). Cost {one.evidence}: {one.basis}"


def figures(found: Screen, system: str) -> Sheet:
    """Temperature, heat and power with their chances."""
    power = found.power
    heads = ("", "9 chances in 10 of at least", "even chances of at least", "1 chance in 10 of at least")
    rows = [
        ("Temperature of the reservoir", *(text_in(v, "degC", system) for v in quantiles(found.warmth.values))),
        ("Heat stored above the air", *(text_in(v, "EJ", system, 2) for v in quantiles(power.heat))),
        ("Power by stored heat, gross", *map(megawatts, reached(power.stored))),
        ("Power by area, net", *map(megawatts, reached(power.density))),
        ("Power, either way", *map(megawatts, reached(power.either))),
        ("Power of one producer, gross", *map(megawatts, reached(power.one_well))),
    ]
    notes = [
        f"Power for {power.years:.0f} years, if wells find water; gross is before the plant's own use; 0 MW where it is "
        f"cooler than {text_in(power.floor, 'degC', system)}. Stored heat: the method of the US assessments of 1979 and 2008. "
        "By area: what fields above 200 degC give, a guess below. 1 EJ is 278 TWh of heat.",
        *_cut(found),
    ]
    return Sheet("In figures", heads, tuple(rows), tuple(notes))


def _cut(found: Screen) -> Iterator[str]:
    """Draws that were held to a limit or could not be worked out."""
    warm = found.warmth
    if warm.held.any():
        yield f"{share(float(warm.held.mean()))} of the draws were held to the boiling point of water at their depth."
    if warm.raised.any():
        yield f"{share(float(warm.raised.mean()))} of the draws were raised to the hottest water seen at the surface."
    if np.isnan(warm.values).any():
        yield (
            f"{share(float(np.isnan(warm.values).mean()))} of the draws have no temperature: the rock would make more heat "
            "above the reservoir than comes out at the surface. They are counted as without power."
        )


def plants(found: Screen) -> Sheet:
    """The kind of plant that fits, by temperature."""
    rows = tuple((kind, f"{_part(part)} of draws", _KINDS[kind]) for kind, part in found.plants.items() if part > 0)
    return Sheet("The plant that fits", ("kind", "fits", "why"), rows, words=True)


def _part(part: float) -> str:
    return "less than 1 %" if part < 0.01 else share(part, 0)


_KINDS = {
    "no power": "too cool for power; heat for buildings, greenhouses or drying may still be worth it",
    "binary, pumped wells": "hot water pumped up under pressure boils a second fluid; suits small units",
    "binary or flash": "from 180 degC water may flash to steam; up to about 190 degC pumps still stand it",
    "flash, wells that flow by themselves": "too hot for pumps; wells flow by themselves and give steam",
}


def ways(found: Screen, system: str) -> Sheet:
    """The ways to the temperature, and how far each is believed."""
    rows = tuple(
        (
            way.name,
            f"{between(way.values, 'degC', system)}, {_taken(way)}",
            f"{way.basis}; grade {way.grade} of 5",
        )
        for way in found.warmth.ways
    )
    notes = (
        "Grades: 5 measured in the reservoir, 4 carried on from a hole, 3 geothermometers, 2 doubtful ones, 1 a map of heat "
        "flow (after the US Department of Energy's grades); shares go with their squares, which is assumed.",
    )
    return Sheet("How hot, by which way", ("way", "temperature", "what it rests on"), rows, notes, words=True)


def _taken(way: Way) -> str:
    return f"in {share(way.share, 0)} of draws" if way.share else "not used"


def geothermometers(found: Screen, system: str) -> Sheet:
    """Every geothermometer: what it gives, how much it counts, and why."""
    assert found.chemistry is not None
    rows = tuple(_reading(r, system) for r in sorted(found.chemistry.readings, key=lambda r: -r.weight))
    return Sheet(
        "What the water says",
        ("geothermometer", "gives", "believed or not"),
        rows,
        (believed(found, system),),
        words=True,
    )


def _reading(r: Reading, system: str) -> tuple[str, str, str]:
    gives = "nothing" if math.isnan(r.temperature) else text_in(r.temperature, "degC", system)
    counts = f", counts {share(r.weight, 0)}" if r.used else ""
    recalled = "; coefficients recalled" if r.evidence == "recalled" else ""
    return r.title, f"{gives}{counts}", f"{r.why}{recalled}"


def believed(found: Screen, system: str = "SI") -> str:
    """Which geothermometers to believe and why, in words."""
    chemistry = found.chemistry
    assert chemistry is not None
    used = [r for r in chemistry.readings if r.used]
    if not used:
        return "None of the geothermometers can be believed for this water."
    *first, last = dict.fromkeys(r.group for r in used)
    names = f"{', '.join(first)} and {last}" if first else last
    low, high = (text_in(end([r.temperature for r in used]), "degC", system) for end in (min, max))
    reach = low if low == high else f"{low.rpartition(' ')[0]} to {high}"
    index = (
        ""
        if math.isnan(chemistry.maturity)
        else f" (index {chemistry.maturity:.2f}; 2.66 at rest, below 2.0 not near it)"
    )
    said = {
        "at rest": "The water is at rest with rock",
        "partly at rest": "The water is partly at rest with rock",
        "not at rest": "The water is not at rest with rock: mixed, cooled or shallow",
        "not known": "Whether the water is at rest with rock is not known without sodium, potassium and magnesium",
    }[chemistry.state]
    return f"{said}{index}. Believed: {names}, {reach}."


def at_depth(found: Screen, system: str) -> Sheet:
    """Temperature by conduction at some depths, by three curves, with the range of draws."""
    curves = found.warmth.curves
    picks = np.unique(np.linspace(0, len(curves.depth) - 1, TABLE_DEPTHS).round().astype(int))
    heads = ("depth", *(f"{name}" for name in CURVES), "8 draws in 10", "water boils")
    rows = tuple(
        (
            text_in(float(curves.depth[n]), "m", system, 4) if n else f"0 {unit_shown('length', system)}",
            *(_degrees(float(curves.by_form[name][n]), system) for name in CURVES),
            f"{_degrees(float(curves.low[n]), system)} to {_degrees(float(curves.high[n]), system)}",
            _degrees(float(curves.boiling[n]), system),
        )
        for n in picks
    )
    notes = (
        f"In {unit_shown('temperature', system)}, by conduction: no heat made by the rock (linear), the same at all depths "
        "(constant), or falling off with depth (exponential). Rising water makes a place hotter than any of them.",
    )
    return Sheet("Temperature at depth", heads, rows, notes)


def _degrees(value: float, system: str) -> str:
    return (
        "none" if math.isnan(value) else f"{from_inside(value, 'temperature', unit_shown('temperature', system)):.0f}"
    )


def assumptions(found: Screen, system: str) -> Sheet:
    """What the site does not state, and the range that stands for it."""
    rows = tuple(
        (one.title, between(one.values, one.unit, system), f"{one.basis} ({one.evidence})")
        for one in found.drawn.values()
        if not one.stated
    )
    return Sheet(
        "Assumed, where nothing is stated", ("quantity", "8 draws in 10", "where it comes from"), rows, words=True
    )


def how_made(found: Screen) -> str:
    """How a screen was made."""
    stated = sum(one.stated for one in found.drawn.values())
    return (
        f"{found.draws:,} draws (Latin hypercube), seed {found.seed}; {stated} of {len(found.drawn)} quantities stated"
    )


def told_of_case(made: WrittenCase, file: str) -> Iterator[str]:
    """What a person who has a case written is told: where it is, and what in it nobody knows."""
    yield f"written: {file}"
    kind = next(item for item in made.items if item.path == "plant.kind")
    yield f"The plant is {kind.value}: {kind.basis}."
    v, currency = made.result.value, made.result.currency
    if np.isfinite(v("lcoe_real")):
        yield (
            f"As first written it costs {v('lcoe_real'):,.0f} {currency}/MWh, levelized, at this depth and temperature with "
            "these wells; the market line above knows only units as built elsewhere."
        )
    yield f"{len(made.assumed)} of the case's {len(made.items)} inputs are assumed, and marked so in its notes:"
    yield ", ".join(item.path for item in made.assumed)
    yield "Replace what you know, then: geoecon check, run and risk."

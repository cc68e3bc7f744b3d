"""The way in and out for quantities: text with a unit <-> a plain number in the unit used inside.

This is the only module that imports pint, and pint never sees a person's text: number and unit are split by one
pattern, the unit must be one of the spellings listed for its kind, and pint is shown our own name for that unit.
Money is written in the case's currency code, which stands as `CUR` in the lists below.
"""

import difflib
import math
import re
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from geoecon import tables
from geoecon.errors import UnitError

if TYPE_CHECKING:
    import pint

HOURS_PER_YEAR = 8760.0
LONGEST_TEXT = 80
HOTTEST_WATER = 370.0

_NUMBER = re.compile(
    r"(?P<number>[+-]?(?:[1-9]\d{0,2}(?:,\d{3})+|\d+)(?:\.\d+)?(?:[eE][+-]?\d+)?)"
    r"\s*(?P<unit>[^\d\s@,.*][^@]*?)?\s*(?:@\s*(?P<at>.+))?"
)


@dataclass(frozen=True)
class Kind:
    """A kind of quantity: the unit used inside, and what a person may write for it (spelling -> what pint is shown)."""

    inside: str
    spellings: dict[str, str]
    label: str = ""
    note: str = ""

    @property
    def shown(self) -> str:
        """The unit used inside, as a person reads it."""
        return self.label or next(iter(self.spellings))


def _same(*names: str) -> dict[str, str]:
    return {name: name for name in names}


KINDS: dict[str, Kind] = {
    "temperature": Kind("degC", {"degC": "degC", "degF": "degF", "K": "kelvin"}),
    "difference": Kind("kelvin", {"K": "kelvin", "degC": "delta_degC", "degF": "delta_degF"}),
    "cooling rate": Kind(
        "kelvin/year",
        {"K/yr": "kelvin/year", "degC/yr": "delta_degC/year", "degF/yr": "delta_degF/year"},
        note="a percentage of a temperature has no meaning here: give kelvin a year",
    ),
    "length": Kind("meter", {"m": "meter", "ft": "foot", "km": "kilometer", "mi": "mile", "mm": "millimeter", "in": "inch"}),
    "absolute pressure": Kind(
        "bar", {"bara": "bar", "kPaa": "kilopascal", "MPaa": "megapascal", "psia": "psi"}, note="say gauge or absolute"
    ),
    "gauge pressure": Kind("bar", {"barg": "bar", "kPag": "kilopascal", "MPag": "megapascal", "psig": "psi"}),
    "pressure drop": Kind("bar", {"bar": "bar", "kPa": "kilopascal", "psi": "psi"}),
    "mass flow": Kind(
        "kilogram/second",
        {"kg/s": "kilogram/second", "t/h": "tonne/hour", "klb/h": "kilopound/hour", "lb/h": "pound/hour"},
        label="kg/s",
    ),
    "volume flow": Kind(
        "meter**3/second",
        {
            "gpm": "gallon/minute",
            "L/s": "liter/second",
            "m3/h": "meter**3/hour",
            "m3/s": "meter**3/second",
            "bbl/d": "oil_barrel/day",
        },
        label="m3/s",
        note='say at which temperature, as in "900 gpm @ 160 degC"',
    ),
    "productivity": Kind(
        "kilogram/second/bar",
        {
            "kg/s/bar": "kilogram/second/bar",
            "t/h/bar": "tonne/hour/bar",
            "klb/h/psi": "kilopound/hour/psi",
            "lb/h/psi": "pound/hour/psi",
        },
    ),
    "volume productivity": Kind(
        "meter**3/second/bar",
        {"gpm/psi": "gallon/minute/psi", "L/s/bar": "liter/second/bar"},
        label="m3/s/bar",
        note='say at which temperature, as in "5 gpm/psi @ 160 degC"',
    ),
    "power": Kind("kilowatt", {"kW": "kilowatt", "MW": "megawatt", "W": "watt"}),
    "energy": Kind("megawatt_hour", {"MWh": "megawatt_hour", "kWh": "kilowatt_hour", "GWh": "gigawatt_hour"}),
    "energy a year": Kind(
        "megawatt_hour/year",
        {
            "MWh/yr": "megawatt_hour/year",
            "kWh/yr": "kilowatt_hour/year",
            "GWh/yr": "gigawatt_hour/year",
            "kWh/month": "kilowatt_hour/twelfth",
        },
    ),
    "content": Kind("mg/kg", {"mg/kg": "mg/kg", "g/kg": "g/kg", "ppm": "mg/kg"}),
    # A litre of fresh water weighs a kilogram within 1 % below 40 degC; a laboratory's mg/L are taken so.
    "analysis": Kind(
        "mg/kg", {"mg/kg": "mg/kg", "mg/L": "mg/kg", "ppm": "mg/kg", "g/kg": "g/kg", "g/L": "g/kg", "ug/L": "ug/kg"}
    ),
    "gradient": Kind(
        "kelvin/kilometer",
        {
            "K/km": "kelvin/kilometer",
            "degC/km": "kelvin/kilometer",
            "degC/100m": "kelvin/hundred_meter",
            "degF/100ft": "delta_degF/hundred_foot",
        },
    ),
    "heat flow": Kind("milliwatt/meter**2", {"mW/m2": "milliwatt/meter**2", "W/m2": "watt/meter**2"}),
    "conductivity": Kind("watt/meter/kelvin", {"W/m/K": "watt/meter/kelvin"}),
    "heat production": Kind("microwatt/meter**3", {"uW/m3": "microwatt/meter**3"}),
    "area": Kind(
        "kilometer**2",
        {"km2": "kilometer**2", "ha": "hectare", "mi2": "mile**2", "acres": "acre", "m2": "meter**2"},
    ),
    "density": Kind("kilogram/meter**3", {"kg/m3": "kilogram/meter**3", "g/cm3": "gram/centimeter**3"}, label="kg/m3"),
    "specific heat": Kind(
        "joule/kilogram/kelvin", {"J/kg/K": "joule/kilogram/kelvin", "kJ/kg/K": "kilojoule/kilogram/kelvin"}
    ),
    "heat of volume": Kind("megajoule/meter**3/kelvin", {"MJ/m3/K": "megajoule/meter**3/kelvin"}),
    "flow per area": Kind("kilogram/second/meter**2", {"kg/s/m2": "kilogram/second/meter**2"}),
    "share": Kind("dimensionless", {"%": "percent"}, label="1"),
    "time out": Kind(
        "dimensionless", {"%": "percent", "h/yr": "hour_of_year", "d/yr": "day_of_year"}, label="share of the year"
    ),
    "duration": Kind(
        "year",
        {"months": "twelfth", "month": "twelfth", "yr": "year", "d": "billing_day"},
        label="yr",
        note="a month is a twelfth of a year, a day one of 365",
    ),
    "rig time": Kind("day", {"d": "day", "h": "hour"}),
    "penetration": Kind(
        "meter/hour", {"m/h": "meter/hour", "ft/h": "foot/hour", "m/d": "meter/day", "ft/d": "foot/day"}
    ),
    "rate": Kind("1/year", {"%/yr": "percent/year", "%": "percent/year"}, label="1/yr"),
    "slope": Kind(
        "1/kelvin", {"%/K": "percent/kelvin", "%/degC": "percent/kelvin", "%/degF": "percent/delta_degF"}, label="1/K"
    ),
    # A loss stated as a nominal (continuous) rate becomes the effective one: see `read`.
    "decline": Kind("1/year", {"%/yr": "percent/year", "%/yr nominal": "percent/year"}, label="1/yr"),
    "money": Kind("CUR", {"CUR": "CUR", "kCUR": "kCUR", "MCUR": "MCUR"}),
    "money a day": Kind("CUR/day", {"CUR/d": "CUR/day", "kCUR/d": "kCUR/day"}),
    "money per length": Kind(
        "CUR/meter", {"CUR/m": "CUR/meter", "CUR/ft": "CUR/foot", "kCUR/m": "kCUR/meter", "kCUR/ft": "kCUR/foot"}
    ),
    "money a year": Kind("CUR/year", {"CUR/yr": "CUR/year", "kCUR/yr": "kCUR/year", "MCUR/yr": "MCUR/year"}),
    "money per kW": Kind(
        "CUR/kilowatt",
        {
            "CUR/kW": "CUR/kilowatt",
            "CUR/MW": "CUR/megawatt",
            "kCUR/kW": "kCUR/kilowatt",
            "kCUR/MW": "kCUR/megawatt",
            "MCUR/MW": "MCUR/megawatt",
        },
    ),
    "money per kW a year": Kind(
        "CUR/kilowatt/year",
        {
            "CUR/kW/yr": "CUR/kilowatt/year",
            "CUR/MW/yr": "CUR/megawatt/year",
            "kCUR/MW/yr": "kCUR/megawatt/year",
            "CUR/kW/month": "CUR/kilowatt/twelfth",
            "CUR/MW/d": "CUR/megawatt/billing_day",
        },
    ),
    "price": Kind(
        "CUR/megawatt_hour",
        {
            "CUR/MWh": "CUR/megawatt_hour",
            "CUR/kWh": "CUR/kilowatt_hour",
            "c/kWh": "hundredth_CUR/kilowatt_hour",
            "mills/kWh": "mill_CUR/kilowatt_hour",
        },
    ),
    "price of water": Kind(
        "CUR/meter**3",
        {"CUR/m3": "CUR/meter**3", "CUR/kgal": "CUR/kilogallon", "CUR/acre-ft": "CUR/acre_by_foot"},
        label="CUR/m3",
    ),
    "emission": Kind(
        "kilogram/megawatt_hour",
        {
            "kg/MWh": "kilogram/megawatt_hour",
            "g/kWh": "gram/kilowatt_hour",
            "t/MWh": "tonne/megawatt_hour",
            "lb/MWh": "pound/megawatt_hour",
        },
    ),
    "fuel use": Kind(
        "liter/megawatt_hour",
        {"L/MWh": "liter/megawatt_hour", "L/kWh": "liter/kilowatt_hour", "gal/MWh": "gallon/megawatt_hour",
         "gal/kWh": "gallon/kilowatt_hour"},
    ),
    "fuel price": Kind("CUR/liter", {"CUR/L": "CUR/liter", "CUR/gal": "CUR/gallon"}),
}  # fmt: skip

_VARIANTS = (("-yr", "/yr"), ("-year", "/yr"), ("/year", "/yr"), ("/a", "/yr"), ("-month", "/month"), ("-day", "/d"),
             ("/day", "/d"), ("/hr", "/h"), ("kph", "klb/h"), ("mill/", "mills/"), ("°C", "degC"), ("°F", "degF"),
             ("km^2", "km2"), ("mW/m^2", "mW/m2"), ("W/(m K)", "W/m/K"), ("W/mK", "W/m/K"))  # fmt: skip


# What people write by habit -> what is meant; shown as a hint, never taken silently.
_SLIPS = {"F": "degF", "C": "degC", "degf": "degF", "degc": "degC", "$": "CUR", "gal/min": "gpm", "days": "d/yr",
          "days/yr": "d/yr", "hours": "h/yr", "F/yr": "degF/yr", "C/yr": "degC/yr", "$/kWh": "CUR/kWh", "$/MWh": "CUR/MWh",
          "$/kW": "CUR/kW", "meters": "m", "feet": "ft", "percent": "%", "MM": "MCUR"}  # fmt: skip


@lru_cache(maxsize=1)
def _registry() -> "pint.UnitRegistry[Any]":
    import pint

    registry: pint.UnitRegistry[Any] = pint.UnitRegistry(tables.lines("units.txt"))
    registry.define(f"hour_of_year = {1 / HOURS_PER_YEAR!r}")
    return registry


@lru_cache(maxsize=512)
def _line(unit: str, inside: str) -> tuple[float, float]:
    """Slope and offset from a unit to the unit used inside."""
    registry = _registry()
    offset = float(registry.Quantity(0.0, unit).to(inside).magnitude)
    return float(registry.Quantity(1.0, unit).to(inside).magnitude) - offset, offset


def _to_inside(number: float, unit: str, inside: str) -> float:
    slope, offset = _line(unit, inside)
    if offset:
        return float(_registry().Quantity(number, unit).to(inside).magnitude)
    whole = round(1 / slope)
    # 35 / 100 is the float nearest to 0.35; 35 * 0.01 is not.
    return number / whole if whole > 1 and abs(whole * slope - 1) < 1e-12 else number * slope


@dataclass(frozen=True)
class Reading:
    """A number in the unit used inside, the kind it was recognised as, and the temperature a volume was stated at."""

    value: float
    kind: str
    at_degC: float | None = None


def spellings(kind: str, currency: str = "CUR") -> dict[str, str]:
    """Units that a person may write for a kind, with the case's currency in them -> what pint is shown."""
    return {spelling.replace("CUR", currency): shown for spelling, shown in KINDS[kind].spellings.items()}


SYSTEMS = ("as written", "SI", "US")
_SHOWN_IN = {  # kind: (SI, US)
    "temperature": ("degC", "degF"), "difference": ("K", "degF"), "cooling rate": ("K/yr", "degF/yr"),
    "length": ("m", "ft"), "absolute pressure": ("bara", "psia"), "gauge pressure": ("barg", "psig"),
    "pressure drop": ("bar", "psi"), "mass flow": ("kg/s", "klb/h"), "volume flow": ("L/s", "gpm"),
    "productivity": ("kg/s/bar", "klb/h/psi"), "volume productivity": ("L/s/bar", "gpm/psi"),
    "gradient": ("K/km", "degF/100ft"), "area": ("km2", "mi2"),
    "slope": ("%/K", "%/degF"), "emission": ("kg/MWh", "lb/MWh"), "fuel use": ("L/MWh", "gal/MWh"),
    "fuel price": ("CUR/L", "CUR/gal"),
    "price of water": ("CUR/m3", "CUR/kgal"), "penetration": ("m/h", "ft/h"), "money per length": ("CUR/m", "CUR/ft"),
}  # fmt: skip


def unit_shown(kind: str, system: str, currency: str = "CUR", written: str = "") -> str:
    """The unit in which a system of `SYSTEMS` shows a kind of quantity.

    written : the unit that a person wrote, which stays where quantities are shown as written; see `written_unit`
    """
    if written and system == SYSTEMS[0]:
        return written
    pair = _SHOWN_IN.get(kind)
    spelling = pair[1 if system == "US" else 0] if pair else next(iter(KINDS[kind].spellings))
    return spelling.replace("CUR", currency)


def in_system(text: str, kinds: tuple[str, ...], system: str, currency: str = "CUR") -> str:
    """A quantity as a system writes it, to six digits; as it was where it is written so already or cannot be read."""
    if system == SYSTEMS[0] or not kinds:
        return text
    try:
        reading = read(text, kinds, currency)
    except UnitError:
        return text
    shown = unit_shown(reading.kind, system, currency)
    if (
        _plain((_NUMBER.fullmatch(text.strip()) or {"unit": ""})["unit"] or "") == shown
        or reading.kind not in _SHOWN_IN
    ):
        return text
    at = "" if reading.at_degC is None else f" @ {_written_in(reading.at_degC, 'temperature', system)}"
    return _written_in(reading.value, reading.kind, system, currency) + at


def written_unit(text: str, kind: str, currency: str = "CUR") -> str:
    """The unit of its kind that a text states; empty where values are no multiple of it or the text cannot be read.

    >>> written_unit("1,450 gpm @ 155 degC", "volume flow"), written_unit("5 %/yr nominal", "decline")
    ('gpm', '')
    """
    match = _NUMBER.fullmatch(text.strip()) if len(text) <= LONGEST_TEXT else None
    unit = _plain(match["unit"] or "") if match else ""
    return unit if unit in spellings(kind, currency) and not unit.endswith("nominal") else ""


def _written_in(value: float, kind: str, system: str, currency: str = "CUR") -> str:
    """A value of the unit used inside as a system writes it, to six digits."""
    unit = unit_shown(kind, system, currency)
    return f"{from_inside(value, kind, unit, currency):.6g} {unit}"


def from_inside(value: float, kind: str, spelling: str, currency: str = "CUR") -> float:
    """A value of the unit used inside in another unit of its kind."""
    unit, inside = spellings(kind, currency)[spelling], KINDS[kind].inside
    if _line(unit, inside)[1]:
        return float(_registry().Quantity(value, inside).to(unit).magnitude)
    return value / _line(unit, inside)[0]


def inside_label(kind: str, currency: str = "CUR") -> str:
    """The unit used inside for a kind, as a person reads it."""
    return KINDS[kind].shown.replace("CUR", currency)


def read(text: str, kinds: tuple[str, ...], currency: str = "CUR") -> Reading:
    """The number that a text states, in the unit used inside.

    Parameters
    ----------
    text : number and unit, as a person wrote them; a volume flow also says its temperature after `@`
    kinds : kinds of quantity that the field takes; the unit decides between them
    currency : code of the case's currency

    Raises `UnitError`, which names the units that would do.

    >>> read("60 degF", ("difference",)).value
    33.333333333333336
    >>> read("9.5 c/kWh", ("price",)).value
    95.0
    """
    match = _NUMBER.fullmatch(text.strip()) if len(text) <= LONGEST_TEXT else None
    if match is None:
        comma = "write a decimal point, as in 4.5; " if "," in text else ""
        raise UnitError(f"{_short(text)} is not a number with a unit; {comma}{_allowed(kinds, currency)}")
    number = float(match["number"].replace(",", ""))
    if not math.isfinite(number):
        raise UnitError(f"{_short(text)} is too large a number")
    written = " ".join((match["unit"] or "").split())
    unit = _plain(written)
    kind = next((kind for kind in kinds if unit in spellings(kind, currency)), None)
    if kind is None:
        raise UnitError(_wrong_unit(text, written, kinds, currency))
    value = _to_inside(number, spellings(kind, currency)[unit], KINDS[kind].inside)
    if kind == "decline" and unit.endswith("nominal"):
        value = -math.expm1(-value)
    return Reading(value, kind, _stated_at(text, match["at"], kind))


def with_unit(number: str, kind: str, currency: str = "CUR") -> str:
    """A bare number as it might be meant, with the first unit of a kind; a fraction of what is written in % as percent.

    >>> with_unit("0.095", "rate"), with_unit("900", "length")
    ('9.5 %/yr', '900 m')
    """
    unit = next(iter(spellings(kind, currency)))
    value = float(number.replace(",", ""))
    return f"{value * 100:.12g} {unit}" if unit.startswith("%") and abs(value) < 1 else f"{number} {unit}"


def write(value: float, kind: str, currency: str = "CUR") -> str:
    """A text that `read` turns back into the value, to the last bit or the one before, in the first unit of its kind."""
    spelling, shown = next(iter(spellings(kind, currency).items()))
    slope, offset = _line(shown, KINDS[kind].inside)
    number = (value - offset) / slope
    for digits in range(12, 18):
        candidate = float(f"{number:.{digits}g}")
        if _to_inside(candidate, shown, KINDS[kind].inside) == value:
            number = candidate
            break
    return f"{number!r} {spelling}" if number != int(number) or abs(number) > 1e15 else f"{int(number)} {spelling}"


def _plain(unit: str) -> str:
    for variant, ours in _VARIANTS:
        whole = re.escape(variant) + (r"(?![A-Za-z])" if variant[-1].isalpha() else "")  # "/a" is no part of "/acre"
        unit = re.sub(whole, ours, unit) if not unit.endswith(ours) else unit
    return unit


def _stated_at(text: str, at: str | None, kind: str) -> float | None:
    by_volume = kind.startswith("volume")
    if at is None and by_volume:
        raise UnitError(f"{_short(text)} is a volume, and hot water is light: {KINDS[kind].note}")
    if at is not None and not by_volume:
        raise UnitError(f"{_short(text)}: only a volume is stated at a temperature; leave out what follows '@'")
    if at is None:
        return None
    temperature = read(at, ("temperature",)).value
    if not 0 <= temperature <= HOTTEST_WATER:
        raise UnitError(f"{_short(text)}: water at {temperature:.0f} degC is no liquid; 0 to {HOTTEST_WATER:.0f} degC")
    return temperature


def _wrong_unit(text: str, unit: str, kinds: tuple[str, ...], currency: str) -> str:
    allowed = _allowed(kinds, currency)
    if not unit:
        return f'{_short(text)} has no unit; {allowed}; for example "{with_unit(text.strip(), kinds[0], currency)}"'
    known = [spelling for kind in kinds for spelling in spellings(kind, currency)]
    notes = {KINDS[kind].note for kind in kinds} - {""}
    plain = _plain(unit)
    meant = _SLIPS.get(plain, "").replace("CUR", currency)
    near = [s for s in known if s == meant or s.lower() == plain.lower()]
    near = near or ([] if notes else difflib.get_close_matches(plain, known, n=1))
    hint = f"; did you mean {near[0]!r}?" if near else ""
    return f"{_short(text)}: {unit!r} is not a unit for this{hint}; {'; '.join([allowed, *sorted(notes)])}"


def _allowed(kinds: tuple[str, ...], currency: str) -> str:
    return "write it in " + ", ".join(spelling for kind in kinds for spelling in spellings(kind, currency))


def _short(text: str) -> str:
    return repr(text if len(text) <= LONGEST_TEXT else text[: LONGEST_TEXT - 3] + "...")

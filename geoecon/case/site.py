"""What is known of a site before anything is built, each field described once; all but a name may be left out.

A quantity is one value or a range: `"45 K/km"`, `"40 to 60 K/km"` or `{ low = "40 K/km", high = "60 K/km" }`. What is left
out is taken from wide ranges that the screen names.
"""

import re
from typing import Any

from pydantic import Field, ValidationInfo, field_validator

from geoecon.arrays import Floats
from geoecon.case.fields import Span, Stated, Table, about, choice, number, span, switch, words

RANGE = re.compile(r"\s*(?P<low>[^\s].*?)\s+to\s+(?P<high>[^\s].*?)\s*")
UNIT = re.compile(r"[+-]?[\d.,]+(?:[eE][+-]?\d+)?\s*(?P<unit>[^\d\s@].*)?")
MOST = 400_000  # mg/kg; a saturated salt solution holds less
CURRENCY = "USD"  # of all money in a site, as in the cost figures it is held against


class Known(Table):
    """A table of a site, whose ranges may be written as `LOW to HIGH UNIT`."""

    @field_validator("*", mode="before")
    @classmethod
    def _ranged(cls, raw: Any, info: ValidationInfo) -> Any:
        found = RANGE.fullmatch(raw) if isinstance(raw, str) else None
        if found is None or about(cls, info.field_name or "").form != "span":
            return raw
        low, high = found["low"], found["high"]
        unit = (UNIT.fullmatch(high) or {"unit": ""})["unit"] or ""
        bare = UNIT.fullmatch(low)
        return {"low": f"{low} {unit}" if bare and not bare["unit"] else low, "high": high}


def one_or_range(kind: str, low: float, high: float, help: str) -> Any:
    """A quantity that may be a range."""
    return span(kind, low, high, help)


class Place(Known):
    """Where it is, and its climate."""

    name: str = words("Name of the place")
    summary: str = words("One sentence on what is proposed and by whom", default="")
    elevation: Floats = number("length", -430, 5000, "Height above sea level", default="0 m", varies=False)
    air_temperature: Span | None = one_or_range("temperature", -30, 40, "Mean air temperature of the year")
    hottest_month: Floats | None = number(
        "temperature", -20, 50, "Mean air temperature of the hottest month", varies=False
    )
    relative_humidity: Span | None = one_or_range(
        "share", 0.05, 1, "Mean relative humidity of the air, which a wet cooling tower of a hot place works by"
    )


class Springs(Known):
    """What comes to the surface by itself, or from a shallow well."""

    signs: str | None = choice(
        ("none", "warm springs", "boiling springs", "fumaroles"), "Strongest sign of heat at the surface", default=None
    )
    temperature: Span | None = one_or_range("temperature", 0, 180, "Hottest water seen, in a spring or a shallow well")
    flow: Stated | None = number(
        ("mass flow", "volume flow"), 0, 0, "Natural flow of all springs together", varies=False,
        bounds={"mass flow": (0.001, 5000), "volume flow": (1e-6, 5)},
    )  # fmt: skip


class Water(Known):
    """The analysis of one sample, the hottest and least mixed there is."""

    silica: Span | None = one_or_range("analysis", 0, MOST, "Dissolved silica, as SiO2")
    sodium: Span | None = one_or_range("analysis", 0, MOST, "Sodium")
    potassium: Span | None = one_or_range("analysis", 0, MOST, "Potassium")
    calcium: Span | None = one_or_range("analysis", 0, MOST, "Calcium")
    magnesium: Span | None = one_or_range("analysis", 0, MOST, "Magnesium; below detection: the limit of detection")
    salinity: Span | None = one_or_range("analysis", 0, MOST, "Dissolved solids, all together")
    boiled: str | None = choice(("yes", "no"), "Whether the water boiled on its way to the sample", default=None)
    gas: str | None = choice(
        ("none seen", "bubbles", "smell of rotten eggs"), "Gas seen or smelt where the water comes out", default=None
    )


class Ground(Known):
    """Heat in the ground, from maps or holes."""

    gradient: Span | None = one_or_range("gradient", 5, 400, "Rise of temperature with depth")
    gradient_depth: Floats | None = number(
        "length", 1, 7000, "Depth of the hole in which the gradient was measured", varies=False
    )
    heat_flow: Span | None = one_or_range("heat flow", 10, 1000, "Heat that flows to the surface by conduction")
    conductivity: Span | None = one_or_range("conductivity", 0.5, 7, "Thermal conductivity of the rock")
    heat_production: Span | None = one_or_range("heat production", 0, 20, "Heat that the rock makes near the surface")
    heat_production_depth: Span | None = one_or_range(
        "length", 2000, 30000, "Depth over which that heat production falls to 1/e"
    )
    measured_temperature: Span | None = one_or_range(
        "temperature", 0, 400, "Temperature measured in the deepest hole, at rest, at `measured_depth`"
    )
    measured_depth: Floats | None = number("length", 10, 7000, "Vertical depth of that measurement", varies=False)


class Reservoir(Known):
    """The body of hot rock and water that wells would draw from."""

    depth: Span | None = one_or_range("length", 50, 7000, "Vertical depth of its top, where wells find water")
    thickness: Span | None = one_or_range("length", 10, 5000, "Thickness below that")
    area: Span | None = one_or_range("area", 0.01, 500, "Area seen from above")


class FlowTest(Known):
    """A well that was let flow or pumped."""

    flow: Stated | None = number(
        ("mass flow", "volume flow"), 0, 0, "Flow held through the test", varies=False,
        bounds={"mass flow": (0.01, 1000), "volume flow": (1e-5, 1.2)},
    )  # fmt: skip
    drawdown: Span | None = one_or_range(
        "pressure drop", 0.001, 300, "Fall of pressure at the feed zone while it flowed"
    )
    duration: Floats | None = number("duration", 0, 20, "How long it flowed", varies=False)
    static_level: Floats | None = number(
        "length", 0, 5000, "Water level of the well at rest, below ground", varies=False
    )


class Access(Known):
    """What stands between the ground and a buyer."""

    grid_distance: Span | None = one_or_range(
        "length", 0, 500_000, "To the nearest line or substation that could take the power"
    )
    road_distance: Span | None = one_or_range("length", 0, 500_000, "To the nearest road for heavy lorries")
    land: str | None = choice(
        ("owned", "leased", "in talks", "not asked", "protected"), "Standing of the land and of the right to its heat",
        default=None,
    )  # fmt: skip
    water_rights: str | None = choice(
        ("held", "applied for", "not asked", "refused"),
        "Standing of the right to take and return the water",
        default=None,
    )


class Buyer(Known):
    """Who would take the power. Money is in US dollars, as are the costs it is held against."""

    price: Span | None = one_or_range(
        "price", 1, 5000, "What a buyer pays, or what the power it replaces costs, per MWh"
    )
    load: Span | None = one_or_range("energy a year", 1, 1e9, "Energy that is wanted a year at the place")
    islanded: bool = switch("Whether no grid takes what the place does not use itself")
    contract: str | None = choice(
        ("signed", "offered", "in talks", "none"), "Standing of a contract to sell", default=None
    )


SITE_TABLES: dict[str, type[Table]] = {
    "place": Place,
    "springs": Springs,
    "water": Water,
    "ground": Ground,
    "reservoir": Reservoir,
    "flow_test": FlowTest,
    "access": Access,
    "buyer": Buyer,
}


class SiteTables(Table):
    """The tables of a site; `Site` adds reading."""

    place: Place
    springs: Springs = Field(default_factory=Springs)
    water: Water = Field(default_factory=Water)
    ground: Ground = Field(default_factory=Ground)
    reservoir: Reservoir = Field(default_factory=Reservoir)
    flow_test: FlowTest = Field(default_factory=FlowTest)
    access: Access = Field(default_factory=Access)
    buyer: Buyer = Field(default_factory=Buyer)

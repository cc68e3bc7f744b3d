"""The plant of a written case: its kind, the wells that feed it, and what only that kind asks for."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from geoecon.resource.silica import quartz_silica
from geoecon.studies.screen.criteria import HOURS, SLIGHT, first_unit_kw
from geoecon.studies.screen.known import middle
from geoecon.studies.screen.power import limit
from geoecon.studies.screen.study import PLANTS, Screen

BINARY, FLASH = "binary", "single-flash"
COOLER_FLUID, WARMER_FLUID, FLUID_SPLIT = "isobutane", "isopentane", 140.0
LOAD_FACTOR = 0.6


@dataclass(frozen=True)
class Item:
    """One input of the written case. `origin`: found by the screen, stated by the site, or assumed."""

    path: str
    value: Any
    origin: str
    basis: str
    uncertain: Mapping[str, str] | None = None


@dataclass(frozen=True)
class Fit:
    """A plant that a case may be written with.

    wet : whether a tower cools it, air otherwise;  why : what speaks for it, in words
    """

    kind: str
    pumped: bool
    wet: bool
    why: str

    @property
    def asks(self) -> set[str]:
        """What the column `when` of tables/screened_case.csv may ask of a plant, as far as it holds for this one."""
        holds = {
            "": True,
            "pumped": self.pumped,
            "wet": self.wet,
            "binary": self.kind == BINARY,
            "flash": self.kind == FLASH,
        }
        return {when for when, does in holds.items() if does}


def temperature_written(found: Screen) -> float:
    """Temperature of the reservoir in the middle of the draws that are hot enough  [degC]."""
    return float(np.median(found.warmth.values[found.power.enough]))


def fits(found: Screen) -> Iterator[Fit]:
    """Plants for the temperature that is written, the likeliest first; another one is for where that cannot be worked out.

    Steam condenses in a wet tower where anything of the climate is stated, in air otherwise.
    """
    hot, place = temperature_written(found), found.site.place
    wet = place.relative_humidity is not None or place.air_temperature is not None
    if hot <= limit("pumped_to"):
        yield Fit(BINARY, True, False, f"water of {hot:.0f} degC, which pumps stand")
        deep = f"pumps cannot bring up enough of the water of {hot:.0f} degC, and wells as hot as that may flow by themselves"
        if limit("flows_from") <= hot < limit("flash_from"):
            yield Fit(BINARY, False, False, deep)
        elif hot >= limit("flash_from"):
            yield Fit(FLASH, False, wet, deep)
        return
    yield Fit(FLASH, False, wet, f"water of {hot:.0f} degC, too hot for pumps: wells flow by themselves, and it boils")


def either_kind(found: Screen) -> str:
    """In words, that the temperature does not settle the kind of plant; nothing where it does."""
    _, binary, both, flash = (found.plants[kind] for kind in PLANTS)
    hot = binary + both + flash
    parts = (binary + both) / hot, (both + flash) / hot
    if min(parts) < SLIGHT:
        return ""
    return (
        f"at the edge: of the draws with power, {parts[0]:.0%} fit a binary plant by their temperature and {parts[1]:.0%} a "
        "flash plant, so work out both"
    )


def plant_items(found: Screen, fit: Fit) -> Iterator[Item]:
    """Size and kind of a first unit, and what is known or usual of what drives and cools it."""
    net, hot = first_unit_kw(found.power), temperature_written(found)
    load = middle(found.site.buyer.load)
    words = f"middle of the screen, {limit('own_use'):.0f} % for own use off, at most {limit('small_unit') / 1e3:g} MW at first"
    if found.site.buyer.islanded and load is not None:
        net = float(f"{max(min(net, load / HOURS / LOAD_FACTOR), 1.0):.2g}")
        words += f"; no more than runs at a load of {LOAD_FACTOR:.0%} of its size on what the place uses"
    yield Item("plant.net_capacity", in_kw(net), "found", words)
    yield Item("plant.kind", fit.kind, "found", "; ".join(filter(None, (fit.why, either_kind(found)))))
    if fit.kind == BINARY:
        fluid = COOLER_FLUID if hot < FLUID_SPLIT else WARMER_FLUID
        yield Item("plant.fluid", fluid, "assumed", "usual at this temperature")
    elif not fit.wet:
        words = "nothing of the climate is stated; a wet tower, which gives more power, asks for its humidity"
        yield Item("plant.cooling", "air", "assumed", words)
    if not fit.pumped:
        yield Item(
            "wells.pump",
            "none",
            "assumed",
            "as hot as that, wells mostly flow by themselves; a test shows what they give",
        )
    yield from _humidity(found, fit)
    yield from _silica(found, fit)


def _humidity(found: Screen, fit: Fit) -> Iterator[Item]:
    stated = middle(found.site.place.relative_humidity)
    if fit.wet and stated is not None:
        yield Item("site.relative_humidity", f"{stated:.0%}", "stated", "the site file, all year")


def _silica(found: Screen, fit: Fit) -> Iterator[Item]:
    """What the analysis says, unless the sample had boiled; without one a case takes that of quartz by itself."""
    stated = None if found.site.water.boiled == "yes" else middle(found.site.water.silica)
    if stated is None:
        return
    words = "the analysis"
    if fit.kind == FLASH:
        hot = temperature_written(found)
        words += f"; at rest with quartz at {hot:.0f} degC it would be {float(quartz_silica(hot)):.0f} mg/kg"
    yield Item("resource.silica", f"{max(stated, 1.0):.4g} mg/kg", "stated", words)


def in_kw(value: float) -> str:
    """A power as it stands in a case, three digits  [kW]."""
    return f"{value:.3g} kW" if value < 1e3 else f"{value / 1e3:.3g} MW"

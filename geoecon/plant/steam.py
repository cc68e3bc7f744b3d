"""Steam and water at saturation: what flashes, what a turbine makes of it, and what gas in the steam costs.

Everything is per kg of the steam that reaches the plant, gas in it, and elementwise over arrays, on a table of water along
its saturation line. CoolProp is loaded only when that table is not in the cache folder.
"""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from geoecon.arrays import Floats
from geoecon.plant.kept import cache_file, kept_or_made
from geoecon.resource.water import KELVIN, saturation_pressure

GRID = "steam-1"  # part of the file's name: raise it when the grid or what is tabulated changes
STEP, POINTS = 0.25, 1480
COLDEST_DEGC = 0.25
HOTTEST_DEGC = COLDEST_DEGC + STEP * (POINTS - 1)
MOLAR_GAS = 8.314462 / 44.01  # of carbon dioxide  [kJ/kg/K]
GAS_EXPONENT = 0.29 / 1.29  # of carbon dioxide, isentropic: 1 - 1 / 1.29
GAS_COOLED_K = 5.0  # below the condensing temperature, where gas is drawn off; common practice


@dataclass(frozen=True)
class Saturated:
    """Water at saturation, any shape: enthalpy and entropy of liquid and steam  [kJ/kg], [kJ/kg/K]."""

    liquid: Floats
    steam: Floats
    liquid_entropy: Floats
    steam_entropy: Floats

    @property
    def heat(self) -> Floats:
        """What evaporation adds to the enthalpy  [kJ/kg]."""
        return self.steam - self.liquid


def is_kept() -> bool:
    """Whether the table of water is in the cache folder."""
    return cache_file("water", GRID).is_file()


@lru_cache(maxsize=1)
def _grid() -> Saturated:
    """Water along its saturation line, (n,), from the cache folder or made and put there."""
    return kept_or_made(cache_file("water", GRID), Saturated, lambda found: found.steam.shape == (POINTS,), _tabulated)


def _tabulated() -> Saturated:
    from CoolProp.CoolProp import PropsSI

    kelvin: Floats = COLDEST_DEGC + STEP * np.arange(POINTS, dtype=np.float64) + KELVIN
    rows = [(PropsSI(what, "T", kelvin, "Q", q, "Water") / 1e3) for what in "HS" for q in (0, 1)]
    return Saturated(*rows)


def saturated(temperature_degC: Floats) -> Saturated:
    """Water at saturation, as a property library has it to 1e-5; NaN stays NaN, beyond 0.25 to 370 degC the end is taken.

    >>> float(saturated(np.array(151.83)).steam.round(1))
    2748.1
    """
    grid = _grid()
    at = (np.clip(temperature_degC, COLDEST_DEGC, HOTTEST_DEGC) - COLDEST_DEGC) / STEP
    with np.errstate(invalid="ignore"):
        below = at.astype(np.intp)
    below = np.clip(below, 0, POINTS - 2)
    share = at - below
    columns = (grid.liquid, grid.steam, grid.liquid_entropy, grid.steam_entropy)
    return Saturated(*(column[below] * (1 - share) + column[below + 1] * share for column in columns))


def flashed(enthalpy: Floats, separator_degC: Floats) -> Floats:
    """Share that turns to steam when water of an enthalpy comes into a separator, all broadcast  [kJ/kg], [degC] -> [1].

    x = (h - h') / (h'' - h'), between 0 and 1.
    Source: any textbook.

    >>> float(flashed(saturated(np.array(230.0)).liquid, np.array(151.83)).round(4))
    0.1661
    """
    there = saturated(separator_degC)
    return np.asarray(np.clip((enthalpy - there.liquid) / there.heat, 0.0, 1.0))


def expanded(inlet_degC: Floats, condensing_degC: Floats, dry_efficiency: float) -> tuple[Floats, Floats]:
    """Work of saturated steam in a turbine and the enthalpy it leaves with, all broadcast  [degC], [1] -> [kJ/kg].

    Every per cent of mean wetness takes a per cent of the efficiency of dry steam (Baumann's rule): with
    A = efficiency / 2 x isentropic work, h_out = (h_in - A (1 - h' / h_fg)) / (1 + A / h_fg). No work where the condenser is
    no colder than the steam.
    Source: R. DiPippo, Geothermal Power Plants, chapter on single flash; from memory, and it satisfies the rule.

    >>> work, out = expanded(np.array(180.0), np.array(50.0), 0.85)
    >>> float(work.round(0)), float(out.round(0))
    (527.0, 2250.0)
    """
    top, end = saturated(inlet_degC), saturated(condensing_degC)
    quality = (top.steam_entropy - end.liquid_entropy) / (end.steam_entropy - end.liquid_entropy)
    half = dry_efficiency / 2 * np.maximum(top.steam - (end.liquid + quality * end.heat), 0.0)
    out = (top.steam - half * (1 - end.liquid / end.heat)) / (1 + half / end.heat)
    works = np.asarray(inlet_degC) > condensing_degC
    return np.where(works, top.steam - out, 0.0), np.where(works, out, top.steam)


def compression(condensing_degC: Floats, air_bar: float, efficiency: float) -> Floats:
    """Power to draw gas from a condenser and let it out into the air, for each kg/s of gas  [degC] -> [kW per kg/s].

    Carbon dioxide, cooled 5 K below the condensing temperature, and the steam that it is then saturated with, compressed
    without cooling on the way: n k / (k - 1) R T ((p_air / p)^((k - 1) / k) - 1) / efficiency, n moles of both per mole of gas.
    Source: ideal gases, any textbook; k = 1.29 from memory.

    >>> float(compression(np.array(45.0), 1.013, 0.65).round(-1))
    1230.0
    """
    cold = np.maximum(condensing_degC - GAS_COOLED_K, 0.01)
    pressure = saturation_pressure(np.maximum(condensing_degC, 0.01))
    steam = np.minimum(saturation_pressure(cold), 0.95 * pressure)
    moles = pressure / (pressure - steam)
    rise = np.maximum((air_bar / pressure) ** GAS_EXPONENT - 1, 0.0)
    return np.asarray(moles * MOLAR_GAS / GAS_EXPONENT * (cold + KELVIN) * rise / efficiency)


@dataclass(frozen=True)
class SteamTerms:
    """Parts of a plant that steam drives. Efficiencies and shares as fractions.

    turbine_efficiency : of dry steam, isentropic
    approach_K : condensing temperature above what cools, air or its wet bulb;  least_condensing_degC : no colder than that
    cooling_share : power of fans and pumps of the cooling over heat rejected;  auxiliary_share : other plant use over gross
    gas : share of the steam by mass that does not condense
    ejector_steam : kg of steam that draw off a kg of gas, None where a compressor does
    compressor_efficiency : of that;  air_bar : pressure of the air
    lost : share of the condensed steam that goes into the air
    """

    turbine_efficiency: float
    generator_efficiency: float
    approach_K: float
    least_condensing_degC: float
    cooling_share: float
    auxiliary_share: float
    gas: float
    ejector_steam: float | None
    compressor_efficiency: float
    air_bar: float
    lost: float

    def condensing(self, sink_degC: Floats) -> Floats:
        """Condensing temperature for what cools  [degC]."""
        return np.maximum(sink_degC + self.approach_K, self.least_condensing_degC)


@dataclass(frozen=True)
class SteamPower:
    """What each kg of steam from a separator or well gives  [kJ/kg]; any shape.

    to_turbine, to_ejector, gas : shares of it by mass;  turbine : work at the shaft;  heat_out : given to the condenser
    net = gross - cooling - auxiliaries - compressor;  away : share of the mass that goes into the air
    """

    to_turbine: Floats
    to_ejector: Floats
    gas: Floats
    turbine: Floats
    heat_out: Floats
    gross: Floats
    compressor: Floats
    cooling: Floats
    auxiliaries: Floats
    net: Floats
    away: Floats


def steam_power(terms: SteamTerms, inlet_degC: Floats, sink_degC: Floats, with_gas: bool = True) -> SteamPower:
    """What saturated steam gives with what cools at a temperature, broadcast  [degC]; without gas in a second steam.

    Gas makes no power. Steam of ejectors is condensed as well.
    """
    inlet, sink = np.broadcast_arrays(inlet_degC, sink_degC)
    cold = terms.condensing(sink)
    work, out = expanded(inlet, cold, terms.turbine_efficiency)
    gas = terms.gas if with_gas else 0.0
    ejector = 0.0 if terms.ejector_steam is None else min(gas * terms.ejector_steam, 1 - gas)
    share = 1 - gas - ejector
    liquid = saturated(cold).liquid
    heat_out = share * (out - liquid) + ejector * (saturated(inlet).steam - liquid)
    turbine = share * work
    gross = turbine * terms.generator_efficiency
    none = np.zeros_like(gross)
    compressor = none
    if gas and terms.ejector_steam is None:
        compressor = gas * compression(cold, terms.air_bar, terms.compressor_efficiency)
    cooling, auxiliaries = heat_out * terms.cooling_share, gross * terms.auxiliary_share
    return SteamPower(
        none + share, none + ejector, none + gas, turbine, heat_out, gross, compressor, cooling, auxiliaries,
        gross - cooling - auxiliaries - compressor, none + gas + (1 - gas) * terms.lost,
    )  # fmt: skip

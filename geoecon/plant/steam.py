"""Steam and water at saturation: what flashes, what a turbine makes of it, and what gas that comes with it costs.

Everything is elementwise over arrays, on a table of water along its saturation line. CoolProp is loaded only when that table is
not in the cache folder.
"""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from geoecon.arrays import Floats
from geoecon.plant.kept import cache_file, kept_or_made
from geoecon.resource.water import KELVIN, saturation_pressure

GRID = "steam-2"  # part of the file's name: raise it when the grid or what is tabulated changes
STEP, POINTS = 0.25, 1480
COLDEST_DEGC = 0.25
HOTTEST_DEGC = COLDEST_DEGC + STEP * (POINTS - 1)
MOLAR_GAS = 8.314462 / 44.01  # of carbon dioxide  [kJ/kg/K]
GAS_EXPONENT = 0.29 / 1.29  # of carbon dioxide, isentropic: 1 - 1 / 1.29
GAS_COOLED_K = 5.0  # below the condensing temperature, where gas is drawn off; common practice


@dataclass(frozen=True)
class Saturated:
    """Water at saturation, any shape: enthalpy, entropy and heat capacity of liquid and steam  [kJ/kg], [kJ/kg/K]."""

    liquid: Floats
    steam: Floats
    liquid_entropy: Floats
    steam_entropy: Floats
    steam_capacity: Floats

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
    rows.append(PropsSI("C", "T", kelvin, "Q", 1, "Water") / 1e3)
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
    columns = (grid.liquid, grid.steam, grid.liquid_entropy, grid.steam_entropy, grid.steam_capacity)
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


def entropy_of_steam(enthalpy: Floats, boiling_degC: Floats) -> Floats:
    """Entropy of steam at the pressure of a boiling point, wet or superheated, broadcast  [kJ/kg], [degC] -> [kJ/kg/K].

    Wet, ds = dh / T; superheated, with the heat capacity of saturated steam, which is within 0.002 kJ/kg/K up to 60 K.
    Source: any textbook.

    >>> float(entropy_of_steam(np.array(2803.6), np.array(175.36)).round(3))
    6.688
    """
    there, kelvin = saturated(boiling_degC), np.asarray(boiling_degC) + KELVIN
    over = np.asarray(enthalpy) - there.steam
    capacity = there.steam_capacity
    hotter = capacity * np.log1p(np.maximum(over, 0.0) / (capacity * kelvin))
    return np.asarray(there.steam_entropy + np.minimum(over, 0.0) / kelvin + hotter)


@dataclass(frozen=True)
class Expansion:
    """Steam in a turbine, any shape  [kJ/kg]: isentropic drop of its enthalpy, work, and the enthalpy it leaves with."""

    ideal: Floats
    work: Floats
    out: Floats


def expanded(
    inlet_degC: Floats, condensing_degC: Floats, dry_efficiency: float, enthalpy: Floats | None = None
) -> Expansion:
    """Steam in a turbine, all broadcast.

    inlet_degC : boiling point at its pressure  [degC];  enthalpy : that of saturated steam there unless given  [kJ/kg]

    Every per cent of mean wetness takes a per cent of the efficiency of dry steam (Baumann's rule): with q the quality at the
    inlet, 1 where it is superheated, and A = efficiency / 2 x isentropic work,
    h_out = (h_in - A (q - h' / h_fg)) / (1 + A / h_fg). No work where the condenser is no colder than the steam.
    Source: R. DiPippo, Geothermal Power Plants, chapter on single flash; from memory, and it satisfies the rule.

    >>> made = expanded(np.array(180.0), np.array(50.0), 0.85)
    >>> float(made.work.round(0)), float(made.out.round(0))
    (527.0, 2250.0)
    """
    top, end = saturated(inlet_degC), saturated(condensing_degC)
    if enthalpy is None:
        heat_in, entropy, quality_in = top.steam, top.steam_entropy, np.ones(())
    else:
        heat_in, entropy = enthalpy, entropy_of_steam(enthalpy, inlet_degC)
        quality_in = np.minimum((heat_in - top.liquid) / top.heat, 1.0)
    quality = (entropy - end.liquid_entropy) / (end.steam_entropy - end.liquid_entropy)
    works = np.asarray(inlet_degC) > condensing_degC
    ideal = np.where(works, np.maximum(heat_in - (end.liquid + quality * end.heat), 0.0), 0.0)
    half = dry_efficiency / 2 * ideal
    out = np.where(works, (heat_in - half * (quality_in - end.liquid / end.heat)) / (1 + half / end.heat), heat_in)
    return Expansion(ideal, heat_in - out, out)


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
    ejector_steam: float | None
    compressor_efficiency: float
    air_bar: float
    lost: float

    def condensing(self, sink_degC: Floats) -> Floats:
        """Condensing temperature for what cools  [degC]."""
        return np.maximum(sink_degC + self.approach_K, self.least_condensing_degC)

    def jets(self, gas: Floats) -> Floats:
        """Steam that draws off gas, none where a compressor does  [kg] -> [kg]."""
        return np.asarray(gas * (self.ejector_steam or 0.0))


@dataclass(frozen=True)
class SteamPower:
    """What steam and the gas beside it give  [kJ], of any shape; NaN where jets ask for more steam than there is.

    to_turbine, to_ejector : steam  [kg];  turbine : work at the shaft;  heat_out : given to the condenser
    net = gross - cooling - auxiliaries - compressor
    """

    to_turbine: Floats
    to_ejector: Floats
    turbine: Floats
    heat_out: Floats
    gross: Floats
    compressor: Floats
    cooling: Floats
    auxiliaries: Floats
    net: Floats


def steam_power(
    terms: SteamTerms, steam: Floats | float, gas: Floats | float, inlet_degC: Floats, sink_degC: Floats,
    enthalpy: Floats | None = None,
) -> SteamPower:  # fmt: skip
    """What steam gives with what cools at a temperature, all broadcast.

    steam, gas : beside one another  [kg];  inlet_degC, enthalpy : of the steam, as for `expanded`

    Gas makes no power and brings no heat. Steam of ejectors is condensed as well.
    """
    cold = terms.condensing(np.asarray(sink_degC))
    each, liquid = expanded(inlet_degC, cold, terms.turbine_efficiency, enthalpy), saturated(cold).liquid
    to_ejector = terms.jets(np.asarray(gas))
    to_turbine = np.where(steam >= to_ejector, steam - to_ejector, np.nan)
    heat_out = to_turbine * (each.out - liquid) + to_ejector * (each.out + each.work - liquid)
    turbine = to_turbine * each.work
    gross = turbine * terms.generator_efficiency
    compressor = np.zeros_like(gross)
    if terms.ejector_steam is None:
        compressor = compressor + gas * compression(cold, terms.air_bar, terms.compressor_efficiency)
    cooling, auxiliaries = heat_out * terms.cooling_share, gross * terms.auxiliary_share
    return SteamPower(
        to_turbine, to_ejector, turbine, heat_out, gross, compressor, cooling, auxiliaries,
        gross - cooling - auxiliaries - compressor,
    )  # fmt: skip

"""A binary plant as built: exchangers, turbine nozzles and fans as they follow from the design point, and never change.

Everything is per kg/s of brine at the design point. Sizes of exchangers stand as products of area and transfer coefficient.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from geoecon.arrays import Floats
from geoecon.plant.binary import KJ_PER_BAR_M3, Cycle, CycleTerms, condensing
from geoecon.plant.properties import SUPERHEATS, FluidTable
from geoecon.resource.water import KELVIN, water_enthalpy

AIR_RISE = 2 / 3  # of the air in the condenser over the approach; common practice, assumed
_WATER_DEGC = np.arange(0.0, 366.0)
_WATER_HEAT = water_enthalpy(np.maximum(_WATER_DEGC, 0.01))


@dataclass(frozen=True)
class Keeping:
    """What the plant in service keeps to, beside the coolest brine that may leave.

    variable_fans : fans slow down where that gives more net power, their power falling with the cube of the speed
    least_bar : least condensing pressure, None for none  [bar absolute]
    most_gross : most gross power over that of the design point, None for none  [1]
    """

    variable_fans: bool = False
    least_bar: float | None = None
    most_gross: float | None = None


@dataclass(frozen=True)
class Vapour:
    """Where vapour enters the turbine, any shape: [bar], [m3/kg], enthalpies [kJ/kg]; `row` its place in the table."""

    row: Floats
    pressure: Floats
    volume: Floats
    top: Floats
    bubble: Floats


@dataclass(frozen=True)
class Liquid:
    """What leaves the condenser, any shape: [bar], [kJ/kg], [m3/kg]; `place` is its place in the table."""

    place: Floats
    pressure: Floats
    heat: Floats
    volume: Floats


@dataclass(frozen=True)
class Fluid:
    """A working fluid at one superheat, read between the rows of its table."""

    table: FluidTable
    superheat: float

    @cached_property
    def top(self) -> Floats:
        """Turbine inlet by evaporation  [kJ/kg]."""
        return self.table.top[:, self._which]

    @cached_property
    def outlet(self) -> Floats:
        """After isentropic expansion from evaporation i to temperature j; nothing expands to where it came from  [kJ/kg]."""
        outlet = self.table.outlet[:, self._which, :]
        return np.where(np.isnan(outlet), self.top[:, None], outlet)

    @cached_property
    def volume(self) -> Floats:
        """Of saturated vapour, by the equation of Clapeyron  [m3/kg]."""
        table, kelvin = self.table, self.table.temperature + KELVIN
        slope = -np.gradient(np.log(table.pressure), 1 / kelvin) / kelvin**2 * table.pressure
        return table.volume + (table.vapour - table.liquid) / (kelvin * slope * KJ_PER_BAR_M3)

    @property
    def coolest(self) -> float:
        """Coolest evaporation that is tabulated  [degC]."""
        return float(self.table.boiling[np.isfinite(self.top)][0])

    @property
    def hottest(self) -> float:
        """Hottest evaporation that is tabulated  [degC]."""
        return float(self.table.boiling[-1])

    @property
    def _which(self) -> int:
        return int(np.abs(SUPERHEATS - self.superheat).argmin())

    def vapour(self, evaporating: Floats) -> Vapour:
        """The turbine inlet at an evaporating temperature."""
        row = np.interp(evaporating, self.table.boiling, np.arange(len(self.table.boiling)))
        low, share = _split(row, len(self.table.boiling))
        hotter = 1 + self.superheat / (np.asarray(evaporating) + KELVIN)
        pressure, volume, top, bubble = (
            _along(values, low, share)
            for values in (self.table.boiling_pressure, self.volume, self.top, self.table.bubble)
        )
        return Vapour(row, pressure, volume * hotter, top, bubble)

    def condensed(self, temperature: Floats) -> Liquid:
        """The liquid at a condensing temperature."""
        place = np.interp(temperature, self.table.temperature, np.arange(len(self.table.temperature)))
        low, share = _split(place, len(self.table.temperature))
        table = self.table
        heat, volume = _along(table.liquid, low, share), _along(table.volume, low, share)
        return Liquid(place, np.exp(_along(np.log(table.pressure), low, share)), heat, volume)

    def drop(self, vapour: Vapour, liquid: Liquid) -> Floats:
        """Isentropic drop of enthalpy through the turbine  [kJ/kg]."""
        i, u = _split(vapour.row, len(self.outlet))
        j, v = _split(liquid.place, self.outlet.shape[1])
        flat, wide = self.outlet.ravel(), self.outlet.shape[1]
        at = i * wide + j
        low = flat[at] * (1 - v) + flat[at + 1] * v
        high = flat[at + wide] * (1 - v) + flat[at + wide + 1] * v
        return np.asarray(vapour.top - low * (1 - u) - high * u)

    def saturation(self, bar: float) -> float:
        """Temperature at which it boils at a pressure  [degC]."""
        return float(np.interp(np.log(bar), np.log(self.table.pressure), self.table.temperature))


def _split(place: Floats, count: int) -> tuple[np.ndarray, Floats]:
    low = np.minimum(place.astype(np.intp), count - 2)
    return low, place - low


def _along(values: Floats, low: np.ndarray, share: Floats) -> Floats:
    return np.asarray(values[low] * (1 - share) + values[low + 1] * share)


def brine_heat(temperature: Floats) -> Floats:
    """Enthalpy of brine, as water  [kJ/kg]."""
    return np.asarray(np.interp(temperature, _WATER_DEGC, _WATER_HEAT))


def brine_temperature(heat: Floats) -> Floats:
    """Temperature of brine that holds an enthalpy  [degC]."""
    return np.asarray(np.interp(heat, _WATER_HEAT, _WATER_DEGC))


@dataclass(frozen=True)
class Hardware:
    """What is bought, per kg/s of brine at the design point; brine and air for which it is are `brine` and `air`.

    swallowing : m / sqrt(p / v (1 - (outlet pressure / p)2)) of the turbine
    evaporator : its size over the brine's capacity for heat  [1];  preheater : its size  [kW/K]
    brine_capacity : of brine in the preheater  [kJ/kg/K];  drop : isentropic, for which the turbine is made  [kJ/kg]
    air_capacity : of the air through the condenser  [kW/K];  fans, gross : [kW]
    """

    brine: float
    air: float
    swallowing: float
    evaporator: float
    preheater: float
    brine_capacity: float
    drop: float
    air_capacity: float
    fans: float
    gross: float


def bought(fluid: Fluid, terms: CycleTerms, cycle: Cycle, brine: float, air: float) -> Hardware:
    """The plant that follows from the best cycle at its design point.

    cycle : of one brine temperature, making power;  brine, air : at which  [degC]
    """
    evaporating, ratio = cycle.evaporating[0], cycle.fluid_ratio[0]
    cold = float(condensing(air, terms))
    vapour, liquid = fluid.vapour(np.asarray(evaporating)), fluid.condensed(np.asarray(cold))
    drop = float(fluid.drop(vapour, liquid))
    work = terms.turbine_efficiency * drop
    pumped = liquid.heat + pump_work(terms, vapour, liquid)
    heat_out = ratio * (vapour.top - work - liquid.heat)
    heat = brine_heat(np.asarray(brine))
    at_boiling = brine_temperature(heat - ratio * (vapour.top - vapour.bubble))
    leaving = brine_temperature(heat - ratio * (vapour.top - pumped))
    to_boiling = ratio * (vapour.bubble - pumped)
    ends = at_boiling - evaporating, leaving - cold
    gross = ratio * work * terms.generator_efficiency
    values = (
        ratio / throat(vapour, liquid), np.log((brine - evaporating) / ends[0]), to_boiling / log_mean(*ends),
        to_boiling / (at_boiling - leaving), drop, heat_out / (AIR_RISE * terms.approach_K),
        heat_out * terms.fan_share, gross,
    )  # fmt: skip
    return Hardware(brine, air, *map(float, values))


def throat(vapour: Vapour, liquid: Liquid) -> Floats:
    """What the flow through the turbine is in proportion to, by the ellipse of Stodola with the vapour as it enters."""
    expanded = np.maximum(1 - (liquid.pressure / vapour.pressure) ** 2, 0.0)
    return np.asarray(np.sqrt(vapour.pressure / vapour.volume * expanded))


def pump_work(terms: CycleTerms, vapour: Vapour, liquid: Liquid) -> Floats:
    """What the pump takes for each kg of working fluid  [kJ/kg]."""
    return np.asarray(liquid.volume * (vapour.pressure - liquid.pressure) * KJ_PER_BAR_M3 / terms.pump_efficiency)


def log_mean(one: Floats, other: Floats) -> Floats:
    """Logarithmic mean of two differences of temperature, both above 0  [K]."""
    ratio = one / other
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.asarray(np.where(np.abs(ratio - 1) < 1e-6, (one + other) / 2, (one - other) / np.log(ratio)))

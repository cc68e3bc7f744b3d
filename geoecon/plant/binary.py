"""The basic binary cycle: evaporation chosen for most net power among machines that can be built.

Brine gives heat to a working fluid in one counterflow exchanger; the vapour drives a turbine, is condensed by air and is
pumped back. Everything is per kg/s of brine, and arithmetic on a `FluidTable`. Other layouts (`layouts.py`) make other
`Candidates`, from which `taken` chooses in the same way.
"""

from collections.abc import Callable
from dataclasses import dataclass, fields, replace

import numpy as np

from geoecon.arrays import Floats
from geoecon.plant.properties import EVAPORATION_ROWS, SUPERHEATS, FluidTable
from geoecon.resource.silica import coolest_by_quartz
from geoecon.resource.water import temperature_of_enthalpy, water_enthalpy

DRIEST_LOSS = 0.98  # least quality along the expansion: droplets wear blades
SAME_POWER = 2e-4  # powers this close are equal; then the one that leaves the brine hottest is taken
KJ_PER_BAR_M3 = 100.0
FLOOR_OF_INLET = 0.43
FEED_ZONE_ABOVE_INLET_K = 2.0  # as `wells.temperature_loss` by default; of each kelvin more the floor knows nothing
FAR = 1e9


@dataclass(frozen=True)
class CycleTerms:
    """Parts of the plant. Efficiencies and shares as fractions, temperatures in degC, differences in kelvin.

    fan_share : fan power over heat rejected;  auxiliary_share : other plant use over gross
    floor_degC : coolest brine that may leave, None for 0.43 of the inlet (common practice, assumed)
    silica_degC : where silica would come out, a floor below every other
    quartz : whether the brine holds the silica of water at rest with quartz, which then sets such a floor
    evaporating_degC : fixes the evaporation, None for the best
    layout : a name of `layouts.LAYOUTS`
    recuperator_K : least difference between exhaust and liquid in the recuperator, None where there is none
    """

    turbine_efficiency: float
    pump_efficiency: float
    generator_efficiency: float
    pinch_K: float
    approach_K: float
    fan_share: float
    auxiliary_share: float
    floor_degC: float | None = None
    evaporating_degC: float | None = None
    silica_degC: float = 0.0
    quartz: bool = False
    layout: str = "basic"
    recuperator_K: float | None = None

    def floor(self, brine_degC: Floats) -> Floats:
        """Coolest brine that may leave for each brine temperature at the inlet  [degC]."""
        asked = (
            FLOOR_OF_INLET * np.asarray(brine_degC)
            if self.floor_degC is None
            else np.full(len(brine_degC), self.floor_degC)
        )
        if self.quartz:
            asked = np.maximum(asked, self.quartz_floor(brine_degC))
        return np.maximum(asked, self.silica_degC)

    def quartz_floor(self, brine_degC: Floats) -> Floats:
        """Where silica would come out of brine at the inlet that was at rest with quartz in rock a little hotter  [degC]."""
        return coolest_by_quartz(np.asarray(brine_degC) + FEED_ZONE_ABOVE_INLET_K)


@dataclass(frozen=True)
class Cycle:
    """Cycles for an array of brine temperatures at one air temperature; energies in kJ per kg of brine (kW per kg/s).

    evaporating, superheat, injection : [degC], [K], [degC]; above the critical pressure the inlet of the turbine is as much
    superheated above the critical temperature
    fluid_ratio : kg of working fluid per kg of brine;  pressure : of the fluid in the heater, of the upper level  [bar]
    low_evaporating, low_ratio : of a second level, 0 where there is none; the ratio is part of fluid_ratio
    net = gross - pump - fans - auxiliaries;  heat_in + pump = turbine + heat_out
    """

    evaporating: Floats
    superheat: Floats
    pressure: Floats
    low_evaporating: Floats
    low_ratio: Floats
    injection: Floats
    fluid_ratio: Floats
    heat_in: Floats
    heat_out: Floats
    turbine: Floats
    gross: Floats
    pump: Floats
    fans: Floats
    auxiliaries: Floats
    net: Floats


@dataclass(frozen=True)
class Candidates:
    """Machines at one condensing temperature, per kg of working fluid; `can` says which exist.

    boiling, superheat, pressure : of the fluid at the turbine's inlet  [degC], [K], [bar]
    top, work, pump, heat_out : there; of turbine and pump; given to the condenser  [kJ/kg]
    cold, entering : of the fluid as it comes from the pump  [kJ/kg], [degC]
    gap, wanted : (machine, point)  heat from a point to the hot end, and brine enthalpy that the pinch asks there  [kJ/kg]
    """

    can: np.ndarray
    boiling: Floats
    top: Floats
    superheat: Floats
    pressure: Floats
    work: Floats
    cold: Floats
    entering: Floats
    pump: Floats
    heat_out: Floats
    gap: Floats
    wanted: Floats

    def that(self, rows: np.ndarray) -> "Candidates":
        """Only some of the machines."""
        return Candidates(**{f.name: getattr(self, f.name)[rows] for f in fields(self)})


def condensing(air_degC: Floats | float, terms: CycleTerms) -> Floats:
    """Condensing temperature at an air temperature  [degC]."""
    return np.asarray(air_degC) + terms.approach_K


def cycles(
    table: FluidTable,
    terms: CycleTerms,
    brine_degC: Floats,
    air_degC: float,
    dry: Floats | None = None,
) -> Cycle:
    """The best cycle for each brine temperature at one air temperature.

    brine_degC : (n,) at the plant inlet  [degC];  air_degC : [degC]
    dry : `least_quality(table, terms)`, for who asks many times
    Where no machine makes power the result is zero and the brine leaves as hot as it came.

    The brine never comes closer than the pinch to the working fluid, at any point of the exchanger, its cold end
    included: near the critical point the tight spot is not where the fluid begins to boil. The expansion keeps a quality
    of 0.98 all along, superheated where it takes that.
    """
    made = candidates(table, terms, float(condensing(air_degC, terms)), dry)
    return taken(made, terms, np.asarray(brine_degC))


def taken(made: Candidates, terms: CycleTerms, brine: Floats) -> Cycle:
    """The best of the machines for each brine temperature, (n,), with as much fluid as pinch and floor allow."""
    made = made.that(made.can & (made.boiling + made.superheat + terms.pinch_K <= np.nanmax(brine, initial=-FAR)))
    if not made.can.size:
        return idle(brine)
    heat = water_enthalpy(brine)[:, None]
    with np.errstate(invalid="ignore", divide="ignore"):
        ratio = ((heat[:, :, None] - made.wanted) / made.gap).min(axis=2)
        ratio = np.minimum(ratio, (heat - water_enthalpy(terms.floor(brine))[:, None]) / (made.top - made.cold))
    hot_enough = made.boiling + made.superheat + terms.pinch_K <= brine[:, None]
    ratio = np.where(hot_enough & (ratio > 0), ratio, 0.0)
    per_kg = {name: ratio * getattr(made, name) for name in ("work", "pump", "heat_out")}
    rest = {name: np.broadcast_to(getattr(made, name), ratio.shape) for name in ("superheat", "pressure")}
    flows = power(terms, per_kg["work"], per_kg["pump"], per_kg["heat_out"]) | rest
    none = np.zeros(ratio.shape)
    return best_of(
        brine,
        flows
        | {
            "evaporating": np.broadcast_to(made.boiling, ratio.shape),
            "low_evaporating": none,
            "low_ratio": none,
            "injection": temperature_of_enthalpy(heat - ratio * (made.top - made.cold)),
            "fluid_ratio": ratio,
            "heat_in": ratio * (made.top - made.cold),
        },
    )


def power(terms: CycleTerms, turbine: Floats, pump: Floats, heat_out: Floats) -> dict[str, Floats]:
    """From work at the shaft to net power, columns of a `Cycle`, any shape  [kJ per kg of brine]."""
    gross, fans = turbine * terms.generator_efficiency, heat_out * terms.fan_share
    return {
        "turbine": turbine,
        "pump": pump,
        "heat_out": heat_out,
        "gross": gross,
        "fans": fans,
        "auxiliaries": gross * terms.auxiliary_share,
        "net": gross * (1 - terms.auxiliary_share) - pump - fans,
    }


def best_of(brine: Floats, columns: dict[str, Floats]) -> Cycle:
    """The best machine for each brine: columns of a `Cycle`, (n, machine); none where none makes power."""
    which = _best(columns["net"], columns["injection"])
    chosen = {name: np.take_along_axis(values, which, axis=1)[:, 0] for name, values in columns.items()}
    nothing, none = chosen["net"] <= 0, idle(brine)
    return Cycle(**{name: np.where(nothing, getattr(none, name), values) for name, values in chosen.items()})


def idle(brine: Floats) -> Cycle:
    """No power: the brine leaves as hot as it came."""
    none = {f.name: np.zeros(len(brine)) for f in fields(Cycle)}
    return Cycle(**(none | {"injection": brine.astype(np.float64)}))


def _best(net: Floats, injection: Floats) -> np.ndarray:
    """The machine taken for each brine, (n, 1): hottest injection among those within a hair of the best power."""
    best = net.max(axis=1, keepdims=True)
    close = net >= best - SAME_POWER * np.abs(best)
    which: np.ndarray = np.where(close, injection, -FAR).argmax(axis=1)[:, None]
    return which


def dry_evaporations(table: FluidTable, terms: CycleTerms, air_degC: float) -> Floats:
    """Evaporating temperatures from which the expansion stays dry, at one air temperature, (n,)  [degC]."""
    made = candidates(table, terms, float(condensing(air_degC, terms)))
    return np.asarray(made.boiling[made.can])


def at_evaporation(table: FluidTable, evaporating_degC: float) -> FluidTable:
    """The table with one evaporation only, between the two that are tabulated around it."""
    share = np.interp(evaporating_degC, table.boiling, np.arange(len(table.boiling)))
    low = min(int(share), len(table.boiling) - 2)
    pair = {name: getattr(table, name)[low : low + 2] for name in EVAPORATION_ROWS}
    weight = np.array([1 - (share - low), share - low])
    mixed = {name: _mix(rows, weight) for name, rows in pair.items()}
    return replace(table, **mixed)


def _mix(rows: Floats, weight: Floats) -> Floats:
    """Two rows as one, by weight; a row without weight does not count, though it holds NaN."""
    if weight[1] == 0:
        return rows[:1]
    return rows[1:] if weight[0] == 0 else np.asarray(rows[:1] * weight[0] + rows[1:] * weight[1])


def candidates(
    table: FluidTable,
    terms: CycleTerms,
    cold_degC: float,
    quality: Floats | None = None,
) -> Candidates:
    """What each evaporation gives at a condensing temperature, with the least superheat that keeps the expansion dry."""
    if terms.evaporating_degC is not None:
        table, quality = at_evaporation(table, terms.evaporating_degC), None
    if quality is None:
        quality = least_quality(table, terms)
    at, here = at_condensation(table, cold_degC)
    grid = table.temperature
    pressure = float(np.exp(here(np.log(table.pressure))))
    liquid, volume = float(here(table.liquid)), float(here(table.volume))
    dry = quality[:, :, at] >= DRIEST_LOSS
    superheat = dry.argmax(axis=1)
    rows = np.arange(len(table.boiling))
    top = table.top[rows, superheat]
    work = terms.turbine_efficiency * (top - here(table.outlet)[rows, superheat])
    pump = volume * (table.boiling_pressure - pressure) * KJ_PER_BAR_M3 / terms.pump_efficiency
    cold = liquid + pump
    hot_enough = (table.boiling > max(cold_degC + terms.pinch_K, grid[at + 1])) & np.isfinite(work)
    can = dry.any(axis=1) & hot_enough & (cold_degC >= grid[0])
    entering = _cold_end(table, cold, at)
    gap, wanted = _exchange(table, top, superheat, cold, entering, terms.pinch_K)
    top, work, cold = (np.where(can, values, fill) for values, fill in ((top, 1.0), (work, 0.0), (cold, 0.0)))
    return Candidates(
        can, table.boiling, top, SUPERHEATS[superheat], table.boiling_pressure, work, cold, entering, pump,
        top - work - liquid, gap, wanted,
    )  # fmt: skip


def at_condensation(table: FluidTable, cold_degC: float) -> tuple[int, Callable[[Floats], Floats]]:
    """The tabulated temperature below a condensing one, and what reads values along the grid (the last axis) there."""
    grid = table.temperature
    at = int(np.clip(np.searchsorted(grid, cold_degC) - 1, 0, len(grid) - 2))
    share = (cold_degC - grid[at]) / (grid[at + 1] - grid[at])
    return at, lambda values: np.asarray(values[..., at] * (1 - share) + values[..., at + 1] * share)


def least_quality(table: FluidTable, terms: CycleTerms) -> Floats:
    """Least quality on the way down from evaporation i with superheat k to pressure j, (i, k, j)."""
    state = table.top[:, :, None] - terms.turbine_efficiency * (table.top[:, :, None] - table.outlet)
    quality = (state - table.liquid) / (table.vapour - table.liquid)
    path = np.where(np.isnan(quality), np.inf, quality)
    lowest = np.minimum.accumulate(path[:, :, ::-1], axis=2)[:, :, ::-1]
    return np.where(np.isnan(table.top)[:, :, None], -np.inf, lowest)


def _cold_end(table: FluidTable, cold: Floats, at: int) -> Floats:
    """Temperature of the working fluid as it leaves the pump, for each evaporation  [degC]."""
    low, high = table.along[:, at], table.along[:, at + 1]
    step = table.temperature[at + 1] - table.temperature[at]
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.asarray(table.temperature[at] + (cold - low) / (high - low) * step)


def _exchange(
    table: FluidTable, top: Floats, superheat: np.ndarray, cold: Floats, cold_end: Floats, pinch: float
) -> tuple[Floats, Floats]:
    """Points along the exchanger: heat from there to the hot end, and the brine enthalpy that the pinch asks there.

    Both (i, point). Points are the tabulated liquid temperatures, the bubble point, the dew point and the cold end.
    """
    grid, boiling = table.temperature, table.boiling
    on_the_way = (grid > np.nan_to_num(cold_end, nan=np.inf)[:, None]) & (grid < boiling[:, None])
    on_the_way &= np.isfinite(table.along)
    gap = np.where(on_the_way, top[:, None] - table.along, 1.0)
    wanted = np.where(on_the_way, brine_heat(grid + pinch), -FAR)
    superheated = SUPERHEATS[superheat] > 0
    at_boiling = brine_heat(boiling + pinch)
    return (
        np.column_stack([gap, top - table.bubble, np.where(superheated, top - table.dew, 1.0), top - cold]),
        np.column_stack(
            [
                wanted,
                at_boiling,
                np.where(superheated, at_boiling, -FAR),
                brine_heat(np.nan_to_num(cold_end) + pinch),
            ]
        ),
    )


def brine_heat(temperature: Floats) -> Floats:
    """Enthalpy of brine at a temperature, water on its saturation line; ice and steam do not come up."""
    return water_enthalpy(np.clip(temperature, 0.0, 365.0))

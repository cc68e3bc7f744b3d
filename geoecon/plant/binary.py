"""The basic binary cycle, air-cooled: evaporation chosen for most net power among machines that can be built.

Brine gives heat to a working fluid in one counterflow exchanger; the vapour drives a turbine, is condensed by air and is
pumped back. Everything is per kg/s of brine, and arithmetic on a `FluidTable`.
"""

from dataclasses import dataclass

import numpy as np

from geoecon.arrays import Floats
from geoecon.plant.properties import SUPERHEATS, FluidTable
from geoecon.resource.water import temperature_of_enthalpy, water_enthalpy

DRIEST_LOSS = 0.98  # least quality along the expansion: droplets wear blades
SAME_POWER = 1e-3  # powers this close are equal; then the one that leaves the brine hottest is taken
KJ_PER_BAR_M3 = 100.0
FLOOR_OF_INLET = 0.43
FAR = 1e9


@dataclass(frozen=True)
class CycleTerms:
    """Parts of the plant. Efficiencies and shares as fractions, temperatures in degC, differences in kelvin.

    fan_share : fan power over heat rejected;  auxiliary_share : other plant use over gross
    floor_degC : coolest brine that may leave, None for 0.43 of the inlet (common practice, assumed)
    silica_degC : where silica would come out, a floor below every other
    evaporating_degC : fixes the evaporation, None for the best
    """

    turbine_efficiency: float
    pump_efficiency: float
    generator_efficiency: float
    pinch_K: float  # noqa: N815
    approach_K: float  # noqa: N815
    fan_share: float
    auxiliary_share: float
    floor_degC: float | None = None  # noqa: N815
    evaporating_degC: float | None = None  # noqa: N815
    silica_degC: float = 0.0  # noqa: N815

    def floor(self, brine_degC: Floats) -> Floats:  # noqa: N803
        """Coolest brine that may leave for each brine temperature at the inlet  [degC]."""
        asked = (
            FLOOR_OF_INLET * np.asarray(brine_degC)
            if self.floor_degC is None
            else np.full(len(brine_degC), self.floor_degC)
        )
        return np.maximum(asked, self.silica_degC)


@dataclass(frozen=True)
class Cycle:
    """Cycles for an array of brine temperatures at one air temperature; energies in kJ per kg of brine (kW per kg/s).

    evaporating, superheat, injection : [degC], [K], [degC];  fluid_ratio : kg of working fluid per kg of brine
    net = gross - pump - fans - auxiliaries;  heat_in + pump_to_fluid = turbine + heat_out
    """

    evaporating: Floats
    superheat: Floats
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
class _Candidates:
    """One machine for each evaporation i at one condensing temperature, per kg of working fluid; `can` says which exist."""

    can: np.ndarray
    top: Floats
    superheat: Floats
    work: Floats
    cold: Floats
    pump: Floats
    heat_out: Floats
    gap: Floats
    wanted: Floats


def condensing(air_degC: Floats | float, terms: CycleTerms) -> Floats:  # noqa: N803
    """Condensing temperature at an air temperature  [degC]."""
    return np.asarray(air_degC) + terms.approach_K


def cycles(table: FluidTable, terms: CycleTerms, brine_degC: Floats, air_degC: float) -> Cycle:  # noqa: N803
    """The best cycle for each brine temperature at one air temperature.

    brine_degC : (n,) at the plant inlet  [degC];  air_degC : [degC]
    Where no machine makes power the result is zero and the brine leaves as hot as it came.

    The brine never comes closer than the pinch to the working fluid, at any point of the exchanger, its cold end
    included: near the critical point the tight spot is not where the fluid begins to boil. The expansion keeps a quality
    of 0.98 all along, superheated where it takes that.
    """
    made = _candidates(table, terms, float(condensing(air_degC, terms)))
    heat = water_enthalpy(brine_degC)[:, None]
    with np.errstate(invalid="ignore", divide="ignore"):
        ratio = ((heat[:, :, None] - made.wanted) / made.gap).min(axis=2)
        ratio = np.minimum(ratio, (heat - water_enthalpy(terms.floor(brine_degC))[:, None]) / (made.top - made.cold))
    hot_end = table.temperature + made.superheat + terms.pinch_K <= np.asarray(brine_degC)[:, None]
    can = made.can & hot_end & (ratio > 0)
    ratio = np.where(can, ratio, 0.0)
    gross = ratio * made.work * terms.generator_efficiency
    pump, fans = ratio * made.pump, ratio * made.heat_out * terms.fan_share
    net = gross * (1 - terms.auxiliary_share) - pump - fans
    injection = temperature_of_enthalpy(heat - ratio * (made.top - made.cold))
    columns = {
        "evaporating": np.broadcast_to(table.temperature, net.shape),
        "superheat": np.broadcast_to(made.superheat, net.shape),
        "injection": injection,
        "fluid_ratio": ratio,
        "heat_in": ratio * (made.top - made.cold),
        "heat_out": ratio * made.heat_out,
        "turbine": ratio * made.work,
        "gross": gross,
        "pump": pump,
        "fans": fans,
        "auxiliaries": gross * terms.auxiliary_share,
        "net": net,
    }
    pick = _best(net, injection) if terms.evaporating_degC is None else _fixed(table, terms.evaporating_degC, net)
    chosen = {name: (np.nan_to_num(values) * pick).sum(axis=1) for name, values in columns.items()}
    nothing = chosen["net"] <= 0
    idle = {name: np.where(nothing, 0.0, values) for name, values in chosen.items()}
    return Cycle(**(idle | {"injection": np.where(nothing, brine_degC, chosen["injection"])}))


def _best(net: Floats, injection: Floats) -> Floats:
    """Weight 1 on the machine taken for each brine: hottest injection among those within a hair of the best power."""
    best = net.max(axis=1, keepdims=True)
    close = net >= best - SAME_POWER * np.abs(best)
    taken = np.where(close, injection, -FAR).argmax(axis=1)
    return np.asarray(np.eye(net.shape[1])[taken])


def _fixed(table: FluidTable, evaporating: float, net: Floats) -> Floats:
    """Weights of the two tabulated evaporations around a stated one."""
    weights = np.zeros(net.shape[1])
    at = int(np.clip(np.searchsorted(table.temperature, evaporating), 1, net.shape[1] - 1))
    low, high = table.temperature[at - 1], table.temperature[at]
    weights[at] = np.clip((evaporating - low) / (high - low), 0.0, 1.0)
    weights[at - 1] = 1 - weights[at]
    return np.broadcast_to(weights, net.shape)


def dry_evaporations(table: FluidTable, terms: CycleTerms, air_degC: float) -> Floats:  # noqa: N803
    """Evaporating temperatures from which the expansion stays dry, at one air temperature, (n,)  [degC]."""
    dry: Floats = table.temperature[_candidates(table, terms, float(condensing(air_degC, terms))).can]
    return dry


def _candidates(table: FluidTable, terms: CycleTerms, cold_degC: float) -> _Candidates:  # noqa: N803
    """What each evaporation gives at a condensing temperature, with the least superheat that keeps the expansion dry."""
    grid = table.temperature
    at = int(np.clip(np.searchsorted(grid, cold_degC) - 1, 0, len(grid) - 2))
    share = (cold_degC - grid[at]) / (grid[at + 1] - grid[at])

    def here(values: Floats) -> Floats:
        """Values along the temperature grid (the last axis) at the condensing temperature."""
        return np.asarray(values[..., at] * (1 - share) + values[..., at + 1] * share)

    pressure = float(np.exp(here(np.log(table.pressure))))
    liquid, volume = float(here(table.liquid)), float(here(table.volume))
    dry = _driest(table, terms)[:, :, at] >= DRIEST_LOSS
    superheat = dry.argmax(axis=1)
    rows = np.arange(len(grid))
    top = table.top[rows, superheat]
    work = terms.turbine_efficiency * (top - here(table.outlet)[rows, superheat])
    pump = volume * (table.pressure - pressure) * KJ_PER_BAR_M3 / terms.pump_efficiency
    cold = liquid + pump
    inside = (cold_degC >= grid[0]) & (grid > cold_degC + terms.pinch_K) & np.isfinite(work)
    cold_end = _cold_end(table, cold, at)
    gap, wanted = _exchange(table, top, superheat, cold, cold_end, terms.pinch_K)
    can = dry.any(axis=1) & inside
    top, work, cold = (np.where(can, values, fill) for values, fill in ((top, 1.0), (work, 0.0), (cold, 0.0)))
    return _Candidates(can, top, SUPERHEATS[superheat], work, cold, pump, top - work - liquid, gap, wanted)


def _driest(table: FluidTable, terms: CycleTerms) -> Floats:
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
    grid = table.temperature
    on_the_way = (grid[None, :] > np.nan_to_num(cold_end, nan=np.inf)[:, None]) & (grid[None, :] <= grid[:, None])
    gap = np.where(on_the_way, top[:, None] - table.along, 1.0)
    wanted = np.where(on_the_way, _brine_heat(grid + pinch)[None, :], -FAR)
    dew_gap = np.where(SUPERHEATS[superheat] > 0, top - table.vapour, 1.0)
    dew_wanted = np.where(SUPERHEATS[superheat] > 0, _brine_heat(grid + pinch), -FAR)
    end = _brine_heat(np.nan_to_num(cold_end) + pinch)
    return (
        np.column_stack([gap, dew_gap, top - cold]),
        np.column_stack([wanted, dew_wanted, end]),
    )


def _brine_heat(temperature: Floats) -> Floats:
    """Enthalpy of brine at a temperature, water on its saturation line; ice and steam do not come up."""
    return water_enthalpy(np.clip(temperature, 0.0, 365.0))

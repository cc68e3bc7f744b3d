"""Wet cooling: the wet bulb of air, and a tower that cools water toward it, with its power and the water it takes."""

from dataclasses import dataclass
from typing import Any

import numpy as np

from geoecon.arrays import Floats
from geoecon.resource.water import saturation_pressure

VAPOUR_OVER_AIR = 0.621945  # molar mass of water over that of dry air
LATENT_KJ_KG, VAPOUR_HEAT, LIQUID_HEAT, AIR_HEAT = 2501.0, 1.86, 4.186, 1.006  # at 0 degC; [kJ/kg/K]
NEWTON_STEPS = 8  # from the dry bulb; from 50 degC and 5 % the last moves less than 1e-9 K
EVAPORATED_PER_K = 0.00153  # of the circulating water; rule of handbooks, 0.00085 for each degF of range (recalled)
DRIFT = 2e-5  # of the circulating water, carried off as droplets; common practice (recalled)
GRAVITY = 9.81


def wet_bulb(air_degC: Floats | float, relative_humidity: Floats | float, pressure_bar: Floats | float) -> Floats:
    """Thermodynamic wet-bulb temperature of moist air; where it is below freezing, 0 degC.

    air_degC : any shape, -60 to 60, dry bulb  [degC];  relative_humidity : the same, above 0 to 1
    pressure_bar : the same, of the air  [bar absolute];  returns  [degC]
    A tower's water is kept from freezing, so that air colder than that serves it no better.
    Source: energy balance of adiabatic saturation with air and vapour as ideal gases, as in the ASHRAE Handbook of
    Fundamentals, chapter on psychrometrics (recalled); within 0.1 K of real moist air between 0 and 50 degC at the
    pressures of 0 to 2,000 m, which a test compares.

    >>> float(wet_bulb(20.0, 0.5, 1.01325).round(1))
    13.8
    """
    air, humidity, pressure = np.broadcast_arrays(air_degC, relative_humidity, pressure_bar)
    above = np.clip(air, 0.0, None)  # colder air ends at 0 degC whatever it holds
    held = _mixing_ratio(humidity * saturation_pressure(above), pressure)
    wet = above
    for _ in range(NEWTON_STEPS):
        saturated = saturation_pressure(wet)
        full = _mixing_ratio(saturated, pressure)
        off = (
            full * (LATENT_KJ_KG + (VAPOUR_HEAT - LIQUID_HEAT) * wet) - AIR_HEAT * (above - wet)
            - held * (LATENT_KJ_KG + VAPOUR_HEAT * above - LIQUID_HEAT * wet)
        )  # fmt: skip
        slope = full * pressure / (pressure - saturated) * _relative_slope(wet) * LATENT_KJ_KG + AIR_HEAT
        wet = np.clip(wet - off / slope, 0.0, above)
    return np.asarray(wet)


def humidity_at(air_degC: Floats, mean_degC: Floats | float, mean_humidity: Floats | float) -> Floats:
    """Relative humidity of warmer or colder hours of a month, whose air holds as much vapour as the month's mean.

    Any shape; temperatures [degC], humidities as shares, at most 1 (then dew has formed).

    >>> humidity_at(np.array([10.0, 25.0]), 15.0, 0.6).round(2)
    array([0.83, 0.32])
    """
    mean, air = np.clip(mean_degC, 0.0, None), np.clip(air_degC, 0.0, None)
    return np.minimum(mean_humidity * saturation_pressure(mean) / saturation_pressure(air), 1.0)


def _mixing_ratio(vapour_bar: Floats, pressure_bar: Floats) -> Floats:
    """Vapour for each kg of dry air  [kg/kg]."""
    return VAPOUR_OVER_AIR * vapour_bar / (pressure_bar - vapour_bar)


def _relative_slope(degC: Floats) -> Floats:
    """Growth of the saturation pressure for each kelvin, by Magnus' form; it steers a search only  [1/K]."""
    return np.asarray(17.625 * 243.04 / (degC + 243.04) ** 2)


@dataclass(frozen=True)
class Tower:
    """A wet cooling tower and the condenser that it serves. Differences in kelvin, shares and efficiency as fractions.

    approach_K : cold water above the wet bulb;  range_K : by which water warms in the condenser
    terminal_K : condensation above the water as it leaves the condenser
    fan_share : fan power over heat rejected;  head_m, pump_efficiency : of the circulating pump
    cycles : dissolved matter of the circulating water over that of the make-up, above 1
    """

    approach_K: float
    range_K: float
    terminal_K: float
    fan_share: float
    head_m: float
    pump_efficiency: float
    cycles: float

    @property
    def above_wet_bulb(self) -> float:
        """Condensing temperature above the wet bulb  [K]."""
        return self.approach_K + self.range_K + self.terminal_K

    @property
    def circulating(self) -> float:
        """Water through the condenser for each kW of heat  [kg/s]."""
        return 1 / (LIQUID_HEAT * self.range_K)

    @property
    def power_share(self) -> float:
        """Fans and circulating pump over heat rejected."""
        pumped_kw = self.circulating * GRAVITY * self.head_m / self.pump_efficiency / 1e3
        return self.fan_share + pumped_kw

    @property
    def evaporated(self) -> float:
        """Water that evaporates for each kW of heat  [kg/s]."""
        return EVAPORATED_PER_K * self.range_K * self.circulating

    @property
    def blown_down(self) -> float:
        """Water let out for each kW of heat so that what is dissolved stays at its limit, less drift  [kg/s]."""
        return max(self.evaporated / (self.cycles - 1) - DRIFT * self.circulating, 0.0)

    @property
    def makeup(self) -> float:
        """Water that has to be supplied for each kW of heat  [kg/s]."""
        return self.evaporated + self.blown_down + DRIFT * self.circulating


@dataclass(frozen=True)
class WaterUse:
    """Make-up water: for each MWh of unit net at the design point, (scenario,) [m3/MWh]; (year, scenario) [m3]."""

    per_net_mwh: Floats
    by_year: Floats

    def as_json(self) -> dict[str, Any]:
        """Of the first scenario."""
        return {
            "makeup_m3_per_mwh": float(self.per_net_mwh[0]),
            "makeup_m3_by_operating_year": [float(value) for value in self.by_year[:, 0]],
        }

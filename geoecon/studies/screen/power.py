"""How much power the heat could give: by stored heat, by what fields give for their area, and by one well."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from geoecon.arrays import Bools, Floats
from geoecon.case.uncertainty import Z90
from geoecon.resource.stored_heat import (
    density_range,
    heat_in_place,
    stored_heat_power,
    utilization_at,
    work_per_heat,
)
from geoecon.resource.water import water_enthalpy
from geoecon.studies.draws import streams
from geoecon.studies.screen.known import Drawn
from geoecon.tables import row

METHODS = ("stored heat", "power density")
HOTTEST_LIQUID = 350.0


@dataclass(frozen=True)
class Power:
    """Power over the draws, (draw,), for the life of an assessment; gross by stored heat and of a well, net by area  [MW].

    heat : of the rock and water above the air's temperature  [EJ];  enough : whether it is hot enough for any plant
    stored, density : by the two methods, 0 where it is too cool;  either : each draw takes one of them
    one_well : what the flow of one producer gives;  floor : least temperature for power  [degC]
    """

    heat: Floats
    enough: Bools
    stored: Floats
    density: Floats
    either: Floats
    one_well: Floats
    floor: float
    years: float


def limit(name: str) -> float:
    """A limit of tables/site_limits.csv."""
    return float(row("site_limits", limit=name)["value"])


def least_temperature(air_degC: float) -> float:
    """Coolest reservoir that is counted as one for power, lower where the air is cold  [degC]."""
    return limit("least_temperature_cold" if air_degC < limit("cold_place") else "least_temperature")


def power(drawn: Mapping[str, Drawn], temperature: Floats, seed: int) -> Power:
    """Power of a site whose reservoir has a temperature, (draw,)."""
    chances = streams(seed, ["power: method", "power: density"], temperature.size, "latin")
    air = np.clip(drawn["place.air_temperature"].values, 0.0, None)
    hot = np.clip(temperature, air + 1.0, HOTTEST_LIQUID)
    floor, years = least_temperature(drawn["place.air_temperature"].quantile(0.5)), limit("life")
    enough = temperature >= floor
    volume = drawn["reservoir.area"].values * drawn["reservoir.thickness"].values / 1e3
    heat = heat_in_place(volume, temperature, air, drawn["heat.capacity"].values)
    recovery = drawn.get("heat.recovery", drawn.get("heat.recovery_tested"))
    assert recovery is not None
    share = utilization_at(hot, drawn["heat.utilization"].values)
    stored = np.where(enough, stored_heat_power(heat, hot, air, recovery.values, share, years), 0.0)
    density = np.where(enough, _density(hot, chances["power: density"]) * drawn["reservoir.area"].values, 0.0)
    either = np.where(chances["power: method"] < 0.5, stored, density)
    work = (water_enthalpy(hot) - water_enthalpy(air)) * work_per_heat(hot, air) * share
    one_well = np.where(enough, drawn["flow_test.flow"].values * work / 1e3, 0.0)
    known = np.where(np.isnan(temperature), np.nan, 1.0)  # a draw without a temperature has no power, which is not zero
    return Power(
        heat, enough, stored * known, density * known, either * known, one_well * known, floor, years
    )  # fmt: skip


def _density(temperature: Floats, chance: Floats) -> Floats:
    """Power by area, lognormal between the ends of the table  [MW/km2]."""
    from scipy.special import ndtri

    low, high = density_range(temperature)
    return np.asarray(np.sqrt(low * high) * np.exp(ndtri(chance) * np.log(high / low) / (2 * Z90)))

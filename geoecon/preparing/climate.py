"""The air of a site and what cools a plant in it, from a case."""

from functools import lru_cache

import numpy as np

from geoecon.arrays import Floats, column, narrow
from geoecon.case import Case
from geoecon.case.plant_checks import cooled_by
from geoecon.energy import MONTH_HOURS, hours_mean
from geoecon.plant.cooling import Tower, humidity_at, wet_bulb
from geoecon.plant.weather import EVEN, Weather, daily_swing, hourly_weather
from geoecon.preparing.basics import wide
from geoecon.preparing.files import beside
from geoecon.resource.water import air_pressure

LARGEST_WEATHER = 5_000_000  # bytes


def mean_air(case: Case) -> Floats:
    """Air over the year, (scenario,)  [degC]; the design air where no climate is stated."""
    known = weather(case)
    return (
        design_air(case) if known is None else wide(case, hours_mean(known.monthly) + case.site.air_temperature_offset)
    )


def weather(case: Case) -> Weather | None:
    """The air of the months and its spread within each; None where no climate is stated.

    Raises `CaseError` where a weather file cannot be read.
    """
    site = case.site
    if site.weather_file is not None:
        return beside(case, "site.weather_file", site.weather_file, _hourly_weather, LARGEST_WEATHER)
    if site.air_temperature is None:
        return None
    swing = float(site.daily_swing[0])
    return Weather(site.air_temperature, daily_swing(swing) if swing else EVEN)


@lru_cache(maxsize=8)
def _hourly_weather(text: str) -> Weather:
    return hourly_weather(text)


def design_air(case: Case) -> Floats:
    """Air at the design point, (scenario,)  [degC]; the annual mean unless stated, NaN where nothing is known."""
    stated = case.plant.design_air_temperature
    if stated is not None:
        return wide(case, stated)
    known = weather(case)
    return wide(case, np.nan if known is None else hours_mean(known.monthly))


def air_above_design(case: Case) -> Floats:
    """Air of equal parts of each month above the air that the output is stated at, (month, part, scenario)  [K].

    Stated monthly outputs hold the climate already; then only the offset counts.
    """
    offset = wide(case, case.site.air_temperature_offset)
    known = weather(case)
    if case.plant.stated_output is not None or case.plant.stated_capacity_factor is not None or known is None:
        return np.tile(offset, (len(MONTH_HOURS), 1, 1))
    parts = np.array(known.monthly)[:, None] + known.spread
    return np.asarray(parts[:, :, None] + offset - design_air(case))


def monthly_air(case: Case) -> Floats:
    """Mean air of each month, (month, scenario)  [degC]; the design air where no climate is stated."""
    known, offset = weather(case), wide(case, case.site.air_temperature_offset)
    return (
        np.tile(design_air(case) + offset, (len(MONTH_HOURS), 1)) if known is None else column(known.monthly) + offset
    )


def air_in_parts(case: Case) -> Floats:
    """Air in equal parts of each month, (month, part, scenario)  [degC]."""
    known = weather(case)
    spread = EVEN if known is None else known.spread
    return np.asarray(monthly_air(case)[:, None, :] + spread[:, :, None])


def tower(case: Case) -> Tower | None:
    """The wet cooling tower of a plant, None where air cools it."""
    plant = case.plant
    if cooled_by(plant) != "wet":
        return None
    parts = (
        plant.tower_approach, plant.tower_range, plant.tower_terminal_difference, plant.tower_fan_power,
        plant.tower_pump_head, plant.tower_pump_efficiency, plant.tower_cycles,
    )  # fmt: skip
    return Tower(*(float(part[0]) for part in parts))


def design_sink(case: Case) -> Floats:
    """What the plant is cooled by at the design point, (scenario,)  [degC]: the air, or its wet bulb."""
    humidity = case.site.relative_humidity
    if cooled_by(case.plant) != "wet" or humidity is None:
        return design_air(case)
    return _wet_bulb(case, design_air(case), np.asarray(hours_mean(humidity)))


def sink_in_parts(case: Case) -> Floats:
    """What the plant is cooled by in equal parts of each month, (month, part, scenario)  [degC]."""
    air, humidity = air_in_parts(case), case.site.relative_humidity
    if cooled_by(case.plant) != "wet" or humidity is None:
        return air
    through_the_day = humidity_at(air, monthly_air(case)[:, None, :], column(humidity)[:, None])
    return _wet_bulb(case, air, through_the_day)


def monthly_sink(case: Case) -> Floats:
    """What the plant is cooled by at the mean air of each month, (month, scenario)  [degC]."""
    air, humidity = monthly_air(case), case.site.relative_humidity
    if cooled_by(case.plant) != "wet" or humidity is None:
        return air
    return _wet_bulb(case, air, column(humidity))


def _wet_bulb(case: Case, air: Floats, humidity: Floats) -> Floats:
    """Wet bulb at the height of the site, of the shape of the air; worked out once where all scenarios have the same."""
    pressure = air_pressure(case.site.elevation)
    return np.broadcast_to(wet_bulb(*narrow(np.stack(np.broadcast_arrays(air, humidity, pressure)))), air.shape)

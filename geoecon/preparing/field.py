"""The brine of a case on its way from the field to the plant: temperature, pressure, flow, and the wells it takes."""

import numpy as np

from geoecon.arrays import Bools, Floats
from geoecon.case import Case
from geoecon.case.fields import Stated
from geoecon.finance.solve import rising_root
from geoecon.preparing.basics import wide
from geoecon.preparing.climate import mean_air
from geoecon.resource.water import HOTTEST_DEGC, air_pressure, saturation_pressure, water_density, water_enthalpy
from geoecon.tables import row
from geoecon.wells.heat_loss import bore_drop, bore_time, pipe_conductance, pipe_drop, time_function
from geoecon.wells.pumping import GRAVITY, PASCAL, Pumping
from geoecon.wells.success import Success, success_by_well

WELLHEAD_MARGIN_BAR = 1.5
BORE_YEARS = 1.0  # of flow, after which what a bore loses stands for every year
OUTSIDE_FILM = 10.0  # W/m2/K from a lagged pipe to air, wind and radiation together; common practice
COOLED_K = 10.0


def mass_flow(case: Case, stated: Stated | None) -> Floats:
    """A flow as mass, (scenario,)  [kg/s]; a volume is that of hot water at the temperature it was stated at."""
    if stated is None:
        return wide(case, np.nan)
    by_volume = stated.kind.startswith("volume")
    return wide(case, stated.values * (water_density(stated.at_degC or 0.0) if by_volume else 1.0))


def absolute_pressure(case: Case, stated: Stated) -> Floats:
    """A pressure from absolute zero, (scenario,)  [bar]; a gauge reads from the air at the site's elevation."""
    gauge = stated.kind == "gauge pressure"
    return wide(case, stated.values + (air_pressure(case.site.elevation) if gauge else 0.0))


def inlet_temperature(case: Case) -> Floats:
    """Brine at the plant's inlet at the start of operating year 1, (scenario,)  [degC]; NaN where not stated."""
    return wellhead_temperature(case) - line_loss(case)


def wellhead_temperature(case: Case) -> Floats:
    """Brine at a producer's wellhead at the start of operating year 1, (scenario,)  [degC]; NaN where not stated."""
    lost = bore_loss(case) if case.wells.bore_heat_loss == "ramey" else case.wells.temperature_loss
    return wide(case, case.resource.temperature, np.nan) - lost


def bore_loss(case: Case) -> Floats:
    """What brine loses in the bore of a new producer by conduction into rock, (scenario,)  [K]."""
    resource, hot = case.resource, wide(case, case.resource.temperature)
    rock = wide(case, resource.rock_density * resource.rock_heat_capacity)
    conductivity = wide(case, resource.rock_conductivity)
    time = bore_time(BORE_YEARS, conductivity, rock, case.wells.bore_diameter / 2)
    return bore_drop(
        mass_flow(case, case.wells.flow_per_producer), _heat_of_water(hot), wide(case, case.wells.depth),
        hot - mean_air(case), conductivity, time_function(time),
    )  # fmt: skip


def line_loss(case: Case) -> Floats | float:
    """What brine loses in the insulated line from a wellhead to the plant, (scenario,)  [K]; nothing where none is stated."""
    if case.wells.pipe_length is None:
        return 0.0
    hot, length = wellhead_temperature(case), wide(case, case.wells.pipe_length)
    return pipe_drop(hot - mean_air(case), line_conductance(case), length, producer_flow(case), _heat_of_water(hot))


def line_conductance(case: Case) -> Floats:
    """Heat that a metre of the line from a wellhead lets out for each kelvin above the air, (scenario,)  [W/m/K].

    Its insulation and the air outside hold heat back; the steel and the water at its wall hold next to nothing.
    """
    wells = case.wells
    inner = wide(case, wells.bore_diameter if wells.pipe_bore is None else wells.pipe_bore) / 2
    return pipe_conductance(
        (inner, inner + wells.pipe_insulation), (wide(case, wells.insulation_conductivity),), np.inf, OUTSIDE_FILM
    )


def _heat_of_water(hot: Floats) -> Floats:
    """Heat capacity of water a little below a temperature, where it loses heat on its way, (scenario,)  [J/kg/K]."""
    hot = np.minimum(hot, HOTTEST_DEGC)
    return np.asarray((water_enthalpy(hot) - water_enthalpy(hot - COOLED_K)) / COOLED_K * 1e3)


def pumping(case: Case) -> Pumping:
    """The wells of a case as pumps see them. Needs depth and productivity index."""
    wells = case.wells
    hot = wellhead_temperature(case)
    index = mass_flow(case, wells.productivity_index)
    stated = wells.wellhead_pressure
    boiling = saturation_pressure(hot) + WELLHEAD_MARGIN_BAR
    deep = wells.vertical_depth if wells.vertical_depth is not None else wells.depth
    air = wide(case, air_pressure(case.site.elevation))
    return Pumping(
        productivity=index,
        injectivity=index if wells.injectivity_index is None else mass_flow(case, wells.injectivity_index),
        static_m=_static_level(case, hot, air),
        depth_m=wide(case, deep, np.nan),
        bore_m=wide(case, wells.bore_diameter),
        temperature=hot,
        wellhead_bar=boiling if stated is None else absolute_pressure(case, stated),
        air_bar=air,
        plant_drop_bar=wide(case, case.plant.brine_pressure_drop),
        efficiency=wide(case, wells.pump_efficiency),
        margin_bar=wide(case, wells.intake_margin),
        pumped=wells.pump != "none",
    )


def _static_level(case: Case, hot: Floats, air_bar: Floats) -> Floats:
    """Water of a shut well below the wellhead, (scenario,)  [m]; above it, so negative, where it stands under pressure."""
    if case.wells.shut_in_pressure is None:
        return wide(case, case.wells.static_level)
    above = absolute_pressure(case, case.wells.shut_in_pressure) - air_bar
    return -above / (water_density(hot) * GRAVITY / PASCAL)


def flow_is_worked_out(case: Case) -> bool:
    """Whether the flow of a producer is not stated, and follows from what a well that is not pumped gives by itself."""
    wells = case.wells
    needed = (wells.shut_in_pressure, wells.productivity_index, wells.depth, case.resource.temperature)
    return wells.pump == "none" and wells.flow_per_producer is None and all(value is not None for value in needed)


def counts_wells(case: Case) -> bool:
    """Whether the flow of a producer is known, without which no new well is counted."""
    return case.wells.flow_per_producer is not None or flow_is_worked_out(case)


def drilling_success(case: Case) -> Success:
    """Chance of success of every well drilled before year 1, in the order of drilling; wells that exist have taught."""
    wells = case.wells
    return success_by_well(
        wide(case, wells.success), None if wells.success_first is None else wide(case, wells.success_first),
        learning_wells(case), wide(case, wells.success_exploration, published_success("exploration") / 100),
        wells.exploration_wells, wells.existing_producers + wells.existing_injectors,
    )  # fmt: skip


def learning_wells(case: Case) -> int:
    """Development wells over which the chance of success rises, as stated or as published."""
    stated = case.wells.learning_wells
    return round(published_success("learning")) if stated is None else stated


def published_success(key: str) -> float:
    """A figure of the table of drilling success, in the unit that it has there."""
    return float(row("drilling_success", key=key)["value"])


def producer_flow(case: Case) -> Floats:
    """Flow of one new producer, stated or worked out, (scenario,)  [kg/s]; NaN where there is none."""
    return own_flow(pumping(case)) if flow_is_worked_out(case) else mass_flow(case, case.wells.flow_per_producer)


def own_flow(pumps: Pumping) -> Floats:
    """What a producer gives without a pump, as a column of liquid, (scenario,)  [kg/s]; NaN where it boils or does not flow."""
    spare = -pumps.missing_bar(np.zeros_like(pumps.productivity))
    most = pumps.productivity * np.maximum(spare, 1e-9)
    flow, _ = rising_root(pumps.missing_bar, np.zeros_like(most), most, np.maximum(spare, 1e-9), (most / 2, most))
    return np.where((spare > 0) & ~boils(pumps), flow, np.nan)


def boils(pumps: Pumping) -> Bools:
    """Where the water turns to steam before the wellhead, (scenario,)."""
    return np.asarray(pumps.wellhead_bar < saturation_pressure(pumps.temperature))

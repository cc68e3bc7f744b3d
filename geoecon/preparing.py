"""From a case to plain numbers of site, field and plant: what needs more than one field.

Here and in `terms`, `sizing` and `purchasing` the names of the case meet the arguments of the formulas.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import TypeVar

import numpy as np

from geoecon.arrays import Bools, Floats, column, narrow
from geoecon.case import Case
from geoecon.case.fields import Stated
from geoecon.case.plant_checks import cooled_by
from geoecon.energy import MONTH_HOURS, Running, hours_mean
from geoecon.errors import CaseError, Fault, TableFileError
from geoecon.finance.rates import price_index
from geoecon.finance.solve import rising_root
from geoecon.plant.binary import CycleTerms
from geoecon.plant.built import Keeping
from geoecon.plant.chosen import ChosenMap, ChosenPlant
from geoecon.plant.cooling import Tower, humidity_at, wet_bulb
from geoecon.plant.designed import BuiltMap, BuiltPlant
from geoecon.plant.flash import SteamPlant
from geoecon.plant.fluids import BEST, below_critical, fluid_names
from geoecon.plant.mapped import BinaryPlant, VendorPlant
from geoecon.plant.maps import PerformanceMap, vendor_map
from geoecon.plant.weather import EVEN, Weather, daily_swing, hourly_weather
from geoecon.resource.silica import amorphous_silica_temperature
from geoecon.resource.water import HOTTEST_DEGC, air_pressure, saturation_pressure, water_density, water_enthalpy
from geoecon.tables import row
from geoecon.wells.heat_loss import bore_drop, bore_time, pipe_conductance, pipe_drop, time_function
from geoecon.wells.pumping import GRAVITY, PASCAL, Pumping
from geoecon.wells.success import Success, success_by_well

T = TypeVar("T")
MappedPlant = BinaryPlant | BuiltPlant | ChosenPlant | VendorPlant | SteamPlant
PlantMap = PerformanceMap | BuiltMap | ChosenMap | SteamPlant
LARGEST_TABLE, LARGEST_WEATHER = 1_000_000, 5_000_000
WELLHEAD_MARGIN_BAR = 1.5
RECUPERATOR_K = 8.0
BORE_YEARS = 1.0  # of flow, after which what a bore loses stands for every year
OUTSIDE_FILM = 10.0  # W/m2/K from a lagged pipe to air, wind and radiation together; common practice
COOLED_K = 10.0


@dataclass(frozen=True)
class Calendar:
    """The years of a case. first : row of operating year 1; the rest (year, 1), build years first."""

    first: int
    operating_years: int
    years: Floats
    calendar_years: Floats
    times: Floats


def wide(case: Case, values: Floats | float | None, absent: float = 0.0) -> Floats:
    """Values for every scenario of the case, (scenario,)."""
    found = np.empty(case.scenarios)
    found[:] = absent if values is None else values
    return found


def calendar(case: Case) -> Calendar:
    """The rows of the case in time; build years that spend in the middle stand half a year earlier."""
    time = case.timeline
    years = column(np.arange(-time.build_years + 1, time.operating_years + 1))
    shift = 0.5 if time.spending_time == "middle" else 0.0
    return Calendar(
        time.build_years,
        time.operating_years,
        years,
        years + time.first_year - 1,
        np.where(years <= 0, years - shift, years),
    )


def index_of(case: Case, when: Calendar) -> Floats:
    """Price level of each year over that of the price year, (year, scenario)."""
    return price_index(wide(case, case.money.inflation), when.calendar_years, case.money.price_year)


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


def mean_air(case: Case) -> Floats:
    """Air over the year, (scenario,)  [degC]; the design air where no climate is stated."""
    known = weather(case)
    return (
        design_air(case) if known is None else wide(case, hours_mean(known.monthly) + case.site.air_temperature_offset)
    )


def is_mapped(case: Case) -> bool:
    """Whether the plant is known by what it makes of brine and air at any temperature, worked out or from a vendor."""
    return case.plant.kind != "stated" or case.plant.performance is not None


def in_map(case: Case, plant: MappedPlant, brine: Floats, life: Floats) -> Floats:
    """Brine temperatures with NaN in every scenario where the plant's map does not reach over life and climate.

    life : (n, scenario) brine of the years  [degC]
    """
    return np.where(beyond_map(case, plant, life), np.nan, brine)


def beyond_map(case: Case, plant: MappedPlant, life: Floats) -> Bools:
    """Scenarios whose brine over the life, (n, scenario), or climate, the plant's map does not reach, (scenario,)."""
    sink = np.vstack([*sink_in_parts(case), design_sink(case)])
    ends = _ends(case, life)
    covered = [plant.covers(brine, at) for brine in ends for at in (sink.min(axis=0), sink.max(axis=0))]
    beyond: Bools = ~np.logical_and.reduce(covered)
    return beyond


def _ends(case: Case, life: Floats) -> Floats:
    """Brine at the start, at its coolest and at its hottest, (3, scenario)  [degC]."""
    return np.vstack([inlet_temperature(case), life.min(axis=0), life.max(axis=0)])


def plant_map(case: Case, plant: MappedPlant, inlet: Floats, life: Floats) -> PlantMap:
    """The map of a plant over the life, (n, scenario), and the climate of a case and a design inlet: one for a whole pass."""
    brine = in_map(case, plant, _ends(case, life), life)
    sink = np.vstack([*sink_in_parts(case), design_sink(case)])
    return plant.over(np.vstack(np.broadcast_arrays(*brine, inlet)), sink)


def beside(case: Case, path: str, name: str, read: Callable[[str], T], largest: int = LARGEST_TABLE) -> T:
    """What a file that stands beside a case holds.

    path : of the field that names it;  read : from its text; may raise `TableFileError`
    Raises `CaseError` where the file is missing, too large, no UTF-8 text, or cannot be read.
    """
    file = Path(case.source).parent / name
    try:
        about = file.stat()
        if about.st_size > largest:
            raise TableFileError(f"holds {about.st_size:,} bytes; a table has at most {largest:,}")
        return read(_text_of(file, about.st_mtime))
    except OSError as error:
        words = error.strerror or str(error)
    except UnicodeDecodeError:
        words = "is not UTF-8 text"
    except TableFileError as error:
        words = str(error)
    raise CaseError([Fault(path, f"{name}: {words}", case.line(path))], case.source)


@lru_cache(maxsize=8)
def _text_of(file: Path, changed: float) -> str:
    return file.read_text(encoding="utf-8")


@lru_cache(maxsize=8)
def _vendor_plant(text: str) -> VendorPlant:
    return VendorPlant(vendor_map(text))


def mapped_plant(case: Case) -> BinaryPlant | VendorPlant:
    """The plant of a case that is known by its map, the first of those with each fluid where the best is looked for."""
    return mapped_plants(case)[0]


def mapped_plants(case: Case) -> tuple[BinaryPlant | VendorPlant, ...]:
    """The plants of a case that are known by maps: with the best fluid one of each fluid, otherwise one.

    Raises `CaseError` where a vendor's table cannot be read.
    """
    plant = case.plant
    if plant.performance is not None:
        return (beside(case, "plant.performance", plant.performance, _vendor_plant),)
    terms = cycle_terms(case)
    return tuple(BinaryPlant(fluid, terms) for fluid in fluids_tried(case))


def fluids_tried(case: Case) -> tuple[str, ...]:
    """The working fluids that a binary plant is worked out with, all where none boils at a stated evaporation."""
    plant = case.plant
    if plant.fluid != BEST:
        return (plant.fluid or "",)
    stated = plant.evaporating_temperature
    return below_critical(None if stated is None else float(stated[0])) or fluid_names()


def cycle_terms(case: Case) -> CycleTerms:
    """Parts of the binary plant of a case."""
    plant = case.plant
    silica, wet = case.resource.silica, tower(case)
    return CycleTerms(
        turbine_efficiency=float(plant.turbine_efficiency[0]),
        pump_efficiency=float(plant.feed_pump_efficiency[0]),
        generator_efficiency=float(plant.generator_efficiency[0]),
        pinch_K=float(plant.pinch[0]),
        approach_K=wet.above_wet_bulb if wet else float(plant.condenser_approach[0]),
        fan_share=wet.power_share if wet else float(plant.fan_power[0]),
        auxiliary_share=float(plant.auxiliary_power[0]),
        floor_degC=None if plant.injection_temperature_floor is None else float(plant.injection_temperature_floor[0]),
        evaporating_degC=None if plant.evaporating_temperature is None else float(plant.evaporating_temperature[0]),
        quartz=plant.kind == "binary" and silica is None and plant.injection_temperature_floor is None,
        silica_degC=0.0 if silica is None else float(amorphous_silica_temperature(silica)[0]),
        layout=plant.layout,
        recuperator_K=_recuperator(case),
    )


def _recuperator(case: Case) -> float | None:
    """Least difference in the recuperator, None where there is none  [K]."""
    stated = case.plant.recuperator_pinch
    if stated is not None:
        return float(stated[0])
    return RECUPERATOR_K if case.plant.layout == "recuperated" else None


def as_built(case: Case, plant: BinaryPlant | VendorPlant | SteamPlant, inlet: Floats) -> MappedPlant:
    """The plant that is ordered for a brine at the inlet, (scenario,), and the design air; others than binary are already."""
    return built_binary(case, plant, inlet) if isinstance(plant, BinaryPlant) else plant


def built_binary(case: Case, plant: BinaryPlant, inlet: Floats) -> BinaryPlant | BuiltPlant:
    """The binary plant that is ordered for a brine at its inlet, (scenario,), and the design air.

    Only the basic layout, cooled by air, is worked out as built; the others are the best at every temperature.
    """
    stated = case.plant
    if stated.off_design != "built" or stated.layout != "basic" or cooled_by(stated) != "air":
        return plant
    least, most = stated.least_condensing_pressure, stated.generator_limit
    keeping = Keeping(
        stated.fan_speed == "variable",
        None if least is None else float(absolute_pressure(case, least)[0]),
        None if most is None else float(most[0]),
    )
    return BuiltPlant(plant, keeping, inlet, design_air(case))


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


def late(case: Case) -> Floats | None:
    """How late the unit starts, (scenario,)  [yr]; None where it starts in time in every scenario."""
    return wide(case, case.timeline.delay) if (case.timeline.delay > 0).any() else None


def running(case: Case, net_kw: Floats) -> Running:
    """How a unit of a net capacity is run, what limits it and who takes its energy."""
    operation, plant, community = case.operation, case.plant, case.community
    limit = wide(case, net_kw) * plant.output_limit
    if plant.stated_capacity_factor is not None:
        limit = wide(case, np.inf)  # the factor holds every loss and limit already
    if case.site.export_limit is not None:
        limit = np.minimum(limit, case.site.export_limit)
    load = None
    if community.islanded and community.local_load is not None:
        load = column(community.local_load) * (1 - wide(case, community.standby_share))
    month = None if operation.planned_outage_month is None else operation.planned_outage_month - 1
    return Running(
        wide(case, operation.planned_outage), month, wide(case, operation.forced_outage), limit,
        wide(case, case.site.line_loss), load, late(case),
    )  # fmt: skip

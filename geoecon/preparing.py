"""From a case to plain numbers of site, field and plant: what needs more than one field.

Here and in `terms`, `sizing` and `purchasing` the names of the case meet the arguments of the formulas.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import TypeVar

import numpy as np

from geoecon.arrays import Bools, Floats, column
from geoecon.case import Case
from geoecon.case.fields import Stated
from geoecon.energy import MONTH_HOURS, Running, hours_mean
from geoecon.errors import CaseError, Fault, TableFileError
from geoecon.finance.rates import price_index
from geoecon.plant.binary import CycleTerms
from geoecon.plant.mapped import BinaryPlant, VendorPlant
from geoecon.plant.maps import PerformanceMap, vendor_map
from geoecon.resource.silica import amorphous_silica_temperature
from geoecon.resource.water import air_pressure, saturation_pressure, water_density
from geoecon.wells.pumping import Pumping

T = TypeVar("T")
LARGEST_TABLE = 1_000_000
LINESHAFT_M = 610.0  # deepest setting of a pump driven from the top that handbooks name
WELLHEAD_MARGIN_BAR = 1.5
RECUPERATOR_K = 8.0


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
    return wide(case, case.resource.temperature, np.nan) - case.wells.temperature_loss


def is_mapped(case: Case) -> bool:
    """Whether the plant is known by a map of brine and air temperature, worked out or a vendor's."""
    return case.plant.kind == "binary" or case.plant.performance is not None


def in_map(case: Case, plant: BinaryPlant | VendorPlant, brine: Floats, life: Floats) -> Floats:
    """Brine temperatures with NaN in every scenario where the plant's map does not reach over life and climate.

    life : (n, scenario) brine of the years  [degC]
    """
    return np.where(beyond_map(case, plant, life), np.nan, brine)


def beyond_map(case: Case, plant: BinaryPlant | VendorPlant, life: Floats) -> Bools:
    """Scenarios whose brine over the life, (n, scenario), or climate, the plant's map does not reach, (scenario,)."""
    air = np.vstack([monthly_air(case), design_air(case)])
    ends = _ends(case, life)
    covered = [plant.covers(brine, temperature) for brine in ends for temperature in (air.min(axis=0), air.max(axis=0))]
    beyond: Bools = ~np.logical_and.reduce(covered)
    return beyond


def _ends(case: Case, life: Floats) -> Floats:
    """Brine at the start, at its coolest and at its hottest, (3, scenario)  [degC]."""
    return np.vstack([inlet_temperature(case), life.min(axis=0), life.max(axis=0)])


def plant_map(case: Case, plant: BinaryPlant | VendorPlant, inlet: Floats, life: Floats) -> PerformanceMap:
    """The map of a plant over the life, (n, scenario), and the climate of a case and a design inlet: one for a whole pass."""
    brine = in_map(case, plant, _ends(case, life), life)
    air = np.vstack([monthly_air(case), design_air(case)])
    return plant.over(np.concatenate([brine.ravel(), inlet]), air.ravel())


def beside(case: Case, path: str, name: str, read: Callable[[str], T]) -> T:
    """What a file that stands beside a case holds.

    path : of the field that names it;  read : from its text; may raise `TableFileError`
    Raises `CaseError` where the file is missing, too large, no UTF-8 text, or cannot be read.
    """
    file = Path(case.source).parent / name
    try:
        about = file.stat()
        if about.st_size > LARGEST_TABLE:
            raise TableFileError(f"holds {about.st_size:,} bytes; a table has at most {LARGEST_TABLE:,}")
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
    """The plant of a case that is known by its map. Raises `CaseError` where a vendor's table cannot be read."""
    plant = case.plant
    if plant.performance is not None:
        return beside(case, "plant.performance", plant.performance, _vendor_plant)
    silica = case.resource.silica
    terms = CycleTerms(
        turbine_efficiency=float(plant.turbine_efficiency[0]),
        pump_efficiency=float(plant.feed_pump_efficiency[0]),
        generator_efficiency=float(plant.generator_efficiency[0]),
        pinch_K=float(plant.pinch[0]),
        approach_K=float(plant.condenser_approach[0]),
        fan_share=float(plant.fan_power[0]),
        auxiliary_share=float(plant.auxiliary_power[0]),
        floor_degC=None if plant.injection_temperature_floor is None else float(plant.injection_temperature_floor[0]),
        evaporating_degC=None if plant.evaporating_temperature is None else float(plant.evaporating_temperature[0]),
        silica_degC=0.0 if silica is None else float(amorphous_silica_temperature(silica)[0]),
        layout=plant.layout,
        recuperator_K=_recuperator(case),
    )
    return BinaryPlant(plant.fluid or "", terms)


def _recuperator(case: Case) -> float | None:
    """Least difference in the recuperator, None where there is none  [K]."""
    stated = case.plant.recuperator_pinch
    if stated is not None:
        return float(stated[0])
    return RECUPERATOR_K if case.plant.layout == "recuperated" else None


def pumping(case: Case) -> Pumping:
    """The wells of a case as pumps see them. Needs depth and productivity index."""
    wells = case.wells
    inlet = inlet_temperature(case)
    index = mass_flow(case, wells.productivity_index)
    stated = wells.wellhead_pressure
    boiling = saturation_pressure(inlet) + WELLHEAD_MARGIN_BAR
    deep = wells.vertical_depth if wells.vertical_depth is not None else wells.depth
    return Pumping(
        productivity=index,
        injectivity=index if wells.injectivity_index is None else mass_flow(case, wells.injectivity_index),
        static_m=wide(case, wells.static_level),
        depth_m=wide(case, deep, np.nan),
        bore_m=wide(case, wells.bore_diameter),
        temperature=inlet,
        wellhead_bar=boiling if stated is None else absolute_pressure(case, stated),
        air_bar=wide(case, air_pressure(case.site.elevation)),
        plant_drop_bar=wide(case, case.plant.brine_pressure_drop),
        efficiency=wide(case, wells.pump_efficiency),
        margin_bar=wide(case, wells.intake_margin),
    )


def design_air(case: Case) -> Floats:
    """Air at the design point, (scenario,)  [degC]; the annual mean unless stated, NaN where nothing is known."""
    stated, monthly = case.plant.design_air_temperature, case.site.air_temperature
    return wide(case, stated if stated is not None else hours_mean(monthly) if monthly else np.nan)


def air_above_design(case: Case) -> Floats:
    """Air of each month above the air that the output is stated at, (month, scenario)  [K].

    Stated monthly outputs hold the climate already; then only the offset counts.
    """
    offset = wide(case, case.site.air_temperature_offset)
    monthly = case.site.air_temperature
    if case.plant.stated_output is not None or case.plant.stated_capacity_factor is not None or monthly is None:
        return np.tile(offset, (len(MONTH_HOURS), 1))
    return column(monthly) + offset - design_air(case)


def monthly_air(case: Case) -> Floats:
    """Air of each month, (month, scenario)  [degC]; the design air where no climate is stated."""
    monthly = case.site.air_temperature
    offset = wide(case, case.site.air_temperature_offset)
    return np.tile(design_air(case) + offset, (len(MONTH_HOURS), 1)) if monthly is None else column(monthly) + offset


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

"""From a case to plain numbers: what needs more than one field, what stands in the way, and the terms of money.

The one place where the names of the case meet the arguments of the formulas, besides `sizing` and `engine`.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path

import numpy as np

from geoecon.arrays import Bools, Floats, column
from geoecon.case import Case
from geoecon.case.fields import Stated
from geoecon.energy import MONTH_HOURS, Running, hours_mean
from geoecon.errors import CaseError, Fault
from geoecon.finance.debt import LoanTerms
from geoecon.finance.depreciation import METHODS
from geoecon.finance.prices import PricePath, growing, schedule
from geoecon.finance.rates import price_index, weighted_cost_of_capital
from geoecon.finance.statement import Terms
from geoecon.finance.tax import Credit, TaxTerms
from geoecon.plant.binary import CycleTerms
from geoecon.plant.mapped import BinaryPlant, VendorPlant
from geoecon.plant.maps import MapFileError, PerformanceMap, vendor_map
from geoecon.resource.decline import cooling
from geoecon.resource.silica import amorphous_silica_temperature
from geoecon.resource.water import air_pressure, saturation_pressure, water_density
from geoecon.tables import row, table
from geoecon.units import HOURS_PER_YEAR
from geoecon.wells.drilling import cost_curve, curves
from geoecon.wells.pumping import Pumping

LARGEST_TABLE = 1_000_000
LINESHAFT_M = 610.0  # deepest setting of a pump driven from the top that handbooks name
WELLHEAD_MARGIN_BAR = 1.5
TAX_CLASSES = ("production", "transmission")


@dataclass(frozen=True)
class Obstacle:
    """Something that makes a scenario impossible: the path to look at, what is wrong, and where (scenario,)."""

    path: str
    message: str
    where: Bools


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
    return np.array(np.broadcast_to(absent if values is None else values, (case.scenarios,)), dtype=np.float64)


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


def in_map(case: Case, plant: BinaryPlant | VendorPlant, brine: Floats) -> Floats:
    """Brine temperatures with NaN in every scenario where the plant's map does not reach over life and climate."""
    return np.where(_beyond_map(case, plant), np.nan, brine)


def _beyond_map(case: Case, plant: BinaryPlant | VendorPlant) -> Bools:
    years = case.timeline.operating_years
    falls = cooling(wide(case, case.resource.temperature_decline), case.resource.decline_start_years, years)
    inlet, air = inlet_temperature(case), np.vstack([monthly_air(case), design_air(case)])
    ends = np.vstack([inlet, inlet - falls[-1]])
    covered = [plant.covers(brine, temperature) for brine in ends for temperature in (air.min(axis=0), air.max(axis=0))]
    beyond: Bools = ~np.logical_and.reduce(covered)
    return beyond


def plant_map(case: Case, plant: BinaryPlant | VendorPlant, inlet: Floats) -> PerformanceMap:
    """The map of a plant over the life and the climate of a case and a design inlet: one map for a whole pass."""
    years = case.timeline.operating_years
    falls = cooling(wide(case, case.resource.temperature_decline), case.resource.decline_start_years, years)
    brine = in_map(case, plant, np.vstack([inlet_temperature(case), inlet_temperature(case) - falls[-1]]))
    air = np.vstack([monthly_air(case), design_air(case)])
    return plant.over(np.concatenate([brine.ravel(), inlet]), air.ravel())


@lru_cache(maxsize=8)
def _vendor_plant(file: Path, changed: float) -> VendorPlant:
    return VendorPlant(vendor_map(file.read_text(encoding="utf-8")))


def mapped_plant(case: Case) -> BinaryPlant | VendorPlant:
    """The plant of a case that is known by its map. Raises `CaseError` where a vendor's table cannot be read."""
    plant = case.plant
    if plant.performance is not None:
        file = Path(case.source).parent / plant.performance
        try:
            about = file.stat()
            if about.st_size > LARGEST_TABLE:
                raise MapFileError(f"holds {about.st_size:,} bytes; a table has at most {LARGEST_TABLE:,}")
            return _vendor_plant(file, about.st_mtime)
        except (OSError, UnicodeDecodeError, MapFileError) as error:
            words = error.strerror if isinstance(error, OSError) else str(error)
            words = "is not UTF-8 text" if isinstance(error, UnicodeDecodeError) else words
            fault = Fault("plant.performance", f"{plant.performance}: {words}", case.line("plant.performance"))
            raise CaseError([fault], case.source) from None
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
    )
    return BinaryPlant(plant.fluid or "", terms)


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
        wide(case, case.site.line_loss), load,
    )  # fmt: skip


def price_path(case: Case, when: Calendar, index: Floats) -> PricePath:
    """The stated price of each year, nominal; its first price is NaN where none is stated."""
    market = case.market
    real = market.price_basis == "real"
    drift = index / index[when.first] if real else np.ones_like(index)
    to_first = index[when.first] if real else 1.0
    after = None if market.price_after_term is None else market.price_after_term * to_first
    if market.price_schedule is not None:
        stated = schedule(np.asarray(market.price_schedule), after, drift, when.first)
        return replace(stated, first=stated.first * to_first)
    term = market.term_years or when.operating_years
    first = wide(case, market.price, np.nan) * to_first
    return growing(first, wide(case, market.price_growth), term, after, drift, when.first)


def capacity_payment(case: Case, net_kw: Floats, when: Calendar, index: Floats) -> Floats | None:
    """Revenue for capacity, nominal, (year, scenario)  [money]."""
    market = case.market
    if market.capacity_price is None:
        return None
    real = market.price_basis == "real"
    drift = index / index[when.first] if real else np.ones_like(index)
    first = wide(case, market.capacity_price) * (index[when.first] if real else 1.0)
    path = growing(first, wide(case, market.price_growth), when.operating_years, None, drift, when.first)
    return path.nominal * wide(case, net_kw)


def financing_terms(case: Case) -> Terms:
    """Loan, tax and reserve as formulas take them."""
    finance = case.finance
    loan = LoanTerms(
        wide(case, finance.debt_share), wide(case, finance.debt_rate), wide(case, finance.upfront_fee),
        finance.debt_years or 1, finance.debt_shape, finance.reserve_months,
    )  # fmt: skip
    return Terms(
        loan, tax_terms(case), finance.sustaining_funding == "reserve", finance.reserve_lookahead_years,
        case.timeline.spending_time == "middle",
    )  # fmt: skip


def tax_rules(name: str) -> dict[str, str]:
    """Key -> value of a dated table of rules; empty for none and for plain, whose values are all inputs."""
    return {r["key"]: r["value"] for r in table("tax_rules") if r["rules"] == name}


def known_tax_rules() -> tuple[str, ...]:
    """Names that `tax.rules` may take."""
    return ("none", "plain", *sorted({r["rules"] for r in table("tax_rules")}))


def tax_terms(case: Case) -> TaxTerms:
    """What the rules and the case's own words come to: what the case says goes before the table."""
    tax, rules = case.tax, tax_rules(case.tax.in_force)
    rate = wide(case, tax.rate if tax.rate is not None else float(rules.get("rate", 0)))
    limit = wide(case, tax.loss_limit if tax.loss_limit is not None else float(rules.get("loss_limit", 1)))
    shares = {name: _shares(case, rules, name) for name in TAX_CLASSES} if tax.in_force != "none" else {}
    return TaxTerms(rate, shares, tax.losses == "carried", limit, _credit(case, rules))


def _shares(case: Case, rules: dict[str, str], tax_class: str) -> Floats:
    tax = case.tax
    method = tax.depreciation or rules.get("method", "straight-line")
    convention = tax.convention or rules.get("convention", "full-year")
    stated = tax.depreciation_years if tax_class == "production" or not rules else None
    years = stated or int(rules.get(f"years.{tax_class}", case.timeline.operating_years))
    return METHODS[method](years, convention)


def _credit(case: Case, rules: dict[str, str]) -> Credit | None:
    tax = case.tax
    if tax.credit == "none":
        return None
    investment = tax.credit == "investment"
    rate = tax.credit_rate if tax.credit_rate is not None else float(rules.get("credit_rate", 0))
    cut = tax.credit_basis_cut if tax.credit_basis_cut is not None else float(rules.get("credit_basis_cut", 0))
    return Credit(
        tax.credit_use,
        wide(case, rate if investment else 0.0),
        wide(case, cut if investment else 0.0),
        wide(case, 0.0 if investment else tax.credit_amount),
        wide(case, tax.credit_growth),
        tax.credit_years,
        wide(case, tax.credit_sale_price),
    )


@dataclass(frozen=True)
class Rates:
    """Nominal rates of the case, (scenario,)  [1/yr], and where the discount rate comes from."""

    discount: Floats
    equity: Floats
    wacc: Floats
    origin: str


def rates(case: Case, tax: TaxTerms) -> Rates:
    """The discount rate as stated or the after-tax WACC; the return on equity as stated or the discount rate."""
    finance = case.finance
    either = finance.equity_return if finance.equity_return is not None else finance.discount_rate
    equity = wide(case, either)
    wacc = weighted_cost_of_capital(wide(case, finance.debt_share), wide(case, finance.debt_rate), equity, tax.rate)
    if finance.discount_rate is not None:
        return Rates(wide(case, finance.discount_rate), equity, wacc, "stated")
    return Rates(wacc, equity, wacc, "after-tax WACC")


def not_built(case: Case) -> list[tuple[str, str]]:
    """Choices that a case may state but that cannot be worked out yet, path and what to do."""
    found = []
    if case.plant.kind in {"single-flash", "double-flash"}:
        words = f'{case.plant.kind!r} is read and checked but is not worked out yet; use "binary" or "stated"'
        found.append(("plant.kind", words))
    if case.finance.debt_shape == "sculpted":
        found.append(("finance.debt_shape", '"sculpted" is not worked out yet; use "level" or "equal-principal"'))
    return found


def obstacles(case: Case) -> Iterator[Obstacle]:
    """What makes scenarios impossible though every value is allowed by itself."""
    yield from _cold_brine(case)
    yield from _critical_fluid(case)
    yield from _pump_lift(case)
    yield from _cost_curve(case)
    yield from _map_range(case)
    yield from _outage_month(case)
    yield from _late_credit(case)
    if case.tax.in_force not in known_tax_rules():
        known = ", ".join(known_tax_rules())
        yield Obstacle(
            "tax.rules", f"{case.tax.in_force!r} is not a table of rules; known are: {known}", wide(case, 1) > 0
        )


def _cold_brine(case: Case) -> Iterator[Obstacle]:
    if case.resource.temperature is None:
        return
    inlet = wide(case, case.resource.temperature) - case.wells.temperature_loss
    hottest = max(case.site.air_temperature or (-np.inf,))
    warm = np.fmax(design_air(case), hottest + case.site.air_temperature_offset)
    where = inlet <= warm
    if where.any():
        at = int(where.argmax())
        yield Obstacle(
            "resource.temperature",
            f"brine reaches the plant at {inlet[at]:.1f} degC, which is no hotter than the air there "
            f"({warm[at]:.1f} degC); no power can be made",
            where,
        )


def _critical_fluid(case: Case) -> Iterator[Obstacle]:
    plant = case.plant
    if plant.fluid is None or plant.kind != "binary":
        return
    critical = float(row("fluids", fluid=plant.fluid)["critical_temperature"])
    condensing = design_air(case) + plant.condenser_approach
    for path, what, temperature in (
        ("plant.evaporating_temperature", "evaporates", wide(case, plant.evaporating_temperature, np.nan)),
        ("plant.condenser_approach", "condenses", condensing),
    ):
        where = temperature >= critical
        if where.any():
            yield Obstacle(
                path,
                f"{plant.fluid} {what} at {temperature[int(where.argmax())]:.1f} degC, above its critical temperature of "
                f"{critical:.1f} degC; choose a lower temperature or another fluid",
                where,
            )


def _pump_lift(case: Case) -> Iterator[Obstacle]:
    wells = case.wells
    if wells.flow_per_producer is None or wells.productivity_index is None or wells.depth is None:
        return
    if case.resource.temperature is None:
        return
    pumps, flow = pumping(case), mass_flow(case, wells.flow_per_producer)
    setting, deep = pumps.setting_m(flow), pumps.depth_m
    where = setting >= deep
    if where.any():
        at = int(where.argmax())
        yield Obstacle(
            "wells.flow_per_producer",
            f"{flow[at]:.1f} kg/s draws the water down {pumps.drawdown_m(flow)[at]:,.0f} m; a pump that keeps its intake above "
            f"boiling would hang at {setting[at]:,.0f} m, below the well's {deep[at]:,.0f} m, and no pump can lift it: lower "
            "the flow or check wells.productivity_index",
            where,
        )


def _cost_curve(case: Case) -> Iterator[Obstacle]:
    wells = case.wells
    if wells.cost_method != "curve":
        return
    everywhere = wide(case, 1) > 0
    if wells.cost_curve not in curves():
        words = f"{wells.cost_curve!r} is not a published curve; known are: {', '.join(curves())}"
        yield Obstacle("wells.cost_curve", words, everywhere)
        return
    if case.money.currency != "USD":
        words = f"is in US dollars and the case in {case.money.currency}; state cost_per_producer and cost_per_injector"
        yield Obstacle("wells.cost_curve", words, everywhere)
    curve = cost_curve(wells.cost_curve)
    depth = wide(case, wells.depth)
    where = ~curve.covers(depth)
    if where.any():
        words = (
            f"{depth[int(where.argmax())]:,.0f} m is outside the depths of curve {curve.name!r}, {curve.from_m:,.0f} to "
            f"{curve.to_m:,.0f} m; choose another curve or state the cost"
        )
        yield Obstacle("wells.depth", words, where)


def _map_range(case: Case) -> Iterator[Obstacle]:
    if not is_mapped(case):
        return
    plant = mapped_plant(case)
    where = _beyond_map(case, plant)
    if where.any():
        at = int(where.argmax())
        yield Obstacle(
            "plant.performance" if case.plant.performance else "resource.temperature",
            f"brine from {inlet_temperature(case)[at]:.0f} degC down over the life, or the air of some month, is outside "
            f"what the plant's map holds: {plant.range_in_words()}",
            where,
        )


def _late_credit(case: Case) -> Iterator[Obstacle]:
    """A credit that the rules give in full only to what is begun by some year."""
    tax, rules = case.tax, tax_rules(case.tax.in_force)
    last = int(rules.get("credit_in_full_until", 0))
    if tax.credit == "investment" and tax.credit_rate is None and last and (tax.construction_begins or 0) > last:
        words = f"construction that begins after {last} earns a smaller credit or none; state tax.credit_rate"
        yield Obstacle("tax.construction_begins", words, wide(case, 1) > 0)


def _outage_month(case: Case) -> Iterator[Obstacle]:
    month = case.operation.planned_outage_month
    if month is None:
        return
    hours = wide(case, case.operation.planned_outage) * HOURS_PER_YEAR
    where = hours > MONTH_HOURS[month - 1] * (1 + 1e-9)
    if where.any():
        yield Obstacle(
            "operation.planned_outage",
            f"{hours[int(where.argmax())]:.0f} h do not fit into month {month}; leave out planned_outage_month",
            where,
        )

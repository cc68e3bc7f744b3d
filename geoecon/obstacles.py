"""What stands in the way of a case though every value is allowed by itself, and what cannot be worked out yet."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from geoecon.arrays import Bools, Floats
from geoecon.case import Case
from geoecon.case.plant_checks import WITH_FLUID, cooled_by
from geoecon.energy import MONTH_HOURS
from geoecon.flooring import silica_limit
from geoecon.plant.fluids import BEST, below_critical
from geoecon.preparing.basics import wide
from geoecon.preparing.climate import design_air, design_sink, weather
from geoecon.preparing.field import boils, flow_is_worked_out, inlet_temperature, mass_flow, pumping
from geoecon.preparing.plants import MappedPlant, beyond_map, cycle_terms, is_mapped
from geoecon.pricing import delivery_factors, listed_prices
from geoecon.reservoir import brine_before_design, follows_design, temperature_table
from geoecon.resource.water import saturation_pressure
from geoecon.steam_limits import steam_obstacles
from geoecon.steaming import any_plant_of
from geoecon.tables import row
from geoecon.taxing import known_tax_rules, tax_rules
from geoecon.units import HOURS_PER_YEAR
from geoecon.wells.drilling import cost_curve, curves


@dataclass(frozen=True)
class Obstacle:
    """Something that makes a scenario impossible: the path to look at, what is wrong, and where (scenario,)."""

    path: str
    message: str
    where: Bools


def not_built(case: Case) -> list[tuple[str, str]]:
    """Choices that a case may state but that cannot be worked out yet, path and what to do."""
    found = []
    if case.project.owner == "partnership":
        words = (
            '"partnership", with shares that flip, is read but is not worked out yet; use "private", as if one owner'
        )
        found.append(("project.owner", words))
    return found


def obstacles(case: Case) -> Iterator[Obstacle]:
    """What makes scenarios impossible though every value is allowed by itself."""
    yield from _cold_brine(case)
    yield from _critical_fluid(case)
    yield from _pump_lift(case)
    yield from _no_flow(case)
    yield from _cost_curve(case)
    yield from _reinjection(case)
    yield from (Obstacle(*wrong) for wrong in steam_obstacles(case))
    yield from _map_range(case)
    yield from _outage_month(case)
    yield from _silica_above_brine(case)
    yield from _cash_owner(case)
    _read_prices(case)
    if case.resource.temperature_path == "table":
        temperature_table(case)
    if case.tax.in_force not in known_tax_rules():
        known = ", ".join(known_tax_rules())
        yield Obstacle(
            "tax.rules", f"{case.tax.in_force!r} is not a table of rules; known are: {known}", wide(case, 1) > 0
        )
    yield from _before_the_rules(case)


def _before_the_rules(case: Case) -> Iterator[Obstacle]:
    """A plant that serves before the law of its table begins."""
    begins, serves = int(tax_rules(case.tax.in_force).number("service_from")), case.timeline.first_year
    if serves < begins:
        words = (
            f"{case.tax.in_force!r} holds for plants in service from {begins} on, and operating year 1 is {serves}; state "
            'the rules of that time as inputs with "plain", or move timeline.first_year'
        )
        yield Obstacle("tax.rules", words, wide(case, 1) > 0)


def _cold_brine(case: Case) -> Iterator[Obstacle]:
    if case.resource.temperature is None:
        return
    inlet = inlet_temperature(case)
    known = weather(case)
    hottest = max(known.monthly) if known is not None else -np.inf
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


def _silica_above_brine(case: Case) -> Iterator[Obstacle]:
    """Silica that would come out of the brine of a binary plant before it gives any heat."""
    content = case.resource.silica
    if case.plant.kind != "binary" or content is None or case.resource.temperature is None:
        return
    inlet = inlet_temperature(case)
    where = inlet <= cycle_terms(case).silica_degC
    if where.any():
        yield Obstacle(
            "resource.silica",
            f"{content[0]:,.0f} mg/kg of silica comes out of water cooler than {silica_limit(float(content[0]))}, and "
            f"{inlet[int(where.argmax())]:.1f} degC reach the plant: look at the analysis; where scale is held off, leave it "
            "out and state plant.injection_temperature_floor",
            where,
        )


def _critical_fluid(case: Case) -> Iterator[Obstacle]:
    plant = case.plant
    if plant.fluid is None or plant.kind not in WITH_FLUID:
        return
    if plant.fluid == BEST:
        yield from _no_fluid_boils(case)
        return
    critical = float(row("fluids", fluid=plant.fluid)["critical_temperature"])
    approach = "tower_approach" if cooled_by(plant) == "wet" else "condenser_approach"
    condensing = design_sink(case) + cycle_terms(case).approach_K
    for path, what, temperature in (
        ("plant.evaporating_temperature", "evaporates", wide(case, plant.evaporating_temperature, np.nan)),
        (f"plant.{approach}", "condenses", condensing),
    ):
        where = temperature >= critical
        if where.any():
            yield Obstacle(
                path,
                f"{plant.fluid} {what} at {temperature[int(where.argmax())]:.1f} degC, above its critical temperature of "
                f"{critical:.1f} degC; choose a lower temperature or another fluid",
                where,
            )


def _no_fluid_boils(case: Case) -> Iterator[Obstacle]:
    """A stated evaporation at which no fluid boils; where one does not condense it makes no power and is not taken."""
    stated = case.plant.evaporating_temperature
    if stated is not None and not below_critical(float(stated[0])):
        words = f"no working fluid boils at {stated[0]:.1f} degC: lower it, or leave it out for the one with most power"
        yield Obstacle("plant.evaporating_temperature", words, wide(case, 1) > 0)


def _pump_lift(case: Case) -> Iterator[Obstacle]:
    wells = case.wells
    if wells.flow_per_producer is None or wells.productivity_index is None or wells.depth is None:
        return
    if case.resource.temperature is None or wells.pump == "none":
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


def _no_flow(case: Case) -> Iterator[Obstacle]:
    """A well whose flow is to be worked out as that of a column of liquid, which boils or does not rise."""
    if not flow_is_worked_out(case):
        return
    pumps = pumping(case)
    boiling, missing = boils(pumps), pumps.missing_bar(wide(case, 0.0))
    if boiling.any():
        at = int(boiling.argmax())
        words = (
            f"is missing: the water boils in the well, as {pumps.wellhead_bar[at]:.1f} bar is kept at the wellhead and it "
            f"needs {saturation_pressure(pumps.temperature)[at]:.1f} bar to stay liquid; what water and steam together give "
            "is not worked out: state the flow as measured, or raise wellhead_pressure"
        )
        yield Obstacle("wells.flow_per_producer", words, boiling)
    still = (missing >= 0) & ~boiling
    if still.any():
        at = int(still.argmax())
        words = (
            f"the well does not flow by itself: {pumps.wellhead_bar[at] - missing[at]:.1f} bar when shut is no more than the "
            f'{pumps.wellhead_bar[at]:.1f} bar kept at the wellhead; say pump = "lineshaft" or "submersible" with '
            "flow_per_producer, or lower wellhead_pressure"
        )
        yield Obstacle("wells.shut_in_pressure", words, still)


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
    for path, of_hole in (("wells.depth", wells.depth), ("wells.slim_hole_depth", wells.slim_hole_depth)):
        depth = wide(case, of_hole, curve.from_m)
        where = ~curve.covers(depth)
        if where.any():
            words = (
                f"{depth[int(where.argmax())]:,.0f} m is outside the depths of curve {curve.name!r}, {curve.from_m:,.0f} to "
                f"{curve.to_m:,.0f} m; choose another curve or state the cost"
            )
            yield Obstacle(path, words, where)


def _map_range(case: Case) -> Iterator[Obstacle]:
    if not is_mapped(case):
        return
    yield from outside_map(case, any_plant_of(case), brine_before_design(case))


def outside_map(case: Case, plant: MappedPlant, life: Floats) -> Iterator[Obstacle]:
    """Where the plant's map does not reach, with the brine of the years, (n, scenario)  [degC]."""
    where = beyond_map(case, plant, life)
    if where.any():
        at = int(where.argmax())
        start, last = inlet_temperature(case)[at], life[:, at].min()
        down = f" down to {last:.0f}" if follows_design(case) and len(life) > 1 else ""
        yield Obstacle(
            "plant.performance" if case.plant.performance else "resource.temperature",
            f"brine from {start:.0f}{down} degC {'' if down else 'down '}over the life, or the air of some month, is outside "
            f"what the plant's map holds: {plant.range_in_words()}",
            where,
        )


def _reinjection(case: Case) -> Iterator[Obstacle]:
    """Water that would go back no cooler than the field is."""
    back, hot = case.resource.reinjection_temperature, case.resource.temperature
    if back is None or hot is None:
        return
    where = wide(case, back) >= inlet_temperature(case)
    if where.any():
        at = int(where.argmax())
        yield Obstacle(
            "resource.reinjection_temperature",
            f"{wide(case, back)[at]:.1f} degC is no cooler than the brine that reaches the plant, "
            f"{inlet_temperature(case)[at]:.1f} degC; brine leaves a plant cooler than it came",
            where,
        )


def _read_prices(case: Case) -> None:
    """Raises `CaseError` where prices or factors in a file cannot be read."""
    if case.market.price_form == "file":
        listed_prices(case)
    delivery_factors(case)


def _cash_owner(case: Case) -> Iterator[Obstacle]:
    """A credit paid out, which rules may keep for some kinds of owner."""
    tax, may = case.tax, tax_rules(case.tax.in_force).values.get("cash_owners", "").split()
    if tax.credit != "none" and tax.credit_use == "cash" and may and case.project.owner not in may:
        words = (
            f'is "cash", but {tax.in_force!r} pays a credit out only to owners of kind {" or ".join(may)}, not to '
            f'{case.project.owner!r}; say "own" or "sold"'
        )
        yield Obstacle("tax.credit_use", words, wide(case, 1) > 0)


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

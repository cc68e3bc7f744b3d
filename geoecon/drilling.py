"""What a well of a case costs, and a slim hole: stated, from a published curve, or built up from days of a rig."""

from collections.abc import Callable, Iterator
from functools import lru_cache

import numpy as np

from geoecon import units
from geoecon.arrays import Floats
from geoecon.case import Case
from geoecon.case.fields import about
from geoecon.case.well_cost import BUILT_UP, CURVE, RATES, SLIM_HOLE
from geoecon.case.wells import Wells
from geoecon.preparing.basics import wide
from geoecon.tables import Row, citation, row, table
from geoecon.wells.built_up import DAYS, PARTS, BuiltUp, Drilling, built_up
from geoecon.wells.drilling import cost_curve, price_level

PATH = "wells.cost_method"
SLIM = "wells.slim_holes: one hole"
ONE_WELL = f"{PATH}: one well"
WORKED_OUT = (*(f"{PATH}: days of {name}" for name in DAYS), *(f"{PATH}: {name}" for name in PARTS))
STRINGS = "casing_strings"
EXTRA = ("slim_holes", "exploration_wells")  # holes and wells that a case has only where it says so


def cost_per_well(case: Case) -> tuple[Floats, Floats]:
    """Cost of one good producer and one good injector, price-year money, (scenario,)."""
    wells = case.wells
    by_depth = BY_DEPTH.get(wells.cost_method)
    each = wide(case, wells.cost_per_producer) if by_depth is None else by_depth(case, wells.depth)
    producer = each * wells.cost_factor
    injector = producer if wells.cost_per_injector is None else wide(case, wells.cost_per_injector) * wells.cost_factor
    return producer, injector


def _by_curve(case: Case, depth: Floats | None) -> Floats:
    curve = cost_curve(case.wells.cost_curve or "")
    level = price_level(curve.price_year, case.money.price_year, case.money.inflation)
    return wide(case, curve.cost(wide(case, depth))) * level


def _by_days(case: Case, depth: Floats | None) -> Floats:
    return well_built_up(case, depth).cost


# What a full-size well of a depth costs before `cost_factor`, (scenario,), by the methods that go with depth.
BY_DEPTH: dict[str, Callable[[Case, Floats | None], Floats]] = {CURVE: _by_curve, BUILT_UP: _by_days}


def slim_hole_cost(case: Case) -> Floats:
    """Cost of one slim hole, price-year money, (scenario,): stated, or a full-size well of its depth less what is saved."""
    wells = case.wells
    if wells.slim_hole_cost is not None:
        return wide(case, wells.slim_hole_cost)
    if wells.slim_hole_depth is None:
        return cost_per_well(case)[0] * slim_hole_share()
    return BY_DEPTH[wells.cost_method](case, wells.slim_hole_depth) * wells.cost_factor * slim_hole_share()


def slim_hole_share() -> float:
    """Cost of a slim hole over that of a full-size well: the middle of what was seen."""
    return (float(SLIM_HOLE["low"]) + float(SLIM_HOLE["high"])) / 200


@lru_cache
def _usual(name: str) -> tuple[float, str]:
    """The usual value of a rate in the unit used inside, money in US dollars, and the year of that money."""
    r, kinds = row("drilling_rates", rate=name), about(Wells, name).kinds
    return units.read(f"{r['value']} {r['unit']}", kinds, "USD").value, r["price_year"]


def rate(case: Case, name: str) -> Floats:
    """A rate of drilling, stated or the usual one with its money moved to the price year, (scenario,)."""
    stated: Floats | None = getattr(case.wells, name)
    if stated is not None:
        return wide(case, stated)
    value, year = _usual(name)
    return wide(case, value * price_level(int(year), case.money.price_year, case.money.inflation) if year else value)


def casing_strings(case: Case, depth: Floats) -> Floats:
    """Strings of casing of a well, stated or usual for its depth, (scenario,)."""
    if case.wells.casing_strings is not None:
        return wide(case, case.wells.casing_strings)
    rows = table("casing_programs")
    above = np.searchsorted([float(r["from_m"]) for r in rows], depth, side="right") - 1
    return np.array([float(r["strings"]) for r in rows])[above]


def well_built_up(case: Case, depth: Floats | None) -> BuiltUp:
    """Days and cost of one well of a depth, before `cost_factor`."""
    deep = wide(case, depth)
    return built_up(
        deep,
        Drilling(
            penetration_m_h=rate(case, "penetration_rate"),
            on_bottom=rate(case, "on_bottom"),
            moving_days=rate(case, "moving_days"),
            casing_days=rate(case, "casing_days"),
            testing_days=rate(case, "testing_days"),
            strings=casing_strings(case, deep),
            shoe_ratio=wide(case, float(row("drilling_rates", rate="shoe_ratio")["value"])),
            rig=rate(case, "rig_rate"),
            services=rate(case, "services_rate"),
            casing=rate(case, "casing_cost"),
            cement=rate(case, "cement_cost"),
            fluids=rate(case, "fluids_cost"),
            site=rate(case, "site_cost"),
            wellhead=rate(case, "wellhead_cost"),
            trouble=rate(case, "trouble"),
        ),
    )


def has_a_part(case: Case, name: str) -> bool:
    """Whether a field with a default has a part in what wells cost."""
    return name not in EXTRA or getattr(case.wells, name) > 0


def taken(case: Case) -> Iterator[tuple[str, Floats, str, str, str]]:
    """What was put in the place of what a case leaves open of the cost of wells: path, values, unit, source, evidence."""
    wells, year = case.wells, case.money.price_year
    if wells.cost_method == CURVE:
        r = row("well_cost_curves", curve=wells.cost_curve or "")
        yield (
            "wells.cost_curve: one well",
            cost_per_well(case)[0],
            "USD",
            _source(r, r["price_year"], year),
            r["evidence"],
        )
    if wells.cost_method == BUILT_UP:
        for name in (name for name in RATES if getattr(wells, name) is None):
            if name == STRINGS:
                values, unit = casing_strings(case, wide(case, wells.depth)), "strings"
                r = row("casing_programs", strings=f"{values[0]:.0f}")
            else:
                r, values = row("drilling_rates", rate=name), rate(case, name)
                unit = units.inside_label(about(Wells, name).kinds[0], case.money.currency)
            yield f"wells.{name}", values, unit, _source(r, r.get("price_year", ""), year), r["evidence"]
    if wells.slim_holes and wells.slim_hole_cost is None:
        source = f"a full-size well of its depth less what is saved, the middle: {citation(SLIM_HOLE['source'])}"
        yield SLIM, slim_hole_cost(case), case.money.currency, source, SLIM_HOLE["evidence"]


def _source(r: Row, of_year: str, year: int) -> str:
    moved = f", money of {of_year} moved by consumer prices" if of_year and int(of_year) != year else ""
    return f"{citation(r['source'])}, {r['place']}{moved}"


def figures(case: Case) -> Iterator[tuple[str, Floats, str]]:
    """What a well that is built up comes to: days and parts before `cost_factor`, and all of it after: name, value, unit."""
    if case.wells.cost_method != BUILT_UP:
        return
    one = well_built_up(case, case.wells.depth)
    for name, days in one.days.items():
        yield f"{PATH}: days of {name}", days, "d"
    yield f"{PATH}: casing of all strings", one.casing_m, "m"
    for name, cost in one.parts.items():
        yield f"{PATH}: {name}", cost, case.money.currency
    yield ONE_WELL, cost_per_well(case)[0], case.money.currency

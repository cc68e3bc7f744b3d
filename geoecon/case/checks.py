"""Faults that no field shows alone: values that contradict each other, or that another value asks for."""

from collections import Counter
from collections.abc import Iterator
from itertools import combinations
from typing import TYPE_CHECKING

from geoecon.case.cooling_checks import cooling_faults
from geoecon.case.drilling_checks import drilling_faults
from geoecon.case.fields import BOUND_SLACK, Stated, about
from geoecon.case.money_checks import money_faults
from geoecon.case.plant_checks import plant_faults, steam_faults
from geoecon.case.resource_checks import resource_faults
from geoecon.case.schema import TABLES, CaseTables
from geoecon.case.uncertainty import LEAST_KEPT, Uncertainty, kept_share, latent_correlation, numbers, possible_share
from geoecon.case.well_cost import well_cost_faults
from geoecon.errors import DistributionError, Fault

if TYPE_CHECKING:
    from collections.abc import Callable

SHARES_SLACK = 1e-6
RANK_SLACK = 1e-9


def cross_faults(case: CaseTables) -> Iterator[Fault]:
    """Every fault between fields, in the order of the tables."""
    for check in _CHECKS:
        yield from check(case)


def _project(case: CaseTables) -> Iterator[Fault]:
    if not case.project.name.strip():
        yield Fault("project.name", "is empty; give the project a name")


def _timeline(case: CaseTables) -> Iterator[Fault]:
    time = case.timeline
    for account, shares in (time.spending or {}).items():
        if len(shares) != time.build_years:
            yield Fault("timeline.spending", f"{account!r} has {len(shares)} shares for {time.build_years} build years")
        elif any(share < 0 for share in shares) or abs(sum(shares) - 1) > SHARES_SLACK:
            yield Fault("timeline.spending", f"{account!r}: shares are positive and sum to 1, not {sum(shares):g}")
    if time.decision_year is not None and time.decision_year >= time.first_year:
        yield Fault(
            "timeline.decision_year",
            f"{time.decision_year} is not before operating year 1 ({time.first_year}); decide before it runs",
        )


def _site(case: CaseTables) -> Iterator[Fault]:
    site = case.site
    if site.weather_file is not None and site.air_temperature is not None:
        yield Fault("site.weather_file", "stands beside air_temperature, which follows from it; keep one of the two")
    if (site.daily_swing > 0).any():
        if site.weather_file is not None:
            yield Fault("site.daily_swing", "stands beside weather_file, whose hours hold it; keep one of the two")
        elif site.air_temperature is None:
            yield Fault("site.air_temperature", "is missing; daily_swing swings around the monthly means")
        elif case.plant.stated_output is not None or case.plant.stated_capacity_factor is not None:
            yield Fault(
                "site.daily_swing", "is not used: what is stated of the plant's output holds its climate already"
            )


def _plant(case: CaseTables) -> Iterator[Fault]:
    plant = case.plant
    if plant.size_from == "capacity" and plant.net_capacity is None:
        yield Fault("plant.net_capacity", 'is missing; give it, or say size_from = "wells"')
    mapped = plant.kind != "stated" or plant.performance is not None
    if plant.performance is not None:
        for name in ("stated_capacity_factor", "stated_output", "stated_brine_flow", "gross_capacity"):
            if getattr(plant, name) is not None:
                yield Fault(
                    f"plant.{name}", "stands beside a performance table, from which it follows; keep one of the two"
                )
    if mapped:
        yield from _asked_by_a_map(case)
    elif plant.kind == "stated" and plant.net_capacity is None and plant.size_from == "wells":
        yield Fault("plant.net_capacity", "is missing: a stated plant has no conversion that could size it from wells")
    if mapped and plant.size_from == "wells" and plant.net_capacity is not None:
        yield Fault("plant.net_capacity", 'follows from wells with size_from = "wells"; leave it out')
    if plant.kind == "stated" and plant.stated_capacity_factor is not None and plant.stated_output is not None:
        yield Fault("plant.stated_output", "stands beside stated_capacity_factor; keep one of the two")
    if plant.kind != "stated":
        for name in ("stated_capacity_factor", "stated_output", "stated_brine_flow", "gross_capacity", "performance"):
            if getattr(plant, name) is not None:
                yield Fault(f"plant.{name}", f'is only for kind = "stated"; a {plant.kind} plant works it out')
    yield from plant_faults(plant)
    yield from steam_faults(case)
    yield from cooling_faults(case)
    if plant.kind != "stated" and case.resource.temperature is None:
        yield Fault("resource.temperature", f"is missing; a {plant.kind} plant needs it")
    if plant.cost_basis == "gross" and plant.kind == "stated" and plant.gross_capacity is None:
        yield Fault("plant.gross_capacity", 'is missing; cost_basis = "gross" needs it')
    if (plant.gross_capacity is not None and plant.net_capacity is not None) and (
        plant.gross_capacity < plant.net_capacity
    ).any():
        yield Fault("plant.gross_capacity", "is below net_capacity; gross is before plant use and pumps")
    if (plant.air_slope > 0).any() and not case.site.states_air:
        yield Fault("site.air_temperature", "is missing; plant.air_slope needs the monthly means")
    if (plant.brine_slope > 0).any() and case.resource.temperature is None:
        yield Fault("resource.temperature", "is missing; plant.brine_slope needs it")


def _asked_by_a_map(case: CaseTables) -> Iterator[Fault]:
    """What a plant that is known by its map needs to be sized."""
    asked = "a plant worked out from brine and air needs it"
    wells = case.wells
    if wells.flow_per_producer is None and wells.pump == "none" and wells.shut_in_pressure is None:
        yield Fault("wells.flow_per_producer", f"is missing; {asked}, or shut_in_pressure, from which the flow follows")
    elif wells.flow_per_producer is None and wells.pump != "none":
        yield Fault("wells.flow_per_producer", f"is missing; {asked}")
    for name in ("productivity_index", "depth"):
        if getattr(wells, name) is None:
            yield Fault(f"wells.{name}", f"is missing; {asked}")
    if case.resource.temperature is None and case.plant.kind == "stated":
        yield Fault("resource.temperature", f"is missing; {asked}")
    if not case.site.states_air and case.plant.design_air_temperature is None:
        yield Fault("site.air_temperature", f"is missing; {asked}")
    if case.plant.size_from == "wells" and case.wells.existing_producers == 0:
        yield Fault(
            "wells.existing_producers", 'is missing; size_from = "wells" takes the capacity from wells that exist'
        )


def _wells(case: CaseTables) -> Iterator[Fault]:
    wells = case.wells
    flow_known = wells.flow_per_producer is not None or (wells.pump == "none" and wells.shut_in_pressure is not None)
    new_wells = flow_known and (case.plant.kind != "stated" or case.plant.stated_brine_flow is not None)
    yield from well_cost_faults(case, new_wells)
    if case.plant.stated_brine_flow is not None and wells.flow_per_producer is None:
        yield Fault("wells.flow_per_producer", "is missing; plant.stated_brine_flow asks how many wells bring it")
    by_table = flow_known and case.plant.performance is not None
    yield from drilling_faults(case, new_wells=new_wells or by_table)
    yield from _heat_on_the_way(case)
    if wells.static_level is not None and wells.shut_in_pressure is not None:
        words = "stands beside static_level; a shut well stands either below the wellhead or under pressure: keep one"
        yield Fault("wells.shut_in_pressure", words)
    if wells.vertical_depth is not None and wells.depth is not None and (wells.vertical_depth > wells.depth).any():
        yield Fault("wells.vertical_depth", "is more than the measured depth")


def _heat_on_the_way(case: CaseTables) -> Iterator[Fault]:
    """What the heat that a bore and a line lose is worked out from."""
    wells, no_air = case.wells, not case.site.states_air and case.plant.design_air_temperature is None
    if wells.bore_heat_loss == "ramey":
        asked = 'is missing; bore_heat_loss = "ramey" needs it'
        for name, value in (
            ("wells.flow_per_producer", wells.flow_per_producer), ("wells.depth", wells.depth),
            ("resource.temperature", case.resource.temperature), ("site.air_temperature", None if no_air else True),
        ):  # fmt: skip
            if value is None:
                yield Fault(name, asked)
    if wells.pipe_bore is not None and wells.pipe_length is None:
        yield Fault("wells.pipe_length", "is missing; pipe_bore asks how long that line is")
    if wells.pipe_length is not None:
        if case.resource.temperature is None:
            yield Fault("resource.temperature", "is missing; what a line of pipe_length loses follows from it")
        if no_air:
            yield Fault("site.air_temperature", "is missing; a line of pipe_length loses heat to the air")
        if wells.flow_per_producer is None and (wells.pump != "none" or wells.shut_in_pressure is None):
            yield Fault("wells.flow_per_producer", "is missing; what a line of pipe_length loses follows from it")


def _community(case: CaseTables) -> Iterator[Fault]:
    if case.community.islanded and case.community.local_load is None:
        yield Fault("community.local_load", "is missing; an islanded unit sells no more than the local load")


def _uncertainty(case: CaseTables) -> Iterator[Fault]:
    for path, declared in case.uncertainty.inputs.items():
        yield from _one_uncertainty(case, path, declared)
    yield from _correlations(case)


def varying(path: str) -> bool:
    """Whether a path leads to a number that may vary."""
    table, _, leaf = path.partition(".")
    return table in TABLES and leaf in TABLES[table].model_fields and about(TABLES[table], leaf).varies


def _one_uncertainty(case: CaseTables, path: str, declared: Uncertainty) -> Iterator[Fault]:
    here = f"uncertainty.{path}"
    if not varying(path):
        yield Fault(here, "is not the path of a number that may vary; see `geoecon fields`")
        return
    table, _, leaf = path.partition(".")
    described, now = about(TABLES[table], leaf), getattr(getattr(case, table), leaf)
    if described.form not in {"number", "plain"}:
        yield Fault(here, "holds several numbers; only a field with one number can be uncertain")
        return
    if declared.common < 1 and table != "wells":
        yield Fault(f"{here}.common", "speaks of wells; leave it out here")
    try:
        found = numbers(declared, described, now, case.money.currency)
    except DistributionError as error:
        yield from (Fault(f"{here}.{key}".rstrip("."), words) for key, words in error.faults.items())
        return
    low, high = described.limits(now.kind if isinstance(now, Stated) else (described.kinds or ("",))[0])
    outside = [
        key for key in ("low", "mode", "high", "mean", "median", "p10", "p90", "values")
        if key in found and ((found[key] < low - BOUND_SLACK) | (found[key] > high + BOUND_SLACK)).any()
    ]  # fmt: skip
    for key in outside:
        yield Fault(f"{here}.{key}", "lies outside what the field itself may be; see `geoecon fields`")
    if not outside and (left := kept_share(declared.shape, found, low, high)) < LEAST_KEPT:
        words = f"cuts off all of the curve but {left:.1g} of it, with its own ends and those of the field"
        yield Fault(here, f"{words}; state a curve whose middle lies between them")


def _correlations(case: CaseTables) -> Iterator[Fault]:
    here, pairs = "uncertainty.correlation", case.uncertainty.correlation
    unknown = {path for pair in pairs for path in pair.paths if not varying(path)}
    for path in sorted(unknown):
        yield Fault(here, f"{path!r} is not the path of a number that may vary")
    for pair in pairs:
        if len(set(pair.paths)) < 2 or len(set(pair.paths)) != len(pair.paths):
            yield Fault(here, f"takes at least two different paths, not {', '.join(pair.paths) or 'none'}")
    coupled = Counter(frozenset(two) for pair in pairs for two in combinations(pair.paths, 2))
    for two in (sorted(two) for two, times in coupled.items() if times > 1 and len(two) == 2):
        yield Fault(here, f"is stated more than once for {' and '.join(two)}; keep one")
    paths = sorted({path for pair in pairs for path in pair.paths})
    for path in paths:
        declared = case.uncertainty.inputs.get(path)
        if declared is not None and declared.common < 1:
            words = "differs from well to well (common below 1), and only what wells share could go together as stated"
            yield Fault(here, f"{path!r} {words}; leave out common, or this correlation")
    if paths and (share := possible_share(latent_correlation(paths, pairs))) < 1 - RANK_SLACK:
        words = f"these correlations cannot hold together; {share:.0%} of each of them could"
        yield Fault(here, f"{words} (among {', '.join(paths)})")


def _notes(case: CaseTables) -> Iterator[Fault]:
    for path in case.notes:
        table, _, leaf = path.partition(".")
        if table not in TABLES or (leaf and leaf.partition(".")[0] not in TABLES[table].model_fields):
            yield Fault(f"notes.{path}", "is not the path of a field")


_CHECKS: "tuple[Callable[[CaseTables], Iterator[Fault]], ...]" = (
    _project, resource_faults,
    _timeline, _site, _plant, _wells, money_faults, _community, _uncertainty, _notes,
)  # fmt: skip

"""How the size of a unit comes about: power, wells, brine."""

import math
from dataclasses import replace

import numpy as np

from geoecon.arrays import Floats
from geoecon.energy import MONTH_HOURS, hours_mean
from geoecon.outputs import HOTTEST
from geoecon.report.explain import steam
from geoecon.report.explain.facts import (
    CLIMATE,
    INLET,
    MONTHLY_MEANS,
    MONTHS,
    OFF_DESIGN,
    PHASES,
    PLANT,
    PUMPING,
    Facts,
    Term,
    Working,
    group,
    one,
    over,
    ratio,
    signed,
)
from geoecon.report.explain.printed import in_digits
from geoecon.report.outputs import BY_AIR, sink
from geoecon.wells.counts import whole
from geoecon.wells.success import Success, expected_drilled, success_by_well


def _per_flow(facts: Facts, kw: float, label: str, rests_on: tuple[str, ...]) -> Term:
    return Term(label, ratio(kw, facts.value("brine_flow")), "kW per kg/s", rests_on)


def _of_flow(facts: Facts, each: Term) -> Working:
    """Power from what each kg/s gives, in MW."""
    return Working((each, facts.metric("brine_flow")), f"{{{each.label}}} * {{brine flow}} / 1000")


def gross_capacity(facts: Facts) -> Working:
    if steam.by_steam(facts):
        return steam.gross_capacity(facts)
    if facts.mapped:
        kw = facts.value("gross_capacity") * 1000
        return _of_flow(facts, _per_flow(facts, kw, "gross power of each kg/s of brine", PLANT))
    return Working((facts.input("plant.gross_capacity", "gross capacity stated"),), "{gross capacity stated} / 1000")


def plant_net_capacity(facts: Facts) -> Working:
    if steam.by_steam(facts):
        return steam.plant_net_capacity(facts)
    if facts.from_wells:
        kw = facts.value("plant_net_capacity") * 1000
        return _of_flow(facts, _per_flow(facts, kw, "plant net power of each kg/s of brine", PLANT))
    if facts.mapped:
        return signed([facts.metric("net_capacity"), facts.metric("well_pump_power")])
    return one(facts.metric("net_capacity"))


def net_capacity(facts: Facts) -> Working:
    if facts.from_wells:
        return signed([facts.metric("plant_net_capacity")], [facts.metric("well_pump_power")])
    return Working((facts.input("plant.net_capacity", "net capacity stated"),), "{net capacity stated} / 1000")


def well_pump_power(facts: Facts) -> Working:
    if not facts.mapped:
        return one(Term("well pumps beside the net output stated", 0.0, "MW", ("plant.net_capacity",)))
    up = facts.worked_out("wells.pump: all production pumps", "all production pumps", "kW", (*PUMPING, "producers"))
    back = facts.worked_out("wells.pump: all injection pumps", "all injection pumps", "kW", (*PUMPING, "injectors"))
    total = signed([up, back])
    return Working(total.terms, f"{group(total)} / 1000")


def summer_capacity(facts: Facts) -> Working:
    net, value = facts.metric("net_capacity"), facts.value("summer_capacity")
    limit = facts.input("plant.output_limit", "output limit")
    if facts.has("site.export_limit") and math.isclose(value * 1000, facts.given("site.export_limit")):
        return Working((facts.input("site.export_limit", "export limit"),), "{export limit} / 1000")
    if not facts.has("plant.stated_capacity_factor") and math.isclose(value, net.value * limit.value):
        return Working((net, limit), "{net capacity} * {output limit}")
    if not facts.mapped:
        return _stated_in_summer(facts)
    return _off_the_map(facts)


def _off_the_map(facts: Facts) -> Working:
    """Plant net in the hottest month, between the two air temperatures of the map around it, less well pumps."""
    sides = facts.result.outputs[HOTTEST]
    air, _ = facts.month_means()
    wet = sink(facts.result) != BY_AIR
    month = "wet bulb of the hottest month" if wet else f"mean air of {MONTHS[int(air.argmax())]}, the hottest month"
    hot = Term(month, float(sides.temperature[1, 0]), "degC", CLIMATE)
    brine = Term("brine at the plant inlet at the design point", facts.inlet, "degC", INLET)
    rests_on = (*PLANT, *OFF_DESIGN, "brine_flow")
    pumps = facts.metric("well_pump_power")
    if sides.temperature[0, 0] == sides.temperature[2, 0]:
        net = Term("plant net in it", float(sides.power[1, 0]), "kW", rests_on)
        return Working((brine, hot, net, pumps), f"{{{net.label}}} / 1000 - {{well pump power}}")
    (cool, warm), (more, less) = (
        [
            Term(f"{what} {side} it", float(value), unit, under)
            for side, value in zip(("below", "above"), values[::2, 0], strict=True)
        ]
        for what, values, unit, under in (
            ("air of the map", sides.temperature, "degC", ()), ("plant net of the map", sides.power, "kW", rests_on),
        )
    )  # fmt: skip
    part = f"({{{hot.label}}} - {{{cool.label}}}) / ({{{warm.label}}} - {{{cool.label}}})"
    between = f"({{{more.label}}} + ({{{less.label}}} - {{{more.label}}}) * {part})"
    return Working((brine, hot, cool, warm, more, less, pumps), f"{between} / 1000 - {{well pump power}}")


def _stated_in_summer(facts: Facts) -> Working:
    """The least output of a month of a stated plant, with design brine and before outages."""
    net = facts.value("net_capacity") * 1000
    months, slope = facts.listed("plant.stated_output"), facts.input("plant.air_slope", "loss per kelvin")
    warmer = _air_above_design(facts)
    output = [(months[m] if months else net) - net * slope.value * warmer[m] for m in range(len(warmer))]
    at = output.index(min(output))
    if output[at] <= 0:
        return one(Term("nothing is left in the hottest month", 0.0, "MW", ("plant.air_slope", *CLIMATE)))
    hotter = Term("air above the design air", warmer[at], "K", CLIMATE)
    factor = facts.input("plant.performance_factor", "performance factor", 1.0)
    base = Term(f"stated output of {MONTHS[at]}", months[at] / 1000, "MW", ("plant.stated_output",)) if months else None
    terms, formula = [base or facts.metric("net_capacity")], f"{{{base.label}}}" if base else "{net capacity}"
    if slope.value * hotter.value:
        terms += [slope, hotter, *([facts.metric("net_capacity")] if base else [])]
        formula += " - {net capacity} * {loss per kelvin} * {air above the design air}"
    if factor.value != 1:
        terms, formula = [*terms, factor], f"({formula}) * {{performance factor}}"
    return Working(tuple(terms), formula)


def _air_above_design(facts: Facts) -> list[float]:
    """Air of each month above the air that the output is stated at  [K]."""
    offset, monthly = facts.given("site.air_temperature_offset"), facts.listed("site.air_temperature")
    monthly = monthly or facts.listed(MONTHLY_MEANS)
    if not monthly or facts.has("plant.stated_output") or facts.has("plant.stated_capacity_factor"):
        return [offset] * len(MONTH_HOURS)
    design = facts.given("plant.design_air_temperature", hours_mean(tuple(monthly)))
    return [air + offset - design for air in monthly]


def brine_flow(facts: Facts) -> Working:
    if not facts.mapped:
        return one(Term("brine flow stated", facts.mass_flow("plant.stated_brine_flow"), "kg/s",
                         ("plant.stated_brine_flow",)))  # fmt: skip
    if facts.from_wells:
        each = Term("flow of one producer", facts.mass_flow("wells.flow_per_producer"), "kg/s",
                    ("wells.flow_per_producer",))  # fmt: skip
        return Working((facts.metric("producers"), each), "{producers} * {flow of one producer}")
    net = _per_flow(facts, facts.value("plant_net_capacity") * 1000, "plant net power of each kg/s", PLANT)
    pumps = _per_flow(facts, facts.value("well_pump_power") * 1000, "well pumps for each kg/s", PUMPING)
    formula = "1000 * {net capacity} / ({plant net power of each kg/s} - {well pumps for each kg/s})"
    return Working((facts.metric("net_capacity"), net, pumps), formula)


def injection_temperature(facts: Facts) -> Working:
    if steam.by_steam(facts):
        return steam.injection_temperature(facts)
    resource = facts.input("resource.temperature", "temperature at the feed zone")
    lost = facts.lost_on_the_way()
    cooled = resource.value - sum(term.value for term in lost) - facts.value("injection_temperature")
    return signed([resource], [*lost, Term("cooled in the plant", cooled, "K", PLANT)])


def _counted(needed: float, label: str, rests_on: tuple[str, ...]) -> Term:
    """A whole number of wells, printed beside what it is rounded up from."""
    number = float(whole(np.array(needed)))
    return Term(label, number, "wells", rests_on, f"{in_digits(needed, 6)} -> {number:.0f}")


def producers(facts: Facts) -> Working:
    existing = facts.wells("wells.existing_producers", "producers that exist")
    flow, count = facts.value("brine_flow"), facts.value("producers")
    if facts.from_wells or math.isnan(flow) or not facts.has("wells.flow_per_producer"):
        return one(existing)
    each = Term(
        "flow of one producer", facts.mass_flow("wells.flow_per_producer"), "kg/s", ("wells.flow_per_producer",)
    )
    spare = facts.wells("wells.spare_producers", "spare producers")
    label = "producers for the brine flow, the next whole number up"
    needed = _counted(flow / each.value, label, ("brine_flow", "wells.flow_per_producer"))
    if needed.value + spare.value != count and existing.value == count:
        return one(existing)
    if needed.value + spare.value != count:
        label = "least number of producers that gives the capacity, tried from one upward"
        needed = Term(label, count - spare.value, "wells", ("net_capacity", "wells.flow_per_producer"))
    whole_number = signed([needed, spare])
    return replace(whole_number, terms=(facts.metric("brine_flow"), each, *whole_number.terms))


def injectors(facts: Facts) -> Working:
    existing = facts.wells("wells.existing_injectors", "injectors that exist")
    producers, each = (
        facts.metric("producers"),
        facts.input("wells.producers_per_injector", "producers per injector", 1.0),
    )
    needed = _counted(
        producers.value / each.value, "injectors for these, the next whole number up",
        ("producers", "wells.producers_per_injector"),
    )  # fmt: skip
    if math.isnan(facts.value("wells_drilled")) or needed.value != facts.value("injectors"):
        return one(existing)
    return Working((producers, each, needed), f"{{{needed.label}}}")


def new_count(facts: Facts, kind: str) -> float:
    """How many producers or injectors are new."""
    return facts.value(kind) - facts.given(f"wells.existing_{kind}")


def new_wells(facts: Facts, *kinds: str) -> Working:
    """New producers, injectors or both, as those needed less those that exist."""
    there = [facts.wells(f"wells.existing_{kind}", f"{kind} that exist") for kind in kinds]
    return signed([facts.metric(kind) for kind in kinds], there)


def success_of(facts: Facts) -> Success:
    """Chance of success of every well drilled before year 1, as the inputs say it."""

    def share(path: str) -> Floats | None:
        return np.array([facts.given(path)]) if facts.has(path) else None

    settled, there = (
        np.array([facts.given("wells.success", 1.0)]),
        ("wells.existing_producers", "wells.existing_injectors"),
    )
    return success_by_well(
        settled, share("wells.success_first"), int(facts.given("wells.learning_wells")), share("wells.success_exploration"),
        int(facts.given("wells.exploration_wells")), int(sum(map(facts.given, there))),
    )  # fmt: skip


def drilled_for(facts: Facts, good: float) -> float:
    """Wells drilled on average for so many good ones."""
    return float(expected_drilled(np.array([good]), success_of(facts))[0])


def tries(facts: Facts, before: float, good: float, label: str) -> Working:
    """Wells drilled for each of so many good ones that come after others; 1 over a chance where all have the same.

    before : good wells before these;  label : of the mean where chances differ
    """
    if not len(success_of(facts).early):
        return Working((facts.input("wells.success", "success", 1.0),), "1 / {success}")
    mean = (drilled_for(facts, before + good) - drilled_for(facts, before)) / good
    return one(Term(label, mean, "wells", PHASES))


def reused(facts: Facts) -> Term:
    """Failed producers that serve as injectors, no more than are needed."""
    failed = drilled_for(facts, new_count(facts, "producers")) - new_count(facts, "producers")
    number = min(facts.given("wells.failed_as_injectors") * failed, new_count(facts, "injectors"))
    rests_on = PHASES if len(success_of(facts).early) else ()
    return Term("failed producers reused", number, "wells", ("wells.failed_as_injectors", *rests_on))


def wells_drilled(facts: Facts) -> Working:
    new, number = (
        new_wells(facts, "producers", "injectors"),
        new_count(facts, "producers") + new_count(facts, "injectors"),
    )
    if len(success_of(facts).early) and number > 0:
        each = tries(facts, 0.0, number, "wells drilled for each good one, on average")
        drilled = Working((*new.terms, *each.terms), f"{group(new)} * {each.formula}")
    else:
        drilled = over(new, one(facts.input("wells.success", "success", 1.0)))
    again = reused(facts)
    return Working((*drilled.terms, again), f"{drilled.formula} - {{{again.label}}}") if again.value else drilled


def makeup_wells(facts: Facts) -> Working:
    in_service = facts.column("producers")[facts.first :, 0]
    added = Term(
        "make-up producers", float(in_service[-1] - in_service[0]), "wells",
        ("producers", "wells.makeup_threshold", "wells.makeup_stop_years", "wells.makeup_per_year",
         "wells.flow_decline", "wells.decline_shape", "plant.max_brine_flow"),
    )  # fmt: skip
    success = "wells.success_makeup" if facts.has("wells.success_makeup") else "wells.success"
    terms = (
        added, facts.input("wells.producers_per_injector", "producers per injector"), facts.input(success, "success"),
    )  # fmt: skip
    return Working(terms, "{make-up producers} * (1 + 1 / {producers per injector}) / {success}")

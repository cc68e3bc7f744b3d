"""How its energy comes about."""

from dataclasses import replace

from geoecon.energy import LOSSES, MONTH_HOURS
from geoecon.outputs import MONTHS as IN_MONTHS
from geoecon.report.explain.facts import (
    CLIMATE,
    COOLING,
    INLET,
    LOCAL_LOAD,
    MONTHS,
    OFF_DESIGN,
    OUTAGES,
    PLANT,
    STEP_RESTS_ON,
    Facts,
    Term,
    Working,
    group,
    one,
    signed,
)


def _from_ledger(facts: Facts, steps: dict[str, float]) -> Working:
    said = {name: name.replace("_", " ") for name in STEP_RESTS_ON}
    if facts.has("plant.stated_capacity_factor"):
        said["weather"] = "all that the stated capacity factor takes"
    terms = {name: Term(said[name], steps[name], "MWh", STEP_RESTS_ON[name]) for name in STEP_RESTS_ON}
    return signed([terms["gross_at_design"]], [terms[name] for name in LOSSES])


def first_year_energy(facts: Facts) -> Working:
    return _from_ledger(facts, {name: float(values[0]) for name, values in facts.result.ledger.items()})


def lifetime_energy(facts: Facts) -> Working:
    working = _from_ledger(facts, {name: float(values[0]) for name, values in facts.result.ledger_life.items()})
    gross = replace(working.terms[0], rests_on=("gross_capacity", "timeline.operating_years"))
    return replace(working, terms=(gross, *working.terms[1:]))


def lowest_month_energy(facts: Facts) -> Working:
    at = int(facts.result.monthly_energy[:, 0].argmin())
    hours = Term(f"hours of {MONTHS[at]}", MONTH_HOURS[at], "h")
    if facts.result.outputs and not _uneven(facts):
        return _lowest_off_the_map(facts, at, hours)
    mean = Term(
        f"mean power delivered in {MONTHS[at]}", facts.value("lowest_month_energy") / hours.value, "MW",
        ("first_year_energy", *CLIMATE, *OUTAGES, *LOCAL_LOAD),
    )  # fmt: skip
    found = Working((mean, hours), f"{{{mean.label}}} * {{{hours.label}}}")
    return replace(found, terms=(*_at_temperatures(facts, at), *found.terms)) if facts.result.outputs else found


def _uneven(facts: Facts) -> bool:
    """Whether outages, a late start or what is wanted make months differ besides air and brine."""
    late, alone = facts.given("timeline.delay") > 0, facts.words("community.islanded") == "True"
    return facts.has("operation.planned_outage_month") or late or alone


def _at_temperatures(facts: Facts, month: int) -> list[Term]:
    """Air and brine at which the map is read for a month of year 1, and what it gives with everything in service."""
    air, power = facts.month_means()
    brine = float(facts.column("brine_temperature")[facts.first, 0])
    return [
        Term(f"mean air of {MONTHS[month]}", float(air[month]), "degC", CLIMATE),
        Term("brine at the plant inlet, mean of year 1", brine, "degC", (*INLET, *COOLING)),
        Term(f"unit net on the map in {MONTHS[month]}", float(power[month]), "kW", ON_THE_MAP),
    ]


ON_THE_MAP = (*PLANT, *OFF_DESIGN, "brine_flow", "well_pump_power", "plant.output_limit", "site.export_limit")


def _lowest_off_the_map(facts: Facts, month: int, hours: Term) -> Working:
    """The power that the map gives over the equal parts of a month, less outages and what the line loses."""
    air, brine, whole = _at_temperatures(facts, month)
    found = facts.result.outputs[IN_MONTHS]
    count = found.power.shape[1]
    parts = [
        Term(f"{what} in part {part + 1} of {MONTHS[month]}", float(values[month, part, 0]), unit, rests_on)
        for what, values, unit, rests_on in (
            ("air", found.temperature, "degC", CLIMATE), ("unit net on the map", found.power, "kW", ON_THE_MAP),
        )
        for part in range(count)
    ]  # fmt: skip
    shown, powers = (parts, parts[count:]) if count > 1 else ([whole], [whole])
    lost = [
        term
        for path, label in (
            ("operation.planned_outage", "planned outage"), ("operation.forced_outage", "forced outage"),
            ("site.line_loss", "lost on the line"),
        )
        if (term := facts.input(path, label)).value
    ]  # fmt: skip
    mean = f"({' + '.join(f'{{{power.label}}}' for power in powers)}) / {len(powers)}"
    left = "".join(f" * (1 - {{{term.label}}})" for term in lost)
    return Working(
        (air, brine, *shown, hours, *lost),
        f"{mean if count > 1 else group(one(whole))} / 1000 * {{{hours.label}}}{left}",
    )


def curtailed_energy(facts: Facts) -> Working:
    made = facts.unit_net_energy("net_capacity_factor")
    taken = Term("what is taken of it", made.value - facts.value("curtailed_energy"), "MWh", LOCAL_LOAD)
    return Working((made, taken), "{unit net energy of year 1} - {what is taken of it}")


def net_capacity_factor(facts: Facts) -> Working:
    made = facts.unit_net_energy(*(path for step in LOSSES[:8] for path in STEP_RESTS_ON[step]))
    return Working((made, facts.metric("net_capacity")), "{unit net energy of year 1} / ({net capacity} * 8760)")

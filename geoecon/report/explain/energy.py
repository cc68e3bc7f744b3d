"""How its energy comes about."""

from dataclasses import replace

from geoecon.energy import LOSSES, MONTH_HOURS
from geoecon.report.explain.facts import (
    CLIMATE,
    LOCAL_LOAD,
    MONTHS,
    OUTAGES,
    STEP_RESTS_ON,
    Facts,
    Term,
    Working,
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
    hours = MONTH_HOURS[at]
    mean = Term(
        f"mean power delivered in {MONTHS[at]}", facts.value("lowest_month_energy") / hours, "MW",
        ("first_year_energy", *CLIMATE, *OUTAGES, *LOCAL_LOAD),
    )  # fmt: skip
    return Working((mean, Term(f"hours of {MONTHS[at]}", hours, "h")), f"{{{mean.label}}} * {{hours of {MONTHS[at]}}}")


def curtailed_energy(facts: Facts) -> Working:
    made = facts.unit_net_energy("net_capacity_factor")
    taken = Term("what is taken of it", made.value - facts.value("curtailed_energy"), "MWh", LOCAL_LOAD)
    return Working((made, taken), "{unit net energy of year 1} - {what is taken of it}")


def net_capacity_factor(facts: Facts) -> Working:
    made = facts.unit_net_energy(*(path for step in LOSSES[:8] for path in STEP_RESTS_ON[step]))
    return Working((made, facts.metric("net_capacity")), "{unit net energy of year 1} / ({net capacity} * 8760)")

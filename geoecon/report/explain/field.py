"""How the brine of the last year comes about: from the feed zone, less what is lost on the way and over the years."""

from collections.abc import Callable

from geoecon.report.explain.facts import COOLING, Facts, Term, Working, signed

PATH = "resource.temperature_path"


def last_brine_temperature(facts: Facts) -> Working:
    resource = facts.input("resource.temperature", "temperature at the feed zone")
    lost = facts.lost_on_the_way()
    start = signed([resource], lost)
    fallen = resource.value - sum(term.value for term in lost) - facts.value("last_brine_temperature")
    cooler = _FALLS[facts.words(PATH)](facts, fallen)
    if cooler is None:
        return start
    terms = {term.label: term for term in (*start.terms, *cooler.terms)}
    return Working(tuple(terms.values()), f"{start.formula} - {cooler.formula}")


def _by_rate(facts: Facts, fallen: float) -> Working | None:
    life = facts.operating_years
    start = facts.given("resource.decline_start_years")
    years = Term(
        "years from when it begins to the middle of the last", life.value - 0.5 - start, "yr",
        ("timeline.operating_years", "resource.decline_start_years"),
    )  # fmt: skip
    a_year = f"{PATH}: fall a year at the design flow"
    if facts.has(a_year):
        flow = ("resource.temperature_decline", "resource.decline_reference_flow", "brine_flow")
        rate = Term("fall a year at the design flow", facts.given(a_year), "K/yr", flow)
    else:
        rate = facts.input("resource.temperature_decline", "fall a year")
    if rate.value == 0 or years.value <= 0:
        return None
    return Working((rate, years), f"{{{rate.label}}} * {{{years.label}}}")


def _by_returning_water(facts: Facts, fallen: float) -> Working | None:
    hot = facts.input("resource.temperature", "temperature at the feed zone")
    given = "resource.reinjection_temperature"
    back = Term("temperature of injection", facts.given(f"{PATH}: temperature of injection"), "degC",
                (given if facts.has(given) else "injection_temperature",))  # fmt: skip
    share = Term(
        "part of the way to the temperature of injection", fallen / (hot.value - back.value), "1",
        COOLING,
    )  # fmt: skip
    return Working((share, hot, back), f"{{{share.label}}} * ({{{hot.label}}} - {{{back.label}}})")


def _by_table(facts: Facts, fallen: float) -> Working | None:
    table = ("resource.temperature_table",)
    start = Term("start of the table", facts.given(f"{PATH}: start of the table"), "degC", table)
    last = Term("mean of its last year", facts.given(f"{PATH}: last year of the table, mean"), "degC", table)
    factor = facts.input("resource.table_factor", "table factor", 1.0)
    difference = f"({{{start.label}}} - {{{last.label}}})"
    if factor.value == 1:
        return Working((start, last), difference)
    return Working((start, last, factor), f"{difference} * {{{factor.label}}}")


_FALLS: dict[str, Callable[[Facts, float], Working | None]] = {
    "rate": _by_rate,
    "doublet": _by_returning_water,
    "sweep": _by_returning_water,
    "fracture": _by_returning_water,
    "table": _by_table,
}

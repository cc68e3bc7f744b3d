"""How its figures for the people nearby come about."""

from collections.abc import Callable

from geoecon.report.explain.facts import PLANT, Facts, Term, Working, one
from geoecon.steaming import OWN_EMISSION


def _life_mean(facts: Facts) -> Term:
    mean = facts.value("lifetime_energy") / facts.operating_years.value
    return Term("life mean energy", mean, "MWh/yr", ("lifetime_energy", "timeline.operating_years"))


def homes(pick: Callable[[float, float], float], label: str, end: int) -> Callable[[Facts], Working]:
    """Homes from the smaller energy over the higher use, or the larger energy over the lower use."""

    def work(facts: Facts) -> Working:
        first, mean = facts.metric("first_year_energy"), _life_mean(facts)
        energy = first if pick(first.value, mean.value) == first.value else mean
        use = float(facts.words("community.household_use").split(" to ")[end])
        one = Term(label, use, "MWh/yr", ("community.household_use",))
        loss = facts.input("community.distribution_loss", "distribution loss")
        kept = " * (1 - {distribution loss})" if loss.value else ""
        terms = (energy, *([loss] if loss.value else []), one)
        return Working(terms, f"{{{energy.label}}}{kept} / {{{label}}}")

    return work


def _load(facts: Facts) -> Term:
    return Term("local load", sum(facts.listed("community.local_load")), "MWh/yr", ("community.local_load",))


def local_load_share(facts: Facts) -> Working:
    if facts.value("local_load_share") == 1:
        return one(Term("share met, all of it", 1.0, "1", ("first_year_energy", "community.local_load")))
    return Working((facts.metric("first_year_energy"), _load(facts)), "{first year energy} / {local load}")


def _replaced(facts: Facts) -> Term:
    """Energy that takes the place of the supply of today: the life mean, at most the local load."""
    mean = _life_mean(facts)
    load = _load(facts) if facts.has("community.local_load") else mean
    return mean if mean.value <= load.value else load


def fuel_replaced(facts: Facts) -> Working:
    energy, use = _replaced(facts), facts.input("community.displaced_fuel_use", "fuel for a MWh")
    return Working((energy, use), f"{{{energy.label}}} * {{fuel for a MWh}}")


def fuel_replaced_value(facts: Facts) -> Working:
    price = facts.input("community.displaced_fuel_price", "price of fuel")
    return Working((facts.metric("fuel_replaced"), price), "{fuel replaced} * {price of fuel}")


def fuel_still_burned_value(facts: Facts) -> Working:
    terms = (
        _load(facts), facts.input("community.displaced_fuel_use", "fuel for a MWh"), facts.metric("fuel_replaced"),
        facts.input("community.displaced_fuel_price", "price of fuel"),
    )  # fmt: skip
    return Working(terms, "({local load} * {fuel for a MWh} - {fuel replaced}) * {price of fuel}")


def co2_avoided(facts: Facts) -> Working:
    factor = facts.input("site.grid_emission_factor", "emission of the grid")
    if facts.has(OWN_EMISSION):
        own = facts.worked_out(OWN_EMISSION, "gas of its steam", "kg/MWh", (*PLANT, "site.line_loss", "net_capacity"))
        terms = (_life_mean(facts), factor, own)
        return Working(terms, "{life mean energy} * ({emission of the grid} - {gas of its steam}) / 1000")
    return Working((_life_mean(facts), factor), "{life mean energy} * {emission of the grid} / 1000")

"""How its cost comes about, and who pays it."""

from collections.abc import Callable, Iterable
from dataclasses import replace

import numpy as np

from geoecon.costs import BEFORE_WELLS, NOT_BY_DEFAULT
from geoecon.drilling import ONE_WELL, SLIM
from geoecon.report.explain.facts import (
    CAPACITY_OF,
    EQUITY_RETURN,
    INDEX,
    LOAN,
    SPENDING,
    TAX_RATE,
    WELL_COST,
    Facts,
    Term,
    Working,
    added,
    group,
    one,
    signed,
)
from geoecon.report.explain.size import new_count, new_wells, reused, success_of, tries


def _one_well(facts: Facts) -> tuple[Term, Term]:
    """The cost of one good producer and of one good injector; one term where they cost the same."""
    factor = facts.given("wells.cost_factor", 1.0)
    worked_out = next((path for path in ("wells.cost_curve: one well", ONE_WELL) if facts.has(path)), "")
    amount = facts.given(worked_out, facts.given("wells.cost_per_producer") * factor)
    if not facts.has("wells.cost_per_injector"):
        well = Term("one well", amount, facts.currency, WELL_COST)
        return well, well
    other = facts.given("wells.cost_per_injector") * factor
    return (
        Term("one producer", amount, facts.currency, WELL_COST),
        Term("one injector", other, facts.currency, ("wells.cost_per_injector", "wells.cost_factor")),
    )


def _wells(facts: Facts) -> Working:
    """Good wells and the dry holes expected beside them; a failed producer that serves as injector saves one."""
    costs = dict(zip(("producers", "injectors"), _one_well(facts), strict=True))
    alike = not len(success_of(facts).early)
    kinds = [kind for kind in costs if new_count(facts, kind)]
    if alike or not kinds:
        drilled = added(_each(costs[kind], new_wells(facts, kind)) for kind in kinds)
        tried = _with_dry_holes(facts, drilled, tries(facts, 0.0, 1.0, ""))
    else:
        tried = added(_tried(facts, kind, costs[kind]) for kind in kinds)
    again = reused(facts)
    if not again.value:
        return tried
    saved = _each(costs["injectors"], one(again))
    return Working((*tried.terms, *saved.terms), f"{tried.formula} - {saved.formula}")


def _tried(facts: Facts, kind: str, cost: Term) -> Working:
    """Producers or injectors of a field that is explored or learnt, each kind with dry holes of its own."""
    before = new_count(facts, "producers") if kind == "injectors" else 0.0
    label = f"wells drilled for each good {kind.removesuffix('s')}, on average"
    return _with_dry_holes(
        facts, _each(cost, new_wells(facts, kind)), tries(facts, before, new_count(facts, kind), label)
    )


def _with_dry_holes(facts: Facts, good: Working, each: Working) -> Working:
    """Good wells at their cost, with the dry holes that are expected beside them.

    each : wells drilled for a good one
    """
    dry = facts.input("wells.dry_hole_cost", "cost of a dry hole")
    formula = f"{group(good)} * (1 + ({each.formula} - 1) * {{{dry.label}}})"
    return Working((*good.terms, *each.terms, dry), formula)


def _each(cost: Term, wells: Working) -> Working:
    """The cost of one for a number of them."""
    return Working((cost, *wells.terms), f"{{{cost.label}}} * {group(wells)}")


def _slim_holes(facts: Facts) -> Working:
    """Slim holes at what one costs, stated or a share of a full-size well."""
    holes = Term("slim holes", facts.given("wells.slim_holes"), "holes", ("wells.slim_holes",))
    if facts.has(SLIM):
        each = Term("one slim hole", facts.given(SLIM), facts.currency, (SLIM, "wells.slim_hole_depth", *WELL_COST))
    else:
        each = facts.input("wells.slim_hole_cost", "one slim hole")
    return Working((each, holes), "{one slim hole} * {slim holes}")


def _pumps(facts: Facts) -> Working:
    """A pump for every new producer."""
    return _each(facts.input("operation.pump_cost", "one pump"), new_wells(facts, "producers"))


def _plant(facts: Facts) -> Working:
    """Cost per kW times capacity, or from the size that it was quoted for by a power."""
    basis = facts.words("plant.cost_basis") or "plant-net"
    size = replace(facts.metric(CAPACITY_OF[basis]), rests_on=(CAPACITY_OF[basis], "plant.cost_basis"))
    each = facts.input("plant.cost_per_kw", "plant cost per kW")
    if not facts.has("plant.cost_reference_capacity"):
        return Working((each, size), f"{{plant cost per kW}} * 1000 * {{{size.label}}}")
    quoted = facts.input("plant.cost_reference_capacity", "size quoted for")
    power = facts.input("plant.cost_exponent", "exponent", 1.0)
    formula = (
        f"{{plant cost per kW}} * {{size quoted for}} * (1000 * {{{size.label}}} / {{size quoted for}}) ** {{exponent}}"
    )
    return Working((each, size, quoted, power), formula)


def _owners_cost(facts: Facts) -> Working:
    """An amount, or a share of all other capital with its contingency."""
    stated = facts.input("capital.owners_cost", "owner's cost")
    if stated.unit != "1":
        return one(stated)
    others = sum(float(amount[0]) for name, amount in facts.result.capital_accounts.items() if name != "owners_cost")
    return Working((stated, Term("all other capital", others, facts.currency)), "{owner's cost} * {all other capital}")


def _stated(path: str) -> Callable[[Facts], Working]:
    """An account that is an amount of the case."""
    return lambda facts: one(facts.input(path, _said(path)))


def _said(path: str) -> str:
    return path.rpartition(".")[2].replace("_", " ")


# What each account is charged on, before contingency.
CAPITAL: dict[str, Callable[[Facts], Working]] = {
    "exploration": _stated("capital.exploration"),
    "slim_holes": _slim_holes,
    "permits": _stated("capital.permits"),
    "wells": _wells,
    "pumps": _pumps,
    "plant": _plant,
    "gathering": _stated("capital.gathering"),
    "grid_connection": _stated("capital.grid_connection"),
    "owners_cost": _owners_cost,
}


def _bought(facts: Facts, accounts: Iterable[str]) -> Working:
    """Accounts, those of one contingency together; an account that comes to nothing is left out."""
    stated = facts.named("capital.contingency")
    groups: dict[str, list[Working]] = {}
    for name in accounts:
        if facts.result.capital_accounts[name][0]:
            share_of = name if name in stated or name == NOT_BY_DEFAULT else "all"
            groups.setdefault(share_of, []).append(CAPITAL[name](facts))
    return added(_with_contingency(name, added(parts), stated.get(name, 0.0)) for name, parts in groups.items())


def _or_nothing(cost: Working, unit: str) -> Working:
    """A cost, or words where none is stated."""
    return cost if cost.terms else one(Term("no such cost is stated", 0.0, unit))


def _with_contingency(name: str, base: Working, share: float) -> Working:
    if not share:
        return base
    label = "contingency" if name == "all" else f"contingency of {name.replace('_', ' ')}"
    term = Term(label, share, "1", ("capital.contingency",))
    return Working((*base.terms, term), f"{group(base)} * (1 + {{{label}}})")


def capital_cost(facts: Facts) -> Working:
    return _or_nothing(_bought(facts, facts.result.capital_accounts), facts.currency)


def capital_cost_per_kw(facts: Facts) -> Working:
    return Working(
        (facts.metric("capital_cost"), facts.metric("net_capacity")), "{capital cost} / (1000 * {net capacity})"
    )


def capital_at_risk(facts: Facts) -> Working:
    early = _bought(facts, [name for name in BEFORE_WELLS if name in facts.result.capital_accounts])
    if not new_count(facts, "producers") > 0 or facts.given("wells.existing_producers", 0.0):
        return _or_nothing(early, facts.currency)
    producer, _ = _one_well(facts)
    until = tries(facts, 0.0, 1.0, "wells drilled until the first good one, on average")
    contingency = facts.named("capital.contingency").get(NOT_BY_DEFAULT, 0.0)
    first = _with_contingency(NOT_BY_DEFAULT, _with_dry_holes(facts, one(producer), until), contingency)
    return added([early, first] if early.terms else [first])


def interest_during_construction(facts: Facts) -> Working:
    years, paid = facts.column("year")[:, 0], facts.column("interest")[:, 0]
    rests_on = ("finance.debt_share", "finance.debt_rate", "finance.upfront_fee", "finance.reserve_months", *SPENDING)
    return signed(
        Term(f"interest of year {years[row]:.0f}", float(paid[row]), facts.currency, rests_on)
        for row in range(facts.first)
    )


def _uses(facts: Facts) -> list[Term]:
    reserve = float(facts.column("reserve_balance")[facts.first - 1, 0])
    return [
        Term("initial capital, nominal", facts.sum_before(facts.column("capital")), facts.currency, SPENDING),
        facts.metric("interest_during_construction"),
        Term("fees", facts.sum_before(facts.column("fees")), facts.currency, ("finance.upfront_fee",)),
        Term("first reserve", reserve, facts.currency, ("finance.reserve_months", "finance.debt_rate",
                                                        "finance.debt_years", "finance.debt_shape")),
    ]  # fmt: skip


def debt(facts: Facts) -> Working:
    """A share of all uses; where cover sizes it, what the service that cash covers is worth at the debt rate."""
    if facts.words("finance.debt_sizing") == "cover":
        paid = np.isfinite(facts.column("dscr"))
        flows = {name: np.where(paid, facts.column(name), 0.0) for name in ("interest", "principal")}
        rate, rests_on = (
            facts.result.loan_rate,
            (
                "finance.target_dscr",
                "finance.lender_energy",
                "finance.lender_energy_by_year",
                "finance.debt_share",
                *LOAN,
            ),
        )
        return signed([Term(f"value of {n}", facts.worth(f, rate), facts.currency, rests_on) for n, f in flows.items()])
    uses, share = signed(_uses(facts)), facts.input("finance.debt_share", "debt share")
    return Working((share, *uses.terms), f"{{debt share}} * {group(uses)}")


def equity(facts: Facts) -> Working:
    grant = Term("grant", facts.sum_before(facts.column("grant")), facts.currency, ("capital.grant",))
    return signed(_uses(facts), [facts.metric("debt"), grant])


def _fixed_cost(facts: Facts) -> Working:
    """As stated, a year or for each kW; at least the floor for staff."""
    stated = facts.input("operation.fixed_cost", "fixed cost")
    floor = facts.input("operation.staff_floor", "staff floor")
    per_kw, net = "/kW" in stated.unit, facts.metric("net_capacity")
    if floor.value > stated.value * (1000 * net.value if per_kw else 1.0):
        return one(floor)
    return Working((stated, net), "{fixed cost} * 1000 * {net capacity}") if per_kw else one(stated)


def _variable_cost(facts: Facts) -> Working:
    each, made = facts.input("operation.variable_cost", "variable cost"), facts.unit_net_energy("net_capacity_factor")
    return Working((each, made), "{variable cost} * {unit net energy of year 1}")


def _water(facts: Facts) -> Working:
    """Make-up water of year 1 at its price; each MWh gross takes what it does at the design point."""
    each = facts.input("operation.water_cost", "cost of water")
    assert facts.result.water is not None
    rests_on = ("plant.cooling: water make-up", "first_year_energy")
    used = Term("make-up water of year 1", float(facts.result.water.by_year[0, 0]), "m3", rests_on)
    return Working((each, used), "{cost of water} * {make-up water of year 1}")


def _wellfield_cost(facts: Facts) -> Working:
    """The cost of one well a year, for every producer and injector in service."""
    counts = [facts.metric(name) for name in ("producers", "injectors") if facts.value(name) > 0]
    return _each(facts.input("operation.wellfield_cost", "well field cost of one well"), signed(counts))


def _shortfall_penalty(facts: Facts) -> Working:
    """What is promised and not delivered in year 1, at a nominal penalty, in money of the price year."""
    penalty = facts.input("market.shortfall_penalty", "penalty of a MWh that is short")
    promised, made = facts.input("market.guaranteed_energy", "promised energy"), facts.metric("first_year_energy")
    level = Term("price level of year 1", float(facts.result.index[facts.first, 0]), "1", INDEX)
    formula = f"{{{penalty.label}}} * ({{{promised.label}}} - {{{made.label}}}) / {{{level.label}}}"
    return Working((penalty, promised, made, level), formula)


def _share_of_capital(path: str) -> Callable[[Facts], Working]:
    """An account that is an amount a year, or a share of the capital cost."""

    def work(facts: Facts) -> Working:
        stated = facts.input(path, _said(path))
        if stated.unit != "1/yr":
            return one(stated)
        return Working((stated, facts.metric("capital_cost")), f"{{{stated.label}}} * {{capital cost}}")

    return work


def _property_tax(facts: Facts) -> Working:
    """An amount or a share of capital cost, less what is abated in year 1."""
    whole = _share_of_capital("operation.property_tax")(facts)
    abated = facts.input("operation.property_tax_abatement", "abatement")
    return Working((*whole.terms, abated), f"{whole.formula} * (1 - {{abatement}})") if abated.value else whole


def _lease_rent(facts: Facts) -> Working:
    """Rent of an acre times acres; money of year 1, put into that of the price year."""
    rent, acres = (
        facts.input("operation.lease: rent from year 1", "rent of an acre"),
        facts.input("operation.lease_acres", "acres"),
    )
    level = Term("price level of year 1", float(facts.result.index[facts.first, 0]), "1", INDEX)
    return Working((rent, acres, level), "{rent of an acre} * {acres} / {price level of year 1}")


def _community_fund(facts: Facts) -> Working:
    """An amount a year, or for each MWh of year 1."""
    stated = facts.input("operation.community_fund", "community fund")
    if not stated.unit.endswith("/MWh"):
        return one(stated)
    made = facts.metric("first_year_energy")
    return Working((stated, made), f"{{community fund}} * {{{made.label}}}")


def _bond_premium(facts: Facts) -> Working:
    rate = facts.input("capital.decommissioning_bond", "bond premium")
    cost = facts.input("capital.decommissioning", "decommissioning")
    return Working((rate, cost), "{bond premium} * {decommissioning}")


# What each account of year 1 is charged on, in money of the price year; shares of revenue are not among them.
OPERATING: dict[str, Callable[[Facts], Working]] = {
    "fixed_cost": _fixed_cost,
    "variable_cost": _variable_cost,
    "water": _water,
    "wellfield_cost": _wellfield_cost,
    "insurance": _share_of_capital("operation.insurance"),
    "property_tax": _property_tax,
    "land": _stated("operation.land"),
    "lease_rent": _lease_rent,
    "community_fund": _community_fund,
    "bond_premium": _bond_premium,
    "shortfall_penalty": _shortfall_penalty,
}


def first_year_operating_cost(facts: Facts) -> Working:
    accounts = facts.result.operating_accounts
    paid = [name for name in OPERATING if name in accounts and accounts[name][facts.first, 0]]
    return _or_nothing(added(OPERATING[name](facts) for name in paid), f"{facts.currency}/yr")


def wacc(facts: Facts) -> Working:
    wanted = Term("return on equity", float(facts.wanted[0]), "1/yr", EQUITY_RETURN)
    share = facts.input("finance.debt_share", "debt share")
    if not share.value:
        return one(wanted)
    rate = Term("debt rate", float(facts.result.loan_rate[0]), "1/yr", ("finance.debt_rate",))
    tax = Term("tax rate", facts.tax_rate, "1", TAX_RATE)
    formula = "{debt share} * {debt rate} * (1 - {tax rate}) + (1 - {debt share}) * {return on equity}"
    return Working((share, rate, tax, wanted), formula)

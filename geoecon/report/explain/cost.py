"""How its cost comes about, and who pays it."""

from collections.abc import Callable, Iterable

from geoecon.report.explain.facts import (
    CAPACITY_OF,
    CAPITAL_RESTS_ON,
    EQUITY_RETURN,
    SPENDING,
    TAX_RATE,
    WELL_COST,
    Facts,
    Term,
    Working,
    group,
    one,
    signed,
)


def _capital_terms(facts: Facts, accounts: Iterable[str]) -> list[Term]:
    found = []
    for name in accounts:
        rests_on = (*CAPITAL_RESTS_ON.get(name, ()), "capital.contingency")
        if name == "plant":
            rests_on = (*rests_on, CAPACITY_OF[facts.words("plant.cost_basis") or "plant-net"])
        amount = float(facts.result.capital_accounts[name][0])
        found.append(Term(name.replace("_", " "), amount, facts.currency, rests_on))
    return found


def capital_cost(facts: Facts) -> Working:
    return signed(_capital_terms(facts, facts.result.capital_accounts))


def capital_cost_per_kw(facts: Facts) -> Working:
    return Working(
        (facts.metric("capital_cost"), facts.metric("net_capacity")), "{capital cost} / (1000 * {net capacity})"
    )


def capital_at_risk(facts: Facts) -> Working:
    early = signed(_capital_terms(facts, [n for n in ("exploration", "permits") if n in facts.result.capital_accounts]))
    if not facts.value("producers") - facts.given("wells.existing_producers") > 0:
        return early
    success, dry = facts.input("wells.success", "success"), facts.input("wells.dry_hole_cost", "cost of a dry hole")
    curve = "wells.cost_curve: one well"
    amount = facts.given(curve, facts.given("wells.cost_per_producer") * facts.given("wells.cost_factor", 1.0))
    one = Term("one producer", amount, facts.currency, WELL_COST)
    tries = "{one producer} * (1 + (1 / {success} - 1) * {cost of a dry hole})"
    return Working((*early.terms, one, success, dry), f"{early.formula} + {tries}")


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
    uses, share = signed(_uses(facts)), facts.input("finance.debt_share", "debt share")
    return Working((share, *uses.terms), f"{{debt share}} * {group(uses)}")


def equity(facts: Facts) -> Working:
    grant = Term("grant", facts.sum_before(facts.column("grant")), facts.currency, ("capital.grant",))
    return signed(_uses(facts), [facts.metric("debt"), grant])


def first_year_operating_cost(facts: Facts) -> Working:
    """The accounts of year 1, each from what it is charged on; those that come to nothing are left out."""
    charged: dict[str, Callable[[Facts], Working]] = {
        "fixed_cost": _fixed_cost,
        "variable_cost": _variable_cost,
        "wellfield_cost": _wellfield_cost,
        "insurance": lambda facts: _share_of_capital(facts, "insurance"),
        "property_tax": lambda facts: _share_of_capital(facts, "property_tax"),
        "land": lambda facts: one(facts.input("operation.land", "land")),
    }
    accounts = facts.result.operating_accounts
    parts = [work(facts) for name, work in charged.items() if name in accounts and accounts[name][facts.first, 0]]
    if not parts:
        return one(Term("no operating cost is stated", 0.0, f"{facts.currency}/yr", ("operation.fixed_cost",)))
    terms = {term.label: term for part in parts for term in part.terms}
    return Working(tuple(terms.values()), " + ".join(part.formula for part in parts))


def _fixed_cost(facts: Facts) -> Working:
    """As stated, a year or for each kW; at least the floor for staff."""
    stated, floor = (
        facts.input("operation.fixed_cost", "fixed cost"),
        facts.input("operation.staff_floor", "staff floor"),
    )
    per_kw, net = "/kW" in stated.unit, facts.metric("net_capacity")
    if floor.value > stated.value * (1000 * net.value if per_kw else 1.0):
        return one(floor)
    return Working((stated, net), "{fixed cost} * 1000 * {net capacity}") if per_kw else one(stated)


def _variable_cost(facts: Facts) -> Working:
    made = Term("unit net energy of year 1", float(facts.result.ledger["unit_net"][0]), "MWh", ("net_capacity_factor",))
    return Working((facts.input("operation.variable_cost", "variable cost"), made),
                   "{variable cost} * {unit net energy of year 1}")  # fmt: skip


def _wellfield_cost(facts: Facts) -> Working:
    """The cost of one well a year, for every producer and injector in service."""
    each = facts.input("operation.wellfield_cost", "well field cost of one well")
    counts = [facts.metric(name) for name in ("producers", "injectors") if facts.value(name) > 0]
    wells = signed(counts)
    return Working((each, *wells.terms), f"{{{each.label}}} * {group(wells)}")


def _share_of_capital(facts: Facts, name: str) -> Working:
    """Insurance or property tax: an amount a year, or a share of the capital cost."""
    stated = facts.input(f"operation.{name}", name.replace("_", " "))
    if stated.unit != "1/yr":
        return one(stated)
    return Working((stated, facts.metric("capital_cost")), f"{{{stated.label}}} * {{capital cost}}")


def wacc(facts: Facts) -> Working:
    wanted = Term("return on equity", float(facts.wanted[0]), "1/yr", EQUITY_RETURN)
    share = facts.input("finance.debt_share", "debt share")
    if not share.value:
        return one(wanted)
    rate = Term("debt rate", float(facts.result.loan_rate[0]), "1/yr", ("finance.debt_rate",))
    tax = Term("tax rate", facts.tax_rate, "1", TAX_RATE)
    formula = "{debt share} * {debt rate} * (1 - {tax rate}) + (1 - {debt share}) * {return on equity}"
    return Working((share, rate, tax, wanted), formula)

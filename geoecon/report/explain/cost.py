"""How its cost comes about, and who pays it."""

from collections.abc import Iterable

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


def wacc(facts: Facts) -> Working:
    wanted = Term("return on equity", float(facts.wanted[0]), "1/yr", EQUITY_RETURN)
    share = facts.input("finance.debt_share", "debt share")
    if not share.value:
        return one(wanted)
    rate = Term("debt rate", float(facts.result.loan_rate[0]), "1/yr", ("finance.debt_rate",))
    tax = Term("tax rate", facts.tax_rate, "1", TAX_RATE)
    formula = "{debt share} * {debt rate} * (1 - {tax rate}) + (1 - {debt share}) * {return on equity}"
    return Working((share, rate, tax, wanted), formula)

"""How the figures come about that a utility, a cooperative and a public owner look at."""

import numpy as np

from geoecon.arrays import over_years
from geoecon.finance.owners import later_money
from geoecon.report.explain import flows
from geoecon.report.explain.facts import SPENDING, TAX, Facts, Term, Working, over, signed

REQUIREMENT = {
    "operating cost": (*flows.OPERATING, "capital.decommissioning"),
    "depreciation": (*SPENDING, "capital.grant", "timeline.operating_years"),
    "return on the rate base": (*SPENDING, "finance.debt_share", "finance.debt_rate", "finance.allowed_return"),
    "income tax": TAX,
}


def tier_min(facts: Facts) -> Working:
    """In the year in which interest is earned the fewest times."""
    first, (interest, _) = facts.first, flows.only_interest(facts)["interest"]
    (charged, _), cash = next(iter(flows.charged(facts).values())), facts.column("cfads")
    with np.errstate(invalid="ignore", divide="ignore"):
        earned = ((cash + facts.result.sustaining_from_cash - charged) / interest)[first:, 0]
    year = int(np.argmin(np.where(interest[first:, 0] > 0, earned, np.inf))) + 1
    comes, goes = flows.of_earnings(facts)
    margin = signed(flows.in_year(facts, comes, year), flows.in_year(facts, goes, year))
    return over(margin, signed(flows.in_year(facts, flows.only_interest(facts), year)))


def revenue_requirement(facts: Facts) -> Working:
    """Every part at the utility's own rate, over energy at that rate."""
    rate = facts.result.asked["requirement_rate"]
    own = ("finance.debt_share", "finance.debt_rate", "finance.allowed_return", "finance.equity_return")
    rests_on = {**REQUIREMENT, "shares of revenue": facts.takers}
    parts = {name: (values, rests_on[name]) for name, values in facts.result.requirement.items()}
    energy = Term("energy discounted at its own rate", facts.worth(facts.column("delivered_energy"), rate), "MWh",
                  ("lifetime_energy", *own))  # fmt: skip
    return over(signed(flows.worth(facts, parts, rate, own)), signed([energy]))


def total_commitment(facts: Facts) -> Working:
    added = float(over_years(later_money(facts.column("cash_flow_equity"), facts.first))[0])
    later = Term("money that later years want", added, facts.currency, flows.under(*flows.of_owner(facts)))
    return signed([facts.metric("debt"), facts.metric("equity"), later])

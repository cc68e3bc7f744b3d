"""How its levelized costs and prices come about."""

import re
from collections.abc import Callable

import numpy as np

from geoecon.arrays import Floats
from geoecon.report.explain.facts import (
    CLOSING,
    DISCOUNT,
    EQUITY_RETURN,
    INDEX,
    OPERATING,
    OWNER_FLOWS,
    PRICE,
    SPENDING,
    SUSTAINING,
    TAX,
    Facts,
    Term,
    Working,
    kept,
    less,
    one,
    over,
    signed,
)
from geoecon.report.explain.printed import CLOSE, gives


def _costs(facts: Facts) -> list[Term]:
    """Value of all cost that knows no tax, at the discount rate."""
    parts = {
        "initial capital": (facts.initial, SPENDING),
        "sustaining capital": (facts.column("sustaining_capital"), SUSTAINING),
        "operating cost": (facts.fixed_operating, OPERATING),
        "decommissioning": (facts.column("decommissioning"), CLOSING),
    }
    return [
        Term(f"value of {name}", facts.worth(flows, facts.discount), facts.currency, (*rests_on, *DISCOUNT))
        for name, (flows, rests_on) in parts.items()
    ]


def _energy_worth(facts: Facts, index: Floats) -> Term:
    energy = facts.worth(facts.column("delivered_energy") * index, facts.discount)
    return Term("discounted energy", energy, "MWh", ("lifetime_energy", *DISCOUNT, *(INDEX if index.max() > 1 else ())))


def _level_index(facts: Facts, metric: str) -> Floats:
    return facts.result.index if metric.endswith("_real") else np.ones_like(facts.result.index)


def levelized_cost(metric: str) -> Callable[[Facts], Working]:
    def work(facts: Facts) -> Working:
        worth = kept(facts, _energy_worth(facts, _level_index(facts, metric)), tax=False)
        return over(signed(_costs(facts)), worth)

    return work


def levelized_after_tax(metric: str) -> Callable[[Facts], Working]:
    def work(facts: Facts) -> Working:
        energy = _energy_worth(facts, _level_index(facts, metric))
        stated = facts.metric(f"price_levelized_{metric.rpartition('_')[2]}", "stated price as one level price")
        straight = less(stated, over(one(facts.metric("npv")), kept(facts, energy, tax=True)))
        return straight if gives(straight, facts.value(metric)) else _after_tax_by_difference(facts, metric, energy)

    return work


def _after_tax_by_difference(facts: Facts, metric: str, energy: Term) -> Working:
    """The level price as cost and tax over energy; tax at that price is what the search leaves for it."""
    costs = _costs(facts)
    grant = Term("value of the grant", facts.worth(facts.column("grant"), facts.discount), facts.currency,
                 ("capital.grant", *DISCOUNT))  # fmt: skip
    revenue = facts.value(metric) * energy.value * (1 - facts.royalty)
    tax = revenue + grant.value - sum(term.value for term in costs)
    tax = 0.0 if abs(tax) < CLOSE * revenue else tax
    other = " and payments for capacity" if facts.has("market.capacity_price") else ""
    label = f"value of tax less credits{other} at this price, by difference"
    rest = Term(label, tax, facts.currency, (*TAX, "market.capacity_price"))
    return over(signed([*costs, rest], [grant]), kept(facts, energy, tax=False))


def required_price(facts: Facts) -> Working:
    straight = _straight_to_required(facts)
    if straight is not None and gives(straight, facts.value("required_price")):
        return straight
    rests_on = (*OWNER_FLOWS, *EQUITY_RETURN, "finance.target_dscr", "project.owner")
    return one(Term("first price of the schedule, found by search", facts.value("required_price"),
                     facts.result.metrics["required_price"].unit, rests_on))  # fmt: skip


def _straight_to_required(facts: Facts) -> Working | None:
    """From the stated price straight to the required one: right where tax moves in proportion to the price."""
    shape, unit = _price_shape(facts), facts.result.metrics["required_price"].unit
    if shape is None:
        return None
    energy = facts.column("delivered_energy") * shape
    bound = re.match(r"set by (cover|cash)\D* in year (\d+)", facts.result.metrics["required_price"].note)
    if bound:
        surplus, worth = _of_binding_year(facts, energy, bound[1], int(bound[2]))
    else:
        surplus = facts.metric("npv_equity", "value to the owner at the stated price")
        worth = Term(
            "discounted energy at the shape of the price", facts.worth(energy, facts.wanted), "MWh",
            ("lifetime_energy", *PRICE, *EQUITY_RETURN),
        )  # fmt: skip
    stated = Term("stated price of year 1", float(facts.column("price")[facts.first, 0]), unit, PRICE)
    return less(stated, over(one(surplus), kept(facts, worth, tax=True)))


def _of_binding_year(facts: Facts, energy: Floats, kind: str, year: int) -> tuple[Term, Term]:
    """Cash above what is needed in the year that binds, at the stated price, and the energy that the price is paid for."""
    row, target = facts.first + year - 1, float(facts.result.asked["target_dscr"][0])
    service = float((facts.column("interest") + facts.column("principal"))[row, 0])
    if kind == "cover":
        spare, said = float(facts.column("cfads")[row, 0]) - target * service, "cash above the cover asked"
    else:
        spare, said = float(facts.column("cash_flow_equity")[row, 0]), "cash left to the owner"
    surplus = Term(f"{said} in year {year} at the stated price", spare, facts.currency,
                   (*OWNER_FLOWS, "finance.target_dscr"))  # fmt: skip
    return surplus, Term(f"energy of year {year} at the shape of the price", float(energy[row, 0]), "MWh", PRICE)


def _price_shape(facts: Facts) -> Floats | None:
    """Price of each year over that of year 1, zero where the price after the term holds; None without a price."""
    price = facts.column("price")
    start = float(price[facts.first, 0])
    if not start > 0:
        return None
    years = len(price) - facts.first
    if facts.has("market.price_after_term"):
        schedule = facts.listed("market.price_schedule")
        years = len(schedule) or int(facts.given("market.term_years", years))
    rows = np.arange(len(price)).reshape(-1, 1)
    return np.where((rows >= facts.first) & (rows < facts.first + years), price / start, 0.0)


def price_levelized(metric: str) -> Callable[[Facts], Working]:
    def work(facts: Facts) -> Working:
        sales = facts.worth(facts.column("price") * facts.column("delivered_energy"), facts.discount)
        term = Term("value of energy sold", sales, facts.currency, (*PRICE, "lifetime_energy", *DISCOUNT))
        energy = _energy_worth(facts, _level_index(facts, metric))
        return Working((term, energy), "{value of energy sold} / {discounted energy}")

    return work

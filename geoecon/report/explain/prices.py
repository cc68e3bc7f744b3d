"""How its levelized costs and prices come about.

A price found by search is shown as what it must pay for over what a unit of price brings, tax at that price in. It is
then put back: the same streams at that price leave nothing over.
"""

import re
from collections.abc import Callable

import numpy as np

from geoecon.arrays import Floats
from geoecon.report.explain import flows
from geoecon.report.explain.facts import (
    DISCOUNT,
    EQUITY_RETURN,
    INDEX,
    ROYALTY,
    Check,
    Facts,
    Term,
    Working,
    group,
    over,
    signed,
)


def _kept(facts: Facts, energy: Term) -> Working:
    """What a unit of price brings: energy, less what a royalty takes of it."""
    if not facts.royalty:
        return Working((energy,), f"{{{energy.label}}}")
    return Working((energy, Term("royalty", facts.royalty, "1", ROYALTY)), f"{{{energy.label}}} * (1 - {{royalty}})")


def _energy_worth(facts: Facts, index: Floats) -> Term:
    energy = facts.worth(facts.column("delivered_energy") * index, facts.discount)
    return Term("discounted energy", energy, "MWh", ("lifetime_energy", *DISCOUNT, *(INDEX if index.max() > 1 else ())))


def _level_index(facts: Facts, metric: str) -> Floats:
    return facts.result.index if metric.endswith("_real") else np.ones_like(facts.result.index)


def levelized_cost(metric: str) -> Callable[[Facts], Working]:
    def work(facts: Facts) -> Working:
        costs = flows.worth(facts, flows.costs(facts), facts.discount, DISCOUNT)
        return over(signed(costs), _kept(facts, _energy_worth(facts, _level_index(facts, metric))))

    return work


def life_cycle_cost(facts: Facts) -> Working:
    costs = signed(flows.worth(facts, flows.costs(facts), facts.discount, DISCOUNT))
    if not facts.royalty:
        return costs
    royalty = Term("royalty", facts.royalty, "1", ROYALTY)
    return Working((*costs.terms, royalty), f"{group(costs)} / (1 - {{royalty}})")


def _spared(facts: Facts) -> Working:
    """What the supply replaced would cost: its price of today in price-year money, over the life."""
    now = facts.input("community.current_price", "price of the supply replaced")
    energy = _energy_worth(facts, facts.result.index)
    return Working((now, energy), f"{{{now.label}}} * {{{energy.label}}}")


def net_benefits(facts: Facts) -> Working:
    spared, cost = _spared(facts), facts.metric("life_cycle_cost")
    return Working((*spared.terms, cost), f"{spared.formula} - {{{cost.label}}}")


def savings_to_investment_ratio(facts: Facts) -> Working:
    """Running cost is taken off the savings, with the royalty that the life-cycle cost counts."""
    running = flows.operating_cost(facts)
    every = {name: stream for name, stream in flows.costs(facts).items() if name not in running}
    invested = signed(flows.worth(facts, every, facts.discount, DISCOUNT))
    off = flows.worth(facts, running, facts.discount, DISCOUNT)
    spared = _spared(facts)
    terms, formula = [*spared.terms, *off], f"{spared.formula} - {{{off[0].label}}}"
    if facts.royalty:
        terms += [facts.metric("life_cycle_cost"), Term("royalty", facts.royalty, "1", ROYALTY)]
        formula += " - {royalty} * {life cycle cost}"
    return Working((*terms, *invested.terms), f"({formula}) / {group(invested)}")


def levelized_after_tax(metric: str) -> Callable[[Facts], Working]:
    def work(facts: Facts) -> Working:
        found = facts.result.found_prices[metric]
        pays = {**flows.costs(facts), **flows.tax_at(found)}
        need = signed(
            *(flows.worth(facts, streams, facts.discount, DISCOUNT) for streams in (pays, flows.other_income(facts)))
        )
        energy = _energy_worth(facts, _level_index(facts, metric))
        return _found(facts, metric, need, energy, "value of the project at this price")

    return work


def required_price(facts: Facts) -> Working:
    bound = re.match(r"set by (cover|cash)\D* in year (\d+)", facts.result.metrics["required_price"].note)
    return _in_binding_year(facts, bound[1], int(bound[2])) if bound else _over_the_life(facts)


def _over_the_life(facts: Facts) -> Working:
    """The return asked on equity decides: what the owner pays and receives, valued at that return."""
    found = facts.result.found_prices["required_price"]
    facts = facts.at(found)
    pays = {**flows.costs(facts), **flows.loan_costs(facts), **flows.tax_at(found), **flows.withheld_at(found)}
    receives = {**flows.other_income(facts), **flows.loan_drawn(facts), **flows.sales_that_stay(facts, found)}
    need = signed(*(flows.worth(facts, streams, facts.wanted, EQUITY_RETURN) for streams in (pays, receives)))
    shaped = facts.worth(facts.column("delivered_energy") * found.path.shape, facts.wanted)
    energy = Term("discounted energy at the shape of the price", shaped, "MWh",
                  ("lifetime_energy", *flows.price_shape(facts), *EQUITY_RETURN))  # fmt: skip
    return _found(facts, "required_price", need, energy, "value to the owner at this price")


def _in_binding_year(facts: Facts, kind: str, year: int) -> Working:
    """One year decides: its cash must cover debt service as often as asked, or must not be less than nothing."""
    found = facts.result.found_prices["required_price"]
    facts = facts.at(found)
    receives = {**flows.capacity(facts), **flows.sales_that_stay(facts, found)}
    if kind == "cover":
        pays = {**flows.operating_cost(facts), **flows.tax_at(found), **flows.sustaining_from_cash(facts)}
        service = signed(flows.in_year(facts, flows.service_from_cash(facts), year))
        target = Term("cover asked", float(facts.result.asked["target_dscr"][0]), "1", ("finance.target_dscr",))
        running = signed(flows.in_year(facts, pays, year), flows.in_year(facts, receives, year))
        need = Working((target, *service.terms, *running.terms),
                       f"{{cover asked}} * {group(service)} + {running.formula}")  # fmt: skip
        left = f"cash above the cover asked in year {year}, at this price"
    else:
        pays = {**flows.costs(facts), **flows.loan_costs(facts), **flows.tax_at(found)}
        need = signed(flows.in_year(facts, pays, year), flows.in_year(facts, receives, year))
        left = f"cash left to the owner in year {year}, at this price"
    shaped = facts.column("delivered_energy") * found.path.shape
    energy = Term(f"energy of year {year} at the shape of the price", float(shaped[facts.first + year - 1, 0]), "MWh",
                  ("lifetime_energy", *flows.price_shape(facts)))  # fmt: skip
    return _found(facts, "required_price", need, energy, left)


def _found(facts: Facts, metric: str, need: Working, energy: Term, left: str) -> Working:
    """The price that pays for what is needed, and what is left when it is put back, which must be nothing."""
    per_unit = _kept(facts, energy)
    price = Term("price, found by search", facts.value(metric), facts.result.metrics[metric].unit)
    straight = over(need, per_unit)
    check = Check(left, f"{{{price.label}}} * {per_unit.formula} - {group(need)}", facts.currency)
    return Working((*straight.terms, price), straight.formula, check)


def price_levelized(metric: str) -> Callable[[Facts], Working]:
    def work(facts: Facts) -> Working:
        sold = flows.worth(facts, flows.sales(facts), facts.discount, DISCOUNT)
        return over(signed(sold), signed([_energy_worth(facts, _level_index(facts, metric))]))

    return work

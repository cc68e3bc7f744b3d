"""How its levelized costs and prices come about.

A price found by search is shown as what it must pay for over what a unit of price brings, tax at that price in. It is
then put back: the same streams at that price leave nothing over.
"""

import re
from collections.abc import Callable

import numpy as np

from geoecon.arrays import Floats, over_years
from geoecon.finance.discounting import discount_factors
from geoecon.report.explain import flows
from geoecon.report.explain.facts import (
    DISCOUNT,
    EQUITY_RETURN,
    INDEX,
    Check,
    Facts,
    Term,
    Working,
    group,
    over,
    signed,
)


def _kept(facts: Facts, energy: Term, weights: Floats) -> Working:
    """What a unit of price brings: energy, less what a royalty and the like take of it.

    weights : (year, 1)  what each year has in the energy
    """
    share = _mean_share(facts, weights)
    if share is None:
        return Working((energy,), f"{{{energy.label}}}")
    return Working((energy, share), f"{{{energy.label}}} * (1 - {{{share.label}}})")


def _mean_share(facts: Facts, weights: Floats) -> Term | None:
    """Share of revenue that royalty and the like take; one that steps counts as its mean over weights, (year, 1)."""
    running = facts.shared[facts.first :, 0]
    if not running.any():
        return None
    steps = running.max() > running.min()
    share = float(np.sum(weights * facts.shared) / np.sum(weights)) if steps else float(running[0])
    only = list(facts.result.revenue_shares) == ["royalty"]
    label = ("royalty" if only else "shares of revenue") + (", mean over discounted energy" if steps else "")
    return Term(label, share, "1", facts.takers)


def _share(facts: Facts, index: Floats) -> Term | None:
    """The same over energy discounted at the discount rate."""
    return _mean_share(facts, _discounted(facts, facts.column("delivered_energy") * index, facts.discount))


def _discounted(facts: Facts, flows: Floats, rate: Floats) -> Floats:
    """Flows at their value at the end of year 0, (year, 1)."""
    return flows * discount_factors(rate, facts.result.times)


def _energy_worth(facts: Facts, index: Floats) -> Term:
    energy = facts.worth(facts.column("delivered_energy") * index, facts.discount)
    return Term("discounted energy", energy, "MWh", ("lifetime_energy", *DISCOUNT, *(INDEX if index.max() > 1 else ())))


def _energy_kept(facts: Facts, index: Floats) -> Working:
    """Discounted energy, less what a royalty takes of its price."""
    weights = _discounted(facts, facts.column("delivered_energy") * index, facts.discount)
    return _kept(facts, _energy_worth(facts, index), weights)


def _level_index(facts: Facts, metric: str) -> Floats:
    return facts.result.index if metric.endswith("_real") else np.ones_like(facts.result.index)


def levelized_cost(metric: str) -> Callable[[Facts], Working]:
    def work(facts: Facts) -> Working:
        costs = flows.worth(facts, flows.costs(facts), facts.discount, DISCOUNT)
        return over(signed(costs), _energy_kept(facts, _level_index(facts, metric)))

    return work


def life_cycle_cost(facts: Facts) -> Working:
    costs = signed(flows.worth(facts, flows.costs(facts), facts.discount, DISCOUNT))
    royalty = _share(facts, np.ones_like(facts.result.index))
    return Working((*costs.terms, royalty), f"{group(costs)} / (1 - {{{royalty.label}}})") if royalty else costs


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
    royalty = _share(facts, np.ones_like(facts.result.index))
    if royalty:
        terms += [facts.metric("life_cycle_cost"), royalty]
        formula += f" - {{{royalty.label}}} * {{life cycle cost}}"
    return Working((*terms, *invested.terms), f"({formula}) / {group(invested)}")


def adjusted_rate_of_return(facts: Facts) -> Working:
    ratio = facts.metric("savings_to_investment_ratio")
    rate = Term("discount rate", float(facts.discount[0]), "1/yr", DISCOUNT)
    years = Term("operating years", float(len(facts.result.times) - facts.first), "yr", ("timeline.operating_years",))
    return Working(
        (rate, ratio, years), f"(1 + {{discount rate}}) * {{{ratio.label}}} ** (1 / {{operating years}}) - 1"
    )


def levelized_after_tax(metric: str) -> Callable[[Facts], Working]:
    def work(facts: Facts) -> Working:
        found = facts.result.found_prices[metric]
        pays = {**flows.costs(facts), **flows.tax_at(found)}
        need = signed(
            *(flows.worth(facts, streams, facts.discount, DISCOUNT) for streams in (pays, flows.other_income(facts)))
        )
        energy = _energy_kept(facts, _level_index(facts, metric))
        return _found(facts, metric, need, energy, "value of the project at this price")

    return work


def required_price(facts: Facts) -> Working:
    bound = re.match(r"set by (cover|cash|interest)\D* in year (\d+)", facts.result.metrics["required_price"].note)
    return _in_binding_year(facts, bound[1], int(bound[2])) if bound else _over_the_life(facts)


def _over_the_life(facts: Facts) -> Working:
    """The return asked on equity decides: what the owner pays and receives, valued at that return."""
    found = facts.result.found_prices["required_price"]
    facts = facts.at(found)
    pays = {**flows.costs(facts), **flows.loan_costs(facts), **flows.tax_at(found), **flows.withheld_at(found)}
    receives = {**flows.other_income(facts), **flows.loan_drawn(facts), **flows.sales_that_stay(facts, found)}
    need = signed(*(flows.worth(facts, streams, facts.wanted, EQUITY_RETURN) for streams in (pays, receives)))
    shaped = _discounted(facts, facts.column("delivered_energy") * found.path.shape, facts.wanted)
    energy = Term("discounted energy at the shape of the price", float(over_years(shaped)[0]), "MWh",
                  ("lifetime_energy", *flows.price_shape(facts), *EQUITY_RETURN))  # fmt: skip
    return _found(facts, "required_price", need, _kept(facts, energy, shaped), "value to the owner at this price")


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
    elif kind == "interest":
        pays = {**flows.operating_cost(facts), **flows.charged(facts), **flows.tax_at(found)}
        owed = signed(flows.in_year(facts, flows.only_interest(facts), year))
        target = Term("times interest earned asked", float(facts.result.asked["target_tier"][0]), "1",
                      ("finance.target_tier",))  # fmt: skip
        running = signed(flows.in_year(facts, pays, year), flows.in_year(facts, receives, year))
        need = Working((target, *owed.terms, *running.terms),
                       f"{{times interest earned asked}} * {group(owed)} + {running.formula}")  # fmt: skip
        left = f"earnings above the interest asked in year {year}, at this price"
    else:
        pays = {**flows.costs(facts), **flows.loan_costs(facts), **flows.tax_at(found)}
        need = signed(flows.in_year(facts, pays, year), flows.in_year(facts, receives, year))
        left = f"cash left to the owner in year {year}, at this price"
    shaped = facts.column("delivered_energy") * found.path.shape
    energy = Term(f"energy of year {year} at the shape of the price", float(shaped[facts.first + year - 1, 0]), "MWh",
                  ("lifetime_energy", *flows.price_shape(facts)))  # fmt: skip
    of_year = np.where(np.arange(len(shaped)).reshape(-1, 1) == facts.first + year - 1, shaped, 0.0)
    return _found(facts, "required_price", need, _kept(facts, energy, of_year), left)


def _found(facts: Facts, metric: str, need: Working, per_unit: Working, left: str) -> Working:
    """The price that pays for what is needed, and what is left when it is put back, which must be nothing.

    per_unit : what one unit of price brings
    """
    price = Term("price, found by search", facts.value(metric), facts.result.metrics[metric].unit)
    straight = over(need, per_unit)
    check = Check(left, f"{{{price.label}}} * {per_unit.formula} - {group(need)}", facts.currency)
    return Working((*straight.terms, price), straight.formula, check)


def price_levelized(metric: str) -> Callable[[Facts], Working]:
    def work(facts: Facts) -> Working:
        sold = flows.worth(facts, flows.sales(facts), facts.discount, DISCOUNT)
        return over(signed(sold), signed([_energy_worth(facts, _level_index(facts, metric))]))

    return work

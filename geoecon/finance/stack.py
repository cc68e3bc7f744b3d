"""What one MWh costs, part by part, and how the ways of levelizing a cost follow from one another.

Each part is its value over that of the energy, so that parts sum to the price. Three prices are taken apart in the same
way: the levelized cost, the level price after tax, and the price that the owner requires, levelized.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np

from geoecon.arrays import Floats, over_years
from geoecon.finance.discounting import discount_factors, present_value
from geoecon.finance.fixed_charge import depreciation_worth, fixed_charge_rate, tax_factor
from geoecon.finance.levelized import RequiredPrice, levelized_cost
from geoecon.finance.prices import level
from geoecon.finance.rates import real_from_nominal
from geoecon.finance.statement import Financing, project_cash_flow, rise, to_owner
from geoecon.finance.streams import Streams
from geoecon.finance.tax import Taxable, income_tax

Parts = dict[str, Floats]

TAX, CREDIT, GRANT, OTHER = "income tax", "credits", "grant", "other revenue"
WITHHELD, RESERVES, LENDERS, OWNER = (
    "withheld tax", "reserves kept", "lenders beyond the rate", "owner beyond the rate",
)  # fmt: skip
FIXED_CHARGE, COST, AFTER_TAX, REQUIRED, FIRST = (
    "fixed charge rate", "levelized cost", "after tax", "required, levelized", "required, of year 1",
)  # fmt: skip


@dataclass(frozen=True)
class Stack:
    """Three prices per MWh part by part, each part (scenario,), in the money of `index`  [money/MWh].

    rate : (scenario,) nominal, at which everything is levelized  [1/yr]
    index : (year, scenario) or (year, 1)  ones for nominal money, the price index for price-year money
    level_after_tax : (scenario,) level price at which the project's value after tax is zero, in that money
    """

    financing: Financing
    rate: Floats
    index: Floats
    level_after_tax: Floats
    price: RequiredPrice

    @cached_property
    def prices(self) -> Mapping[str, Parts]:
        """The parts of each price; those of a price that does not exist are NaN."""
        return {COST: self._cost, AFTER_TAX: self._after_tax, REQUIRED: self._required}

    @cached_property
    def cost_path(self) -> Floats:
        """Prices of the levelized cost: no tax, no credit, no grant, no loan, (year, scenario) nominal  [money/MWh]."""
        return levelized_cost(self.financing.streams, self.rate, self.index) * self.index

    @property
    def _cost(self) -> Parts:
        return self._accounts(self.financing.streams, self.cost_path)

    @property
    def _after_tax(self) -> Parts:
        financing, price = self.financing, level(self.index, self.financing.streams.first).at(self.level_after_tax)
        tax = project_cash_flow(financing, price)[1]
        return self._accounts(financing.streams, price) | self._public(financing, price, financing.taxable_project, tax)

    @property
    def _required(self) -> Parts:
        """Money of lenders and the owner is levelized at the same rate: what they get beyond it, or below, is a cost."""
        financing, price = self.price.financed, self.price.path.at(self.price.value)
        loan, owner = financing.loan, to_owner(financing, price)
        return (
            self._accounts(financing.streams, price)
            | self._public(financing, price, financing.taxable_equity, owner.tax)
            | {
                WITHHELD: self.each(owner.withheld),
                RESERVES: self.each(financing.saved + rise(owner.locked)),
                LENDERS: self.each(loan.interest + loan.principal + loan.fees - loan.drawn),
                OWNER: self.each(owner.flow),
            }
        )

    def _accounts(self, streams: Streams, price: Floats) -> Parts:
        """Accounts by the part they belong to, in the order of the accounts; shares of revenue at a price."""
        sold = price * streams.energy
        flows = [
            *streams.capital.items(), *streams.sustaining.items(), *streams.operating.items(),
            *((name, sold * share) for name, share in streams.revenue_shares.items()),
            ("decommissioning", streams.decommissioning),
        ]  # fmt: skip
        parts: Parts = {}
        for name, flow in flows:
            part = _part(streams, name)
            parts[part] = parts.get(part, 0.0) + self.each(flow)
        return parts

    def _public(self, financing: Financing, price: Floats, taxable: Taxable, tax: Floats) -> Parts:
        """Tax before credits, and what takes off cost: credits as they are used or sold, the grant, other revenue."""
        streams = financing.streams
        without = replace(taxable, credit=np.zeros_like(taxable.credit))
        before = income_tax(price * financing.kept_energy, without, financing.terms.tax)
        return {
            TAX: self.each(before),
            CREDIT: self.each(tax - before),
            GRANT: self.each(-streams.grant),
            OTHER: self.each(-streams.unpriced_revenue),
        }

    def each(self, flow: Floats) -> Floats:
        """The value of a flow over that of the energy, (scenario,)  [money/MWh]."""
        with np.errstate(invalid="ignore", divide="ignore"):
            return present_value(flow, self.rate, self.financing.streams.times) / self.energy

    @cached_property
    def energy(self) -> Floats:
        """Energy at its value in the money of the index, (scenario,)."""
        streams = self.financing.streams
        return over_years(streams.energy * self.index * discount_factors(self.rate, streams.times))


def total(parts: Parts) -> Floats:
    """The price that parts sum to, (scenario,)  [money/MWh]."""
    return np.asarray(sum(parts.values()))


def fixed_charge_cost(stack: Stack, inflation: Floats) -> Parts:
    """Levelized cost by a fixed charge rate, from year 1 alone, in price-year money, (scenario,)  [money/MWh].

    stack : in price-year money;  inflation : (scenario,)  [1/yr]
    """
    simple = _Simple(stack, inflation)
    return {
        "capital at the fixed charge rate": simple.capital * simple.factor / simple.energy,
        "running cost of year 1": simple.running / simple.energy,
    }


def reconciled(stack: Stack, inflation: Floats) -> list[tuple[str, Parts]]:
    """From one way of levelizing to the next: each with what is added to the one before, (scenario,)  [money/MWh].

    stack : in price-year money, as is every amount but the last step's end, which is the nominal price of year 1

    The first is the fixed charge rate with its parts. Every other is the sum of all parts up to and with its own.
    """
    prices, streams = stack.prices, stack.financing.streams
    required = total(prices[REQUIRED])
    in_year_1 = required * (streams.index[streams.first] - 1)
    first = {
        "in money of year 1": in_year_1,
        "prices that do not follow inflation": stack.price.value - required - in_year_1,
    }
    return [
        (FIXED_CHARGE, fixed_charge_cost(stack, inflation)),
        (COST, _to_levelized(stack, inflation)),
        (AFTER_TAX, difference(prices[COST], prices[AFTER_TAX])),
        (REQUIRED, difference(prices[AFTER_TAX], prices[REQUIRED])),
        (FIRST, first),
    ]


def difference(before: Parts, after: Parts) -> Parts:
    """What each part of a price adds to another price; parts that stay the same to the last digits are left out."""
    least = 1e-12 * np.abs(total(after))
    parts = {name: np.asarray(after.get(name, 0.0) - before.get(name, 0.0)) for name in {**before, **after}}
    return {name: part for name, part in parts.items() if not (np.abs(part) <= least).all()}


def as_json(stacks: Mapping[str, Stack], inflation: Floats) -> dict[str, Any]:
    """The parts of each price in real and nominal money, and the ways from one to the next, of the first scenario."""

    def plain(parts: Parts) -> dict[str, float | None]:
        return {name: float(part[0]) if np.isfinite(part[0]) else None for name, part in parts.items()}

    found: dict[str, Any] = {
        money: {name: plain(parts) for name, parts in stack.prices.items()} for money, stack in stacks.items()
    }
    return found | {"ways": [{"to": to, "adds": plain(parts)} for to, parts in reconciled(stacks["real"], inflation)]}


def _to_levelized(stack: Stack, inflation: Floats) -> Parts:
    """What years one by one add to a cost that knows year 1 and tax as a factor."""
    simple, streams = _Simple(stack, inflation), stack.financing.streams
    each, level_energy = stack.each, simple.level_energy
    return {
        "tax and credit as a factor, taken out": -simple.capital * (simple.factor - 1) / simple.energy,
        "energy of all years, not of year 1": (simple.capital + simple.running)
        * (1 / level_energy - 1 / simple.energy),
        "money spent before year 1": each(streams.initial) - simple.capital / level_energy,
        "running cost of all years": each(streams.fixed_operating) - simple.running / level_energy,
        "later purchases": each(streams.sustained),
        "decommissioning": each(streams.decommissioning),
        "shares of revenue": each(stack.cost_path * streams.energy * streams.revenue_share),
    }


def _part(streams: Streams, account: str) -> str:
    """The part of the cost that an account belongs to; its own name where it belongs to none."""
    known = streams.accounts.get(account)
    return known.part if known and known.part else account


class _Simple:
    """What a fixed charge rate knows of a project, (scenario,), in price-year money a year.

    level_energy : the energy which, the same in every year, would be worth that of all years  [MWh]
    """

    def __init__(self, stack: Stack, inflation: Floats) -> None:
        streams, terms = stack.financing.streams, stack.financing.terms.tax
        index, first = streams.index, streams.first
        years = len(streams.energy) - first
        rate = np.asarray(real_from_nominal(stack.rate, inflation))
        worth = depreciation_worth(streams, terms, stack.rate)
        credit, cut = (terms.credit.rate, terms.credit.basis_cut) if terms.credit else (0.0, 0.0)
        self.factor = np.asarray(tax_factor(terms.rate, worth, credit, cut))
        self.charge = fixed_charge_rate(rate, years)
        self.capital = self.charge * over_years(streams.initial / index)
        self.running = streams.fixed_operating[first] / index[first]
        self.energy = streams.energy[first]
        self.level_energy = stack.energy * self.charge / index[first - 1]

"""What comes in and what goes out over the years, each stream with what it rests on: told once, for every figure of value."""

from collections.abc import Mapping

import numpy as np

from geoecon.arrays import Bools, Floats
from geoecon.report.explain.facts import (
    INDEX,
    LOAN,
    PRICE,
    PRICE_SHAPE,
    RESERVES,
    SPENDING,
    TAX,
    WELL_COST,
    WITHHOLDING,
    Facts,
    Term,
)
from geoecon.result import FoundPrice

# Name -> flows, nominal, (year, 1), and the metrics and paths that they rest on.
Streams = Mapping[str, tuple[Floats, tuple[str, ...]]]

OPERATING = (
    "first_year_operating_cost", "operation.real_growth", "makeup_wells", "operation.property_tax_abatement_years", *INDEX,
    "market.guaranteed_energy", "market.shortfall_penalty", "operation.lease: rent from year 2",
    "operation.lease: rent from year 11",
)  # fmt: skip
CAPACITY = ("market.capacity_price", "net_capacity")
FUNDING = RESERVES[1:]  # how sustaining capital is paid for; the reserve for debt service is the first


def price(facts: Facts) -> tuple[str, ...]:
    """What the price rests on; a real one moves with the price level."""
    return (*PRICE, *(INDEX if facts.words("market.price_basis") == "real" else ()))


def price_shape(facts: Facts) -> tuple[str, ...]:
    """What the price of a year over the first one rests on."""
    return tuple(path for path in price(facts) if path in PRICE_SHAPE or path in INDEX)


def sustaining(facts: Facts) -> tuple[str, ...]:
    """What sustaining capital rests on; the cost of a well where make-up wells are drilled."""
    each = (*WELL_COST, "wells.cost_per_injector", "wells.dry_hole_cost") if facts.value("makeup_wells") > 0 else ()
    return ("makeup_wells", *each, "producers", "operation.pump_life_years", "operation.pump_stop_years",
            "operation.pump_cost", *INDEX)  # fmt: skip


def operating_cost(facts: Facts) -> Streams:
    """Operating cost, royalty left out."""
    return {"operating cost": (facts.fixed_operating, OPERATING)}


def costs(facts: Facts) -> Streams:
    """All cost that knows no tax, no loan and no price."""
    return {
        "initial capital": (facts.initial, SPENDING),
        "sustaining capital": (facts.column("sustaining_capital"), sustaining(facts)),
        **operating_cost(facts),
        "decommissioning": (facts.column("decommissioning"), ("capital.decommissioning", *INDEX)),
    }


def sustaining_from_cash(facts: Facts) -> Streams:
    """Sustaining capital as a year's cash bears it."""
    rests_on = (*sustaining(facts), *FUNDING)
    return {"sustaining capital paid or saved for": (facts.result.sustaining_from_cash, rests_on)}


def capacity(facts: Facts) -> Streams:
    """What is paid for capacity and not for energy."""
    return {"payments for capacity": (facts.result.other_revenue, CAPACITY)}


def other_income(facts: Facts) -> Streams:
    """What comes in beside the sale of energy and a loan."""
    return {**capacity(facts), "the grant": (facts.column("grant"), ("capital.grant",))}


def sales(facts: Facts) -> Streams:
    """Energy sold at the stated price."""
    sold = facts.column("price") * facts.column("delivered_energy")
    return {"energy sold": (sold, (*price(facts), "lifetime_energy"))}


def royalty(facts: Facts) -> Streams:
    """What the royalty and other shares of revenue take of that."""
    accounts, rests_on = facts.result.operating_accounts, (*facts.takers, *price(facts), "lifetime_energy")
    return {name.replace("_", " "): (accounts[name], rests_on) for name in facts.result.revenue_shares}


def loan_drawn(facts: Facts) -> Streams:
    """What a loan brings in."""
    return {"debt drawn": (facts.column("debt_drawn"), ("debt",))}


def debt_service(facts: Facts) -> Streams:
    """Interest and principal."""
    return {name: (facts.column(name), ("debt", *LOAN)) for name in ("interest", "principal")}


def only_interest(facts: Facts) -> Streams:
    """Interest alone."""
    return {"interest": debt_service(facts)["interest"]}


def charged(facts: Facts) -> Streams:
    """What a margin bears and cash does not: capital and its financing in equal parts, decommissioning when it is paid."""
    rests_on = (*SPENDING, "debt", *sustaining(facts), "capital.grant", "capital.decommissioning",
                "timeline.operating_years")  # fmt: skip
    charged = facts.column("book_depreciation") + facts.column("decommissioning")
    return {"book depreciation and decommissioning": (charged, rests_on)}


def service_from_cash(facts: Facts) -> Streams:
    """Interest and the principal that cash pays: what a second loan repays of the first is left out."""
    refinanced = np.where(
        np.arange(len(facts.result.times)).reshape(-1, 1) < facts.first, 0.0, facts.column("debt_drawn")
    )
    service = debt_service(facts)
    principal, inputs = service["principal"]
    return {**service, "principal": (principal - refinanced, inputs)}


def loan_costs(facts: Facts) -> Streams:
    """What a loan takes: service, fees, and reserves as they are filled and, with a minus sign, given back."""
    balance = facts.column("reserve_balance")
    return {
        **debt_service(facts),
        "fees": (facts.column("fees"), ("finance.upfront_fee",)),
        "money put into reserves": (
            np.diff(balance, axis=0, prepend=0.0),
            (*RESERVES, "capital.decommissioning_fund_years"),
        ),
    }


def tax(facts: Facts, *, levered: bool) -> Streams:
    """Tax less credits at the stated price, with interest deducted or without debt."""
    return {"tax less credits": (facts.column("tax" if levered else "tax_unlevered"), TAX)}


def tax_at(found: FoundPrice) -> Streams:
    """Tax less credits at a price that was found by search."""
    return {"tax less credits at this price": (found.tax, TAX)}


def withheld(facts: Facts) -> Streams:
    """What is withheld of cash paid to the owner at the stated price."""
    return {"withheld on payments to the owner": (facts.column("withheld"), WITHHOLDING)}


def withheld_at(found: FoundPrice) -> Streams:
    """The same at a price that was found by search."""
    return {"withheld at this price": (found.withheld, WITHHOLDING)}


def sales_that_stay(facts: Facts, found: FoundPrice) -> Streams:
    """Energy sold at prices that the first price does not move, as those after a term, less royalty."""
    kept = found.path.rest * facts.column("delivered_energy") * (1 - facts.shared)
    return {"sales at the price after the term, less royalty": (kept, (*price_shape(facts), *facts.takers))}


def of_project(facts: Facts) -> tuple[Streams, Streams]:
    """What comes in and what goes out at the stated price, without debt."""
    return (
        {**sales(facts), **other_income(facts)},
        {**royalty(facts), **costs(facts), **tax(facts, levered=False)},
    )


def of_owner(facts: Facts) -> tuple[Streams, Streams]:
    """What the owner receives and pays at the stated price."""
    return (
        {**sales(facts), **other_income(facts), **loan_drawn(facts)},
        {**royalty(facts), **costs(facts), **loan_costs(facts), **tax(facts, levered=True), **withheld(facts)},
    )


def of_cash(facts: Facts) -> tuple[Streams, Streams]:
    """What comes in and what goes out, at the stated price, before debt is served."""
    return (
        {**sales(facts), **capacity(facts)},
        {**royalty(facts), **operating_cost(facts), **tax(facts, levered=True), **sustaining_from_cash(facts)},
    )


def of_earnings(facts: Facts) -> tuple[Streams, Streams]:
    """What comes in and what goes out, at the stated price, before interest: cost as books charge it."""
    return (
        {**sales(facts), **capacity(facts)},
        {**royalty(facts), **operating_cost(facts), **charged(facts), **tax(facts, levered=True)},
    )


def only(streams: Streams, rows: Bools) -> Streams:
    """Streams in some of the years."""
    return {name: (np.where(rows, flows, 0.0), rests_on) for name, (flows, rests_on) in streams.items()}


def under(*groups: Streams) -> tuple[str, ...]:
    """What some streams rest on, each once; of streams that carry no money, nothing."""
    named = (name for streams in groups for flows, names in streams.values() if flows.any() for name in names)
    return tuple(dict.fromkeys(named))


def under_project(facts: Facts) -> tuple[str, ...]:
    """What the project's cash flow rests on."""
    return under(*of_project(facts))


def under_cash(facts: Facts) -> tuple[str, ...]:
    """What cash for debt service rests on."""
    return under(*of_cash(facts))


def worth(facts: Facts, streams: Streams, rate: Floats, at: tuple[str, ...] = ()) -> list[Term]:
    """The value of streams at the end of year 0."""
    return [
        Term(f"value of {name}", facts.worth(flows, rate), facts.currency, (*rests_on, *at))
        for name, (flows, rests_on) in streams.items()
    ]


def in_year(facts: Facts, streams: Streams, year: int) -> list[Term]:
    """What streams come to in an operating year."""
    row = facts.first + year - 1
    return [
        Term(f"{name} in year {year}", float(flows[row, 0]), facts.currency, rests_on)
        for name, (flows, rests_on) in streams.items()
    ]

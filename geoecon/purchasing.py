"""What the unit buys and sells: from a case and its design to accounts, and from accounts to streams."""

import numpy as np

from geoecon import costs
from geoecon.arrays import Floats, over_years
from geoecon.case import Case
from geoecon.drilling import cost_per_well, slim_hole_cost
from geoecon.energy import Ledger
from geoecon.finance.streams import Account, Streams
from geoecon.payments import fixed_payments, revenue_shares
from geoecon.preparing.basics import Calendar, wide
from geoecon.pricing import capacity_payment, shortfall
from geoecon.sizing import Design, FieldYears
from geoecon.tables import table
from geoecon.watering import water_use
from geoecon.wells.counts import makeup_cost, wells_cost


def overnight(case: Case, design: Design) -> dict[str, Floats]:
    """Initial capital by account with contingency, price-year money, (scenario,); only accounts that are stated."""
    capital, wells, plant = case.capital, case.wells, case.plant
    base: dict[str, Floats | None] = {
        "exploration": capital.exploration,
        "slim_holes": wells.slim_holes * slim_hole_cost(case) if wells.slim_holes else None,
        "permits": capital.permits,
        "wells": None,
        "pumps": None,
        "plant": None,
        "gathering": capital.gathering,
        "grid_connection": capital.grid_connection,
    }
    if design.wells is not None:
        base["wells"] = wells_cost(design.wells, *cost_per_well(case), wide(case, wells.dry_hole_cost))
        if case.operation.pump_cost is not None and case.wells.pump != "none":
            base["pumps"] = design.wells.new_producers * case.operation.pump_cost
    if plant.cost_per_kw is not None:
        base["plant"] = costs.plant_cost(
            wide(case, plant.cost_per_kw), design.capacity_on(plant.cost_basis), plant.cost_reference_capacity,
            plant.cost_exponent,
        )  # fmt: skip
    stated = {name: wide(case, amount) for name, amount in base.items() if amount is not None}
    bought = costs.with_contingency(stated, capital.contingency or {})
    if capital.owners_cost is not None:
        others = sum(bought.values(), start=wide(case, 0.0))
        of_owner = capital.owners_cost.values * (others if capital.owners_cost.kind == "share" else 1.0)
        bought |= costs.with_contingency({"owners_cost": wide(case, of_owner)}, capital.contingency or {})
    return bought


def buy(
    case: Case,
    design: Design,
    field: FieldYears,
    ledger: Ledger,
    purchases: dict[str, Floats],
    when: Calendar,
    index: Floats,
) -> Streams:
    """Streams of money and energy over all years, nominal."""
    first = when.first
    energy = np.zeros_like(index)
    energy[first:] = ledger.steps["delivered"]
    capital = costs.spread(purchases, case.timeline.spending, first, index)
    initial = sum(capital.values(), start=np.zeros_like(index))
    spent = over_years(initial)
    with np.errstate(invalid="ignore", divide="ignore"):  # a grant pays for what is spent, and for no more
        grant = np.where(spent > 0, initial / spent, 0.0) * np.minimum(wide(case, case.capital.grant), spent)
    closing = np.zeros_like(index)
    closing[-1] = wide(case, case.capital.decommissioning) * index[-1]
    capacity = capacity_payment(case, design.net_kw, when, index)
    return Streams(
        first=first,
        times=when.times,
        capital=capital,
        sustaining=_sustaining(case, field, index, first),
        operating=_operating(case, design, field, ledger, purchases, when, index),
        revenue_shares=revenue_shares(case, when),
        energy=energy,
        other_revenue={} if capacity is None else {"capacity": capacity},
        grant=grant,
        decommissioning=closing,
        index=index,
        accounts={
            r["account"]: Account(
                r["account"],
                r["tax_class"],
                r["payer"],
                r["recipient"],
                r["earns_credit"] == "yes",
                r["drilled"] == "yes",
                r["part"],
            )
            for r in table("accounts")
        },
    )


def _sustaining(case: Case, field: FieldYears, index: Floats, first: int) -> dict[str, Floats]:
    """Make-up wells, paid at the end of the year before they enter, and pumps, at the end of their last year."""
    if field.plan is None:
        return {}
    wells, operation = case.wells, case.operation
    success = wide(case, wells.success if wells.success_makeup is None else wells.success_makeup)
    each = makeup_cost(*cost_per_well(case), wells.producers_per_injector, success, wells.dry_hole_cost)
    flows = {"makeup_wells": np.zeros_like(index)}
    pump = wide(case, operation.pump_cost if wells.pump != "none" else None)
    flows["makeup_wells"][first:-1] = field.plan.added[1:] * (each + pump) * index[first:-1]
    if operation.pump_life_years is not None and wells.pump != "none":
        entered = field.plan.added.copy()
        entered[0] = field.plan.producers[0]
        replaced = costs.pump_replacements(entered, operation.pump_life_years, operation.pump_stop_years or 1)
        flows["pump_replacement"] = np.zeros_like(index)
        flows["pump_replacement"][first:] = replaced * pump * index[first:]
    return flows


def _operating(
    case: Case,
    design: Design,
    field: FieldYears,
    ledger: Ledger,
    purchases: dict[str, Floats],
    when: Calendar,
    index: Floats,
) -> dict[str, Floats]:
    """Operating cost by account, nominal, (year, scenario); shares of revenue, such as a royalty, are not among them."""
    operation, first = case.operation, when.first
    capital = sum(purchases.values(), start=wide(case, 0.0))
    real: dict[str, Floats | None] = {
        "fixed_cost": _fixed_cost(case, design),
        "variable_cost": _each(operation.variable_cost, ledger.steps["unit_net"]),
        "water": _water(case, design, ledger),
        "wellfield_cost": _each(operation.wellfield_cost, wells_in_service(case, design, field)),
    }
    growth = wide(case, operation.real_growth)
    paid = {name: costs.grown(amount, index, growth, first) for name, amount in real.items() if amount is not None}
    return (
        paid
        | fixed_payments(case, capital, ledger.steps["delivered"], when, index)
        | _penalty(case, ledger, index, first)
    )


def _penalty(case: Case, ledger: Ledger, index: Floats, first: int) -> dict[str, Floats]:
    """What is paid for energy that was promised and not delivered; nominal, so no inflation moves it."""
    short = shortfall(case, ledger.steps["delivered"])
    if short is None:
        return {}
    paid = np.zeros_like(index)
    paid[first:] = short * wide(case, case.market.shortfall_penalty)
    return {"shortfall_penalty": paid}


def _each(cost: Floats | None, number: Floats) -> Floats | None:
    """A cost per piece for all pieces, where one is stated."""
    return None if cost is None else cost * number


def _water(case: Case, design: Design, ledger: Ledger) -> Floats | None:
    """What make-up water costs, price-year money, (year, scenario); None where none is paid for."""
    used = water_use(case, design, ledger)
    return None if used is None else _each(case.operation.water_cost, used.by_year)


def _fixed_cost(case: Case, design: Design) -> Floats | None:
    """Fixed cost a year, at least the floor for staff, (scenario,); None where neither is stated."""
    stated, floor = case.operation.fixed_cost, case.operation.staff_floor
    if stated is None:
        return floor
    amount = stated.values * (design.net_kw if stated.kind == "money per kW a year" else 1.0)
    return amount if floor is None else np.maximum(amount, floor)


def wells_in_service(case: Case, design: Design, field: FieldYears) -> Floats:
    """Producers and injectors in service in each operating year, (year, scenario); make-up injectors as their share."""
    if design.wells is None or field.plan is None:
        return np.zeros_like(field.cooler_K) + case.wells.existing_producers + case.wells.existing_injectors
    added = field.plan.producers - design.wells.producers
    return field.plan.producers + design.wells.injectors + added / case.wells.producers_per_injector

"""What a pass warns of, in words."""

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from geoecon.arrays import over_years
from geoecon.case.remarks import far_from_usual, remarks
from geoecon.energy import KW_PER_MW
from geoecon.finance.measures import cover_ratios, sign_changes
from geoecon.finance.tax import income_tax
from geoecon.flooring import silica_warnings
from geoecon.lifting import pump_warnings
from geoecon.passed import Pass
from geoecon.plant.chosen import of_one
from geoecon.plant.mapped import BinaryPlant
from geoecon.plant.stated import StatedPlant
from geoecon.preparing.field import producer_flow
from geoecon.pricing import shortfall
from geoecon.reservoir import field_warnings, supported_gross_kw
from geoecon.steam_limits import steam_warnings
from geoecon.taxing import tax_rules
from geoecon.terms import value_of_tax
from geoecon.units import HOURS_PER_YEAR
from geoecon.wells.counts import whole

FAILED = "check failed:"
FAR_PRICE = 10.0  # times the levelized cost, either way


def warnings_of(passed: Pass) -> Iterator[str]:
    """What a reader of the result has to know, the gravest first."""
    case, design = passed.case, passed.design
    yield from _failed_checks(passed)
    yield from remarks(case)
    if case.plant.net_capacity is None and (
        words := far_from_usual("plant.net_capacity", float(design.net_kw[0]), case.money.currency)
    ):
        yield words
    yield from _far_price(passed)
    yield from _overpaid(passed)
    yield from _weak_cover(passed)
    yield from _unused_credit(passed)
    yield from _over_the_cap(passed)
    if case.plant.stated_capacity_factor is not None:
        yield "the capacity factor is typed in, not worked out from climate and outages (plant.stated_capacity_factor)"
        if (passed.running.planned + passed.running.forced > 0).any():
            yield "outages that are stated lie inside the stated capacity factor and take nothing more from it"
    yield from _tax_rules(passed)
    if isinstance(of_one(design.plant), BinaryPlant):
        yield "the cycle is the best one at every temperature; a plant keeps what it was built with (plant.off_design)"
    if design.fluids is not None:
        yield (
            "the best fluid is the one with the most power: what it and its pressures cost, and its harm to climate or people, "
            "are not weighed (plant.fluid)"
        )
    yield from silica_warnings(case)
    yield from pump_warnings(case, design)
    yield from steam_warnings(case, design.plant, design.inlet)
    if isinstance(design.plant, StatedPlant) and design.wells is not None and case.plant.cost_basis == "plant-net":
        yield "a stated plant does not tell what well pumps take: its cost per kW is charged on unit net (plant.cost_basis)"
    if case.plant.cost_per_kw is None:
        yield "no plant cost is stated (plant.cost_per_kw)"
    if case.operation.fixed_cost is None and case.operation.variable_cost is None:
        yield "no running cost is stated (operation.fixed_cost, operation.variable_cost)"
    if case.money.inflation.max() == 0 and not case.states("money.inflation"):
        yield "no inflation is stated: real and nominal figures are the same (money.inflation)"
    yield from _more_wells_than_needed(passed)
    yield from _beyond_the_field(passed)
    yield from field_warnings(case, passed.field.taken, passed.field.cooler_K)
    yield from _short_years(passed)
    if case.capital.spent_to_date is not None:
        yield "money already spent is left out of every figure (capital.spent_to_date)"
    if passed.has_price and bool((sign_changes(passed.statement.cash_flow_project) > 1).any()):
        yield "the project's cash flow changes sign more than once; read its rate of return with care"


def _more_wells_than_needed(passed: Pass) -> Iterator[str]:
    """Producers that exist beyond what the capacity takes; they serve all the same."""
    case, wells = passed.case, passed.design.wells
    if wells is None or case.plant.size_from == "wells":
        return
    each = producer_flow(case)
    needed = int(whole(passed.design.brine_flow / each)[0])
    if (idle := case.wells.existing_producers - needed - case.wells.spare_producers) > 0:
        yield (
            f"{idle} more producers exist than the capacity takes; all of them serve and ask for injectors, so that fewer may "
            "be cheaper: count only those that shall serve (wells.existing_producers)"
        )


def _beyond_the_field(passed: Pass) -> Iterator[str]:
    """A unit larger than what the field supports for the life, as stated (net) or by stored heat (gross)."""
    case, design = passed.case, passed.design
    stated, stored = case.resource.supported_power, supported_gross_kw(case)
    if stored is not None:
        if (design.gross_kw > stored).any():
            at = int((design.gross_kw - stored).argmax())
            yield (
                f"stored heat supports {stored[at] / KW_PER_MW:.3g} MW gross for {case.timeline.operating_years} years and the "
                f"unit makes {np.broadcast_to(design.gross_kw, stored.shape)[at] / KW_PER_MW:.3g} MW gross "
                "(resource.reservoir_area)"
            )
    elif stated is None and design.wells is not None:
        yield "nothing says how much power the field supports for the life (resource.supported_power)"
    elif stated is not None and (design.net_kw > stated).any():
        yield "the unit is larger than what the field is said to support (resource.supported_power)"


def _short_years(passed: Pass) -> Iterator[str]:
    """Years of the first scenario in which less is delivered than is promised."""
    short = shortfall(passed.case, passed.delivered)
    if short is None or not (short[:, 0] > 0).any():
        return
    years = np.flatnonzero(short[:, 0] > 0) + 1
    runs = np.split(years, np.flatnonzero(np.diff(years) > 1) + 1)
    named = ", ".join(f"{run[0]} to {run[-1]}" if len(run) > 1 else f"{run[0]}" for run in runs)
    when = f"year{'s' if len(years) > 1 else ''} {named}"
    missing = f"{float(over_years(short)[0]):,.0f} MWh in all"
    yield f"less is delivered than promised in {when}, {missing} (market.guaranteed_energy)"


def _failed_checks(passed: Pass) -> Iterator[str]:
    """What cannot be: said first, because the figures are then wrong."""
    run, net = passed.running, passed.design.net_kw / KW_PER_MW * HOURS_PER_YEAR
    most = passed.case.plant.output_limit * (1 - run.planned) * (1 - run.forced)
    if (passed.ledger.steps["unit_net"][0] / net > most * (1 + 1e-9)).any():
        yield f"{FAILED} the capacity factor is above what output limit and outages allow; the figures cannot all be right"


def _far_price(passed: Pass) -> Iterator[str]:
    """A price so far from the cost that its unit is likely a slip."""
    if not passed.has_price:
        return
    first = passed.path.first
    with np.errstate(invalid="ignore", divide="ignore"):
        times = first / passed.lcoe_nominal
    far = (times > FAR_PRICE) | (times < 1 / FAR_PRICE)
    if not far.any():
        return
    at = int(far.argmax())
    how = f"{times[at]:,.0f} times" if times[at] > 1 else f"{times[at] * 100:.2g} % of"
    yield (
        f"the price of year 1, {first[at]:,.4g} {passed.case.money.currency}/MWh, is {how} the levelized cost; look at its "
        "unit, which is per MWh and not per kWh (market.price)"
    )


def _overpaid(passed: Pass) -> Iterator[str]:
    """What is taken of a grant and a debt that are together more than all uses of money."""
    if not passed.overpaid.any():
        return
    at, currency, financing = int(passed.overpaid.argmax()), passed.case.money.currency, passed.financing
    granted, lent = float(over_years(financing.streams.grant)[at]), float(financing.loan.amount[at])
    debt = f" and {lent:,.0f} {currency} of debt" if lent else ""
    yield (
        f"grant and debt as stated are more than all uses of money: {granted:,.0f} {currency} of the grant{debt} are taken, "
        "which leaves the owner nothing to put in (capital.grant, finance.debt_share)"
    )


def _weak_cover(passed: Pass) -> Iterator[str]:
    """Debt service that cash does not cover as lenders ask."""
    loan = passed.financing.loan
    if not passed.has_price or not (loan.amount > 0).any():
        return
    cover = cover_ratios(passed.statement.cfads, loan.service)
    least = float(cover.min(where=~np.isnan(cover), initial=np.inf))
    asked = float(passed.case.finance.target_dscr.max())
    if least < asked:
        cannot = ", and below 1: the loan cannot be served from the project's cash" if least < 1 else ""
        yield f"cover of debt service falls to {least:.2f}, below the {asked:.2f} asked (finance.target_dscr){cannot}"


def _unused_credit(passed: Pass) -> Iterator[str]:
    """A credit that the rules leave nothing of, or one of the owner's own that finds no tax to be set against."""
    tax, credit = passed.financing.terms.tax, passed.financing.tax_base.credit
    if tax.credit is None:
        return
    if not credit.any():
        yield "no credit is earned, by its kind, size, use and the year construction begins (tax.credit)"
    if tax.credit.use != "own" or not tax.carried:
        return
    taxable, sales = passed.financing.taxable_project, passed.statement.price * passed.financing.kept_energy
    without = income_tax(sales, replace(taxable, credit=np.zeros_like(credit)), tax)
    used = over_years(without - income_tax(sales, taxable, tax))
    lost = float((over_years(credit) - used).max())
    if lost > 1e-3 * float(over_years(credit).max()):
        yield f"{lost:,.0f} {passed.case.money.currency} of the credit find no tax in the life; look at tax.credit_use"


def _over_the_cap(passed: Pass) -> Iterator[str]:
    """A commitment above what the owner's council allows."""
    cap, currency = passed.case.finance.commitment_cap, passed.case.money.currency
    if cap is None:
        return
    if not passed.has_price:
        yield "no price is stated, so what the owner is committed to is not known (finance.commitment_cap)"
        return
    over = float((passed.commitment - cap).max())
    if over > 0:
        yield f"the owner is committed to {over:,.0f} {currency} more than is allowed (finance.commitment_cap)"


def _tax_rules(passed: Pass) -> Iterator[str]:
    """How old the law behind the tax is, and which credit was chosen."""
    case, rules = passed.case, tax_rules(passed.case.tax.in_force)
    if rules.read_on:
        yield f"tax by {rules.name} as read on {rules.read_on}; not tax advice (tax.rules)"
    if case.tax.in_force.startswith("us-") and case.money.currency != "USD":
        yield f"the tax rules {case.tax.in_force!r} are those of the United States; the case is in {case.money.currency}"
    if case.tax.credit == "best":
        investment = (passed.financing.terms.tax.credit.rate > 0) if passed.financing.terms.tax.credit else np.zeros(1)
        of = (
            f" in {int(investment.sum())} of {investment.size} scenarios"
            if 0 < investment.sum() < investment.size
            else ""
        )
        kind, other = ("investment", "production") if investment.any() else ("production", "investment")
        yield f"the {kind} credit is the better one{of}: {_ahead(passed)} than the {other} credit (tax.credit)"


def _ahead(passed: Pass) -> str:
    """By how much the credit that is taken is the better, of the first scenario."""
    streams, rate, currency = passed.financing.streams, passed.rates.discount, passed.case.money.currency
    each = value_of_tax(passed.case, passed.design.net_kw, streams, passed.path.nominal, rate)
    more = abs(float(each[0][0] - each[1][0]))
    where = " in the first" if passed.case.scenarios > 1 else ""
    return f"it is worth {more:,.0f} {currency} more to the project after tax{where}"

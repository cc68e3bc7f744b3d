"""Faults between fields about what is earned, owed, borrowed and taxed."""

from collections.abc import Iterator

import numpy as np

from geoecon.case.schema import CaseTables
from geoecon.errors import Fault


def money_faults(case: CaseTables) -> Iterator[Fault]:
    """Every fault between fields about money."""
    for check in (_operation, _payments, _market, _finance, _owner, _tax):
        yield from check(case)


def _operation(case: CaseTables) -> Iterator[Fault]:
    operation = case.operation
    if operation.pump_life_years is not None and operation.pump_cost is None:
        yield Fault("operation.pump_cost", "is missing; pump_life_years asks what a new pump costs")
    if operation.pump_stop_years is not None and operation.pump_life_years is None:
        yield Fault("operation.pump_stop_years", "has no part without pump_life_years; state that, or leave this out")


def _payments(case: CaseTables) -> Iterator[Fault]:
    """Payments to owners of resource and land, to government and community, and for a bond."""
    operation, life = case.operation, case.timeline.operating_years
    yield from _goes_with(case, "operation.royalty_after", "operation.royalty_step_year", "when the royalty steps")
    yield from _goes_with(
        case, "operation.property_tax_abatement", "operation.property_tax_abatement_years", "how long it lasts"
    )
    for name in ("royalty_step_year", "property_tax_abatement_years"):
        year = getattr(operation, name)
        if year is not None and year > life:
            yield Fault(f"operation.{name}", f"{year} is after the {life} operating years; leave it out or lower it")
    if operation.property_tax_abatement is not None and operation.property_tax is None:
        yield Fault("operation.property_tax", "is missing; property_tax_abatement asks what is abated")
    if operation.lease == "none" and operation.lease_acres is not None:
        yield Fault("operation.lease", "is missing; lease_acres asks under which lease the rent is paid")
    if operation.lease != "none":
        if (operation.royalty > 0).any() or operation.royalty_after is not None:
            yield Fault(
                "operation.royalty",
                f"stands beside lease = {operation.lease!r}, which has its own; keep one of the two",
            )
        if operation.lease_acres is not None and case.money.currency != "USD":
            words = f"is charged in US dollars and the case is in {case.money.currency}; state the rent as land"
            yield Fault("operation.lease_acres", words)
    for name in ("decommissioning_bond", "decommissioning_fund_years"):
        if getattr(case.capital, name) is not None and case.capital.decommissioning is None:
            yield Fault("capital.decommissioning", f"is missing; {name} asks what it is for")


def _goes_with(case: CaseTables, path: str, other: str, asks: str) -> Iterator[Fault]:
    """Of two fields that only mean something together, the one that is missing."""
    value, its = (getattr(getattr(case, at.partition(".")[0]), at.partition(".")[2]) for at in (path, other))
    if value is not None and its is None:
        yield Fault(other, f"is missing; {path.partition('.')[2]} asks {asks}")
    if value is None and its is not None:
        yield Fault(path, f"is missing; {other.partition('.')[2]} has nothing to hold for without it")


PRICES_OF = {"growing": "price", "stepped": "price_steps", "schedule": "price_schedule", "file": "price_file"}


def _market(case: CaseTables) -> Iterator[Fault]:
    market = case.market
    own = PRICES_OF[market.price_form]
    if own != "price" and getattr(market, own) is None:
        yield Fault(f"market.{own}", f'is missing; price_form = "{market.price_form}" needs {_NEEDED[own]}')
        return
    for form, name in PRICES_OF.items():
        if name != own and getattr(market, name) is not None:
            words = f"stands beside {own}; keep one of the two" if own != "price" else (
                f'is not used; say price_form = "{form}" or leave it out'
            )  # fmt: skip
            yield Fault(f"market.{name}", words)
    yield from _term(case)
    yield from _around_the_price(case)


_NEEDED = {
    "price_steps": "prices from operating years on",
    "price_schedule": "a price for each year",
    "price_file": "a file",
}


def _term(case: CaseTables) -> Iterator[Fault]:
    """How long the price holds, and what follows."""
    market, life = case.market, case.timeline.operating_years
    term = market.term_years
    if market.price_form == "schedule" and market.price_schedule is not None:
        if len(market.price_schedule) > life:
            yield Fault("market.price_schedule", f"has {len(market.price_schedule)} prices for {life} operating years")
        if term is not None and term != len(market.price_schedule):
            yield Fault("market.term_years", "stands beside a schedule, whose length is the term; leave it out")
        term = len(market.price_schedule)
    if market.price_steps is not None and (last := max(map(int, market.price_steps))) > (term or life):
        yield Fault(
            "market.price_steps", f"has a step in year {last}, after the {term or life} years that the price holds"
        )
    follows = market.price_after_term is not None or market.price_form == "file"
    if market.term_years is not None and market.term_years > life:
        yield Fault("market.term_years", f"{market.term_years} is longer than the {life} operating years")
    elif term is not None and term < life and not follows:
        yield Fault("market.price_after_term", f"is missing; the price ends after {term} of {life} operating years")
    if market.tail_growth is not None and market.price_after_term is None:
        yield Fault("market.tail_growth", "is not used without price_after_term; give that, or leave it out")


def _around_the_price(case: CaseTables) -> Iterator[Fault]:
    """Floor and cap, factors by time of delivery, and energy that is promised."""
    market = case.market
    if (
        market.price_floor is not None
        and market.price_cap is not None
        and (market.price_floor > market.price_cap).any()
    ):
        yield Fault("market.price_floor", "is above price_cap; the floor is the lower of the two")
    if market.delivery_file is not None and market.delivery_factors is not None:
        yield Fault("market.delivery_file", "stands beside delivery_factors; keep one of the two")
    if market.guaranteed_energy is not None and market.shortfall_penalty is None:
        yield Fault("market.shortfall_penalty", "is missing; guaranteed_energy asks what a MWh that is short costs")
    if market.shortfall_penalty is not None and market.guaranteed_energy is None:
        yield Fault("market.guaranteed_energy", "is missing; shortfall_penalty asks how much energy is promised")


def _finance(case: CaseTables) -> Iterator[Fault]:
    finance, life = case.finance, case.timeline.operating_years
    if finance.discount_rate is None and finance.equity_return is None:
        yield Fault("finance.discount_rate", "is missing; give it, or equity_return, from which it follows")
    if (finance.debt_share > 0).any():
        if finance.debt_years is None:
            yield Fault("finance.debt_years", "is missing; debt_share asks how long the debt is repaid")
        if finance.debt_rate is None:
            yield Fault("finance.debt_rate", "is missing; debt_share asks what the debt costs")
    if finance.debt_years is not None and finance.debt_years > life:
        yield Fault("finance.debt_years", f"{finance.debt_years} is longer than the {life} operating years")
    if finance.debt_years is not None and finance.grace_years >= finance.debt_years:
        words = (
            f"{finance.grace_years} years of grace leave none of the {finance.debt_years} years of debt to repay it in"
        )
        yield Fault("finance.grace_years", words)
    if (finance.target_dscr < 1).any():
        yield Fault("finance.target_dscr", "is below 1: cash would not serve the debt; lenders ask 1.2 and more")
    yield from _balloon(case)
    yield from _debt_by_cash(case)


def _balloon(case: CaseTables) -> Iterator[Fault]:
    """A part of the debt that is left at its end needs a loan that takes it over, within the life."""
    finance, life = case.finance, case.timeline.operating_years
    if not (finance.balloon > 0).any():
        for name in ("refinance_years", "refinance_rate"):
            if getattr(finance, name) is not None:
                yield Fault(f"finance.{name}", "is not used: no balloon is left to refinance; give finance.balloon")
        return
    if finance.refinance_years is None:
        yield Fault("finance.refinance_years", "is missing; a balloon asks how long the loan that repays it runs")
    elif finance.debt_years is not None and finance.debt_years + finance.refinance_years > life:
        words = (
            f"{finance.debt_years} + {finance.refinance_years} years of debt are longer than the {life} operating years"
        )
        yield Fault("finance.refinance_years", words)


def _debt_by_cash(case: CaseTables) -> Iterator[Fault]:
    """Debt that follows from cash needs cash, and a cover that it can be served at."""
    finance, listed = case.finance, case.finance.lender_energy_by_year
    if listed is not None and len(listed) > case.timeline.operating_years:
        words = f"has {len(listed)} shares for {case.timeline.operating_years} operating years"
        yield Fault("finance.lender_energy_by_year", words)
    if listed is not None and (finance.lender_energy != 1).any():
        yield Fault("finance.lender_energy_by_year", "stands beside lender_energy; keep one of the two")
    if finance.debt_shape != "sculpted" and finance.debt_sizing != "cover":
        if listed is not None:
            words = 'is not used: no debt follows cash; say debt_sizing = "cover" or debt_shape = "sculpted", or leave it out'
            yield Fault("finance.lender_energy_by_year", words)
        return
    what = 'debt_shape = "sculpted"' if finance.debt_shape == "sculpted" else 'debt_sizing = "cover"'
    if (finance.debt_share > 0).any() and not case.market.states_price:
        yield Fault("market.price", f"is missing; {what} sizes the debt by the cash that a price brings")


def _owner(case: CaseTables) -> Iterator[Fault]:
    """What only one kind of owner is asked."""
    for name, owners in (("allowed_return", ("utility",)), ("target_tier", ("cooperative", "public"))):
        if getattr(case.finance, name) is not None and case.project.owner not in owners:
            words = f"is not asked of a {case.project.owner} owner; leave it out, or say project.owner"
            yield Fault(f"finance.{name}", f'{words} = "{owners[0]}"')


def _tax(case: CaseTables) -> Iterator[Fault]:
    tax, dated = case.tax, case.tax.in_force not in {"none", "plain"}
    if tax.in_force == "none":
        yield from _not_without_tax(case)
    if tax.construction_begins is not None and tax.construction_begins >= case.timeline.first_year:
        yield Fault(
            "tax.construction_begins",
            f"{tax.construction_begins} is not before operating year 1, {case.timeline.first_year}",
        )
    if tax.in_force == "plain" and tax.rate is None:
        yield Fault("tax.rate", 'is missing; tax.rules = "plain" has no rate of its own')
    if tax.state_rate is not None and tax.rate is not None:
        yield Fault("tax.state_rate", "stands beside tax.rate, which is the combined rate; keep one of the two")
    elif tax.state_rate is not None and tax.in_force == "plain":
        yield Fault("tax.state_rate", "is added to the rate of a dated table; give the combined rate as tax.rate")
    if tax.credit in {"production", "best"} and tax.credit_amount is None and not dated:
        yield Fault("tax.credit_amount", "is missing; a production credit is an amount per MWh")
    if tax.credit in {"investment", "best"} and tax.credit_rate is None and not dated:
        yield Fault("tax.credit_rate", "is missing; an investment credit is a share of the capital it applies to")
    if tax.interest_limited and tax.interest_limit is None and not dated:
        yield Fault("tax.interest_limit", "is missing; tax.interest_limited asks how much interest may be deducted")
    yield from _depletion(case, dated)


def _not_without_tax(case: CaseTables) -> Iterator[Fault]:
    tax = case.tax
    asked = (
        "rate", "state_rate", "depreciation", "depreciation_years", "bonus_depreciation", "loss_limit", "loss_years",
        "interest_limit",
    )  # fmt: skip
    stated = [name for name in asked if getattr(tax, name) is not None]
    stated += [name for name in ("intangible_share", "holiday_years") if np.any(getattr(tax, name))]
    for name in stated:
        yield Fault(f"tax.{name}", 'is not used while tax.rules is "none"; name a table of rules, or leave it out')
    if tax.credit != "none" and tax.credit_use == "own":
        yield Fault("tax.credit_use", 'is "own", but with tax.rules "none" there is no tax to set a credit against')


def _depletion(case: CaseTables, dated: bool) -> Iterator[Fault]:
    tax = case.tax
    if tax.depletion == "none":
        for name in ("property_share", "depletion_rate", "depletion_limit"):
            if getattr(tax, name) is not None:
                yield Fault(f"tax.{name}", 'is not used; say depletion = "percentage" or leave it out')
        return
    if tax.in_force == "none":
        yield Fault("tax.depletion", 'is not used while tax.rules is "none"; name a table of rules, or leave it out')
        return
    if tax.property_share is None:
        yield Fault(
            "tax.property_share", "is missing; percentage depletion is a share of the value of brine, not of power"
        )
    for name in ("depletion_rate", "depletion_limit"):
        if getattr(tax, name) is None and not dated:
            yield Fault(f"tax.{name}", "is missing; the plain rules have none of their own")

"""What is owed besides the work itself: to the owner of the resource, to government and community, and for a bond."""

import numpy as np

from geoecon import costs
from geoecon.arrays import Floats, column
from geoecon.case import Case
from geoecon.preparing.basics import Calendar, wide
from geoecon.tables import Row, table

LEASED = ("royalty", "lease_rent")  # accounts that the receivers of a lease's revenue share


def lease_rows(case: Case, key: str | None = None) -> list[Row]:
    """Rows of the table of leases that hold for the case, of one key or of all."""
    return [r for r in table("leases") if r["lease"] == case.operation.lease and key in (None, r["key"])]


def lease_split(case: Case) -> dict[str, dict[str, float]]:
    """Account of a lease -> receiver -> share of what it brings in; empty without a lease."""
    shares = {r["key"]: float(r["value"]) for r in lease_rows(case) if r["key"] not in {"royalty", "rent"}}
    return dict.fromkeys(LEASED, shares) if shares else {}


def revenue_shares(case: Case, when: Calendar) -> dict[str, Floats]:
    """Account -> share of the gross proceeds of energy, (year, scenario), or (scenario,) where it holds for the life."""
    operation = case.operation
    shares = {"royalty": wide(case, operation.royalty)}
    if operation.royalty_after is not None and operation.royalty_step_year is not None:
        later = when.years >= operation.royalty_step_year
        shares["royalty"] = np.where(later, wide(case, operation.royalty_after), shares["royalty"])
    if operation.lease != "none":
        shares["royalty"] = stepped(lease_rows(case, "royalty"), when) + np.zeros(case.scenarios)
    if operation.community_fund is not None and operation.community_fund.kind == "share":
        shares["community_fund"] = wide(case, operation.community_fund.values)
    return shares


def stepped(steps: list[Row], when: Calendar) -> Floats:
    """The value that holds in each year, (year, 1): of several rows the last one begun; zero before operation."""
    held = np.zeros_like(when.years)
    for step in steps:
        held = np.where(when.years >= int(step["from_year"]), float(step["value"]), held)
    return held


def fixed_payments(case: Case, capital: Floats, delivered: Floats, when: Calendar, index: Floats) -> dict[str, Floats]:
    """Account -> what is owed each year whatever the price, nominal, (year, scenario)  [money].

    capital : (scenario,) initial capital, price-year money, which a tax or a premium may be a share of
    delivered : (year of operation, scenario)  [MWh]
    """
    operation, first, years = case.operation, when.first, when.operating_years
    growth, level = wide(case, operation.real_growth), wide(case, 0.0)
    paid: dict[str, Floats] = {}
    if operation.land is not None:
        paid["land"] = costs.grown(operation.land, index, growth, first)
    for name in ("insurance", "property_tax"):
        stated = getattr(operation, name)
        if stated is not None:
            real = stated.values * (capital if stated.kind == "rate" else 1.0)
            paid[name] = costs.grown(real, index, growth, first)
    if operation.property_tax_abatement is not None:
        abated = column(np.arange(years)) < (operation.property_tax_abatement_years or 0)
        paid["property_tax"][first:] *= 1 - abated * wide(case, operation.property_tax_abatement)
    if operation.lease_acres is not None:
        # The rent of the law is an amount of money that does not go with prices.
        paid["lease_rent"] = stepped(lease_rows(case, "rent"), when) * wide(case, operation.lease_acres)
    fund = operation.community_fund
    if fund is not None and fund.kind != "share":
        real = wide(case, fund.values) * (delivered if fund.kind == "price" else 1.0)
        paid["community_fund"] = costs.grown(real, index, level, first)
    if case.capital.decommissioning_bond is not None:
        premium = wide(case, case.capital.decommissioning_bond) * wide(case, case.capital.decommissioning)
        paid["bond_premium"] = costs.grown(premium, index, level, first)
    return paid

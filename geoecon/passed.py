"""What one pass has worked out, as metrics, columns and reports take it."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from geoecon.arrays import Bools, Codes, Floats, over_years
from geoecon.case import Case
from geoecon.energy import Ledger, Running
from geoecon.finance.appraisal import life_cycle_cost
from geoecon.finance.levelized import (
    RequiredPrice,
    levelized_cost,
    price_for_cover,
    price_for_return,
)
from geoecon.finance.measures import payback
from geoecon.finance.owners import RevenueRequirement, later_money, revenue_requirement
from geoecon.finance.prices import PricePath, level
from geoecon.finance.statement import NO_MONEY, Financing, Statement
from geoecon.preparing.basics import Calendar, wide
from geoecon.preparing.service import running
from geoecon.sizing import Design, FieldYears
from geoecon.tables import table
from geoecon.terms import Rates

PUBLIC_OWNERS = ("public", "cooperative")


@dataclass(frozen=True)
class Pass:
    """Everything that one pass has worked out, from which metrics are taken."""

    case: Case
    design: Design
    when: Calendar
    field: FieldYears
    ledger: Ledger
    purchases: dict[str, Floats]
    financing: Financing
    rates: Rates
    path: PricePath
    statement: Statement

    @property
    def first(self) -> int:
        """Row of operating year 1."""
        return self.when.first

    @property
    def delivered(self) -> Floats:
        """Delivered energy, (year of operation, scenario)  [MWh]."""
        return self.ledger.steps["delivered"]

    @property
    def has_price(self) -> bool:
        """Whether the case states a price."""
        return not bool(np.isnan(self.path.first).any())

    @cached_property
    def running(self) -> Running:
        """How the unit is run."""
        return running(self.case, self.design.net_kw)

    @cached_property
    def index(self) -> Floats:
        """Price level over that of the price year, (year, scenario)."""
        return self.financing.streams.index

    @property
    def ones(self) -> Floats:
        """The index of nominal money, (year, 1)."""
        return np.ones_like(self.when.times)

    @cached_property
    def lcoe_nominal(self) -> Floats:
        """Level nominal price that covers all cost, (scenario,)."""
        return levelized_cost(self.financing.streams, self.rates.discount, self.ones)

    @cached_property
    def invested(self) -> Floats:
        """Capital and decommissioning, nominal, (year, scenario)."""
        streams = self.financing.streams
        return streams.spent + streams.decommissioning

    @cached_property
    def running_cost(self) -> Floats:
        """Operating cost, and a royalty as it would be at the levelized cost, nominal, (year, scenario)."""
        streams = self.financing.streams
        royalty = streams.energy * np.nan_to_num(self.lcoe_nominal) * streams.revenue_share
        return streams.fixed_operating + royalty

    @cached_property
    def life_cycle_cost(self) -> Floats:
        """Value of all cost, a royalty at the levelized cost in, (scenario,)  [money of year 0]."""
        return life_cycle_cost(self.invested, self.running_cost, self.rates.discount, self.when.times)

    @cached_property
    def household_use(self) -> tuple[Floats, Floats]:
        """Lowest and highest yearly use of one home, (scenario,)  [MWh/yr]."""
        stated = self.case.community.household_use
        if stated is not None:
            return wide(self.case, stated.low), wide(self.case, stated.high)
        low, high = default_household_use()
        return wide(self.case, low), wide(self.case, high)

    @cached_property
    def requirement(self) -> RevenueRequirement | None:
        """The revenue that a utility must collect; none for another owner."""
        if self.case.project.owner != "utility":
            return None
        financing, stated = self.financing, self.case.finance.allowed_return
        loan = financing.terms.loan
        allowed = self.rates.equity if stated is None else wide(self.case, stated)
        return revenue_requirement(
            financing.streams, financing.terms.tax, financing.tax_base, loan.share, loan.rate, allowed
        )

    @cached_property
    def overpaid(self) -> Bools:
        """Where grant and debt as stated are more than all uses of money, so that less of them is taken, (scenario,)."""
        financing, grant = self.financing, wide(self.case, self.case.capital.grant)
        too_much = grant > over_years(financing.streams.grant) * (1 + NO_MONEY)
        filled = (financing.equity == 0) & (grant > 0) & (financing.loan.share < financing.terms.loan.share)
        return np.asarray(too_much | filled)

    @cached_property
    def commitment(self) -> Floats:
        """Debt, the owner's money before year 1, and what later years want of the owner, (scenario,); NaN without price."""
        later = over_years(later_money(self.statement.cash_flow_equity, self.first))
        return self.financing.loan.amount + self.financing.equity + later

    @cached_property
    def payback(self) -> tuple[Floats, Codes]:
        """Years until the project's cash has come back, and codes where it does not, (scenario,)."""
        return payback(self.statement.cash_flow_project, self.first)

    @cached_property
    def required_path(self) -> PricePath:
        """The path whose first price is solved for; the same nominal price over the life where the case states none."""
        return self.path if self.has_price else level(self.ones, self.first)

    @cached_property
    def by_return(self) -> RequiredPrice:
        """The price that gives the owner's money the return asked."""
        return price_for_return(self.financing, self.required_path, self.rates.equity, self.lcoe_nominal)

    @cached_property
    def required(self) -> RequiredPrice:
        """The price that gives the owner what is needed."""
        path = self.required_path
        if self.case.project.owner not in PUBLIC_OWNERS:
            return self.by_return
        target = wide(self.case, self.case.finance.target_dscr)
        tier = self.case.finance.target_tier
        interest = None if tier is None else wide(self.case, tier)
        by_cover = price_for_cover(self.financing, path, target, self.lcoe_nominal, interest)
        # Without a loan there is no cover to keep: then the return asked on the owner's money is what is needed.
        return by_cover.where(self.financing.loan.amount > 0, self.by_return)


def default_household_use() -> tuple[float, float]:
    """Lowest and highest state average of the household table  [MWh/yr]; wide, because the place is not known."""
    use = [12 * float(r["kwh_per_month"]) / 1000 for r in table("household_use")]
    return min(use), max(use)

"""What finance is given: money and energy over time, by account, with no idea of what is built."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from geoecon.arrays import Floats, over_years, total


@dataclass(frozen=True)
class Account:
    """How an account is treated: its class for depreciation, who pays, who receives, whether a credit applies to it.

    drilled : whether it is drilling, a share of which may be deducted at once
    part : of the cost of one MWh, the account's own name where it stands alone
    """

    name: str
    tax_class: str
    payer: str
    recipient: str
    earns_credit: bool
    drilled: bool = False
    part: str = ""


@dataclass(frozen=True)
class Streams:
    """Money and energy of one project, nominal, `(year, scenario)`: build years first, then operating years.

    first : row of operating year 1, which is the number of build years
    times : (year, 1)  time of each row's flows from the end of year 0  [yr]
    capital, sustaining, operating : account -> (year, scenario), capital of build years alone  [money]
    revenue_shares : account -> (year, scenario), or what broadcasts to it  operating cost that is a share of energy
        revenue, such as royalty  [1]
    energy : (year, scenario)  delivered  [MWh]
    other_revenue : account -> (year, scenario)  revenue that no price per MWh stands behind  [money]
    grant, decommissioning : (year, scenario)  [money]
    index : (year, scenario)  price level over that of the price year  [1]
    """

    first: int
    times: Floats
    capital: Mapping[str, Floats]
    sustaining: Mapping[str, Floats]
    operating: Mapping[str, Floats]
    revenue_shares: Mapping[str, Floats]
    energy: Floats
    other_revenue: Mapping[str, Floats]
    grant: Floats
    decommissioning: Floats
    index: Floats
    accounts: Mapping[str, Account]

    @cached_property
    def initial(self) -> Floats:
        """All initial capital, (year, scenario)  [money]."""
        spent = np.zeros_like(self.energy)
        spent[: self.first] += sum(flows[: self.first] for flows in self.capital.values())
        return spent

    @cached_property
    def grant_share(self) -> Floats:
        """The grant's share of initial capital, (scenario,)  [1]."""
        capital, grant = over_years(self.initial), over_years(self.grant)
        with np.errstate(invalid="ignore", divide="ignore"):
            return np.where(capital > 0, grant / capital, 0.0)

    @cached_property
    def sustained(self) -> Floats:
        """All sustaining capital, (year, scenario)  [money]."""
        return self.total(self.sustaining)

    @cached_property
    def spent(self) -> Floats:
        """Initial and sustaining capital, (year, scenario)  [money]."""
        return self.initial + self.sustained

    @cached_property
    def fixed_operating(self) -> Floats:
        """Operating cost that does not follow revenue, (year, scenario)  [money]."""
        return self.total(self.operating)

    @cached_property
    def revenue_share(self) -> Floats:
        """Share of energy revenue that goes to royalty and the like, (year, scenario)  [1]."""
        return self.total(self.revenue_shares)

    @cached_property
    def unpriced_revenue(self) -> Floats:
        """Revenue that no price per MWh stands behind, (year, scenario)  [money]."""
        return self.total(self.other_revenue)

    @cached_property
    def unpriced_income(self) -> Floats:
        """Other revenue less operating cost and decommissioning, (year, scenario)  [money]."""
        return self.unpriced_revenue - self.fixed_operating - self.decommissioning

    def total(self, accounts: Mapping[str, Floats]) -> Floats:
        """Sum over accounts, (year, scenario)."""
        return total(accounts.values(), self.energy.shape)

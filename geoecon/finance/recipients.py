"""Who pays what to whom: every payment of the owner and every receipt, by payer, recipient and account."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from geoecon.arrays import Floats
from geoecon.finance.statement import Financing, Statement

OWNER = "owner"


@dataclass(frozen=True)
class Payment:
    """One account as it passes from a payer to a recipient, nominal; flows : (year, scenario)  [money]."""

    payer: str
    recipient: str
    account: str
    flows: Floats


@dataclass(frozen=True)
class Payments:
    """All payments of one pass.

    split : account -> receiver -> share, where several share what is paid; the shares of an account sum to 1  [1]
    """

    financing: Financing
    statement: Statement
    split: Mapping[str, Mapping[str, float]]

    @cached_property
    def lines(self) -> tuple[Payment, ...]:
        """Every payment, as accounts name payer and recipient."""
        return tuple(self._lines())

    @property
    def paid(self) -> tuple[Payment, ...]:
        """What the owner pays."""
        return tuple(line for line in self.lines if line.payer == OWNER)

    @property
    def received(self) -> tuple[Payment, ...]:
        """What the owner receives."""
        return tuple(line for line in self.lines if line.recipient == OWNER)

    @cached_property
    def recipients(self) -> dict[str, Floats]:
        """Recipient -> what the owner pays to it, (year, scenario)  [money]; below zero where more comes back."""
        found: dict[str, Floats] = {}
        for line in self.paid:
            found[line.recipient] = found[line.recipient] + line.flows if line.recipient in found else line.flows
        return found

    def _lines(self) -> Iterator[Payment]:
        known = self.financing.streams.accounts
        for name, flows in self._accounts().items():
            if not np.any(flows):
                continue
            whole = {known[name].recipient: 1.0}
            for recipient, share in self.split.get(name, whole).items():
                yield Payment(known[name].payer, recipient, name, flows * share)

    def _accounts(self) -> dict[str, Floats]:
        streams, loan, statement = self.financing.streams, self.financing.loan, self.statement
        sales = statement.price * streams.energy
        return {
            "energy": sales,
            **streams.other_revenue,
            "grant": streams.grant,
            "debt_drawn": loan.drawn,
            **streams.capital,
            **streams.sustaining,
            **streams.operating,
            **{name: sales * share for name, share in streams.revenue_shares.items()},
            "decommissioning": streams.decommissioning,
            "interest": loan.interest,
            "principal": loan.principal,
            "fees": loan.fees,
            "income_tax": statement.tax,
            "withheld": statement.withheld,
        }

"""The books of a project: the statement by section, sources and uses, the cash waterfall, and a balance sheet.

Everything is nominal. Lines are signed as the owner sees them: what comes in is positive, what goes out negative. The
books add nothing to a pass; they lay out what its statement and its loan already say, so that each figure can be rebuilt.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from geoecon.arrays import Bools, Floats, over_years, running_total
from geoecon.finance.depreciation import book_depreciation
from geoecon.finance.owners import capitalised
from geoecon.finance.statement import Financing, Statement, rise

Lines = dict[str, Floats]


@dataclass(frozen=True)
class Books:
    """The books of one pass; every line (year, scenario) but those of `sources` and `uses`, which are (scenario,)."""

    financing: Financing
    statement: Statement

    @cached_property
    def sections(self) -> dict[str, Lines]:
        """The statement: revenue, operating, tax, investment, debt, reserves and equity, each with its lines.

        All sections before the last sum to the last, what the owner gets (or, where negative, puts in).
        """
        streams, loan, statement = self.financing.streams, self.financing.loan, self.statement
        sales = statement.revenue - streams.unpriced_revenue
        return {
            "revenue": {"energy": sales, **streams.other_revenue},
            "operating": _spent(streams.operating) | {"shares of revenue": -statement.royalty},
            "tax": {"income tax less credits": -statement.tax, "withheld of what is paid out": -statement.withheld},
            "investment": {
                **_spent(streams.capital),
                **_spent(streams.sustaining),
                "decommissioning": -streams.decommissioning,
                "grant": streams.grant,
            },
            "debt": {
                "drawn": loan.drawn,
                "fees": -loan.fees,
                "interest": -loan.interest,
                "principal": -loan.principal,
            },
            "reserves": {f"to or from the {name}": -rise(held) for name, held in self._held.items()},
            "equity": {
                "paid in by the owner": np.minimum(statement.cash_flow_equity, 0.0),
                "paid out to the owner": np.maximum(statement.cash_flow_equity, 0.0),
            },
        }

    @cached_property
    def uses(self) -> Lines:
        """What is paid until the end of year 0, (scenario,)  [money]."""
        streams, loan, first = self.financing.streams, self.financing.loan, self.financing.streams.first
        paid = {name: over_years(flows[:first]) for name, flows in streams.capital.items()}
        return paid | {
            "interest while building": over_years(loan.interest[:first]),
            "fees of lenders": over_years(loan.fees[:first]),
            "first reserves": self.financing.reserve[first - 1],
        }

    @cached_property
    def sources(self) -> Lines:
        """Where it comes from, (scenario,)  [money]."""
        first = self.financing.streams.first
        return {
            "debt": self.financing.loan.amount,
            "grant": over_years(self.financing.streams.grant[:first]),
            "tax saved while building": -over_years(self.statement.tax[:first]),
            "owner": -over_years(self.statement.cash_flow_equity[:first]),
        }

    @cached_property
    def waterfall(self) -> Lines:
        """Who is served before whom from the cash of operating years, (year, scenario); zero in build years  [money].

        What is left after the last step is what the owner gets, or where negative puts in. Of each kind of sustaining
        capital a step takes what is paid and what goes to its reserve, less what comes from there. Cash that lenders lock
        up waits after everything else; what is unlocked comes back there.
        """
        loan, statement, streams = self.financing.loan, self.statement, self.financing.streams
        held, reserves = self._held, self.financing.sustaining_reserves
        later = {name: bought + rise(reserves[name]) for name, bought in streams.sustaining.items()}
        steps = {
            "revenue": statement.revenue,
            "operating cost": -statement.operating_cost,
            "income tax less credits": -statement.tax,
            "interest": -loan.interest,
            "principal": -(loan.principal - loan.refinanced),
            "fees of lenders": -loan.fees,
            "debt service reserve": -rise(held["debt service reserve"]),
            **{f"{name}, paid or saved for": -amounts for name, amounts in later.items()},
            "decommissioning, paid or saved for": -(streams.decommissioning + rise(held["decommissioning fund"])),
            "grant": streams.grant,
            "withheld of what is paid out": -statement.withheld,
            "locked up": -rise(held["cash locked up"]),
        }
        return {name: np.where(self._running, flows, 0.0) for name, flows in steps.items()}

    @cached_property
    def balance_sheet(self) -> dict[str, Lines]:
        """Assets, debt and equity at the end of each year, (year, scenario)  [money].

        Book value is cost with interest and fees while building, less a grant, written off in equal parts over the
        operating years; a later purchase over the years after its own, or at once in the last. Tax is booked as it is
        paid. Equity is rolled forward from what the owner paid in and out and what the project earned, and so knows
        nothing of the assets: that both sides agree is a check.
        """
        paid = self.statement.cash_flow_equity
        earned = running_total(self.earnings)
        return {
            "assets": {"what is built, at book value": self._book_value, **self._held},
            "debt": {"loans": self.financing.loan.balance},
            "equity": {
                "paid in": running_total(np.maximum(-paid, 0.0)),
                "earned and not paid out": earned - running_total(np.maximum(paid, 0.0)),
            },
        }

    @cached_property
    def earnings(self) -> Floats:
        """Revenue less all cost with book depreciation, interest and tax, (year, scenario)  [money]."""
        statement, loan = self.statement, self.financing.loan
        interest = np.where(self._running, loan.interest + loan.fees, 0.0)
        cost = statement.operating_cost + self.book_depreciation + interest + self.financing.streams.decommissioning
        return statement.revenue - cost - statement.tax - statement.withheld

    @cached_property
    def book_depreciation(self) -> Floats:
        """Book value written off in each year, (year, scenario)  [money]."""
        return book_depreciation(self._capitalised, self.financing.streams.first)

    @property
    def _capitalised(self) -> Floats:
        return capitalised(self.financing.streams, self.financing.loan)

    @cached_property
    def _book_value(self) -> Floats:
        return running_total(self._capitalised - self.book_depreciation)

    @cached_property
    def _held(self) -> Lines:
        """Cash that is kept, by what it is kept for, at the end of each year, (year, scenario)  [money]."""
        return {
            "debt service reserve": self.financing.loan.reserve,
            **{f"reserve for {name}": held for name, held in self.financing.sustaining_reserves.items()},
            "decommissioning fund": self.financing.ground.closing_fund,
            "cash locked up": self.statement.locked,
        }

    def as_json(self) -> dict[str, Any]:
        """The books of the first scenario as plain objects; lines by year are lists, build years first.

        What does not exist, as revenue where no price is stated, is null.
        """

        def plain(amount: float) -> float | None:
            return float(amount) if np.isfinite(amount) else None

        def by_year(lines: Lines) -> dict[str, list[float | None]]:
            return {name: [plain(amount) for amount in flows[:, 0]] for name, flows in lines.items()}

        def once(lines: Lines) -> dict[str, float | None]:
            return {name: plain(amounts[0]) for name, amounts in lines.items()}

        return {
            "statement": {section: by_year(lines) for section, lines in self.sections.items()},
            "sources": once(self.sources),
            "uses": once(self.uses),
            "waterfall": by_year(self.waterfall),
            "balance_sheet": {side: by_year(lines) for side, lines in self.balance_sheet.items()},
        }

    @property
    def _running(self) -> Bools:
        return self.financing.running


def _spent(accounts: Mapping[str, Floats]) -> Lines:
    return {name: -flows for name, flows in accounts.items()}

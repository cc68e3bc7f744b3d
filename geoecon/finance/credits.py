"""Credits against income tax: how much is earned and when, and what share of it rules leave. No law is written here."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from geoecon.arrays import Bools, Floats, over_years, total
from geoecon.finance.streams import Streams


@dataclass(frozen=True)
class Credit:
    """One credit: earned as a share of capital when service begins, or per MWh for some years.

    use : own (against tax), sold (at `sale_price`), cash (paid out in full)
    rate : (scenario,) of eligible capital  [1];  basis_cut : (scenario,) of the credit, off the basis  [1]
    per_mwh : (scenario,) nominal, operating year 1  [money/MWh];  growth : (scenario,)  [1/yr];  years : with it  [yr]
    recapture : share of an investment credit paid back where the plant is sold, by year of service; nothing after the last
    """

    use: str
    rate: Floats
    basis_cut: Floats
    per_mwh: Floats
    growth: Floats
    years: int
    sale_price: Floats
    recapture: tuple[float, ...] = ()

    def of_one_kind(self, investment: Bools) -> "Credit":
        """The investment credit in some scenarios and the production credit in the others."""
        return replace(self, rate=np.where(investment, self.rate, 0.0), per_mwh=np.where(investment, 0.0, self.per_mwh))


def credit_earned(streams: Streams, credit: Credit | None, expensed_share: Floats | None = None) -> Floats:
    """Credit earned in each year, at par, (year, scenario)  [money].

    expensed_share : (scenario,) of drilling that is deducted at once, on which no credit is earned  [1]
    """
    earned = np.zeros_like(streams.energy)
    if credit is None:
        return earned
    earned[streams.first] += investment_credit(streams, credit, expensed_share)
    stop = min(streams.first + credit.years, len(earned))
    age = np.arange(stop - streams.first).reshape(-1, 1)
    earned[streams.first : stop] += credit.per_mwh * (1 + credit.growth) ** age * streams.energy[streams.first : stop]
    return earned


def investment_credit(streams: Streams, credit: Credit, expensed_share: Floats | None = None) -> Floats:
    """Credit on what is built, at par, (scenario,)  [money]; `expensed_share` as in `credit_earned`."""
    spent = {name: over_years(flows[: streams.first]) for name, flows in streams.capital.items()}
    eligible = [
        amount if expensed_share is None or not streams.accounts[name].drilled else amount * (1 - expensed_share)
        for name, amount in spent.items()
        if streams.accounts[name].earns_credit
    ]
    return np.asarray(credit.rate * total(eligible, streams.energy.shape[1:]) * (1 - streams.grant_share))


def paid_back_if_sold(streams: Streams, credit: Credit | None, expensed_share: Floats | None = None) -> Floats:
    """What of an investment credit is paid back where the plant is sold in a year, (year, scenario)  [money]."""
    owed = np.zeros_like(streams.energy)
    if credit is not None:
        earned = investment_credit(streams, credit, expensed_share)
        for row, share in zip(owed[streams.first :], credit.recapture, strict=False):
            row += share * earned
    return owed


def share_in(year: int, shares: Mapping[int, float]) -> float:
    """The share of a credit that is left for what begins in a year.

    shares : year -> share; what begins before the first of them has the first one's, after the last nothing is left

    >>> phase_out = {2033: 1.0, 2034: 0.75, 2035: 0.5}
    >>> [share_in(year, phase_out) for year in (2027, 2033, 2034, 2035, 2036)]
    [1.0, 1.0, 0.75, 0.5, 0.0]
    """
    return shares.get(max(year, min(shares)), 0.0)


def indexed(amount: float, factor: float, step: float, multiple: float = 1.0) -> float:
    """A credit per unit of energy in the money of a year: moved by a factor, rounded to a step, then multiplied.

    amount : of the base year;  factor : price level over that year's  [1];  returns money per unit, as `amount`

    >>> round(indexed(0.3, 1.9971, 0.05, 5), 9)  # 2025, in US cents per kWh, wage rules met
    3.0
    """
    return multiple * step * round(amount * factor / step)

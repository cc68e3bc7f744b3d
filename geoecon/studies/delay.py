"""What a late start costs, by cause, with the plant as it was ordered.

The calendar stays: debt service, costs that do not go with energy, ageing of the field and prices do not wait. The energy of
the months missed is not sold. A start that is later by whole years begins construction as much later, which may lose a credit.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from geoecon.arrays import Floats, over_years
from geoecon.case import Case
from geoecon.energy import KW_PER_MW, missed
from geoecon.engine import evaluate
from geoecon.errors import CaseError, Fault
from geoecon.finance.discounting import present_value
from geoecon.result import Result
from geoecon.studies.drawn import order
from geoecon.taxing import credit_of_rules

USUAL = (0, 3, 6, 12)
MOST = 36
MONTHS_PER_YEAR = 12

ENERGY, PRICES, CAPACITY, SAVED, PENALTY, SERVICE, TAXES, DEADLINE = (
    "energy not sold", "prices that do not wait", "capacity payments missed", "costs saved with the energy",
    "penalty for energy promised", "debt service, due all the same", "tax less credits", "credit lost by beginning later",
)  # fmt: skip
CAUSES = {
    ENERGY: "what the energy of the months missed would have brought, were prices to begin with the unit",
    PRICES: "term and steps run out, and growth goes on, from the planned start",
    CAPACITY: "paid per kW for the time missed",
    SAVED: "variable cost and royalty",
    PENALTY: "of guaranteed energy",
    SERVICE: "interest and principal are paid as planned, so they are the same with and without the delay",
    TAXES: "less profit is taxed less; production credits are missed",
    DEADLINE: "construction begins later by the whole years of the delay",
}


@dataclass(frozen=True)
class DelayCost:
    """A case at several delays; every array is (delay,).

    value : metric of the owner's value, of the project's where there is no equity, or empty without a price
    cost : fall of that value against no delay, money of year 0;  causes : name -> part of it, they sum to `cost`
    service : interest and principal due for the time missed, nominal;  put_in : cash that the owner adds in those years
    credit_left : share of the investment credit that is left  [1]
    """

    name: str
    currency: str
    months: Floats
    metrics: Mapping[str, Floats]
    reasons: Mapping[str, tuple[str, ...]]
    units: Mapping[str, str]
    bases: Mapping[str, str]
    value: str
    cost: Floats
    causes: Mapping[str, Floats]
    service: Floats
    put_in: Floats
    credit_left: Floats


def delay_cost(case: Case, months: Sequence[float] = USUAL) -> DelayCost:
    """What starting so many months late costs; no delay is always the first, whatever delay the case itself states.

    Raises `CaseError` where a delay is not from 0 to 36 months, or the case itself cannot be worked out.
    """
    late = np.unique(np.array([0.0, *months]))
    if not (np.isfinite(late).all() and late[0] >= 0 and late[-1] <= MOST):
        raise CaseError([Fault("timeline.delay", f"a start is 0 to {MOST} months late, not {late[-1]:g}")], case.source)
    evaluate(case.with_values({"timeline.delay": 0.0}), unsolved="raise")
    years = late / MONTHS_PER_YEAR
    ordered = order(case.with_values({"timeline.delay": 0.0}), {})
    alone = ordered.evaluate({"timeline.delay": years})
    left, rate = credit_left(case, alone.metrics["net_capacity"].values[:1] * KW_PER_MW, years)
    found = alone if rate is None else ordered.evaluate({"timeline.delay": years, "tax.credit_rate": rate})
    value = next((key for key in ("npv_equity", "npv") if np.isfinite(found.metrics[key].values[0])), "")
    causes = _causes(alone, found, value, years) if value else {}
    cost = found.metrics[value].values[0] - found.metrics[value].values if value else np.full(late.shape, np.nan)
    gone = missed(years, len(found.times) - found.build_years)
    service, flow = (_operating(found, *names) for names in (("interest", "principal"), ("cash_flow_equity",)))
    return DelayCost(
        found.name, found.currency, late,
        {key: metric.values for key, metric in found.metrics.items()},
        {key: tuple(metric.reason_at(n) for n in range(late.size)) for key, metric in found.metrics.items()},
        {key: metric.unit for key, metric in found.metrics.items()},
        {key: metric.basis for key, metric in found.metrics.items()},
        value, cost, causes, over_years(service * gone),
        over_years(np.where((gone > 0) & (flow < 0), -flow, 0.0)), left,
    )  # fmt: skip


def credit_left(case: Case, net_kw: Floats, years: Floats) -> tuple[Floats, Floats | None]:
    """Share of the investment credit that is left, (delay,), and its rate, or None where no delay moves it.

    Only where the case states when construction begins, and the rate is that of the rules: one that is stated stays.
    """
    tax, whole = case.tax, np.ones_like(years)
    if tax.credit != "investment" or tax.credit_rate is not None or tax.construction_begins is None:
        return whole, None
    begins = tax.construction_begins + np.floor(years + 1e-9).astype(int)
    rate = np.array([credit_of_rules(case, net_kw, year)[0][0] for year in begins.tolist()])
    return (whole, None) if (rate == rate[0]).all() else (rate / rate[0], rate)


def _operating(result: Result, *columns: str) -> Floats:
    """Sum of yearly columns in the operating years, (year of operation, delay)."""
    return np.asarray(sum(result.annual[name][result.build_years :] for name in columns))


def _causes(alone: Result, found: Result, value: str, years: Floats) -> dict[str, Floats]:
    """Every cause with what it takes from the value, (delay,); in order, so that they sum to all."""
    equity = value == "npv_equity"
    rate = alone.asked["equity_return" if equity else "discount_rate"]

    def fall(flows: Floats) -> Floats:
        """What the value falls where these receipts are as they are and not as without delay."""
        return present_value(flows[:, :1] - flows, rate, alone.times)

    price, energy = alone.annual["price"], alone.annual["delivered_energy"]
    # Factors by time of delivery differ in the years partly missed; that is a matter of which months are missed.
    with np.errstate(invalid="ignore", divide="ignore"):
        seasons = np.where(price[:, :1] > 0, price / price[:, :1], 1.0)
    waiting = shifted(price[:, :1], years, alone.build_years) * seasons * energy
    penalty = alone.operating_accounts.get("shortfall_penalty", np.zeros_like(energy))
    tax = alone.annual["tax" if equity else "tax_unlevered"]
    service = alone.annual["interest"] + alone.annual["principal"]
    return {
        ENERGY: fall(waiting),
        PRICES: present_value(waiting - price * energy, rate, alone.times),
        CAPACITY: fall(np.broadcast_to(alone.other_revenue, energy.shape)),
        SAVED: fall(penalty - alone.annual["operating_cost"]),
        PENALTY: fall(-penalty),
        SERVICE: fall(-service),
        TAXES: fall(-tax),
        DEADLINE: alone.metrics[value].values - found.metrics[value].values,
    }


def shifted(price: Floats, years: Floats, first: int) -> Floats:
    """The price of each year if prices began with a late unit, (year, delay)  [money/MWh].

    price : (year, 1) with build years;  years : (delay,)  [yr];  first : row of operating year 1

    >>> shifted(np.array([[0.0], [80.0], [90.0], [100.0]]), np.array([0.5, 1.0]), 1)[1:]
    array([[80., 80.],
           [85., 80.],
           [95., 90.]])
    """
    rows = np.arange(first, len(price)).reshape(-1, 1)
    whole = np.floor(years + 1e-9).astype(int)
    part = years - whole
    before, later = (np.maximum(rows - whole - step, first) for step in (1, 0))
    moved = np.zeros((len(price), years.size))
    moved[first:] = part * price[before, 0] + (1 - part) * price[later, 0]
    return moved

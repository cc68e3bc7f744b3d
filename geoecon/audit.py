"""Checks of a result: identities that hold whatever the case, each with how far it is off and how far it may be."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np

from geoecon.arrays import Floats, over_years
from geoecon.finance.discounting import discount_factors, present_value
from geoecon.finance.owners import credit_worth
from geoecon.finance.prices import levelized_price
from geoecon.finance.rates import real_from_nominal
from geoecon.finance.stack import AFTER_TAX, COST, REQUIRED, total
from geoecon.finance.statement import rise
from geoecon.result import Result
from geoecon.units import HOURS_PER_YEAR

CLOSE = 1e-9


@dataclass(frozen=True)
class Check:
    """One check: what holds, how far it is off in the worst year and scenario, and how far it may be, both relative."""

    name: str
    off: float
    allowed: float

    @property
    def holds(self) -> bool:
        """Whether it holds; a figure that is not finite does not."""
        return bool(self.off <= self.allowed)

    def as_json(self) -> dict[str, Any]:
        """The check as a plain object."""
        return {"name": self.name, "holds": self.holds, "off": self.off, "allowed": self.allowed}


def checks(result: Result) -> list[Check]:
    """Every check that the result allows; what a case lacks, such as a loan, is not among them."""
    parts = (_energy, _flows, _books, _payments, _values, _stacks)
    found = [check for part in parts for check in part(result)]
    return [Check(name, float(off), allowed) for name, off, allowed in found]


def verdict(found: list[Check]) -> str:
    """One sentence on all of them."""
    failed = [check.name for check in found if not check.holds]
    if not failed:
        return f"all {len(found)} checks of the figures hold"
    return f"{len(failed)} of {len(found)} checks FAIL, the figures cannot all be right: {'; '.join(failed)}"


def with_checks(result: Result) -> dict[str, Any]:
    """Everything of the first scenario of a result as plain objects, and its checks."""
    return result.as_json() | {"checks": [check.as_json() for check in checks(result)]}


Found = tuple[str, float, float]


def _worst(off: Floats, size: Floats | float) -> float:
    """Largest part of its size that something is off by; scenarios that could not be worked out are left out."""
    seen = np.abs(off) / np.maximum(size, 1e-300)
    return float(np.max(seen, initial=0.0, where=~np.isnan(seen)))


def _energy(result: Result) -> Iterator[Found]:
    for name, ledger in (("year 1", result.ledger), ("the life", result.ledger_life)):
        steps = [np.asarray(v) for k, v in ledger.items() if k not in ("gross_at_design", "unit_net", "delivered")]
        left = ledger["gross_at_design"] - sum(steps)
        yield (
            f"the energy ledger of {name} sums to what is delivered",
            _worst(left - ledger["delivered"], ledger["gross_at_design"]),
            CLOSE,
        )
    months = over_years(result.monthly_energy)
    yield "the months of year 1 sum to its energy", _worst(months - result.ledger["delivered"], months), CLOSE
    factor = result.metrics["net_capacity_factor"].values
    yield "the capacity factor is not above 1", _worst(np.maximum(factor - 1, 0.0), 1.0), CLOSE
    gross, most = result.annual["gross_energy"], result.metrics["gross_capacity"].values * HOURS_PER_YEAR
    # Cold air may lift gross power above the design point, but not beyond half as much again.
    yield "gross energy of a year fits the gross capacity", _worst(np.maximum(gross - 1.5 * most, 0.0), most), CLOSE


def _flows(result: Result) -> Iterator[Found]:
    a, size = result.annual, _size(result)
    project = a["revenue"] + a["grant"] - a["operating_cost"] - a["capital"] - a["decommissioning"] - a["tax_unlevered"]
    yield "the project's cash flow is the sum of its lines", _worst(project - a["cash_flow_project"], size), CLOSE
    equity = (
        a["revenue"] + a["grant"] + a["debt_drawn"] - a["operating_cost"] - a["capital"] - a["decommissioning"]
        - a["fees"] - a["interest"] - a["principal"] - a["tax"] - a["withheld"] - rise(a["reserve_balance"])
    )  # fmt: skip
    yield "the owner's cash flow is the sum of its lines", _worst(equity - a["cash_flow_equity"], size), CLOSE
    spent = sum(np.asarray(v) for v in result.operating_accounts.values())
    yield "operating accounts sum to operating cost", _worst(spent - a["operating_cost"], size), CLOSE
    for name in (
        "capital",
        "operating_cost",
        "decommissioning",
        "grant",
        "interest",
        "debt_balance",
        "reserve_balance",
    ):
        yield f"{name.replace('_', ' ')} is never below zero", _worst(np.minimum(a[name], 0.0), size), CLOSE
    yield "the debt is repaid at the end", _worst(a["debt_balance"][-1], size), CLOSE
    yield "reserves are empty at the end", _worst(a["reserve_balance"][-1], size), CLOSE
    yield "the search for the size of the debt is closed", _worst(result.books.financing.residual, 1.0), CLOSE


def _books(result: Result) -> Iterator[Found]:
    books, size = result.books, _size(result)
    off = sum(books.uses.values()) - sum(books.sources.values())
    yield "sources are equal to uses", _worst(np.asarray(off), size), CLOSE
    sheet = {side: np.asarray(sum(lines.values())) for side, lines in books.balance_sheet.items()}
    yield (
        "the balance sheet balances in every year",
        _worst(sheet["assets"] - sheet["debt"] - sheet["equity"], size),
        CLOSE,
    )
    first = result.build_years
    left = np.asarray(sum(books.waterfall.values()))[first:] - result.annual["cash_flow_equity"][first:]
    yield "the waterfall ends in what the owner gets", _worst(left, size), CLOSE
    *parts, last = (np.asarray(sum(lines.values())) for lines in books.sections.values())
    yield "the sections of the statement sum to what the owner gets", _worst(np.asarray(sum(parts)) - last, size), CLOSE


def _payments(result: Result) -> Iterator[Found]:
    a, size, payments = result.annual, _size(result), result.payments
    names = ("capital", "operating_cost", "decommissioning", "interest", "principal", "fees", "tax", "withheld")
    paid = np.asarray(sum(payments.recipients.values(), start=np.zeros_like(a["capital"])))
    yield "what recipients get is what the owner pays", _worst(sum(a[name] for name in names) - paid, size), CLOSE
    came = np.asarray(sum((line.flows for line in payments.received), start=np.zeros_like(paid)))
    left = came - paid - rise(a["reserve_balance"]) - a["cash_flow_equity"]
    yield "what comes in is paid, kept in reserve or the owner's", _worst(left, size), CLOSE
    if not result.requirement:
        return
    financing = result.books.financing
    streams, tax, base = financing.streams, financing.terms.tax, financing.tax_base
    parts = result.requirement
    kept = np.asarray(sum(parts.values())) - parts["shares of revenue"] - parts["operating cost"]
    due = tax.rate * (kept - base.depreciation_unlevered - base.drilling) - credit_worth(tax, base)
    flows, rate = kept - due + streams.grant - streams.spent, result.asked["requirement_rate"]
    worth = present_value(flows, rate, streams.times)
    yield "collecting what is required earns the utility's own rate and nothing over", _worst(worth, size), CLOSE


def _values(result: Result) -> Iterator[Found]:
    a, metrics, times = result.annual, result.metrics, result.times
    for key, flow in (("irr_project", "cash_flow_project"), ("irr_equity", "cash_flow_equity")):
        rate = metrics[key].values
        value = present_value(a[flow], rate, times)
        size = over_years(np.abs(a[flow]) * discount_factors(rate, times))
        yield f"value at {key} is zero", _worst(value, size), CLOSE
    rate = result.asked["discount_rate"]
    if not metrics["npv"].codes.all():
        flows, now = a["cash_flow_project"], result.build_years - 1
        value = present_value(flows, rate, times)
        yield "value is that of the yearly flows", _worst(value - metrics["npv"].values, _size(result)), CLOSE
        if (times == np.round(times)).all():  # flows in the middle of a year stand between two price levels
            real_rate = np.asarray(real_from_nominal(rate, result.case.money.inflation))
            real = present_value(flows / result.index, real_rate, times) * result.index[now]
            yield "value is the same in nominal and in real money", _worst(value - real, _size(result)), CLOSE
    kept = a["delivered_energy"] * (1 - sum(result.revenue_shares.values(), start=np.zeros_like(result.index)))
    in_nominal, in_real = (
        metrics[f"lcoe_{money}"].values * present_value(kept * index, rate, times)
        for money, index in (("nominal", np.ones_like(result.index)), ("real", result.index))
    )
    name = "the levelized cost is worth the same in nominal and in real money"
    yield name, _worst(in_nominal - in_real, np.abs(in_nominal)), CLOSE
    bare = [name for name in a if not result.units.get(name)] + [key for key in metrics if not metrics[key].unit]
    yield "every column and every figure has its unit", float(len(bare)), 0.0


def _stacks(result: Result) -> Iterator[Found]:
    for money, stack in result.stacks.items():
        required = result.found_prices["required_price"].path.nominal
        prices = {
            COST: result.metrics[f"lcoe_{money}"].values,
            AFTER_TAX: result.metrics[f"lcoe_after_tax_{money}"].values,
            REQUIRED: levelized_price(
                required, result.annual["delivered_energy"], stack.rate, result.times, stack.index
            ),
        }
        for name, price in prices.items():
            off = _worst(total(stack.prices[name]) - price, np.abs(price))
            yield f"the parts of one MWh sum to the {money} price {name}", off, CLOSE


def _size(result: Result) -> Floats:
    """What differences of money are measured against, (scenario,): all that is spent."""
    return over_years(np.abs(result.annual["capital"]) + np.abs(result.annual["operating_cost"]))

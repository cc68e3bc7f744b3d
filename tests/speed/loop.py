"""The project as a plain loop over scenarios with numpy-financial, the way a first script would be written."""

from collections.abc import Callable

import numpy as np
import numpy_financial as npf

from geoecon.arrays import Floats
from tests.speed.project import (
    BUILD_YEARS,
    DEBT_SHARE,
    DEBT_YEARS,
    DEPRECIATION,
    DISCOUNT_RATE,
    ENERGY,
    EQUITY_RETURN,
    FEE,
    LOSS_LIMIT,
    PRICE_GROWTH,
    RESERVE_MONTHS,
    ROWS,
    ROYALTY,
    SPENDING,
    TAX_RATE,
    YEARS_OF_INFLATION,
    Scenarios,
)

MWH = [0.0] * BUILD_YEARS + ENERGY.tolist()
SHARES = DEPRECIATION.tolist()


def work_out(scenarios: Scenarios, *, required: bool) -> dict[str, Floats]:
    """The measures, (scenario,); the required price only where it is asked for."""
    found: dict[str, list[float]] = {}
    for n in range(len(scenarios)):
        one = work_out_one(
            float(scenarios.price[n]), float(scenarios.debt_rate[n]), float(scenarios.inflation[n]),
            float(scenarios.capital[n]), float(scenarios.operating[n]), required,
        )  # fmt: skip
        for name, value in one.items():
            found.setdefault(name, []).append(value)
    return {name: np.array(values) for name, values in found.items()}


def work_out_one(
    price: float, debt_rate: float, inflation: float, capital: float, operating: float, required: bool
) -> dict[str, float]:
    """The measures of one scenario."""
    index = [(1 + inflation) ** (row + YEARS_OF_INFLATION) for row in range(ROWS)]
    spent = [capital * share * index[row] for row, share in enumerate(SPENDING)] + [0.0] * (ROWS - BUILD_YEARS)
    fixed = [0.0] * BUILD_YEARS + [operating * index[row] for row in range(BUILD_YEARS, ROWS)]

    ages = np.arange(1, DEBT_YEARS + 1)
    service_per_unit = -float(npf.pmt(debt_rate, DEBT_YEARS, 1.0))
    reserve_per_unit = RESERVE_MONTHS / 12 * service_per_unit
    of_capital, of_loan = draws(spent, debt_rate, 0.0, 0.0), draws([0.0] * ROWS, debt_rate, FEE, reserve_per_unit)
    amount = sum(of_capital[0]) / (1 - sum(of_loan[0]))
    drawn, paid = draws(spent, debt_rate, FEE * amount, reserve_per_unit * amount)
    after = [0.0] * (ROWS - BUILD_YEARS - DEBT_YEARS)
    interest = paid + (-npf.ipmt(debt_rate, ages, DEBT_YEARS, amount)).tolist() + after
    principal = [0.0] * BUILD_YEARS + (-npf.ppmt(debt_rate, ages, DEBT_YEARS, amount)).tolist() + after
    fees = [FEE * amount] + [0.0] * (ROWS - 1)
    drawn = drawn + [0.0] * (ROWS - BUILD_YEARS)
    service = [0.0] * BUILD_YEARS + [interest[t] + principal[t] for t in range(BUILD_YEARS, ROWS)]
    reserve = [service[t + 1] * RESERVE_MONTHS / 12 if BUILD_YEARS - 1 <= t < ROWS - 1 else 0.0 for t in range(ROWS)]
    saved = [reserve[t] - (reserve[t - 1] if t else 0.0) for t in range(ROWS)]

    built = sum(spent)
    financed = built + sum(paid) + sum(fees)
    unlevered = [0.0] * BUILD_YEARS + [built * share for share in SHARES] + [0.0] * (ROWS - BUILD_YEARS - len(SHARES))
    levered = [share * financed / built for share in unlevered]

    def project(first_price: float) -> list[float]:
        revenue = revenue_at(first_price)
        profit = [revenue[t] * (1 - ROYALTY) - fixed[t] - unlevered[t] for t in range(ROWS)]
        tax = income_tax(profit)
        return [revenue[t] * (1 - ROYALTY) - fixed[t] - spent[t] - tax[t] for t in range(ROWS)]

    def equity(first_price: float) -> tuple[list[float], list[float]]:
        revenue = revenue_at(first_price)
        deducted = [interest[t] if t >= BUILD_YEARS else 0.0 for t in range(ROWS)]
        tax = income_tax([revenue[t] * (1 - ROYALTY) - fixed[t] - levered[t] - deducted[t] for t in range(ROWS)])
        cfads = [revenue[t] * (1 - ROYALTY) - fixed[t] - tax[t] for t in range(ROWS)]
        flow = [cfads[t] + drawn[t] - spent[t] - fees[t] - interest[t] - principal[t] - saved[t] for t in range(ROWS)]
        return flow, cfads

    flows = project(price)
    flow, cfads = equity(price)
    found = {
        "npv": value_of(flows, DISCOUNT_RATE),
        "npv_equity": value_of(flow, EQUITY_RETURN),
        "irr_project": float(npf.irr(flows)),
        "least_cover": min(cfads[t] / service[t] for t in range(BUILD_YEARS, BUILD_YEARS + DEBT_YEARS)),
    }
    if required:
        cost = value_of([spent[t] + fixed[t] for t in range(ROWS)], DISCOUNT_RATE)
        guess = cost / (value_of(MWH, DISCOUNT_RATE) * (1 - ROYALTY))
        scale = value_of([spent[t] + fixed[t] for t in range(ROWS)], EQUITY_RETURN)
        found["required_price"] = root(lambda p: value_of(equity(p)[0], EQUITY_RETURN), 0.0, 20 * guess, scale)
    return found


def draws(spent: list[float], rate: float, fee: float, reserve: float) -> tuple[list[float], list[float]]:
    """Draws and interest of the build years."""
    balance, drawn, interest = 0.0, [], []
    for row in range(BUILD_YEARS):
        interest.append(rate * balance)
        uses = spent[row] + (fee if row == 0 else 0.0) + (reserve if row == BUILD_YEARS - 1 else 0.0)
        drawn.append(DEBT_SHARE * (uses + interest[row]))
        balance += drawn[row]
    return drawn, interest


def revenue_at(first_price: float) -> list[float]:
    """Revenue of each year."""
    return [first_price * (1 + PRICE_GROWTH) ** max(row - BUILD_YEARS, 0) * MWH[row] for row in range(ROWS)]


def income_tax(profit: list[float]) -> list[float]:
    """Tax of each year with losses carried."""
    losses, tax = 0.0, []
    for amount in profit:
        gain = max(amount, 0.0)
        offset = min(losses, LOSS_LIMIT * gain)
        losses += max(-amount, 0.0) - offset
        tax.append(TAX_RATE * (gain - offset))
    return tax


def value_of(flows: list[float], rate: float) -> float:
    """Value at the end of year 0; the function of the package puts the first flow at time 0."""
    return float(npf.npv(rate, flows)) * (1 + rate) ** (BUILD_YEARS - 1)


def root(function: Callable[[float], float], low: float, high: float, scale: float) -> float:
    """Where a rising function is zero: the Illinois rule."""
    at_low, at_high, side = function(low), function(high), 0
    while True:
        guess = high - at_high * (high - low) / (at_high - at_low)
        value = function(guess)
        if abs(value) <= 1e-13 * scale or abs(high - low) <= 4e-16 * abs(guess):
            return guess
        if value > 0:
            high, at_high, at_low, side = guess, value, at_low / 2 if side > 0 else at_low, 1
        else:
            low, at_low, at_high, side = guess, value, at_high / 2 if side < 0 else at_high, -1

"""The project with geoecon's own functions, all scenarios at once."""

import numpy as np

from geoecon.arrays import Floats, column
from geoecon.costs import grown, spread
from geoecon.finance.debt import LoanTerms
from geoecon.finance.discounting import present_value
from geoecon.finance.levelized import levelized_cost, price_for_return
from geoecon.finance.measures import cover_ratios, rate_of_return
from geoecon.finance.prices import growing
from geoecon.finance.rates import price_index
from geoecon.finance.statement import Terms, arrange, state
from geoecon.finance.streams import Account, Streams
from geoecon.finance.tax import TaxTerms
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
    OPERATING_YEARS,
    PRICE_GROWTH,
    RESERVE_MONTHS,
    ROWS,
    ROYALTY,
    SPENDING,
    TAX_RATE,
    YEARS_OF_INFLATION,
    Scenarios,
)


def streams_of(scenarios: Scenarios) -> Streams:
    """Money and energy over the years."""
    count = len(scenarios)
    index = price_index(scenarios.inflation, column(np.arange(ROWS) + YEARS_OF_INFLATION), 0)
    energy = np.zeros((ROWS, count))
    energy[BUILD_YEARS:] = ENERGY.reshape(-1, 1)
    return Streams(
        first=BUILD_YEARS,
        times=column(np.arange(ROWS) - BUILD_YEARS + 1),
        capital=spread({"plant": scenarios.capital}, {"plant": SPENDING}, BUILD_YEARS, index),
        sustaining={},
        operating={"fixed_cost": grown(scenarios.operating, index, np.zeros(count), BUILD_YEARS)},
        revenue_shares={"royalty": np.full(count, ROYALTY)},
        energy=energy,
        other_revenue={},
        grant=np.zeros((ROWS, count)),
        decommissioning=np.zeros((ROWS, count)),
        index=index,
        accounts={"plant": Account("plant", "production", "", "", earns_credit=False)},
    )


def work_out(scenarios: Scenarios, *, required: bool) -> dict[str, Floats]:
    """The measures, (scenario,); the required price only where it is asked for."""
    count = len(scenarios)
    streams = streams_of(scenarios)
    loan = LoanTerms(
        np.full(count, DEBT_SHARE), scenarios.debt_rate, np.full(count, FEE), DEBT_YEARS, "level", RESERVE_MONTHS
    )
    tax = TaxTerms(np.full(count, TAX_RATE), {"production": DEPRECIATION}, True, np.full(count, LOSS_LIMIT), None)
    path = growing(
        scenarios.price, np.full(count, PRICE_GROWTH), OPERATING_YEARS, None, np.ones_like(streams.index), BUILD_YEARS
    )
    discount, equity_return = np.full(count, DISCOUNT_RATE), np.full(count, EQUITY_RETURN)
    financing = arrange(streams, Terms(loan, tax, False, 1, False))
    statement = state(financing, path)
    indebted = slice(BUILD_YEARS, BUILD_YEARS + DEBT_YEARS)
    found = {
        "npv": present_value(statement.cash_flow_project, discount, streams.times),
        "npv_equity": present_value(statement.cash_flow_equity, equity_return, streams.times),
        "irr_project": rate_of_return(statement.cash_flow_project, streams.times)[0],
        "least_cover": cover_ratios(statement.cfads, financing.loan.service)[indebted].min(axis=0),
    }
    if required:
        guess = levelized_cost(streams, discount, np.ones_like(streams.index))
        found["required_price"] = price_for_return(financing, path, equity_return, guess).value
    return found

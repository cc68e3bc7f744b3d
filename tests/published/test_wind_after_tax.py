"""A 15 MW wind plant after tax without debt: P. Jain, Wind Energy Engineering (2011), table 13-6 (p. 289) and the page after.

Seen in a reader's copy: cost 27.00 million USD; revenue 3.85 (3.851), running cost 1.10, EBITDA 2.75, straight-line
depreciation 1.35 over 20 years, taxable 1.40, tax 0.49 at 35 %, after tax 2.26; accumulated -27.00, -24.74, -22.48, positive in
year 12. The next page takes the five-year accelerated table on all of the cost, with losses used at once; its inputs were seen
and its answers not, so what stands here under "computed" was worked out from them elsewhere, as was the production credit of
21 USD/MWh that the book names.
"""

import numpy as np

from geoecon.arrays import column
from geoecon.finance.credits import Credit
from geoecon.finance.depreciation import macrs, straight_line
from geoecon.finance.discounting import present_value
from geoecon.finance.measures import payback, rate_of_return
from geoecon.finance.streams import Account, Streams
from geoecon.finance.tax import TaxTerms, income_tax, tax_base, without_debt

ONE, NONE = np.array([1.0]), np.array([0.0])
ENERGY = 50_000.0  # MWh; by the book's 490,907 MWh of present value at 8 % over 20 years
TIMES = column(np.arange(21))


def plant(shares, credit=None):
    """Taxable income and cash flow after tax, million USD."""
    running = column([0.0] + [1.0] * 20)
    spent = column([27.0] + [0.0] * 20)
    accounts = {
        "plant": Account("plant", "production", "", "", True),
        "running": Account("running", "expense", "", "", False),
    }
    streams = Streams(
        1, TIMES, {"plant": spent}, {}, {"running": 1.10 * running}, {}, ENERGY * running, {}, 0 * spent, 0 * spent,
        np.ones((21, 1)), accounts,
    )  # fmt: skip
    terms = TaxTerms(np.array([0.35]), {"production": shares}, False, ONE, credit)
    sales = 3.85 * running
    taxable = without_debt(streams, tax_base(streams, terms, 0 * spent))
    return sales + taxable.after_interest, sales - 1.10 * running - spent - income_tax(sales, taxable, terms)


def test_straight_line(agree):
    profit, flow = plant(straight_line(20))
    agree(profit[1, 0], 1.40, digits=12, what="taxable, million $")
    agree(2.75 - flow[1, 0], 0.49, digits=12, what="tax, million $")
    agree(flow[1, 0], 2.26, digits=12, what="after tax, million $")
    agree(np.cumsum(flow)[1], -24.74, digits=12, what="accumulated, year 1, million $")
    agree(np.cumsum(flow)[2], -22.48, digits=12, what="accumulated, year 2, million $")
    assert np.ceil(payback(flow, 1)[0][0]) == 12
    agree(present_value(flow, np.array([0.08]), TIMES)[0], -4.81099, digits=5, what="NPV 8 % (computed), million $")
    agree(rate_of_return(flow, TIMES)[0][0] * 100, 5.50351, digits=5, what="rate of return (computed), %")


def test_accelerated(agree):
    flow = plant(macrs(5))[1]
    for year, value in enumerate([3.6775, 4.8115, 3.6019, 2.8761, 2.8761, 2.3318, 1.7875], 1):
        agree(flow[year, 0], value, within=5e-5 / value, what=f"after tax, year {year} (computed), million $")
    agree(present_value(flow, np.array([0.08]), TIMES)[0], -1.78303, digits=5, what="NPV 8 % (computed), million $")
    agree(rate_of_return(flow, TIMES)[0][0] * 100, 6.87781, digits=5, what="rate of return (computed), %")


def test_accelerated_with_a_production_credit(agree):
    credit = Credit("cash", NONE, NONE, np.array([21e-6]), NONE, 10, ONE)
    flow = plant(macrs(5), credit)[1]
    agree(present_value(flow, np.array([0.08]), TIMES)[0], 5.26255, within=1e-4, what="NPV 8 % (computed), million $")
    agree(rate_of_return(flow, TIMES)[0][0] * 100, 11.41785, within=1e-4, what="rate of return (computed), %")

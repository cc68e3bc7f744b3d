"""Levelized cost by a fixed charge rate: a year's share of capital that recovers it, its return and its income tax.

One rate instead of a statement: every year is like the first, and tax enters as a factor. What that leaves out is what
`finance.stack.reconciled` puts back. Source of the factors: NREL, Annual Technology Baseline 2024, equations and variables
(seen in a copy); that depreciation is discounted at the nominal rate is recalled.
"""

import numpy as np

from geoecon.arrays import Floats, column, over_years
from geoecon.finance.discounting import present_value
from geoecon.finance.rates import capital_recovery_factor
from geoecon.finance.streams import Streams
from geoecon.finance.tax import TaxTerms


def tax_factor(
    tax: Floats | float, depreciation_worth: Floats | float, credit: Floats | float = 0.0, cut: Floats | float = 0.5,
    credit_worth: Floats | float = 1.0,
) -> Floats | float:  # fmt: skip
    """What a year's charge is multiplied by so that income tax is paid out of it too, any shape  [1].

    tax, credit : rate of income tax; investment credit as a share of capital  [1];  cut : of the credit, off the basis  [1]
    depreciation_worth : value of the deductions of 1 of basis  [1];  credit_worth : value of 1 of credit  [1]

    >>> round(tax_factor(0.257, 0.8210889), 5), round(tax_factor(0.257, 0.8210889, 0.3), 5)
    (1.06188, 0.70072)
    """
    return (1 - tax * depreciation_worth * (1 - credit * cut) - credit * credit_worth) / (1 - tax)


def fixed_charge_rate(rate: Floats | float, years: int, factor: Floats | float = 1.0) -> Floats:
    """Share of capital charged to each year of a life, (scenario,)  [1/yr].

    rate : real, for a charge in price-year money  [1/yr];  years : of the life  [yr];  factor : of `tax_factor`  [1]

    >>> round(float(fixed_charge_rate(0.048898439, 30, 1.06188)), 5)
    0.06821
    """
    return np.asarray(capital_recovery_factor(rate, years) * factor)


def depreciation_worth(streams: Streams, terms: TaxTerms, rate: Floats) -> Floats:
    """Value of the deductions of 1 of initial capital, first one at the end of operating year 1, (scenario,)  [1].

    rate : (scenario,) nominal  [1/yr];  classes by their share of capital; what has no schedule deducts nothing
    """
    capital = over_years(streams.initial)
    worth = np.zeros_like(capital)
    for name, amount in streams.capital.items():
        shares = terms.shares.get(streams.accounts[name].tax_class)
        if shares is not None:
            years = column(np.arange(1, len(shares) + 1))
            worth = worth + over_years(amount) * present_value(column(shares), rate, years)
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.where(capital > 0, worth / capital, 0.0)

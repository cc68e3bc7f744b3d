"""Rates: real and nominal, the recovery of capital, the cost of capital, and the price index."""

import numpy as np

from geoecon.arrays import Floats, powers


def nominal_from_real(real: Floats | float, inflation: Floats | float) -> Floats | float:
    """Nominal rate that earns a real one under inflation: (1 + n) = (1 + r)(1 + i).

    real, inflation : any shape  [1/yr]
    Source: I. Fisher, The Theory of Interest (1930), ch. 2; common in every text on engineering economy.

    >>> round(nominal_from_real(0.07, 0.025), 6)
    0.09675
    """
    return (1 + real) * (1 + inflation) - 1


def real_from_nominal(nominal: Floats | float, inflation: Floats | float) -> Floats | float:
    """Real rate left of a nominal one under inflation; see `nominal_from_real`.

    >>> round(real_from_nominal(0.08, 0.025), 10)
    0.0536585366
    """
    return (1 + nominal) / (1 + inflation) - 1


def capital_recovery_factor(rate: Floats | float, years: int) -> Floats:
    """Level end-of-year payment for `years` years that repays 1 with interest: i (1+i)^n / ((1+i)^n - 1).

    rate : any shape, at least 0; at 0 the factor is 1/n  [1/yr]
    years : number of payments, at least 1  [yr]
    Source: any table of engineering economy (5 %, 20 years: 0.080243).

    >>> round(float(capital_recovery_factor(0.05, 20)), 6)
    0.080243
    """
    rate = np.asarray(rate, dtype=np.float64)
    with np.errstate(invalid="ignore", divide="ignore"):
        factor = rate / -np.expm1(-years * np.log1p(rate))
    return np.where(rate == 0, 1 / years, factor)


def weighted_cost_of_capital(debt_share: Floats, debt_rate: Floats, equity_return: Floats, tax_rate: Floats) -> Floats:
    """After-tax nominal WACC, D kd (1 - t) + (1 - D) ke; interest is deducted, so its cost is after tax.

    debt_share, tax_rate : (scenario,)  [1];  debt_rate, equity_return : (scenario,) nominal  [1/yr]

    >>> float(weighted_cost_of_capital(0.55, 0.066, 0.107, 0.257).round(7))
    0.0751209
    """
    return debt_share * debt_rate * (1 - np.asarray(tax_rate)) + (1 - np.asarray(debt_share)) * equity_return


def price_index(inflation: Floats, calendar_years: Floats, price_year: int) -> Floats:
    """General price level of each calendar year over that of the price year, (1 + i) ** (year - price_year).

    inflation : (scenario,)  [1/yr];  calendar_years : (year, 1);  returns (year, scenario)  [1]
    """
    level = powers(1 + inflation, calendar_years - price_year)
    return np.broadcast_to(level, (len(level), np.size(inflation)))

"""What is bought: initial capital by account and build year, operating and sustaining cost by account and year.

Inputs are price-year money, `(scenario,)`; what leaves is nominal, `(year, scenario)`. Nothing here knows of interest.
"""

from collections.abc import Mapping

import numpy as np

from geoecon.arrays import Floats, column, powers

NOT_BY_DEFAULT = "wells"
BEFORE_WELLS = ("exploration", "slim_holes", "permits")  # accounts spent before a first full-size well is proven


def plant_cost(per_kw: Floats, kw: Floats, reference_kw: Floats | None, exponent: Floats) -> Floats:
    """Cost of the plant, which grows with size to a power from the size its cost per kW was quoted for, (scenario,).

    >>> plant_cost(np.array([3000.0]), np.array([8000.0]), np.array([4000.0]), np.array([0.8])).round(-3)
    array([20893000.])
    """
    reference = kw if reference_kw is None else reference_kw
    with np.errstate(invalid="ignore", divide="ignore"):  # a unit of no power, or of less, has no cost
        return per_kw * reference * (kw / reference) ** exponent


def with_contingency(base: Mapping[str, Floats], contingency: Mapping[str, Floats]) -> dict[str, Floats]:
    """Each account with its share for the unforeseen; `all` covers those not named, wells only when they are named."""
    none = np.zeros(1)

    def share(account: str) -> Floats:
        rest = none if account == NOT_BY_DEFAULT else contingency.get("all", none)
        return contingency.get(account, rest)

    return {account: amount * (1 + share(account)) for account, amount in base.items()}


def spread(
    overnight: Mapping[str, Floats], shares: Mapping[str, tuple[float, ...]] | None, build_years: int, index: Floats
) -> dict[str, Floats]:
    """Initial capital by account and year, nominal, (year, scenario), zero in operating years.

    shares : account -> shares of the build years, `all` for the rest; None for equal shares
    index : (year, scenario) price level over that of the price year
    """
    equal = (1 / build_years,) * build_years
    spent: dict[str, Floats] = {}
    for account, amount in overnight.items():
        flows = np.zeros_like(index)
        of_account = (shares or {}).get(account, (shares or {}).get("all", equal))
        flows[:build_years] = amount * column(of_account) * index[:build_years]
        spent[account] = flows
    return spent


def grown(real: Floats, index: Floats, growth: Floats, first: int) -> Floats:
    """An operating cost over the years, nominal, (year, scenario): price-year money, inflation, and real growth from year 2.

    real : (scenario,) or (year of operation, scenario)  [price-year money/yr]
    """
    flows = np.zeros_like(index)
    ages = column(np.arange(len(index) - first))
    flows[first:] = real * index[first:] * powers(1 + growth, ages)
    return flows


def pump_replacements(entered: Floats, life_years: int, stop_years: int = 1) -> Floats:
    """Pumps replaced at the end of each operating year, (year, scenario); none at the end of the life.

    entered : (year, scenario)  producers that enter service at the start of each year, each with a new pump
    stop_years : a new pump has to run at least so long; with fewer years left the old one is run on  [yr]

    >>> pump_replacements(np.array([[3.0], [0.0], [0.0], [0.0], [0.0]]), 2).ravel()
    array([0., 3., 0., 3., 0.])
    >>> pump_replacements(np.array([[3.0], [0.0], [0.0], [0.0], [0.0]]), 2, 2).ravel()
    array([0., 3., 0., 0., 0.])
    """
    replaced = np.zeros_like(entered)
    years = len(entered)
    for start in range(years):
        for end in range(start + life_years - 1, years - stop_years, life_years):
            replaced[end] += entered[start]
    return replaced

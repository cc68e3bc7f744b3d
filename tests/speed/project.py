"""The project that all sides work out: what is fixed, and what differs between scenarios."""

from dataclasses import astuple, dataclass

import numpy as np

from geoecon.arrays import Floats
from geoecon.finance.depreciation import macrs

BUILD_YEARS, OPERATING_YEARS, DEBT_YEARS = 2, 30, 15
ROWS = BUILD_YEARS + OPERATING_YEARS
YEARS_OF_INFLATION = 3  # from the price year to the first build year
SPENDING = (0.4, 0.6)
DEBT_SHARE, FEE, RESERVE_MONTHS = 0.45, 0.015, 6
PRICE_GROWTH, ROYALTY = 0.01, 0.0175
TAX_RATE, LOSS_LIMIT = 0.257, 0.8
DISCOUNT_RATE, EQUITY_RETURN = 0.08, 0.12
DEPRECIATION = macrs(5, "half-year")
ENERGY = 45_000 * 0.995 ** np.arange(OPERATING_YEARS)  # MWh of each operating year

CONSTANTS = {
    name: globals()[name]
    for name in (
        "BUILD_YEARS", "OPERATING_YEARS", "DEBT_YEARS", "YEARS_OF_INFLATION", "DEBT_SHARE", "FEE", "RESERVE_MONTHS",
        "PRICE_GROWTH", "ROYALTY", "TAX_RATE", "LOSS_LIMIT", "DISCOUNT_RATE", "EQUITY_RETURN",
    )
}  # fmt: skip
MEASURES = ("npv", "npv_equity", "irr_project", "least_cover", "required_price")


@dataclass(frozen=True)
class Scenarios:
    """What differs, (scenario,): price [money/MWh], rates [1/yr], and cost in price-year money."""

    price: Floats
    debt_rate: Floats
    inflation: Floats
    capital: Floats
    operating: Floats

    def __len__(self) -> int:
        return len(self.price)

    def part(self, rows: slice) -> "Scenarios":
        """Some of the scenarios."""
        return Scenarios(*(values[rows] for values in astuple(self)))


def draw(count: int) -> Scenarios:
    """Scenarios whose flows change sign once and whose measures all exist; the same ones every time."""
    uniform = np.random.Generator(np.random.Philox(key=20261126)).uniform
    return Scenarios(
        uniform(80, 150, count), uniform(0.03, 0.10, count), uniform(0.0, 0.03, count),
        uniform(18e6, 34e6, count), uniform(0.4e6, 1.0e6, count),
    )  # fmt: skip

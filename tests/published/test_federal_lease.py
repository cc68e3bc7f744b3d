"""Royalty of a federal geothermal lease of the United States: 1.75 % for ten years, 3.5 % after, a quarter to the county.

The rates were seen on a secondary page, the shares in 30 USC 1019(a). The figures below were computed apart from this tool,
not published: for 30 years of even output and price a mean of 2.916667 %, 2.456931 % weighted by value at 8 %; and 31,500 USD
a year from 20,000 MWh at 90 USD/MWh, of which a county gets 7,875, doubling at the step.
"""

import numpy as np
import pytest

import geoecon
from geoecon.arrays import over_years
from geoecon.finance.discounting import present_value

LEASED = {
    "operation.lease": "federal-us", "timeline.operating_years": 30, "finance.discount_rate": "8 %/yr",
    "plant.net_capacity": f"{20000 / (8760 * 0.9)} MW", "market.price": "90 USD/MWh",
}  # fmt: skip


@pytest.fixture(scope="module")
def result():
    return geoecon.evaluate(
        geoecon.load_case(geoecon.shipped_case("dunmarrow"), {path: str(value) for path, value in LEASED.items()})
    )


def test_rates_over_thirty_years(result):
    share = result.revenue_shares["royalty"][result.build_years :]
    assert share.ravel() == pytest.approx([0.0175] * 10 + [0.035] * 20)
    assert float(share.mean()) * 100 == pytest.approx(2.916667, abs=5e-7)
    paid, sold = result.operating_accounts["royalty"], result.annual["revenue"]
    weighted = present_value(paid, np.array([0.08]), result.times) / present_value(sold, np.array([0.08]), result.times)
    assert float(weighted[0]) * 100 == pytest.approx(2.456931, abs=5e-7)


def test_a_county_gets_a_quarter(result):
    royalty, county = (
        result.operating_accounts["royalty"][1:, 0],
        result.payments.recipients["county government"][1:, 0],
    )
    assert royalty[[0, 10]] == pytest.approx([31500, 63000])
    assert county[[0, 10]] == pytest.approx([7875, 15750])
    state = result.payments.recipients["state government"]
    assert over_years(state) == pytest.approx([royalty.sum() / 2])

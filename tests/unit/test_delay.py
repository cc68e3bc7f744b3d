"""A late start by hand: what is lost, when, and what goes with it."""

import numpy as np
import pytest

import geoecon
from geoecon import evaluate, units
from geoecon.case import Case, load_case
from geoecon.energy import MONTH_HOURS, missed
from geoecon.errors import CaseError

HOURS = 8760
PLAIN = """
[project]
name = "Late"
[money]
currency = "USD"
price_year = 2028
[timeline]
first_year = 2028
operating_years = 5
[plant]
kind = "stated"
net_capacity = "1 MW"
cost_per_kw = "3000 USD/kW"
cost_basis = "net"
[operation]
fixed_cost = "50 USD/kW/yr"
variable_cost = "10 USD/MWh"
royalty = "5 %"
[market]
price = "100 USD/MWh"
capacity_price = "40 USD/kW/yr"
[finance]
discount_rate = "8 %/yr"
equity_return = "8 %/yr"
debt_share = "40 %"
debt_rate = "5 %/yr"
debt_years = 4
[tax]
credit = "production"
credit_amount = "6 USD/MWh"
credit_use = "cash"
"""


def late(text, **more):
    return evaluate(Case.read(PLAIN, told={"timeline.delay": text, **more}))


def energy(result):
    return result.annual["delivered_energy"][result.build_years :, 0]


@pytest.mark.parametrize(
    ("text", "years"), [("6 months", 0.5), ("0.5 yr", 0.5), ("90 d", 90 / 365), ("1 month", 1 / 12), ("36 months", 3.0)]
)
def test_a_duration_is_read_as_years(text, years):
    assert units.read(text, ("duration",)).value == pytest.approx(years, rel=1e-15)
    assert units.read(units.write(years, "duration"), ("duration",)).value == years


@pytest.mark.parametrize(("text", "words"), [("6", "has no unit"), ("-1 months", "outside"), ("4 yr", "outside")])
def test_a_duration_that_cannot_be_is_refused(text, words):
    with pytest.raises(CaseError, match=words):
        late(text)


def test_share_of_each_year_and_of_its_parts():
    """By hand: 15 months miss year 1 and a quarter of year 2; of its months, the first three."""
    assert missed(np.array([1.25]), 4).ravel() == pytest.approx([1, 0.25, 0, 0])
    by_month = [missed(np.array([1.25]), 2, n / 12, (n + 1) / 12)[1, 0] for n in range(12)]
    assert by_month == pytest.approx([1, 1, 1] + [0] * 9, abs=1e-12)


def test_the_first_months_are_missing():
    result = late("59 d")  # January and February
    hours = np.array(MONTH_HOURS)
    assert result.monthly_energy[:, 0] == pytest.approx([0, 0, *hours[2:]], abs=1e-6)
    assert energy(result) == pytest.approx([HOURS * 306 / 365, *[HOURS] * 4])
    assert result.ledger["forced_outage"] == pytest.approx([HOURS * 59 / 365])
    assert result.value("net_capacity_factor") == pytest.approx(306 / 365)
    assert result.value("lowest_month_energy") == 0


def test_twelve_months_are_a_year_without_energy():
    result = late("12 months")
    assert energy(result) == pytest.approx([0, *[HOURS] * 4])
    assert result.ledger["unit_net"] == 0
    assert energy(late("15 months")) == pytest.approx([0, 0.75 * HOURS, *[HOURS] * 3])


def test_what_goes_with_energy_is_missed_and_the_rest_stays():
    base, result = late("0 months"), late("6 months")
    first, half = result.build_years, HOURS / 2
    accounts, before = result.operating_accounts, base.operating_accounts
    assert accounts["variable_cost"][first, 0] == pytest.approx(10 * half)
    assert accounts["royalty"][first, 0] == pytest.approx(5 * half)
    assert accounts["fixed_cost"][first, 0] == before["fixed_cost"][first, 0] == 50_000
    assert result.annual["credit"][first, 0] == pytest.approx(6 * half)
    assert result.annual["revenue"][first, 0] == pytest.approx(100 * half + 40_000 / 2)
    for column in ("interest", "principal", "price", "depreciation", "capital"):
        assert np.array_equal(result.annual[column], base.annual[column]), column
    for column in ("revenue", "operating_cost", "credit", "delivered_energy"):
        assert np.array_equal(result.annual[column][first + 1 :], base.annual[column][first + 1 :]), column


def test_outages_are_of_the_time_that_is_left():
    result = late("59 d", **{"operation.planned_outage": "31 d/yr", "operation.planned_outage_month": "3",
                             "operation.forced_outage": "10 %"})  # fmt: skip
    assert result.monthly_energy[:4, 0] == pytest.approx([0, 0, 0, 0.9 * 720], abs=1e-6)
    assert result.ledger["planned_outage"] == pytest.approx([744])
    assert result.ledger["forced_outage"] == pytest.approx([59 * 24 + 0.1 * (HOURS - 744 - 59 * 24)])


def test_a_stated_capacity_factor_is_of_a_year_in_service():
    result = late("6 months", **{"plant.stated_capacity_factor": "80 %"})
    assert result.value("net_capacity_factor") == pytest.approx(0.4)
    assert energy(result) == pytest.approx([0.4 * HOURS, *[0.8 * HOURS] * 4])


def test_an_island_load_of_the_time_missed_is_served_by_others():
    load = {"community.islanded": "true", "community.local_load": "4380 MWh/yr"}
    assert energy(late("0 months", **load)) == pytest.approx(np.full(5, HOURS / 2))
    # Twelve equal months; January to June are 181 days.
    assert energy(late("181 d", **load)) == pytest.approx([HOURS / 4, *[HOURS / 2] * 4])


@pytest.mark.parametrize("name", geoecon.shipped_cases())
def test_scenarios_with_and_without_are_as_they_are_alone(name):
    case = load_case(geoecon.shipped_case(name))
    together = evaluate(case.with_values({"timeline.delay": np.array([0.0, 0.3, 1.0, 2.2])}))
    for at, delay in enumerate((0.0, 0.3, 1.0, 2.2)):
        alone = evaluate(case.with_values({"timeline.delay": delay}))
        for key, metric in together.metrics.items():
            assert np.array_equal(metric.values[at], alone.metrics[key].values[0], equal_nan=True), (key, delay)

"""Levelized cost by a fixed charge rate, capital recovery factors, and real against nominal.

NREL, Annual Technology Baseline 2024, equations and variables: the formulas for the rate, the financing factor with the
investment credit, the real cost of capital and the construction factor were seen in a copy of the page. That the
depreciation is discounted at the nominal rate is from memory. The page prints no example, so the numbers are computed: they
were worked out beforehand from these formulas for one set of inputs, by other code.
Capital recovery factors: any table of engineering economy, from memory, six digits.
A problem of an engineering-economy course on a heat well in Wyoming: the factors 23.516 and 29.365 were seen in a copy. Its
answer, 3.7463 %, is a straight line between them; the rate itself is computed, as is the one of its sister problem, of which
8.8 % was seen.
Ratios of nominal to real levelized cost after Fisher: computed.
"""

import numpy as np
import pytest

from geoecon import evaluate
from geoecon.arrays import column
from geoecon.case import Case
from geoecon.finance.depreciation import macrs
from geoecon.finance.discounting import present_value
from geoecon.finance.fixed_charge import fixed_charge_rate, tax_factor
from geoecon.finance.measures import rate_of_return
from geoecon.finance.prices import energy_price_of_capacity, levelized_price
from geoecon.finance.rates import (
    capital_recovery_factor,
    nominal_from_real,
    real_from_nominal,
    weighted_cost_of_capital,
)
from geoecon.finance.stack import reconciled, total

INFLATION, DEBT_SHARE, TAX = 0.025, 0.55, 0.257
NOMINAL = float(
    weighted_cost_of_capital(
        DEBT_SHARE, nominal_from_real(0.04, INFLATION), nominal_from_real(0.08, INFLATION), np.array(TAX)
    )
)
REAL = real_from_nominal(NOMINAL, INFLATION)

CASE = """
[project]
name = "One kilowatt"
[money]
currency = "USD"
price_year = 2025
inflation = "2.5 %/yr"
[timeline]
first_year = 2026
operating_years = 30
[plant]
kind = "stated"
net_capacity = "1 MW"
stated_capacity_factor = "90 %"
cost_per_kw = "6000 USD/kW"
cost_basis = "net"
[operation]
fixed_cost = "150 USD/kW/yr"
[finance]
discount_rate = "{rate} %/yr"
[tax]
rules = "plain"
rate = "25.7 %"
losses = "used"
depreciation = "macrs"
depreciation_years = 5
convention = "half-year"
"""

CREDIT = {"tax.credit": "investment", "tax.credit_rate": "30 %", "tax.credit_basis_cut": "50 %"}


def worth_of_depreciation():
    return present_value(column(macrs(5)), np.array([NOMINAL]), column(np.arange(1, 7)))[0]


def charge(credit=0.0, credit_worth=1.0):
    """The rate of one year; `credit_worth` is that of 1 of credit at year 0."""
    factor = tax_factor(TAX, worth_of_depreciation(), credit, credit_worth=credit_worth)
    return float(fixed_charge_rate(REAL, 30, factor))


def construction_factor(spending, rate, tax):
    """Spending of each year from the last one back, with interest from the middle of the year, less its tax."""
    years = column(np.arange(len(spending)) + 0.5)
    grown = present_value(column(spending), np.array([rate]), -years)[0]
    return sum(spending) + (1 - tax) * (grown - sum(spending))


def test_rates_computed(agree):
    agree(NOMINAL, 0.0751209, digits=6, what="nominal cost of capital (computed)")
    agree(REAL, 0.0488984390, digits=8, what="real cost of capital (computed)")
    agree(worth_of_depreciation(), 0.8210889, digits=7, what="value of depreciation (computed)")
    agree(capital_recovery_factor(REAL, 30), 0.06423688, digits=6.5, what="capital recovery (computed)")


def test_fixed_charge_rate_computed(agree):
    agree(charge(), 0.06821215, digits=6.5, what="fixed charge rate (computed)")
    agree(charge(0.3), 0.04501191, digits=6.5, what="with a 30 % credit (computed)")


def test_levelized_cost_computed(agree):
    for rate, cost in ((charge(), 70.9377), (charge(0.3), 53.2815)):
        ours = energy_price_of_capacity(rate * 6000 + 150, 0.90)
        agree(ours, cost, within=0.0000501 / cost, what="levelized cost (computed), $/MWh")


def test_construction_factor_computed(agree):
    agree(construction_factor([0.4, 0.3, 0.3], 0.07, TAX), 1.0751146, digits=7, what="three years (computed)")
    agree(construction_factor([0.4, 0.3, 0.3], 0.07, 0.0), 1.1010963, digits=7, what="no tax (computed)")
    agree(construction_factor([1.0], 0.07, TAX), 1.0255652, digits=7, what="one year (computed)")


def test_year_by_year_gives_the_same(agree):
    """The statement after tax, 30 years one by one, solved for the real level price; the credit comes a year after year 0."""
    case = Case.read(CASE.format(rate=repr(NOMINAL * 100)))
    agree(
        evaluate(case).value("lcoe_after_tax_real"),
        70.9377,
        within=0.0000501 / 70.9377,
        what="no credit (computed), $/MWh",
    )
    credited = case.with_texts(CREDIT)
    later = energy_price_of_capacity(charge(0.3, 1 / (1 + NOMINAL)) * 6000 + 150, 0.90)
    agree(
        evaluate(credited).value("lcoe_after_tax_real"), later, digits=9, what="30 % credit in year 1 (computed), $/MWh"
    )


@pytest.mark.parametrize(("credit", "cost"), [({}, 70.9377), (CREDIT, 53.2815)])
def test_the_case_is_charged_the_same(agree, credit, cost):
    """The rate that a case comes to from its own statement; all that years one by one add is the credit a year later."""
    case = Case.read(CASE.format(rate=repr(NOMINAL * 100))).with_texts(credit)
    result = evaluate(case)
    (_, charged), (_, years), (_, taxed), *_ = reconciled(result.stacks["real"], case.money.inflation)
    agree(total(charged)[0], cost, within=0.0000501 / cost, what="charged to the case (computed), $/MWh")
    added = sum(float(part[0]) for part in (*years.values(), *taxed.values()))
    later = 0.3 * 6000 * float(capital_recovery_factor(REAL, 30)) / (1 - TAX) / 7.884 * (1 - 1 / (1 + NOMINAL))
    assert added == pytest.approx(later if credit else 0.0, abs=1e-9)


@pytest.mark.parametrize(
    ("percent", "years", "factor"),
    [
        (5, 20, 0.080243),
        (6, 20, 0.087185),
        (7, 25, 0.085811),
        (7.5, 25, 0.089711),
        (8, 20, 0.101852),
        (8, 25, 0.093679),
        (8, 30, 0.088827),
        (10, 20, 0.117460),
        (10, 30, 0.106079),
        (12, 20, 0.133879),
        (10, 5, 0.263797),
    ],
)
def test_capital_recovery_factors_from_memory(agree, percent, years, factor):
    ours = capital_recovery_factor(percent / 100, years)
    agree(ours, factor, within=0.501e-6 / factor, what=f"{percent} %, {years} years (memory)")


def test_heat_well_seen_and_computed(agree):
    agree(1 / capital_recovery_factor(0.04, 72), 23.516, within=0.000501 / 23.516, what="present worth factor, 4 %")
    agree(1 / capital_recovery_factor(0.03, 72), 29.365, within=0.000501 / 29.365, what="present worth factor, 3 %")
    years = np.arange(73)
    found = rate_of_return(column([-1_600_000.0] + [64_000.0] * 72), column(years))[0][0] * 100
    agree(found, 3.7095, within=0.0000501 / 3.7095, what="rate of return (computed), %")
    sister = rate_of_return(column([-10.0] + [1.0] * 25), column(years[:26]))[0][0] * 100
    agree(sister, 8.8, within=0.0501 / 8.8, what="10 years to pay back, 25 to live, %")
    agree(sister, 8.7803, within=0.0000501 / 8.7803, what="the same (computed), %")


def test_real_and_nominal_computed(agree):
    nominal = nominal_from_real(0.07, 0.025)
    agree(nominal, 0.09675, digits=12, what="nominal of 7 % and 2.5 % (computed)")
    agree(real_from_nominal(0.08, 0.025), 0.053658537, digits=8, what="real of 8 % and 2.5 % (computed)")
    for years, ratio in ((20, 1.2168796190), (30, 1.2807883469)):
        ours = capital_recovery_factor(nominal, years) / capital_recovery_factor(0.07, years)
        agree(ours, ratio, digits=10, what=f"ratio, {years} years (computed)")


def test_levelized_stream_computed(agree):
    """1,000 at year 0, 30 a year in real money, 8 units a year, 20 years: 15.5491157 real, 18.9214020 nominal."""
    times = column(np.arange(1, 21))
    index, energy = 1.025**times, np.full((20, 1), 8.0)
    nominal = np.array([nominal_from_real(0.07, 0.025)])
    yearly = 1_000 * capital_recovery_factor(nominal, 20) + 30 * index
    for name, path, published in (("real", index, 15.5491157), ("nominal", np.ones_like(index), 18.9214020)):
        ours = levelized_price(yearly / energy, energy, nominal, times, path)[0]
        agree(ours, published, within=0.0000000501 / published, what=f"{name} (computed)")

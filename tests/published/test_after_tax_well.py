"""Two published streams after tax: a development well, and a solar project with its investment credit.

R. S. Thompson, "Building a cash flow model", and P. R. Rose and R. S. Thompson, "Key economic parameters", in the Development
Geology Reference Manual of the AAPG (1992), pp. 38-51. Inputs, the yearly cash flow, NPV at 4 %, the rate of return and the value
weighted by chance were seen in copies. Not seen, but inferred because seven years come out with them: tangible cost over 7
years from year 1, depletion of 15 % of gross income, no more than the net income and not below zero, drilling expensed in
year 1, and other income of the owner that losses offset. The cost of the part of year 8 is not stated; its printed flow is an
input here. Thousand dollars. The source used the printed depreciation table and we its rule, so years agree to ten dollars;
NPV comes out 0.08 above the printed 1,015.600, at year ends, for a reason not known.

M. Fong and J. Tippett, Project Development in the Solar Industry (CRC, 2012), table 11.6. Seen in a copy. Half of the basis
is written off in year 1 and the rest over 5 years; the credit of 30 % takes half of itself off the basis.
"""

import numpy as np
import pytest

from geoecon.arrays import column
from geoecon.finance.credits import Credit
from geoecon.finance.depletion import Depletion
from geoecon.finance.depreciation import depreciate, macrs, with_bonus
from geoecon.finance.discounting import present_value
from geoecon.finance.measures import payback, rate_of_return
from geoecon.finance.streams import Account, Streams
from geoecon.finance.tax import Taxable, TaxTerms, income_tax, tax_base, without_debt

ONE, NONE = np.array([1.0]), np.array([0.0])

GROSS = column([1576.075, 864.968, 474.705, 260.503, 142.978, 78.468, 43.064])
PRINTED = [1359.098, 578.462, 314.450, 168.376, 87.377, 44.916, 19.417]
YEAR_8 = 4.795
BONUS = with_bonus(macrs(5), 0.5)


def well(limit=1.0):
    """Cash flow after tax of years 1 to 7: drilling deducted in year 1, depletion up to a share of the income."""
    nothing = np.zeros_like(GROSS)
    depreciation = depreciate(column([300.0] + [0.0] * 8), macrs(7), 1)[1:8]
    operating = 0.08 * GROSS + 24
    drilling = column([950.0] + [0.0] * 6)
    depletion = Depletion(np.array([0.15]), np.array([limit]), ONE)
    terms = TaxTerms(np.array([0.34]), {}, False, ONE, None, depletion=depletion)
    taxable = Taxable(-operating - drilling - depreciation, nothing, depreciation, nothing)
    return (GROSS - operating - income_tax(GROSS, taxable, terms))[:, 0]


@pytest.fixture
def stream():
    return column([-1375.0, *well(), YEAR_8])


def test_well_years(agree):
    for year, (ours, printed) in enumerate(zip(well(), PRINTED, strict=True), 1):
        agree(ours, printed, within=0.010 / printed, what=f"after tax, year {year}, k$")


def test_well_as_a_geothermal_one(agree):
    """With the limit of 50 % that holds for a geothermal deposit; computed, not published: years 1 and 6 differ."""
    oil, geothermal = well(), well(limit=0.5)
    agree(geothermal[0], 1352.359, within=0.014 / 1352.359, what="after tax, year 1, k$")
    agree(geothermal[5], 44.547, within=0.014 / 44.547, what="after tax, year 6, k$")
    assert (oil == geothermal).tolist() == [False, True, True, True, True, False, True]


def test_well_measures(agree, stream):
    times = column(np.arange(9))
    value = present_value(stream, np.array([0.04]), times)[0]
    agree(value, 1015.600, within=1e-4, what="NPV 4 %, k$")
    agree(rate_of_return(stream, times)[0][0] * 100, 44.9, within=0.0501 / 44.9, what="rate of return, %")
    agree(payback(stream, 1)[0][0], 1.03, within=0.00501 / 1.03, what="payout, yr")
    agree(stream.sum(), 1201.893, within=0.02 / 1201.893, what="sum, k$")
    agree(stream.sum() / 1375, 0.87, within=0.00501 / 0.87, what="profit over investment")
    agree(value / 1375, 0.74, within=0.00501 / 0.74, what="NPV over investment")


def lost(dry_hole):
    """What a dry hole costs after tax, k$."""
    terms, nothing = TaxTerms(np.array([0.34]), {}, False, ONE, None), column([0.0])
    return dry_hole + income_tax(column([-dry_hole]), Taxable(nothing, nothing, nothing, nothing), terms)[0, 0]


@pytest.mark.parametrize(("cost", "after_tax"), [(2.0, 4.900), (2.16, YEAR_8)])
def test_well_year_8_with_a_cost_put_in(agree, cost, after_tax):
    """A plain month of 2.00 makes 4.900 (computed); 2.16 was fitted to the printed flow and proves nothing."""
    gross, nothing = column([2.752]), column([0.0])
    depreciation = depreciate(column([300.0] + [0.0] * 8), macrs(7), 1)[8:]
    operating = 0.08 * gross + cost
    terms = TaxTerms(
        np.array([0.34]), {}, False, ONE, None, depletion=Depletion(np.array([0.15]), np.array([0.5]), ONE)
    )
    tax = income_tax(gross, Taxable(-operating - depreciation, nothing, depreciation, nothing), terms)
    agree((gross - operating - tax)[0, 0], after_tax, within=0.004 / after_tax, what=f"year 8 at {cost} (computed), k$")


def test_several_wells_weighted_by_chance(agree):
    """The multi-well case, of which totals were seen: value at 4 % of 2,729.760, a dry hole of 1,500, a chance of 0.70."""
    value, dry = 2729.760, lost(1500.0)
    agree(dry, 990, digits=12, what="dry hole after tax, k$")
    agree(0.70 * value - 0.30 * dry, 1613.832, digits=7, what="at a chance of 0.70, k$")
    agree(dry / (dry + value) * 100, 27, within=0.501 / 27, what="chance to break even, %")


def test_well_weighted_by_chance(agree, stream):
    dry = lost(750.0)
    agree(dry, 495, digits=12, what="dry hole after tax, k$")
    value = present_value(stream, np.array([0.04]), column(np.arange(9)))[0]
    agree(0.80 * value - 0.20 * dry, 713.480, within=2e-4, what="at a chance of 0.80, k$")
    agree(dry / (dry + value) * 100, 33, within=0.501 / 33, what="chance to break even, %")


def test_solar_credit_and_basis(agree):
    plant = Account("plant", "production", "owner", "builder", earns_credit=True)
    empty = np.zeros((7, 1))
    spent = column([100.0] + [0.0] * 6)
    times = column(np.arange(7))
    streams = Streams(
        1, times, {"plant": spent}, {}, {}, {}, empty, {}, empty, empty, np.ones((7, 1)), {"plant": plant}
    )
    credit = Credit("own", np.array([0.30]), np.array([0.5]), NONE, NONE, 1, ONE)
    terms = TaxTerms(np.array([0.35]), {"production": BONUS}, False, ONE, credit)
    base = tax_base(streams, terms, empty)
    for year, share in enumerate([60.0, 16.0, 9.6, 5.8, 5.8, 2.9], 1):
        agree(base.depreciation_unlevered[year, 0] / 0.85, share, within=0.0501 / share, what=f"share, year {year}, %")
    agree(base.depreciation_unlevered.sum(), 85, digits=12, what="basis, $")
    agree(base.credit[1, 0], 30, digits=12, what="credit, $")
    benefit = -income_tax(empty, without_debt(streams, base), terms)
    for year, printed in enumerate([48, 5, 3, 2, 2, 1], 1):
        agree(benefit[year, 0], printed, within=0.501 / printed, what=f"benefit, year {year}, $")
    worth = present_value(benefit, np.array([0.10]), times)[0]
    agree(worth, 52, within=0.501 / 52, what="what a 10 % investor pays, $")
    agree(worth, 52.298, within=0.000501 / 52.298, what="the same (computed), $")

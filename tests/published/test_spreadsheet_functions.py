"""Printed examples of spreadsheet and library functions: value, rates of return, level loans.

Three manuals. LibreOffice Calc help, pages on financial functions (NPV, MIRR, PPMT, CUMPRINC, CUMIPMT, RRI, XIRR, XNPV):
seen in a copy. Function docstrings of numpy-financial 1.0 (npv, irr, pmt): seen in the installed package. Microsoft Excel
function help (NPV, IRR, MIRR, PMT, IPMT, PPMT, XNPV, XIRR): from memory. Every value holds to its last printed digit.

The second date of the LibreOffice XIRR and XNPV example is printed as 2001-01-02; its two printed answers only come out
with 2001-02-01, which is used. A monthly loan is a loan of as many years at the monthly rate. A saving plan that reaches 1
pays in each period what a level loan of 1 repays in its first. Where values are not printed they are called computed.
"""

from datetime import date

import numpy as np
import pytest

from geoecon.arrays import column
from geoecon.finance.debt import level_payments
from geoecon.finance.depreciation import macrs, straight_line
from geoecon.finance.discounting import present_value
from geoecon.finance.measures import modified_rate_of_return, rate_of_return
from geoecon.finance.reasons import Reason

OUTLAY = [-120_000, 39_000, 30_000, 21_000, 37_000, 46_000]
XIRR_LIBREOFFICE = [
    (-10_000, date(2001, 1, 1)),
    (2_000, date(2001, 2, 1)),
    (2_500, date(2001, 3, 15)),
    (5_000, date(2001, 5, 12)),
    (1_000, date(2001, 8, 10)),
]
XIRR_EXCEL = [
    (-10_000, date(2008, 1, 1)),
    (2_750, date(2008, 3, 1)),
    (4_250, date(2008, 10, 30)),
    (3_250, date(2009, 2, 15)),
    (2_750, date(2009, 4, 1)),
]


@pytest.fixture
def printed(agree):
    """Agreement to half a unit of the last printed place."""

    def check(ours, published, places, what):
        agree(ours, published, within=0.501 * 10**-places / abs(published), what=what)

    return check


def value(rate, flows, first=0):
    """Present value of yearly flows, the first one after so many years."""
    return present_value(column(flows), np.array([rate]), column(np.arange(len(flows)) + first))[0]


def rate_found(flows, times=None):
    """Rate of return and reason of yearly flows."""
    rate, codes, _ = rate_of_return(column(flows), column(np.arange(len(flows)) if times is None else times))
    return rate[0], codes[0]


def modified(flows, finance_rate, reinvestment_rate):
    rates = np.array([finance_rate]), np.array([reinvestment_rate])
    return modified_rate_of_return(column(flows), *rates, column(np.arange(len(flows))))[0][0]


def loan(rate, periods, amount):
    """Interest and principal of each period of a level loan."""
    principal = amount * level_payments(np.array([rate]), periods)[:, 0]
    owed = amount - np.cumsum(principal) + principal
    return rate * owed, principal


def dated(entries):
    """Flows, and their times in years of 365 days from the first."""
    flows, days = zip(*entries, strict=True)
    return flows, [(day - days[0]).days / 365 for day in days]


def test_value_libreoffice_seen(printed):
    printed(value(0.0875, [10, 20, 30], first=1), 49.43, 2, "NPV 8.75 %")
    printed(value(0.0875, [10, 20, 30], first=1) - 40, 9.43, 2, "NPV 8.75 %, less 40")
    flows, times = dated(XIRR_LIBREOFFICE)
    printed(present_value(column(flows), np.array([0.06]), column(times))[0], 323.02, 2, "XNPV 6 %")


def test_value_numpy_financial_seen(printed):
    printed(value(0.08, [-40_000, 5_000, 8_000, 12_000, 30_000]), 3065.22267, 5, "npv 8 %")


def test_future_value_numpy_financial_seen(agree):
    """The fv of 100 now and 100 at the end of each of 120 months: the value carried to the last of them."""
    times = column(np.arange(121.0) - 120)
    saved = present_value(np.full((121, 1), 100.0), np.array([0.05 / 12]), times)[0]
    agree(saved, 15692.928894335748, digits=13, what="fv")


def test_depreciation_libreoffice_seen_and_excel_from_memory(printed):
    """SLN, and DDB and VDB where the life is a class of the tables and the year is the first; other methods are not ours."""
    printed((50_000 - 3_500) * straight_line(84)[0], 553.57, 2, "SLN, LibreOffice, seen")
    printed((30_000 - 7_500) * straight_line(10)[0], 2250.00, 2, "SLN, Excel, memory")
    printed(2_400 * macrs(10, "full-year")[0], 480.00, 2, "DDB and VDB, 10 years, first year, Excel, memory")


@pytest.mark.parametrize(("shift", "worth"), [(0.0, 13.723603), (0.5, 19.274321)])
def test_year_ends_and_middles_computed(agree, shift, worth):
    """100 laid out, then 30 a year for five years at 10 %, at year ends or in their middles."""
    times = column([0.0, *(np.arange(1.0, 6.0) - shift)])
    ours = present_value(column([-100.0] + [30.0] * 5), np.array([0.10]), times)[0]
    agree(ours, worth, digits=7.5, what=f"{shift} of a year early (computed)")


def test_value_excel_from_memory(printed):
    inflows = [8_000, 9_200, 10_000, 12_000, 14_500]
    printed(value(0.10, [-10_000, 3_000, 4_200, 6_800], first=1), 1188.44, 2, "NPV 10 %, first flow discounted")
    printed(value(0.08, inflows, first=1) - 40_000, 1922.06, 2, "NPV 8 %")
    printed(value(0.08, [*inflows, -9_000], first=1) - 40_000, -3749.47, 2, "NPV 8 %, loss in year 6")
    flows, times = dated(XIRR_EXCEL)
    printed(present_value(column(flows), np.array([0.09]), column(times))[0], 2086.65, 2, "XNPV 9 %")


def test_rate_of_return_libreoffice_seen(printed):
    flows, times = dated(XIRR_LIBREOFFICE)
    printed(rate_found(flows, times)[0], 0.1828, 4, "XIRR")
    printed(rate_found([-7_500, 0, 0, 0, 10_000])[0] * 100, 7.46, 2, "RRI, %")


@pytest.mark.parametrize(
    ("flows", "rate", "places"),
    [
        ([-100, 39, 59, 55, 20], 0.28095, 5),
        ([-100, 0, 0, 74], -0.0955, 4),
        ([-100, 100, 0, -7], -0.0833, 4),
        ([-100, 100, 0, 7], 0.06206, 5),
    ],
)
def test_rate_of_return_numpy_financial_seen(printed, flows, rate, places):
    printed(rate_found(flows)[0], rate, places, f"irr of {flows}")


def test_rate_of_return_excel_from_memory(printed):
    flows = [-70_000, 12_000, 15_000, 18_000, 21_000, 26_000]
    printed(rate_found(flows[:5])[0] * 100, -2.1, 1, "IRR after four years, %")
    printed(rate_found(flows)[0] * 100, 8.7, 1, "IRR after five years, %")
    printed(rate_found(flows[:3])[0] * 100, -44.4, 1, "IRR after two years, %")
    flows, times = dated(XIRR_EXCEL)
    printed(rate_found(flows, times)[0], 0.37336253, 7, "XIRR")


def test_two_rates_below_zero(printed):
    """The library prints the upper one; both are computed here. Value falls as the rate rises only at the upper one."""
    flows = [-100, 100, 0, -7]
    for root in (-0.0832997, -0.6788944):
        assert value(root, flows) == pytest.approx(0, abs=1e-4)
    printed(rate_found(flows)[0], -0.0832997, 7, "the rate taken (computed)")


@pytest.mark.parametrize(
    ("flows", "rates"),
    [
        ([-1, 2.3, -1.32], (0.10, 0.20)),  # the two-rates example of textbooks, from memory
        ([-5, 10.5, 1, -8, 1], (0.0886,)),  # numpy-financial, seen: it prints one of the rates above zero
    ],
)
def test_several_rates_are_no_number(flows, rates):
    for rate in rates:
        assert value(rate, flows) == pytest.approx(0, abs=5e-5)
    found, code = rate_found(flows)
    assert np.isnan(found)
    assert code == Reason.SEVERAL_RATES


def test_modified_rate_of_return(printed):
    printed(modified([-5, 10, 15, 8], 0.5, 0.1) * 100, 94.16, 2, "MIRR, LibreOffice, seen, %")
    printed(modified(OUTLAY, 0.10, 0.12) * 100, 12.61, 2, "MIRR, Excel, memory, %")
    printed(modified(OUTLAY[:4], 0.10, 0.12) * 100, -4.80, 2, "MIRR, Excel, three years, memory, %")
    printed(modified(OUTLAY, 0.10, 0.14) * 100, 13.48, 2, "MIRR, Excel, at 14 %, memory, %")


def test_loan_libreoffice_seen(printed):
    printed(loan(0.055 / 12, 36, 15_000)[1][9:18].sum(), 3669.74, 2, "CUMPRINC 10 to 18")
    in_advance = loan(0.055 / 12, 24, 5_000)[0][3:6].sum() / (1 + 0.055 / 12)
    printed(in_advance, 57.54, 2, "CUMIPMT 4 to 6, payments in advance")
    interest, principal = loan(0.0075, 360, 125_000)
    printed(principal[12:24].sum(), 934.1071, 4, "CUMPRINC 13 to 24")
    printed(principal[0], 68.27827, 5, "CUMPRINC 1")
    printed(interest[12:24].sum(), 11135.23, 2, "CUMIPMT 13 to 24")
    printed(interest[0], 937.50, 2, "CUMIPMT 1")


def test_loan_and_saving_together_libreoffice_seen(printed):
    """PPMT of period 1, paid at the start of periods: a loan of 5,000 and a saving of 8,000; no interest is due yet."""
    rate = 0.0875 / 12
    interest, principal = loan(rate, 36, 5_000)
    saving = loan(rate, 36, 8_000)[1]
    printed((interest[0] + principal[0] + saving[0]) / (1 + rate), 350.99, 2, "PPMT 1, payments in advance")


def test_loan_numpy_financial_seen(agree):
    interest, principal = loan(0.075 / 12, 180, 200_000)
    agree(interest[0] + principal[0], 1854.0247200054619, digits=13, what="pmt")


def test_loan_excel_from_memory(printed):
    interest, principal = loan(0.08 / 12, 10, 10_000)
    printed((interest + principal)[4], 1037.03, 2, "PMT")
    printed(loan(0.06 / 12, 216, 50_000)[1][0], 129.08, 2, "PMT of a saving")
    printed(loan(0.10 / 12, 36, 8_000)[0][0], 66.67, 2, "IPMT 1, monthly")
    printed(loan(0.10, 3, 8_000)[0][2], 292.45, 2, "IPMT 3, yearly")
    printed(loan(0.10 / 12, 24, 2_000)[1][0], 75.62, 2, "PPMT 1")
    printed(loan(0.08, 10, 200_000)[1][9], 27598.05, 2, "PPMT 10")

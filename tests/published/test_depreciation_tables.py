"""Printed depreciation tables of the United States against the rule that they come from.

IRS Publication 946, appendix A (after Rev. Proc. 87-57). Half-year rows: seen in the reprint of a tax textbook, all six
columns. Mid-quarter rows, 5 years: years 1 to 5 seen in the same textbook, quarters 1 and 3 also whole in an accounting
firm's reprint; year 6 of quarters 2 and 4 from memory (100 less the others). Mid-quarter rows of 7, 15 and 20 years: seen in
the accounting firm's reprint, in part. Straight-line rows with half a first year: seen in the textbook. Present value
factors: computed here from the same rule beforehand, not published.

The printed tables round to 0.01 % (20 years: 0.001 %) and then move last digits by one so that they sum to 100: 8.93 and
8.92 stand for 8.925, 6.55 and 6.56 for 6.554. So a row is held to half a unit of its last place where no digit was moved, and
to the share of a unit that the moved digit takes where one was.

Two printed values are not held. The reprint ends 7 years, quarter 3, with 5.83: its row would sum to 100.30, and 5.53 makes it
100. 20 years, quarter 1, year 2, is printed 7.000; the rule gives 7.008, and only that leads on to the 6.482 printed next.
"""

import numpy as np
import pytest

from geoecon.arrays import column
from geoecon.finance.depreciation import macrs, straight_line
from geoecon.finance.discounting import present_value

# years, convention, printed from year 1, printed last year where the middle was not seen, tolerance in units of the last place
ROWS = [
    (3, "half-year", "33.33 44.45 14.81 7.41", "", 0.56),
    (5, "half-year", "20.00 32.00 19.20 11.52 11.52 5.76", "", 0.5),
    (7, "half-year", "14.29 24.49 17.49 12.49 8.93 8.92 8.93 4.46", "", 0.52),
    (10, "half-year", "10.00 18.00 14.40 11.52 9.22 7.37 6.55 6.55 6.56 6.55 3.28", "", 0.65),
    (15, "half-year", "5.00 9.50 8.55 7.70 6.93 6.23 5.90 5.90 5.91 5.90 5.91 5.90 5.91 5.90 5.91 2.95", "", 0.52),
    (
        20,
        "half-year",
        "3.750 7.219 6.677 6.177 5.713 5.285 4.888 4.522 4.462 4.461 4.462 4.461 4.462 4.461 4.462 4.461 4.462 4.461 4.462"
        " 4.461 2.231",
        "",
        0.53,
    ),
    (5, "mid-quarter-1", "35.00 26.00 15.60 11.01 11.01 1.38", "", 0.5),
    (5, "mid-quarter-2", "25.00 30.00 18.00 11.37 11.37 4.26", "", 0.5),
    (5, "mid-quarter-3", "15.00 34.00 20.40 12.24 11.30 7.06", "", 0.5),
    (5, "mid-quarter-4", "5.00 38.00 22.80 13.68 10.94 9.58", "", 0.5),
    (7, "mid-quarter-1", "25.00 21.43 15.31 10.93 8.75 8.74 8.75 1.09", "", 0.65),
    (7, "mid-quarter-3", "10.71 25.51 18.22 13.02 9.30 8.85 8.86", "", 0.61),
    (15, "mid-quarter-1", "8.75 9.13 8.21 7.39 6.65 5.99 5.90 5.91", "0.74", 0.52),
    (20, "mid-quarter-1", "6.563 - 6.482 5.996 5.546 5.130 4.746 4.459", "0.557", 0.51),
    (20, "mid-quarter-3", "2.813 7.289 6.742 6.237 5.769 5.336 4.936 4.566 4.460", "2.788", 0.51),
]
STRAIGHT_ROWS = [
    (5, "10 20 20 20 20 10"),
    (7, "7.14 14.29 14.29 14.29 14.29 14.29 14.29 7.14"),
    (15, "3.33" + " 6.67" * 14 + " 3.33"),
    (20, "2.50" + " 5.00" * 19 + " 2.50"),
]


def held(agree, ours, text, share, what):
    """A printed percentage within a share of a unit of its last place."""
    unit = 10.0 ** -len(text.partition(".")[2])
    agree(ours, float(text), within=(share + 1e-6) * unit / float(text), what=what)


@pytest.mark.parametrize(("years", "convention", "row", "last", "share"), ROWS, ids=lambda value: str(value)[:14])
def test_accelerated(agree, years, convention, row, last, share):
    shares = macrs(years, convention) * 100
    for year, text in enumerate(row.split()):
        if text != "-":
            held(agree, shares[year], text, share, f"{years} years, {convention}, year {year + 1}, %")
    if last:
        held(agree, shares[-1], last, share, f"{years} years, {convention}, last year, %")
    else:
        assert len(shares) == years + 1
    assert shares.sum() == pytest.approx(100, abs=1e-9)


def test_the_two_values_not_held(agree):
    agree(macrs(7, "mid-quarter-3")[-1] * 100, 5.5338, digits=5, what="7 years, quarter 3, last year (computed), %")
    second = macrs(20, "mid-quarter-1")[1] * 100
    agree(second, (100 - 6.5625) * 0.075, digits=12, what="20 years, quarter 1, year 2 (computed), %")
    assert second == pytest.approx(7.000, abs=0.008)


@pytest.mark.parametrize(("years", "row"), STRAIGHT_ROWS)
def test_straight_line_with_half_a_first_year(agree, years, row):
    shares = straight_line(years, "half-year") * 100
    texts = row.split()
    assert len(shares) == len(texts)
    for year, text in enumerate(texts):
        held(agree, shares[year], text, 0.5, f"{years} years, year {year + 1}, %")
    assert shares.sum() == pytest.approx(100, abs=1e-9)


@pytest.mark.parametrize(
    ("years", "at_8", "at_10"),
    [(5, 0.811326, 0.773260), (7, 0.766112, 0.721450), (15, 0.579669, 0.517342), (20, 0.506242, 0.442422)],
)
def test_present_value_computed(agree, years, at_8, at_10):
    """Year 1 deducted one year after service begins; computed from the printed tables, so six digits are too many."""
    shares = np.repeat(column(macrs(years)), 2, axis=1)
    worth = present_value(shares, np.array([0.08, 0.10]), column(np.arange(1, years + 2)))
    agree(worth[0], at_8, within=5e-5, what=f"{years} years at 8 % (computed)")
    agree(worth[1], at_10, within=5e-5, what=f"{years} years at 10 % (computed)")

"""Interest during construction: two printed examples, and spending over three years.

The reference manual of an engineering-economy package for R, after a US Army Corps of Engineers procedures manual of 1993:
700,000 dollars in 25 equal months at 2.7 % a year bear 18,992.14 dollars. Seen in a copy; the formula is not stated there. It
comes out with the monthly rate that compounds to 2.7 % and spending at the end of each month (one of a dozen readings tried).
A financial modelling course, on interest during construction: 5 % on a draw of 1,300 is 65, which makes 1,365; a draw of 500
more makes a base of 1,865. Seen in a copy. All else is computed here, not published.

A build "year" of the loan is whatever its rate is for: the months of the first example are 25 years at a monthly rate.
"""

import numpy as np
import pytest

from geoecon.arrays import column
from geoecon.finance.debt import LoanTerms, borrow


def build(spending, rate, *, middle=False):
    """The loan that pays for everything while building, repaid in the one year after."""
    terms = LoanTerms(np.array([1.0]), np.array([rate]), np.array([0.0]), 1, "level", 0)
    return borrow(column([*spending, 0.0]), terms, len(spending), middle=middle)


def while_building(loan):
    return loan.interest[: loan.first, 0].sum()


def test_equal_months(agree):
    loan = build([28_000.0] * 25, 1.027 ** (1 / 12) - 1)
    agree(while_building(loan), 18_992.14, within=0.00501 / 18_992.14, what="interest, $")
    agree(loan.amount[0], 718_992.14, within=0.00501 / 718_992.14, what="loan (computed), $")
    simple = build([28_000.0] * 25, 0.027 / 12)
    agree(while_building(simple), 19_230.10, within=0.00501 / 19_230.10, what="at 2.7 %/12 (computed), $")
    middle = build([28_000.0] * 25, 1.027 ** (1 / 12) - 1, middle=True)
    agree(while_building(middle), 19_790.72, within=0.00501 / 19_790.72, what="spent in mid-month (computed), $")


def test_two_draws(agree):
    loan = build([1_300.0, 500.0, 0.0], 0.05)
    agree(loan.interest[1, 0], 65, digits=12, what="interest on the first draw")
    agree(loan.balance[1, 0] - 500, 1_365, digits=12, what="with it")
    agree(loan.balance[1, 0], 1_865, digits=12, what="with the second draw")
    agree(loan.interest[2, 0], 93.25, digits=12, what="next interest (computed)")
    agree(loan.balance[2, 0], 1_958.25, digits=12, what="next balance (computed)")


def test_three_years_spent_at_year_ends(agree):
    agree(while_building(build([40.0, 35.0, 25.0], 0.08)), 9.456, digits=12, what="interest, % (computed)")


def test_three_years_spent_at_year_starts(agree):
    """Spent a year earlier, with nothing in the last year: 18.21248 %."""
    agree(while_building(build([40.0, 35.0, 25.0, 0.0], 0.08)), 18.21248, digits=12, what="interest, % (computed)")


def test_three_years_spent_in_the_middle():
    """Each year's spending compounds for half a year more: 40 x 1.08^2.5 + 35 x 1.08^1.5 + 25 x 1.08^0.5 (computed)."""
    loan = build([40.0, 35.0, 25.0], 0.08, middle=True)
    assert while_building(loan) == pytest.approx(13.750012, abs=5e-7)

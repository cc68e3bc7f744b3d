"""Credits: what the law leaves of them by year, their rounding, what is paid back, and the better of two.

The years and shares of the phase-out come from two summaries of tax firms on Public Law 119-21 that agree. The rounding rule,
itself from memory, reproduces the amounts of the production credit that were published for 2019, 2025 and 2026 (summaries of
the yearly notices under 26 USC 45), and those of 2021 and 2024 from memory; shares of recapture (26 USC 50(a)) are from memory.
"""

import numpy as np
import pytest

from geoecon.finance.credits import Credit, indexed, share_in
from geoecon.finance.discounting import present_value
from geoecon.finance.tax import TaxTerms, better_credit, income_tax, tax_base, with_credit, without_debt
from geoecon.taxing import tax_rules
from tests.unit.finance.test_tax import AT_ONCE, rows, streams


@pytest.mark.parametrize(
    ("year", "share"), [(2026, 1.0), (2033, 1.0), (2034, 0.75), (2035, 0.5), (2036, 0.0), (2050, 0.0)]
)
def test_phase_out_by_the_year_construction_begins(year, share):
    assert tax_rules("us-2026").share("credit_share", year) == share


def test_rules_without_years_leave_all():
    assert tax_rules("plain").share("credit_share", 2040) == 1.0
    assert share_in(2020, {2023: 0.4}) == 0.4


@pytest.mark.parametrize(
    ("base", "factor", "step", "multiple", "cents"),
    [
        (1.5, 1.6396, 0.1, 1, 2.5),  # 2019, in service before 2022
        (1.5, 1.6878, 0.1, 1, 2.5),  # 2021, amount from memory
        (1.5, 1.9499, 0.1, 1, 2.9),  # 2024, amount from memory
        (0.3, 1.9499, 0.05, 5, 3.0),  # 2024, wage rules met, amount from memory
        (0.3, 1.9499, 0.05, 1, 0.6),  # 2024, not met, amount from memory
        (1.5, 1.9971, 0.1, 1, 3.0),  # 2025
        (1.5, 2.0570, 0.1, 1, 3.1),  # 2026
        (0.3, 1.9971, 0.05, 5, 3.0),  # 2025, wage rules met
        (0.3, 1.9971, 0.05, 1, 0.6),  # 2025, not met
        (0.3, 2.0570, 0.05, 5, 3.0),  # 2026, wage rules met
    ],
)
def test_rounding_of_the_amount_per_kwh(base, factor, step, multiple, cents):
    assert indexed(base, factor, step, multiple) == pytest.approx(cents)


def test_the_better_credit_in_each_scenario():
    many = np.ones(3)
    credit = Credit("sold", 0.3 * many, 0.5 * many, np.array([0.5, 0.9, 60.0]), 0 * many, 3, 0.9 * many)
    terms = TaxTerms(0.25 * many, AT_ONCE, True, many, credit)
    three = type(streams())(**{**vars(streams()), "energy": rows(0, 5, 7, 9) * many})
    price, rate = np.full((4, 3), 30.0), 0.08 * many
    investment = better_credit(three, terms, price, rate)
    assert investment.tolist() == [True, True, False]

    def value(choice):
        one = with_credit(terms, choice)
        base = tax_base(three, one, np.zeros((4, 3)))
        return -present_value(income_tax(price * three.energy, without_debt(three, base), one), rate, three.times)

    best, of_both = value(investment), (value(many > 0), value(many < 0))
    assert best == pytest.approx(np.maximum(*of_both), rel=1e-12)

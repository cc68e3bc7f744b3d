"""Loan balances that a public company prints, and a level loan.

Balances at year end, thousand dollars, of loans to geothermal plants, from the yearly reports that their owner files
with the US Securities and Exchange Commission: seen in copies. Two of them, for Olkaria III (Kenya) and Platanares (Honduras),
fall by the same amount each year, 17,994 to 17,995 and 8,192 to 8,193, which is equal principal. The last step of Olkaria III
is 18,148 and is left out. Two more, of OFC 2 and DAC 1, repay by steps of their own and are not used. Neither amount nor life
of the loans was seen, so what is repaid between the first and the last printed balance is taken as the loan.
The level loan of 1,000 over 5 years at 10 %: computed here, not published.
"""

import numpy as np
import pytest

from geoecon.arrays import column
from geoecon.finance.debt import LoanTerms, borrow, equal_principal, level_payments

OLKARIA = [264_624, 246_630, 228_635, 210_641, 192_646, 174_652, 156_657, 138_663, 120_668]  # 2015 to 2023
PLATANARES = [112_652, 104_459, 96_266, 88_073, 79_880, 71_687, 63_495]  # 2018 to 2024


def owed(balances, shares):
    """Balances from the first printed one, when what is repaid by the last one is repaid in these shares."""
    return balances[0] - (balances[0] - balances[-1]) * np.cumsum(shares / shares.sum())


def level_shares(rate, remaining, years):
    return level_payments(np.array([rate]), remaining)[:years, 0]


@pytest.mark.parametrize(("name", "balances"), [("Olkaria III", OLKARIA), ("Platanares", PLATANARES)])
def test_equal_principal(agree, name, balances):
    years = len(balances) - 1
    ours = owed(balances, equal_principal(np.array([0.06]), years)[:, 0])
    for after, printed in enumerate(balances[1:], 1):
        agree(ours[after - 1], printed, within=1 / printed, what=f"{name}, {after} years on, thousand $")


@pytest.mark.parametrize("balances", [OLKARIA, PLATANARES])
def test_they_are_not_level(balances):
    years = len(balances) - 1
    ours = owed(balances, level_shares(0.06, years + 6, years))
    assert np.abs(ours - balances[1:]).max() > 2_000


def test_equal_principal_loan_is_repaid(agree):
    """The eight printed years of Olkaria III as a loan of their own."""
    repaid = OLKARIA[0] - OLKARIA[-1]
    terms = LoanTerms(np.array([1.0]), np.array([0.06]), np.array([0.0]), 8, "equal-principal", 0)
    loan = borrow(column([repaid] + [0.0] * 8), terms, 1)
    for after in range(8):
        printed = OLKARIA[after] - OLKARIA[-1]
        agree(loan.balance[after, 0], printed, within=1 / printed, what=f"{after} years on, thousand $")
    assert loan.balance[8, 0] == pytest.approx(0, abs=1e-6)


def test_level_loan_computed(agree):
    terms = LoanTerms(np.array([1.0]), np.array([0.10]), np.array([0.0]), 5, "level", 0)
    loan = borrow(column([1_000.0] + [0.0] * 5), terms, 1)
    for year, principal in enumerate([163.80, 180.18, 198.19, 218.01, 239.82], 1):
        agree(loan.principal[year, 0], principal, within=0.00501 / principal, what=f"principal {year} (computed), $")
        agree(loan.service[year, 0], 263.7975, within=0.0000501 / 263.7975, what=f"payment {year} (computed), $")

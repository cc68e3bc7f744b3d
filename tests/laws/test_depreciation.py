"""What is bought is deducted once, no more and no less, whatever the method and however short the life."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from geoecon.arrays import over_years
from geoecon.finance.credits import credit_earned
from geoecon.finance.depreciation import FIRST_YEAR_SHARE, MACRS_YEARS, depreciate, macrs, straight_line
from geoecon.finance.statement import arrange
from tests.laws.strategies import ACCOUNTS, numbers, projects, same

CONVENTIONS = sorted(FIRST_YEAR_SHARE)


@pytest.mark.parametrize("convention", CONVENTIONS)
def test_shares_sum_to_one(convention):
    for years in range(1, 41):
        assert straight_line(years, convention).sum() == pytest.approx(1, rel=1e-12)
        assert (straight_line(years, convention) >= 0).all()
    for years in MACRS_YEARS:
        assert macrs(years, convention).sum() == pytest.approx(1, rel=1e-12)
        assert (macrs(years, convention) >= 0).all()


@given(numbers((13, 3), 0, 900), st.integers(1, 20), st.sampled_from(CONVENTIONS), st.integers(1, 4))
def test_all_that_is_bought_is_deducted(spent, years, convention, first):
    taken = depreciate(spent, straight_line(years, convention), first)
    assert same(over_years(taken), over_years(spent))
    assert (taken[:first] == 0).all()
    ahead = np.cumsum(taken, axis=0) - np.cumsum(spent, axis=0)
    assert (ahead <= 1e-9 * spent.sum()).all()  # nothing is deducted before it is bought


@given(projects())
def test_total_depreciation_is_the_basis(project):
    streams, terms = project
    financing = arrange(streams, terms)
    base, credit = financing.tax_base, terms.tax.credit
    kept = 1 - over_years(streams.grant) / over_years(streams.initial)
    cut = credit.rate * credit.basis_cut if credit else 0.0
    plant, grid = (over_years(streams.capital[name]) for name in ("plant", "grid_connection"))
    basis = kept * (plant * (1 - cut) + grid) + over_years(streams.sustained)
    assert same(over_years(base.depreciation_unlevered), basis)
    paid = over_years((financing.loan.interest + financing.loan.fees)[: streams.first])
    assert same(over_years(base.depreciation_levered), np.where(kept > 0, basis + paid, basis))


@given(projects())
def test_investment_credit_is_its_share_of_what_earns_it(project):
    streams, terms = project
    credit = terms.tax.credit
    if credit is None:
        assert (credit_earned(streams, credit) == 0).all()
        return
    by_energy = np.zeros_like(streams.energy)
    for age, row in enumerate(range(streams.first, len(by_energy))):
        by_energy[row] = credit.per_mwh * (1 + credit.growth) ** age * streams.energy[row] * (age < credit.years)
    earning = sum(over_years(v) for name, v in streams.capital.items() if ACCOUNTS[name].earns_credit)
    kept = 1 - over_years(streams.grant) / over_years(streams.initial)
    assert same(over_years(credit_earned(streams, credit)), credit.rate * earning * kept + over_years(by_energy))

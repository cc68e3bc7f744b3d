"""What a loan and reserves must add up to: sources equal uses, the loan is repaid, reserves end empty."""

from dataclasses import replace

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from geoecon.arrays import over_years
from geoecon.finance.statement import arrange, equity_cash_flow, rise, saved_before, state
from tests.laws.strategies import loans, numbers, price_paths, projects, same


@given(projects())
def test_debt_is_repaid(project):
    streams, terms = project
    loan = arrange(streams, terms).loan
    assert same(over_years(loan.principal), loan.amount)
    assert (loan.principal[: streams.first] == 0).all()
    assert np.array_equal(loan.balance[-1], 0 * loan.amount)
    assert same(np.cumsum(loan.drawn - loan.principal, axis=0), loan.balance, size=loan.amount)
    assert same(loan.interest[streams.first :], terms.loan.rate * loan.balance[streams.first - 1 : -1])


@given(projects())
def test_debt_is_its_share_of_all_uses(project):
    streams, terms = project
    loan = arrange(streams, terms).loan
    building = slice(0, streams.first)
    uses = (streams.initial + loan.interest + loan.fees + rise(loan.reserve))[building]
    assert same(loan.drawn[building], loan.share * uses)
    assert same(loan.amount, loan.share * over_years(uses))
    room = 1 - over_years(streams.grant) / np.maximum(over_years(uses), 1e-300)
    assert np.allclose(loan.share, np.minimum(terms.loan.share, np.maximum(room, 0)), atol=1e-9)
    assert same(over_years(loan.fees), terms.loan.fee * loan.amount)
    assert (loan.drawn[streams.first :] == 0).all()


@given(projects())
def test_level_service_is_level_and_equal_principal_is_equal(project):
    streams, terms = project
    loan = arrange(streams, terms).loan
    flat = loan.service if terms.loan.shape == "level" else loan.principal
    repaid = flat[streams.first : streams.first + terms.loan.years]
    assert same(repaid, repaid[0] + 0 * repaid, size=loan.amount)
    assert (loan.service[streams.first + terms.loan.years :] == 0).all()


@given(st.data())
def test_sources_equal_uses_while_building(data):
    streams, terms = data.draw(projects())
    financing = arrange(streams, terms)
    loan, building = financing.loan, slice(0, streams.first)
    uses = (streams.initial + loan.interest + loan.fees + rise(financing.reserve))[building]
    sources = (loan.drawn + streams.grant + financing.equity_money)[building]
    assert same(sources, uses, size=streams.initial.max())
    flow = equity_cash_flow(financing, data.draw(price_paths(streams)).nominal)[0]
    assert same(-flow[building], financing.equity_money[building], size=streams.initial.max())


@given(projects())
def test_a_loan_of_nothing_is_nothing(project):
    streams, terms = project
    loan = arrange(streams, replace(terms, loan=replace(terms.loan, share=0 * terms.loan.share))).loan
    for line in (loan.drawn, loan.fees, loan.interest, loan.principal, loan.balance, loan.reserve, loan.service):
        assert (line == 0).all()


@given(numbers((11, 3), 0, 500), st.integers(1, 12))
def test_reserve_pays_for_purchases_and_ends_empty(purchases, lookahead):
    purchases[:2] = 0
    balance = saved_before(purchases, 2, lookahead)
    assert (balance >= 0).all()
    assert (balance[-1] == 0).all()
    saved = purchases + rise(balance)
    assert (saved >= -1e-9 * purchases.max()).all()
    assert same(over_years(saved), over_years(purchases))


@given(projects(), st.data())
def test_the_value_of_the_project_knows_no_debt(project, data):
    streams, terms = project
    path = data.draw(price_paths(streams))
    other = replace(terms, loan=data.draw(loans(streams)), sustaining_reserve=not terms.sustaining_reserve)
    ours, theirs = (state(arrange(streams, of), path) for of in (terms, other))
    assert np.array_equal(ours.cash_flow_project, theirs.cash_flow_project)
    assert np.array_equal(ours.tax_unlevered, theirs.tax_unlevered)


@given(projects(), st.data())
def test_without_tax_or_debt_owner_and_project_have_the_same_cash_but_for_the_reserve(project, data):
    streams, terms = project
    path, none = data.draw(price_paths(streams)), 0 * terms.tax.rate
    terms = replace(terms, loan=replace(terms.loan, share=none), tax=replace(terms.tax, rate=none, credit=None))
    financing = arrange(streams, terms)
    statement = state(financing, path)
    saved = rise(financing.sustaining_reserve)
    assert same(statement.cash_flow_equity, statement.cash_flow_project - saved, size=np.abs(statement.revenue).max())
    assert (statement.tax == 0).all()


@given(st.data())
def test_cash_for_debt_service_is_what_equity_and_lender_share(data):
    """CFADS less debt service, with the lender's reserve given back, is the owner's cash but for closing the site."""
    streams, terms = data.draw(projects())
    financing = arrange(streams, terms)
    statement = state(financing, data.draw(price_paths(streams)))
    running = slice(streams.first, None)
    left = statement.cfads - financing.loan.service - rise(financing.loan.reserve) - streams.decommissioning
    assert same(statement.cash_flow_equity[running], left[running], size=np.abs(statement.revenue).max() + 5000)

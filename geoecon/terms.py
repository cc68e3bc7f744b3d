"""The terms of money of a case: loan, tax, reserves and rates, as finance takes them."""

from dataclasses import dataclass, replace

import numpy as np

from geoecon.arrays import Floats, column
from geoecon.case import Case
from geoecon.finance.debt import LoanTerms, Refinancing
from geoecon.finance.levelized import levelized_cost
from geoecon.finance.prices import PricePath, level
from geoecon.finance.rates import weighted_cost_of_capital
from geoecon.finance.statement import Terms
from geoecon.finance.streams import Streams
from geoecon.finance.tax import TaxTerms, better_credit, tax_with_each_credit, with_credit
from geoecon.preparing.basics import wide
from geoecon.taxing import tax_terms


def financing_terms(case: Case, net_kw: Floats) -> Terms:
    """Loan, tax and reserve as formulas take them, for a unit of a capacity, (scenario,)  [kW]."""
    finance, loan = case.finance, _loan(case)
    return Terms(
        loan, tax_terms(case, net_kw), finance.sustaining_funding == "reserve", finance.reserve_lookahead_years,
        case.timeline.spending_time == "middle", case.capital.decommissioning_fund_years or 0,
    )  # fmt: skip


def _loan(case: Case) -> LoanTerms:
    finance = case.finance
    rate = wide(case, finance.debt_rate)
    again = None
    if finance.refinance_years is not None:
        second = rate if finance.refinance_rate is None else wide(case, finance.refinance_rate)
        again = Refinancing(second, wide(case, finance.refinance_fee), finance.refinance_years)
    return LoanTerms(
        wide(case, finance.debt_share),
        rate,
        wide(case, finance.upfront_fee),
        finance.debt_years or 1,
        finance.debt_shape,
        finance.reserve_months,
        building_rate=None if finance.construction_rate is None else wide(case, finance.construction_rate),
        commitment_fee=wide(case, finance.commitment_fee),
        grace=finance.grace_years if finance.debt_years else 0,
        balloon=wide(case, finance.balloon),
        refinancing=again,
        by_cover=finance.debt_sizing == "cover",
        target=wide(case, finance.target_dscr),
        downside=_lender_energy(case),
        lockup=wide(case, finance.lockup_dscr),
    )


def _lender_energy(case: Case) -> Floats:
    """Share of the expected energy that lenders count on, (scenario,), or (year, 1) where it is stated by year  [1]."""
    listed, life = case.finance.lender_energy_by_year, case.timeline.operating_years
    if listed is None:
        return wide(case, case.finance.lender_energy)
    shares = [*listed, *[listed[-1]] * (life - len(listed))]
    return column([1.0] * case.timeline.build_years + shares)


def with_better_credit(streams: Streams, terms: Terms, path: PricePath, discount: Floats) -> Terms:
    """The terms with the one of two credits with which the project is worth more after tax, in each scenario."""
    price = _compared_at(streams, path.nominal, discount)
    return replace(terms, tax=with_credit(terms.tax, better_credit(streams, terms.tax, price, discount)))


def value_of_tax(
    case: Case, net_kw: Floats, streams: Streams, price: Floats, discount: Floats
) -> tuple[Floats, Floats]:
    """Value of the project's tax with the investment credit and with the production credit, where the better is taken.

    price : (year, scenario) as stated, NaN where none is  [money/MWh];  returns (scenario,) each, money of year 0
    """
    terms = tax_terms(case, net_kw)
    return tax_with_each_credit(streams, terms, _compared_at(streams, price, discount), discount)


def _compared_at(streams: Streams, price: Floats, discount: Floats) -> Floats:
    """The price at which credits are compared: as stated, and where none is the price that covers all cost."""
    if not np.isnan(price).any():
        return price
    whole = level(np.ones_like(streams.times), streams.first)
    return whole.at(levelized_cost(streams, discount, np.ones_like(streams.times)))


@dataclass(frozen=True)
class Rates:
    """Nominal rates of the case, (scenario,)  [1/yr], and where the discount rate comes from."""

    discount: Floats
    equity: Floats
    wacc: Floats
    origin: str


def rates(case: Case, tax: TaxTerms) -> Rates:
    """The discount rate as stated or the after-tax WACC; the return on equity as stated or the discount rate."""
    finance = case.finance
    either = finance.equity_return if finance.equity_return is not None else finance.discount_rate
    equity = wide(case, either)
    wacc = weighted_cost_of_capital(wide(case, finance.debt_share), wide(case, finance.debt_rate), equity, tax.rate)
    if finance.discount_rate is not None:
        return Rates(wide(case, finance.discount_rate), equity, wacc, "stated")
    return Rates(wacc, equity, wacc, "after-tax WACC")

"""What a pass comes to: a result with its metrics, yearly columns, warnings and assumptions."""

from collections.abc import Callable, Mapping
from dataclasses import replace

import numpy as np

from geoecon.arrays import Bools, Floats
from geoecon.assumed import assumed
from geoecon.finance.books import Books
from geoecon.finance.credits import paid_back_if_sold
from geoecon.finance.depreciation import book_depreciation
from geoecon.finance.measures import cash_to_spare, cover_ratios, life_cover
from geoecon.finance.owners import capitalised
from geoecon.finance.prices import level
from geoecon.finance.reasons import Reason
from geoecon.finance.recipients import Payments
from geoecon.finance.stack import Stack
from geoecon.finance.statement import Financing, project_cash_flow, to_owner
from geoecon.finance.tax import taxable_income
from geoecon.later import LaterMapping, LaterSequence
from geoecon.metrics import Found, metrics_of
from geoecon.outputs import outputs
from geoecon.passed import Pass
from geoecon.payments import lease_split
from geoecon.preparing.basics import wide
from geoecon.result import COLUMNS, METRICS, FoundPrice, Metric, Result, in_money
from geoecon.warned import warnings_of
from geoecon.watering import water_use

FOUND = ("lcoe_after_tax_real", "lcoe_after_tax_nominal", "required_price", "price_for_return")


def result(passed: Pass, held: bool, impossible: Bools) -> Result:
    """The result of a pass; metrics of impossible scenarios are NaN with their reason."""
    case, currency = passed.case, passed.case.money.currency
    found = dict(metrics_of(passed))
    metrics = LaterMapping(METRICS, lambda name: _metric(name, found[name], passed, impossible))
    return Result(
        case=case,
        name=case.project.name,
        source=case.source,
        told=case.told,
        owner=case.project.owner,
        currency=currency,
        price_year=case.money.price_year,
        held=held,
        asked={
            "discount_rate": passed.rates.discount,
            "equity_return": passed.rates.equity,
            "target_dscr": wide(case, case.finance.target_dscr),
            "target_tier": wide(case, case.finance.target_tier, np.nan),
            "commitment_cap": wide(case, case.finance.commitment_cap, np.nan),
            "requirement_rate": wide(case, np.nan) if passed.requirement is None else passed.requirement.rate,
        },
        discount_origin=passed.rates.origin,
        times=passed.when.times,
        index=passed.index,
        loan_rate=passed.financing.terms.loan.rate,
        revenue_shares=_revenue_shares(passed),
        payments=Payments(passed.financing, passed.statement, lease_split(case)),
        requirement={} if passed.requirement is None else passed.requirement.parts,
        other_revenue=passed.financing.streams.unpriced_revenue,
        sustaining_from_cash=passed.financing.sustaining_from_cash,
        found_prices=LaterMapping(FOUND, lambda name: _found_price(passed, name, metrics)),
        build_years=passed.first,
        metrics=metrics,
        annual=_annual(passed),
        units={name: in_money(unit, currency) for name, unit in COLUMNS.items()},
        operating_accounts=_operating_accounts(passed),
        capital_accounts=passed.purchases,
        monthly_energy=passed.ledger.monthly,
        outputs=outputs(case, passed.design, passed.field, passed.running.limit_kw),
        ledger=passed.ledger.of_year(0),
        ledger_life=passed.ledger.of_life(),
        books=Books(passed.financing, passed.statement),
        stacks=LaterMapping(("real", "nominal"), lambda money: _stack(passed, money, metrics)),
        overpaid=passed.overpaid,
        fluids=passed.design.fluids,
        water=water_use(case, passed.design, passed.ledger),
        warnings=LaterSequence(lambda: warnings_of(passed)),
        assumptions=LaterSequence(
            lambda: assumed(case, passed.rates, passed.household_use, passed.field.taken, passed.design)
        ),
    )


def _revenue_shares(passed: Pass) -> dict[str, Floats]:
    """Accounts that are a share of energy revenue, each (year, scenario)."""
    streams = passed.financing.streams
    return {name: np.broadcast_to(share, streams.energy.shape) for name, share in streams.revenue_shares.items()}


def _operating_accounts(passed: Pass) -> Mapping[str, Floats]:
    """Operating cost by account with what is a share of revenue, nominal, (year, scenario)."""
    streams = passed.financing.streams

    def account(name: str) -> Floats:
        if name in streams.operating:
            return streams.operating[name]
        return passed.statement.price * streams.energy * streams.revenue_shares[name]

    return LaterMapping((*streams.operating, *streams.revenue_shares), account)


def _metric(name: str, found: Found, passed: Pass, impossible: Bools) -> Metric:
    about, case = METRICS[name], passed.case
    if callable(found):
        found = found()
    if isinstance(found, Reason):
        found = (np.array([np.nan]), np.array([found], dtype=np.uint8))
    values, codes, note = found if len(found) == 3 else (*found, "")
    codes = np.where(impossible, np.uint8(Reason.NOT_FEASIBLE), codes)
    basis = {"real": f"real {case.money.price_year}", "year 0": "money of year 0"}.get(about.basis, about.basis)
    return Metric(
        np.where(codes == 0, values, np.nan), in_money(about.unit, case.money.currency), basis, about.point,
        codes, note,
    )  # fmt: skip


def _found_price(passed: Pass, name: str, metrics: Mapping[str, Metric]) -> FoundPrice:
    """A price that was found by search, with the tax that falls due at it."""
    if name in {"required_price", "price_for_return"}:
        found = passed.required if name == "required_price" else passed.by_return
        path, financing = passed.required_path.straight(found.value), found.financed
        owner = to_owner(financing, path.nominal)
        return FoundPrice(path, owner.tax, owner.withheld, _loan_columns(financing, owner.locked))
    index = passed.index if name == "lcoe_after_tax_real" else np.ones_like(passed.index)
    path = replace(level(index, passed.first), first=metrics[name].values)
    tax = project_cash_flow(passed.financing, path.nominal)[1]
    return FoundPrice(path, tax, np.zeros_like(tax), {})


def _stack(passed: Pass, money: str, metrics: Mapping[str, Metric]) -> Stack:
    """What one MWh costs in real or nominal money, part by part."""
    index = passed.index if money == "real" else passed.ones
    after_tax = metrics[f"lcoe_after_tax_{money}"].values
    return Stack(passed.financing, passed.rates.discount, index, after_tax, passed.required)


def _loan_columns(financing: Financing, locked: Floats) -> dict[str, Floats]:
    """The yearly columns of the loan and of what is kept, (year, scenario)  [money]."""
    loan = financing.loan
    return {
        "debt_drawn": loan.drawn,
        "fees": loan.fees,
        "interest": loan.interest,
        "principal": loan.principal,
        "debt_balance": loan.balance,
        "reserve_balance": financing.reserve + locked,
        "book_depreciation": book_depreciation(capitalised(financing.streams, loan), financing.streams.first),
    }


def _depletion(passed: Pass) -> Floats:
    """Depletion that the owner deducts at the price of the case, (year, scenario)  [money]."""
    financing = passed.financing
    sales = passed.statement.price * financing.kept_energy
    _, taken = taxable_income(sales, financing.taxable_equity, financing.terms.tax)
    return np.zeros_like(sales) + taken


def _annual(passed: Pass) -> Mapping[str, Floats]:
    """Yearly columns, (year, scenario), build years first; NaN where a column has no value in a year."""
    financing, statement, loan = passed.financing, passed.statement, passed.financing.loan
    streams, first = financing.streams, passed.first

    def operating(values: Floats | None, before: float = np.nan) -> Floats:
        column = np.full_like(streams.energy, before)
        column[first:] = np.nan if values is None else values
        return column

    columns: dict[str, Callable[[], Floats]] = {
        "year": lambda: passed.when.years + 0 * streams.energy,
        "calendar_year": lambda: passed.when.calendar_years + 0 * streams.energy,
        "brine_flow": lambda: operating(_field_columns(passed)[0]),
        "brine_temperature": lambda: operating(_brine_temperature(passed)),
        "producers": lambda: operating(_field_columns(passed)[1]),
        "gross_energy": lambda: operating(passed.ledger.gross_energy, 0.0),
        "delivered_energy": lambda: streams.energy,
        "price": lambda: statement.price,
        "revenue": lambda: statement.revenue,
        "operating_cost": lambda: statement.operating_cost,
        "capital": lambda: streams.spent,
        "sustaining_capital": lambda: streams.sustained,
        "decommissioning": lambda: streams.decommissioning,
        "grant": lambda: streams.grant,
        "depreciation": lambda: financing.tax_base.depreciation_levered,
        "drilling_expensed": lambda: financing.tax_base.drilling,
        "depletion": lambda: _depletion(passed),
        "credit": lambda: financing.tax_base.credit,
        "recapture": lambda: paid_back_if_sold(streams, financing.terms.tax.credit, financing.terms.tax.expensed_share),
        "tax": lambda: statement.tax,
        "tax_unlevered": lambda: statement.tax_unlevered,
        "withheld": lambda: statement.withheld,
        "cfads": lambda: operating(statement.cfads[first:]),
        "cash_flow_project": lambda: statement.cash_flow_project,
        "cash_flow_equity": lambda: statement.cash_flow_equity,
        "dscr": lambda: cover_ratios(statement.cfads, loan.service),
        "loan_life_cover": lambda: life_cover(statement.cfads, loan, financing.terms.loan.rate, loan.service > 0),
        "project_life_cover": lambda: life_cover(statement.cfads, loan, financing.terms.loan.rate, financing.running),
        "cash_to_spare": lambda: cash_to_spare(cover_ratios(statement.cfads, loan.service)),
    }
    return LaterMapping(
        COLUMNS, lambda name: columns[name]() if name in columns else _loan_columns(financing, statement.locked)[name]
    )


def _field_columns(passed: Pass) -> tuple[Floats | None, Floats | None]:
    """Brine flow within the plant's limit, and producers in service, (year of operation, scenario)."""
    plan = passed.field.plan
    if plan is None:
        return None, None
    limit = passed.design.brine_flow * passed.case.plant.max_brine_flow
    return np.minimum(plan.flow, limit), plan.producers


def _brine_temperature(passed: Pass) -> Floats | None:
    resource = passed.case.resource
    if resource.temperature is None:
        return None
    return passed.field.brine

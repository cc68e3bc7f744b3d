"""The terms of money of a case: loan, tax, reserves and rates, as finance takes them."""

from dataclasses import dataclass

from geoecon.arrays import Floats
from geoecon.case import Case
from geoecon.finance.debt import LoanTerms
from geoecon.finance.depreciation import METHODS
from geoecon.finance.rates import weighted_cost_of_capital
from geoecon.finance.statement import Terms
from geoecon.finance.tax import Credit, TaxTerms
from geoecon.preparing import wide
from geoecon.tables import table

TAX_CLASSES = ("production", "transmission")


def financing_terms(case: Case) -> Terms:
    """Loan, tax and reserve as formulas take them."""
    finance = case.finance
    loan = LoanTerms(
        wide(case, finance.debt_share), wide(case, finance.debt_rate), wide(case, finance.upfront_fee),
        finance.debt_years or 1, finance.debt_shape, finance.reserve_months,
    )  # fmt: skip
    return Terms(
        loan, tax_terms(case), finance.sustaining_funding == "reserve", finance.reserve_lookahead_years,
        case.timeline.spending_time == "middle",
    )  # fmt: skip


def tax_rules(name: str) -> dict[str, str]:
    """Key -> value of a dated table of rules; empty for none and for plain, whose values are all inputs."""
    return {r["key"]: r["value"] for r in table("tax_rules") if r["rules"] == name}


def known_tax_rules() -> tuple[str, ...]:
    """Names that `tax.rules` may take."""
    return ("none", "plain", *sorted({r["rules"] for r in table("tax_rules")}))


def tax_terms(case: Case) -> TaxTerms:
    """What the rules and the case's own words come to: what the case says goes before the table."""
    tax, rules = case.tax, tax_rules(case.tax.in_force)
    rate = wide(case, tax.rate if tax.rate is not None else float(rules.get("rate", 0)))
    limit = wide(case, tax.loss_limit if tax.loss_limit is not None else float(rules.get("loss_limit", 1)))
    shares = {name: _shares(case, rules, name) for name in TAX_CLASSES} if tax.in_force != "none" else {}
    return TaxTerms(rate, shares, tax.losses == "carried", limit, _credit(case, rules))


def _shares(case: Case, rules: dict[str, str], tax_class: str) -> Floats:
    tax = case.tax
    method = tax.depreciation or rules.get("method", "straight-line")
    convention = tax.convention or rules.get("convention", "full-year")
    stated = tax.depreciation_years if tax_class == "production" or not rules else None
    years = stated or int(rules.get(f"years.{tax_class}", case.timeline.operating_years))
    return METHODS[method](years, convention)


def _credit(case: Case, rules: dict[str, str]) -> Credit | None:
    tax = case.tax
    if tax.credit == "none":
        return None
    investment = tax.credit == "investment"
    rate = tax.credit_rate if tax.credit_rate is not None else float(rules.get("credit_rate", 0))
    cut = tax.credit_basis_cut if tax.credit_basis_cut is not None else float(rules.get("credit_basis_cut", 0))
    return Credit(
        tax.credit_use,
        wide(case, rate if investment else 0.0),
        wide(case, cut if investment else 0.0),
        wide(case, 0.0 if investment else tax.credit_amount),
        wide(case, tax.credit_growth),
        tax.credit_years,
        wide(case, tax.credit_sale_price),
    )


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

"""Debt and tax of a result in words and tables."""

from collections.abc import Iterator, Mapping

import numpy as np

from geoecon.arrays import Floats
from geoecon.energy import KW_PER_MW
from geoecon.finance.tax import losses_carried
from geoecon.report.books import YEARS
from geoecon.report.lines import Line, Section
from geoecon.report.ruled import LINE, UNKNOWN, Entry, Ledger, Ruled
from geoecon.report.tables import Column
from geoecon.report.words import money, share
from geoecon.result import Result
from geoecon.taxing import tax_rules
from geoecon.terms import value_of_tax

NO_DEBT = "The case has no debt: nothing is borrowed, so there is no cover, and the owner pays for all of it."
NO_TAX = "No income tax is worked out: the case names no rules of tax and no rate (tax.rules, tax.rate)."
NOT_ADVICE = "not tax advice"
TAX_SIGNS = (
    "Deductions and credit are as they arise; tax is positive where it is paid, and below zero money comes back."
)
COVER_MEANS = (
    "Covers are cash, or the value of cash from that year on at the debt rate, over what is due or owed. Cash to spare is the "
    "share of the year's cash that may be missing before it just covers the debt service."
)
COVERS = {
    "dscr": "Cover of debt service, times", "loan_life_cover": "Loan-life cover, times",
    "project_life_cover": "Project-life cover, times", "cash_to_spare": "Cash to spare, %",
}  # fmt: skip
LOAN = ("debt_drawn", "fees", "interest", "principal", "debt_balance", "reserve_balance", "cfads")
SHAPES = {"level": "level payments", "equal-principal": "equal principal", "sculpted": "the same cover in every year"}
CREDIT_USES = {
    "own": "against the owner's own tax",
    "sold": "sold to another taxpayer",
    "cash": "paid out in cash",
}
YEARLY_TAX = (
    ("depreciation", "Depreciation"), ("drilling_expensed", "Drilling deducted at once"),
    ("depletion", "Depletion"), ("credit", "Credit earned"),
    ("recapture", "Credit paid back if sold in the year"), ("tax", "Tax paid by the owner"),
    ("withheld", "Withheld on payments to the owner"),
    ("tax_unlevered", "Tax without debt"),
)  # fmt: skip


def has_debt(result: Result) -> bool:
    """Whether anything is borrowed."""
    return bool(result.books.financing.loan.amount[0] > 0)


def has_tax(result: Result) -> bool:
    """Whether rules of tax hold."""
    return result.case.tax.in_force != "none"


def debt_figures(result: Result) -> Section:
    """What a lender asks first; a sentence where there is no debt."""
    return Section("Debt", tuple(_debt(result)) if has_debt(result) else (Line("Borrowed", "nothing", NO_DEBT),))


def _debt(result: Result) -> Iterator[Line]:
    loan, finance, currency = result.books.financing.loan, result.case.finance, result.currency
    uses = float(sum(amounts[0] for amounts in result.books.uses.values()))
    amount = float(loan.amount[0])
    yield Line("Amount", money(amount, currency), "at the end of year 0, nominal")
    yield Line("Share of all uses", share(amount / uses), _sizing(result))
    grace = f", of which {finance.grace_years} of interest only" if finance.grace_years else ""
    rate = share(float(result.loan_rate[0]), 2)
    yield Line("Repaid over", f"{finance.debt_years} years", f"{SHAPES[finance.debt_shape]}{grace}, at {rate} a year")
    yield Line("Average life", f"{average_life(result):.1f} years", "of a unit of debt, from the end of year 0")
    if loan.refinanced[:, 0].any():
        yield Line("Refinanced", money(float(loan.refinanced[:, 0].sum()), currency), "by a second loan, nominal")
    first = result.build_years
    before, fees = float(loan.interest[:first, 0].sum()), float(loan.fees[:, 0].sum())
    yield Line("Interest while building", money(before, currency), "nominal, in the uses")
    if fees:
        yield Line("Fees of lenders", money(fees, currency), "nominal")
    if finance.reserve_months:
        held = f"{finance.reserve_months} months of the next year's debt service"
        yield Line("Reserve at the start", money(float(loan.reserve[first - 1, 0]), currency), f"nominal, {held}")
    yield from _covers(result)


def _sizing(result: Result) -> str:
    finance = result.case.finance
    if finance.debt_sizing == "share":
        return "as stated (finance.debt_share)"
    listed = finance.lender_energy_by_year or (float(finance.lender_energy[0]),)
    shares = " to ".join(share(part, 0) for part in dict.fromkeys((listed[0], listed[-1])))
    by_year = ", by year," if len(listed) > 1 else ""
    lower = f" on {shares}{by_year} of the expected energy" if min(listed) < 1 else ""
    return f"what cash covers {float(finance.target_dscr[0]):.2f} times{lower}, at most {share(float(finance.debt_share[0]))}"


def average_life(result: Result) -> float:
    """Years for which a unit of debt is owed, from the end of year 0, each repayment weighted by its amount."""
    loan = result.books.financing.loan
    repaid = (loan.principal - loan.refinanced)[:, 0]
    return float(repaid @ result.annual["year"][:, 0] / repaid.sum())


def _covers(result: Result) -> Iterator[Line]:
    cover, years = result.annual["dscr"][:, 0], result.annual["year"][:, 0]
    if not np.isfinite(cover).any():
        yield Line("Cover of debt service", "none", result.metrics["dscr_min"].reason)
        return
    least = int(np.nanargmin(cover))
    asked = float(result.asked["target_dscr"][0])
    yield Line("Least cover", f"{cover[least]:.2f} times", f"in year {years[least]:.0f}; lenders ask {asked:.2f}")
    yield Line(
        "Mean cover", f"{result.value('dscr_mean'):.2f} times", "cash for debt service over interest and principal"
    )
    for key, label, over in (
        ("llcr", "Loan-life cover", "years of the loan"),
        ("plcr", "Project-life cover", "operating years"),
    ):
        if np.isfinite(result.value(key)):
            yield Line(
                label, f"{result.value(key):.2f} times", f"value of the cash of the {over} over the debt, end of year 0"
            )
    spare = float(result.annual["cash_to_spare"][least, 0])
    if np.isfinite(spare):
        few = "may be missing" if spare >= 0 else "is missing already (below zero)"
        yield Line(
            "Cash to spare",
            share(spare),
            f"of the cash of year {years[least]:.0f} {few} before it just covers the service",
        )
    yield _lockup(result, cover, years)


def _lockup(result: Result, cover: Floats, years: Floats) -> Line:
    bar, locked = float(result.case.finance.lockup_dscr[0]), result.books.statement.locked[:, 0]
    if not bar:
        return Line("Lock-up", "none", "lenders set no bar below which nothing is paid out (finance.lockup_dscr)")
    shut = years[np.nan_to_num(cover, nan=np.inf) < bar]
    if not shut.size:
        return Line("Lock-up", "in no year", f"nothing is paid out below a cover of {bar:.2f}, which no year is")
    most = money(float(locked.max()), result.currency)
    named = ", ".join(f"{year:.0f}" for year in shut)
    return Line(
        "Lock-up", f"in {shut.size} years", f"cover below {bar:.2f} in year {named}; at most {most} locked up, nominal"
    )


def tax_figures(result: Result) -> Section:
    """The rules in force with their date, the credit, losses, and what is paid; a sentence where there is no tax."""
    return Section("Income tax", tuple(_tax(result)) if has_tax(result) else (Line("Rules", "none", NO_TAX),))


def _tax(result: Result) -> Iterator[Line]:
    tax, terms, currency = result.case.tax, result.books.financing.terms.tax, result.currency
    rules = tax_rules(tax.in_force)
    read = f"law as it was read on {rules.read_on}" if rules.read_on else "inputs of the case"
    yield Line("Rules", rules.name, f"{read}; {NOT_ADVICE}")
    state = ", a state's tax in it" if tax.state_rate is not None else ""
    yield Line("Rate", share(float(terms.rate[0])), f"of taxable income{state}")
    if tax.holiday_years:
        yield Line("Holiday", f"{tax.holiday_years} years", "without tax, from year 1")
    yield from _credit(result)
    for name, label in YEARLY_TAX[:3]:
        amount = float(result.annual[name][:, 0].sum())
        if amount > 0 or name == "depreciation":
            yield Line(label, money(amount, currency), "over the life, nominal")
    yield _losses(result)
    for name, label in (
        ("tax", "Tax paid by the owner"),
        ("withheld", "Withheld"),
        ("tax_unlevered", "Tax without debt"),
    ):
        amount = float(result.annual[name][:, 0].sum())
        if not np.isfinite(amount):
            yield Line(label, "none", "the case states no price")
        elif amount or name != "withheld":
            back = "; below zero: more comes back than is paid" if amount < 0 else ""
            yield Line(label, money(amount, currency), f"over the life, credits netted, nominal{back}")


def _credit(result: Result) -> Iterator[Line]:
    credit = result.books.financing.terms.tax.credit
    if credit is None:
        yield Line("Credit", "none", "the case takes none (tax.credit)")
        return
    earned = float(result.annual["credit"][:, 0].sum())
    investment = bool(credit.rate[0] > 0)
    how = f"{share(float(credit.rate[0]))} of what it applies to" if investment else (
        f"{float(credit.per_mwh[0]):,.2f} {result.currency}/MWh in year 1, for {credit.years} years"
    )  # fmt: skip
    sold = f" at {share(float(credit.sale_price[0]), 0)} of its amount" if credit.use == "sold" else ""
    kind = "Investment credit" if investment else "Production credit"
    yield Line(kind, money(earned, result.currency), f"nominal, {how}; {CREDIT_USES[credit.use]}{sold}")
    if result.case.tax.credit == "best":
        yield _better_credit(result, kind)


def _better_credit(result: Result, taken: str) -> Line:
    """What either credit leaves of tax, of which the one with less is taken."""
    net_kw = result.metrics["net_capacity"].values * KW_PER_MW
    streams, rate = result.books.financing.streams, result.asked["discount_rate"]
    each = value_of_tax(result.case, net_kw, streams, result.annual["price"], rate)
    investment, production = (money(float(value[0]), result.currency) for value in each)
    words = (
        f"value of tax without debt {investment} with the investment credit, {production} with the production credit"
    )
    return Line("The better credit", taken.lower(), f"{words}; money of year 0, at {share(float(rate[0]), 2)} a year")


def _losses(result: Result) -> Line:
    terms = result.books.financing.terms.tax
    if not terms.carried:
        return Line("Losses", "used at once", "against other income of the owner (tax.losses)")
    limit = share(float(terms.loss_limit[0]), 0)
    until = "without end" if terms.loss_years is None else f"for {terms.loss_years} years"
    waiting = losses_waiting(result)
    most = (
        "" if waiting is None else f"; most that waits at a year's end: {money(float(waiting.max()), result.currency)}"
    )
    return Line("Losses", "carried", f"{until}, against at most {limit} of a year's profit{most}")


def losses_waiting(result: Result) -> Floats | None:
    """Losses of the owner that wait at the end of each year, (year,)  [money]; None where none wait, or no price is stated."""
    financing, price = result.books.financing, result.annual["price"]
    if not np.isfinite(price).all():
        return None
    waiting = losses_carried(price * financing.kept_energy, financing.taxable_equity, financing.terms.tax)
    return None if waiting is None else waiting[:, 0]


def cover_table(result: Result) -> Ruled:
    """Cover ratios and cash to spare by year of the loan."""
    columns = {name: result.annual[name][:, 0] for name in COVERS}
    years, owed = result.annual["year"][:, 0], np.isfinite(list(columns.values())).any(axis=0)
    owed &= np.isfinite(columns["dscr"]) | np.isfinite(columns["loan_life_cover"])
    heads = ("operating year", *(f"{year:.0f}" for year in years[owed]))
    rows = tuple(
        (LINE, (COVERS[name], *(_cover(name, value) for value in values[owed]))) for name, values in columns.items()
    )
    return Ruled("Cover by year", heads, rows, (COVER_MEANS,))


def _cover(name: str, value: float) -> str:
    if not np.isfinite(value):
        return UNKNOWN
    return f"{value * 100:.0f}" if name == "cash_to_spare" else f"{value:.2f}"


def tax_years(result: Result) -> Ledger:
    """Deductions, credit, losses and tax by year."""
    lines = {label: result.annual[name][:, 0] for name, label in YEARLY_TAX}
    waiting = losses_waiting(result)
    if waiting is not None:
        lines["Losses waiting at the end of the year"] = waiting
    shown = tuple(Entry(label, amounts) for label, amounts in lines.items() if amounts.any())
    years = tuple(result.annual["year"][:, 0].astype(int).tolist())
    return Ledger("Tax by year", result.currency, years, shown, adds_up=False, notes=(TAX_SIGNS, YEARS))


def financing_columns(result: Result) -> Mapping[str, Column]:
    """Loan, covers, deductions and tax by year as columns, exact."""
    names = ("year", "calendar_year", *LOAN, *COVERS, *(name for name, _ in YEARLY_TAX))
    columns: dict[str, Column] = {f"{name} [{result.units[name]}]": result.annual[name][:, 0] for name in names}
    waiting = losses_waiting(result)
    return columns if waiting is None else columns | {f"losses_waiting [{result.currency}]": waiting}

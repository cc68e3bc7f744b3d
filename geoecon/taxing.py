"""Income tax of a case as finance takes it: what the case says goes before the dated table that `tax.rules` names."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from geoecon.arrays import Bools, Floats
from geoecon.case import Case
from geoecon.finance.credits import Credit, share_in
from geoecon.finance.depletion import Depletion
from geoecon.finance.depreciation import METHODS, with_bonus
from geoecon.finance.tax import TaxTerms
from geoecon.preparing.basics import wide
from geoecon.tables import table

TAX_CLASSES = ("production", "transmission")


@dataclass(frozen=True)
class Rules:
    """A dated table of rules, key -> value; empty for none and for plain, whose values are all inputs."""

    name: str
    read_on: str
    values: Mapping[str, str]

    def number(self, key: str, without: float = 0.0) -> float:
        """The value of a key, or another where the rules have none."""
        return float(self.values.get(key, without))

    def shares(self, key: str) -> dict[int, float]:
        """Year -> value of a key that has one for each year."""
        return {int(k.rpartition(".")[2]): float(v) for k, v in self.values.items() if k.startswith(f"{key}.")}

    def share(self, key: str, year: int) -> float:
        """A share that depends on the year construction begins; all of it where the rules name no year."""
        shares = self.shares(key)
        return share_in(year, shares) if shares else 1.0


def tax_rules(name: str) -> Rules:
    """The rules of a name."""
    rows = [r for r in table("tax_rules") if r["rules"] == name]
    return Rules(name, max((r["read_on"] for r in rows), default=""), {r["key"]: r["value"] for r in rows})


def known_tax_rules() -> tuple[str, ...]:
    """Names that `tax.rules` may take."""
    return ("none", "plain", *sorted({r["rules"] for r in table("tax_rules")}))


def has_a_part(case: Case, key: str) -> bool:
    """Whether a row of the rules has a part in a case: not what is overruled, nor what its choices do not ask for."""
    tax, name = case.tax, key.partition(".")[0]
    field = {"method": "depreciation", "years": "depreciation_years", "bonus": "bonus_depreciation"}.get(name, name)
    if key != "years.transmission" and getattr(tax, field, None) is not None:
        return False
    if name == "service_from":
        return False
    if name.startswith("depletion_"):
        return tax.depletion == "percentage"
    if name == "interest_limit":
        return tax.interest_limited
    if name == "bonus_begins":
        return tax.bonus_depreciation is None
    if name == "bonus_earlier":
        return tax.bonus_depreciation is None and _begun_before_the_bonus(case, tax_rules(tax.in_force))
    return _credit_has_a_part(case, name) if name in OF_CREDIT else True


OF_CREDIT = {
    "credit_rate": {"investment"},
    "credit_basis_cut": {"investment"},
    "credit_rate_adder": {"investment"},
    "credit_amount": {"production"},
    "credit_amount_year": {"production"},
    "credit_amount_adder": {"production"},
    "credit_share": {"investment", "production"},
    "credit_without_wage_rules": {"investment", "production"},
    "wage_rules_from": {"investment", "production"},
    "exempt_bonds_cut": {"investment", "production"},
    "small_below": {"investment", "production"},
    "cash_share": {"investment", "production"},
    "cash_owners": {"investment", "production"},
    "recapture": {"investment"},
}


def _credit_has_a_part(case: Case, name: str) -> bool:
    """The same for a row about credits: those of a kind that the case takes, and whose size it does not state itself."""
    tax = case.tax
    stated = {"investment": tax.credit_rate is not None, "production": tax.credit_amount is not None}
    taken = {"best": {"investment", "production"}, "none": set()}.get(tax.credit, {tax.credit}) & OF_CREDIT[name]
    by_table = {kind for kind in taken if not stated[kind]}
    if name in {"cash_owners", "credit_basis_cut", "recapture"}:
        return bool(taken) and (name != "cash_owners" or tax.credit_use == "cash")
    if name.endswith("_adder"):
        return bool(by_table) and (tax.energy_community or tax.domestic_content)
    if name == "exempt_bonds_cut":
        return bool(by_table) and tax.exempt_bonds
    if name == "wage_rules_from":
        return bool(by_table) and not tax.wage_rules
    if name in {"small_below", "credit_without_wage_rules"}:
        return bool(by_table) and (not tax.wage_rules or (name == "small_below" and tax.credit_use == "cash"))
    return bool(by_table) and (name != "cash_share" or tax.credit_use == "cash")


def construction_begins(case: Case) -> int:
    """Calendar year in which construction begins; where nothing is stated the first build year."""
    return case.tax.construction_begins or case.timeline.first_year - case.timeline.build_years


def tax_terms(case: Case, net_kw: Floats) -> TaxTerms:
    """What the rules and the case's own words come to.

    net_kw : (scenario,)  capacity of the unit, which decides whether it is a small one  [kW]
    """
    tax, rules = case.tax, tax_rules(case.tax.in_force)
    loss_limit = rules.number("loss_limit", 1) if tax.loss_limit is None else tax.loss_limit
    return TaxTerms(
        tax_rate(case, rules),
        {name: _shares(case, rules, name) for name in TAX_CLASSES} if tax.in_force != "none" else {},
        tax.losses == "carried",
        wide(case, loss_limit),
        _credit(case, rules, net_kw),
        tax.loss_years,
        tax.holiday_years,
        _where_any(case, tax.intangible_share),
        _depletion(case, rules),
        _interest_limit(case, rules),
        None if tax.withholding is None else wide(case, tax.withholding),
    )


def tax_rate(case: Case, rules: Rules) -> Floats:
    """The combined rate, (scenario,): as stated, or that of the rules with a state's tax deducted in it."""
    if case.tax.rate is not None:
        return wide(case, case.tax.rate)
    federal = rules.number("rate")
    if case.tax.state_rate is None:
        return wide(case, federal)
    return wide(case, federal + case.tax.state_rate - federal * case.tax.state_rate)


def _where_any(case: Case, share: Floats) -> Floats | None:
    """A share over the scenarios, or nothing where it is zero in all of them."""
    return wide(case, share) if share.any() else None


def _shares(case: Case, rules: Rules, tax_class: str) -> Floats:
    tax = case.tax
    method = tax.depreciation or rules.values.get("method", "straight-line")
    convention = tax.convention or rules.values.get("convention", "full-year")
    stated = tax.depreciation_years if tax_class == "production" or not rules.values else None
    years = stated or int(rules.number(f"years.{tax_class}", case.timeline.operating_years))
    shares = METHODS[method](years, convention)
    bonus = _bonus(case, rules) if years <= rules.number("bonus_longest_years", np.inf) else 0.0
    return with_bonus(shares, bonus) if bonus else shares


def _bonus(case: Case, rules: Rules) -> float:
    """Share of the basis deducted in the first year: as stated, or by the rules for what is begun late enough."""
    if case.tax.bonus_depreciation is not None:
        return float(case.tax.bonus_depreciation[0])
    if not _begun_before_the_bonus(case, rules):
        return rules.number("bonus")
    return share_in(case.timeline.first_year, rules.shares("bonus_earlier"))


def _begun_before_the_bonus(case: Case, rules: Rules) -> bool:
    """Whether construction begins before the year from which on the rules deduct their share of a basis at once."""
    return construction_begins(case) < rules.number("bonus_begins")


def _depletion(case: Case, rules: Rules) -> Depletion | None:
    tax = case.tax
    if tax.depletion == "none":
        return None
    rate = rules.number("depletion_rate") if tax.depletion_rate is None else tax.depletion_rate
    limit = rules.number("depletion_limit", 1) if tax.depletion_limit is None else tax.depletion_limit
    return Depletion(wide(case, rate), wide(case, limit), wide(case, tax.property_share))


def _interest_limit(case: Case, rules: Rules) -> Floats | None:
    tax = case.tax
    if tax.interest_limit is not None:
        return wide(case, tax.interest_limit)
    return wide(case, rules.number("interest_limit", 1)) if tax.interest_limited else None


def is_small(case: Case, rules: Rules, net_kw: Floats) -> Bools:
    """Whether the unit is below the size from which the rules ask more, (scenario,)."""
    return wide(case, net_kw) < rules.number("small_below")


def cash_share(case: Case, rules: Rules, net_kw: Floats, begins: int) -> Floats:
    """Share of a credit that is paid out in cash for a unit whose construction begins in a year, (scenario,)  [1]."""
    whole = is_small(case, rules, net_kw) | case.tax.domestic_content | case.tax.content_exception
    return np.where(whole, 1.0, rules.share("cash_share", begins))


def _credit(case: Case, rules: Rules, net_kw: Floats) -> Credit | None:
    """The credit that the case takes; with "best" both, of which one is chosen once the price is known."""
    tax = case.tax
    if tax.credit == "none":
        return None
    rate, per_mwh = credit_of_rules(case, net_kw, construction_begins(case))
    cut = rules.number("credit_basis_cut") if tax.credit_basis_cut is None else tax.credit_basis_cut
    both = Credit(
        tax.credit_use,
        wide(case, rate if tax.credit_rate is None else tax.credit_rate),
        wide(case, cut),
        wide(case, per_mwh if tax.credit_amount is None else tax.credit_amount),
        wide(case, tax.credit_growth),
        tax.credit_years,
        wide(case, tax.credit_sale_price),
        tuple(rules.shares("recapture").values()),
    )
    return both if tax.credit == "best" else both.of_one_kind(wide(case, float(tax.credit == "investment")) > 0)


def credit_of_rules(case: Case, net_kw: Floats, begins: int) -> tuple[Floats, Floats]:
    """Rate of the investment credit and amount per MWh of the production credit by the table, (scenario,).

    begins : calendar year in which construction begins, with which both are phased out
    """
    tax, rules = case.tax, tax_rules(case.tax.in_force)
    full = is_small(case, rules, net_kw) | tax.wage_rules | (begins < rules.number("wage_rules_from"))
    size = np.where(full, 1.0, rules.number("credit_without_wage_rules"))
    left = rules.share("credit_share", begins) * (
        cash_share(case, rules, net_kw, begins) if tax.credit_use == "cash" else 1.0
    )
    left = left * (1 - np.minimum(rules.number("exempt_bonds_cut"), case.finance.debt_share) * tax.exempt_bonds)
    adders = int(tax.energy_community) + int(tax.domestic_content)
    rate = (rules.number("credit_rate") + adders * rules.number("credit_rate_adder")) * size * left
    years = case.timeline.first_year - int(rules.number("credit_amount_year", case.timeline.first_year))
    amount = rules.number("credit_amount") * (1 + tax.credit_growth) ** years
    return rate, amount * (1 + adders * rules.number("credit_amount_adder")) * size * left

"""From a case to tax terms: the dated table, what the case says before it, and what contradicts it."""

import numpy as np
import pytest

import geoecon
from geoecon.case import Case
from geoecon.errors import CaseError
from geoecon.finance.depreciation import macrs, with_bonus
from geoecon.finance.discounting import present_value
from geoecon.report.financing import tax_figures
from geoecon.report.words import money
from geoecon.taxing import tax_terms

LARGE = np.array([5000.0])
BASE = """
[project]
name = "Any"
owner = "{owner}"
[money]
currency = "USD"
price_year = 2026
[timeline]
first_year = 2029
build_years = 2
operating_years = 20
[plant]
kind = "stated"
net_capacity = "5 MW"
cost_per_kw = "5000 USD/kW"
[market]
price = "120 USD/MWh"
[finance]
discount_rate = "8 %/yr"
[tax]
{tax}
"""


def case(tax, owner="private"):
    return Case.read(BASE.format(tax=tax, owner=owner))


def us(*lines, owner="private"):
    return case("\n".join(('rules = "us-2026"', *lines)), owner)


def credit(*lines, kw=5000.0, owner="private"):
    """Rate of the investment credit [%] and amount of the production credit [USD/MWh]."""
    found = tax_terms(us(*lines, owner=owner), np.array([kw])).credit
    return found.rate[0] * 100, found.per_mwh[0]


def test_rate_with_a_state():
    """F + s - f s; finance.md 5.6, computed: 8.84 % gives .279836 and 5 % gives .2495."""
    assert tax_terms(us(), LARGE).rate[0] == 0.21
    assert tax_terms(us('state_rate = "8.84 %"'), LARGE).rate[0] == pytest.approx(0.279836, abs=5e-7)
    assert tax_terms(us('state_rate = "5 %"'), LARGE).rate[0] == pytest.approx(0.2495, abs=1e-12)
    assert tax_terms(us('rate = "26 %"'), LARGE).rate[0] == 0.26


def test_bonus_depreciation():
    whole = tax_terms(us(), LARGE).shares
    assert whole["production"].tolist() == pytest.approx([1, 0, 0, 0, 0, 0])
    assert whole["transmission"][0] == 1
    none = tax_terms(us('bonus_depreciation = "0 %"'), LARGE).shares
    assert none["production"].tolist() == macrs(5).tolist()
    assert tax_terms(us("construction_begins = 2024"), LARGE).shares["production"].tolist() == macrs(5).tolist()
    longer = tax_terms(us("depreciation_years = 25", 'depreciation = "straight-line"'), LARGE).shares
    assert longer["production"].max() == 0.04  # longer than 20 years: not eligible
    assert tax_terms(case('rate = "25 %"'), LARGE).shares["production"].tolist() == pytest.approx([0.05] * 20)
    stated = tax_terms(case('rate = "25 %"\nbonus_depreciation = "40 %"'), LARGE).shares["production"]
    assert stated.tolist() == pytest.approx([0.43] + [0.03] * 19)


@pytest.mark.parametrize(("year", "share"), [(2025, 0.4), (2026, 0.2), (2027, 0.0)])
def test_what_was_begun_before_the_bonus_keeps_the_share_of_its_year_of_service(year, share):
    """40 % in 2025 (seen), 20 % in 2026 (memory), none from 2027 on (seen)."""
    begun = us("construction_begins = 2024").with_values({"timeline.first_year": year})
    assert tax_terms(begun, LARGE).shares["production"] == pytest.approx(with_bonus(macrs(5), share))
    told = {a.path for a in geoecon.evaluate(begun).assumptions}
    assert "tax.rules: bonus_earlier.2025" in told
    assert "tax.rules: bonus_earlier.2025" not in {a.path for a in geoecon.evaluate(us()).assumptions}


def test_what_was_begun_before_the_wage_rules_need_not_meet_them():
    early = us(INVEST, "wage_rules = false", "construction_begins = 2022")
    assert tax_terms(early, LARGE).credit.rate[0] == pytest.approx(0.30)


@pytest.mark.parametrize(("debt", "rate"), [("0 %", 30), ("10 %", 27), ("15 %", 25.5), ("60 %", 25.5)])
def test_tax_exempt_bonds_take_their_part_of_the_credit_up_to_15_percent(debt, rate):
    """26 USC 45(b)(3), from memory: the lesser of 15 % and the part of the plant that such bonds pay."""
    asked = {"finance.debt_share": debt, "finance.debt_rate": "3.5 %/yr", "finance.debt_years": "20"}
    bonds = us(INVEST, "exempt_bonds = true", owner="public").with_texts(asked)
    assert tax_terms(bonds, LARGE).credit.rate[0] * 100 == pytest.approx(rate)
    told = {a.path: a.evidence for a in geoecon.evaluate(bonds).assumptions}
    assert told["tax.rules: exempt_bonds_cut"] == "recalled"
    assert tax_terms(us(INVEST, owner="public").with_texts(asked), LARGE).credit.rate[0] == 0.3


INVEST, PRODUCE = 'credit = "investment"', 'credit = "production"'


@pytest.mark.parametrize(
    ("lines", "kw", "rate"),
    [
        ((), 5000, 30),
        (("wage_rules = false",), 5000, 6),
        (("wage_rules = false",), 999, 30),
        (("energy_community = true",), 5000, 40),
        (("energy_community = true", "domestic_content = true"), 5000, 50),
        (("energy_community = true", "wage_rules = false"), 5000, 8),
        (("construction_begins = 2028",), 5000, 30),
        (('credit_rate = "17 %"', "wage_rules = false", "energy_community = true"), 5000, 17),
    ],
)
def test_investment_credit(lines, kw, rate):
    assert credit(INVEST, *lines, kw=kw) == pytest.approx((rate, 0))


@pytest.mark.parametrize(
    ("lines", "kw", "amount"),
    [
        ((), 5000, 30),
        (("wage_rules = false",), 5000, 6),
        (("wage_rules = false",), 999, 30),
        (("energy_community = true",), 5000, 33),
        (("energy_community = true", "domestic_content = true"), 5000, 36),
        (('credit_growth = "2 %/yr"',), 5000, 30 * 1.02**3),
        (('credit_amount = "11 USD/MWh"', "energy_community = true"), 5000, 11),
    ],
)
def test_production_credit(lines, kw, amount):
    assert credit(PRODUCE, *lines, kw=kw) == pytest.approx((0, amount))


@pytest.mark.parametrize(("begins", "rate"), [(2033, 30), (2034, 22.5), (2035, 15), (2036, 0)])
def test_a_late_start_of_construction_earns_less(begins, rate):
    late = us(INVEST).with_values({"timeline.first_year": begins + 2, "tax.construction_begins": begins})
    assert tax_terms(late, LARGE).credit.rate[0] * 100 == pytest.approx(rate)
    unstated = us(INVEST).with_values({"timeline.first_year": begins + 2})  # two build years
    assert tax_terms(unstated, LARGE).credit.rate[0] * 100 == pytest.approx(rate)


@pytest.mark.parametrize(
    ("lines", "kw", "rate"),
    [
        ((), 5000, 0),
        ((), 800, 30),
        (("domestic_content = true",), 5000, 40),
        (("content_exception = true",), 5000, 30),
        (("construction_begins = 2025",), 5000, 25.5),
        (("construction_begins = 2024",), 5000, 27),
    ],
)
def test_a_credit_in_cash_depends_on_domestic_content(lines, kw, rate):
    assert credit(INVEST, 'credit_use = "cash"', *lines, kw=kw, owner="public")[0] == pytest.approx(rate)


def test_only_some_owners_are_paid_in_cash():
    with pytest.raises(CaseError, match="only to owners of kind public or cooperative, not to 'private'"):
        geoecon.evaluate(us(INVEST, 'credit_use = "cash"'), unsolved="raise")
    for owner in ("public", "cooperative"):
        found = geoecon.evaluate(us(INVEST, 'credit_use = "cash"', "domestic_content = true", owner=owner))
        assert found.annual["credit"].sum() == pytest.approx(0.4 * 25e6)


def test_a_plant_that_serves_before_the_law_of_the_table_is_refused():
    """Facilities placed in service after 2024 (26 USC 45Y and 48E, seen)."""
    early = BASE.replace("first_year = 2029", "first_year = {year}").replace("price_year = 2026", "price_year = 2022")
    for year, refused in ((2024, True), (2025, False)):
        found = Case.read(early.format(year=year, tax='rules = "us-2026"', owner="private"))
        if refused:
            with pytest.raises(CaseError, match=r'in service from 2025 on, .* is 2024; state the rules .* "plain"'):
                geoecon.evaluate(found, unsolved="raise")
        assert np.isfinite(geoecon.evaluate(found).value("npv")) == (not refused)


@pytest.mark.parametrize(
    ("tax", "words"),
    [
        ('rules = "us-2026"\nrate = "25 %"\nstate_rate = "5 %"', "state_rate: stands beside tax.rate"),
        ('rate = "25 %"\nrules = "plain"\ncredit = "best"', "credit_amount: is missing"),
        ('rules = "us-2026"\ndepletion = "percentage"', "property_share: is missing"),
        ('rate = "25 %"\ndepletion = "percentage"\nproperty_share = "30 %"', "depletion_rate: is missing"),
        ('rate = "25 %"\nproperty_share = "30 %"', "property_share: is not used"),
        ('rate = "25 %"\ninterest_limited = true', "interest_limit: is missing"),
        ("holiday_years = 3", 'holiday_years: is not used while tax.rules is "none"'),
        ('state_rate = "5 %"', 'state_rate: is not used while tax.rules is "none"'),
        ('depletion = "percentage"\nproperty_share = "30 %"', "depletion: is not used"),
    ],
)
def test_faults(tax, words):
    with pytest.raises(CaseError) as caught:
        case(tax)
    assert f"tax.{words}" in str(caught.value)


def test_the_better_credit_is_named_and_is_the_better():
    found = {
        kind: geoecon.evaluate(us(f'credit = "{kind}"', 'credit_use = "sold"'))
        for kind in ("investment", "production", "best")
    }
    npv = {kind: result.value("npv") for kind, result in found.items()}
    assert npv["best"] == max(npv["investment"], npv["production"])
    better = max(("investment", "production"), key=npv.get)
    ahead = abs(npv["investment"] - npv["production"])
    words = f"the {better} credit is the better one: it is worth {ahead:,.0f} USD more"
    assert any(words in note for note in found["best"].warnings)
    line = next(line for line in tax_figures(found["best"]).lines if line.label == "The better credit")
    assert line.value == f"{better} credit"
    for kind in ("investment", "production"):
        annual = found[kind].annual["tax_unlevered"]
        worth = float(present_value(annual, np.array([0.08]), found[kind].times)[0])
        assert f"{money(worth, 'USD')} with the {kind} credit" in line.basis
    many = us('credit = "best"', 'credit_use = "sold"').with_values({"plant.cost_per_kw": np.linspace(1000, 9000, 9)})
    told = geoecon.evaluate(many)
    assert any("credit is the better one in" in note for note in told.warnings)
    for kind in ("investment", "production"):
        assert (
            told.metrics["npv"].values >= geoecon.evaluate(many.with_values({"tax.credit": kind})).metrics["npv"].values
        ).all()


def test_the_better_credit_without_a_price():
    text = BASE.format(tax='rules = "us-2026"\ncredit = "best"\ncredit_use = "sold"', owner="private")
    bare = Case.read(text.replace('price = "120 USD/MWh"', ""))
    assert np.isfinite(geoecon.evaluate(bare).value("required_price"))


def test_the_law_is_told_with_its_date_and_only_where_it_has_a_part():
    result = geoecon.evaluate(us(INVEST))
    assert any("us-2026 as read on 2026-11-25; not tax advice" in note for note in result.warnings)
    told = {a.path: a for a in result.assumptions}
    assert "as of 2026-11-25" in told["tax.rules: credit_rate"].source
    assert "tax.rules: credit_share.2034" in told
    assert not {"tax.rules: depletion_rate", "tax.rules: cash_share.2024"} & set(told)
    plain = geoecon.evaluate(case('rate = "25 %"'))
    assert not any("not tax advice" in note for note in plain.warnings)


def test_a_credit_is_paid_back_when_the_plant_is_sold_soon():
    """Of 30 % on 25 MUSD all in the first year of service, a fifth less each year after (recalled); no other credit is."""
    sold = geoecon.evaluate(us(INVEST)).annual["recapture"][:, 0] / 7.5e6
    assert sold[:2].tolist() == [0, 0]
    assert sold[2:].tolist() == pytest.approx([1, 0.8, 0.6, 0.4, 0.2, *[0] * 15])
    assert not geoecon.evaluate(us('credit = "production"')).annual["recapture"].any()
    assert not geoecon.evaluate(us()).annual["recapture"].any()


def test_a_plain_country():
    """By hand: 25 % over 20 years straight; three years free; 10 % withheld of what the owner is paid."""
    result = geoecon.evaluate(case('rate = "25 %"\nholiday_years = 3\nwithholding = "10 %"'))
    energy = 5 * 8760
    profit = energy * 120 - 25e6 / 20
    tax = result.annual["tax"][:, 0]
    assert tax[:5].tolist() == [0, 0, 0, 0, 0]
    assert tax[5:] == pytest.approx(0.25 * profit)
    cash = energy * 120 - tax[2:]
    assert result.annual["withheld"][2:, 0] == pytest.approx(0.1 * cash)
    assert result.annual["cash_flow_equity"][2:, 0] == pytest.approx(0.9 * cash)
    assert result.annual["cash_flow_project"][2:, 0] == pytest.approx(cash)

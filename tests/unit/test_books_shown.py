"""The books, debt and tax as they are shown: tables foot as a reader adds them up, and agree with other arithmetic."""

import re

import numpy as np
import numpy_financial as npf
import pytest
from hypothesis import given
from hypothesis import strategies as st

import geoecon
from geoecon.case import Case, load_case
from geoecon.engine import evaluate
from geoecon.errors import CaseError
from geoecon.report.books import balance_sheet, ledgers, sources_and_uses, statement, waterfall, years_asked
from geoecon.report.charts.cover import cover_lines
from geoecon.report.financing import NO_DEBT, NO_TAX, average_life, debt_figures, losses_waiting, tax_figures
from geoecon.report.ruled import SUM, footing, in_blocks

CASES = tuple(geoecon.shipped_cases())


def result_of(name, **told):
    return evaluate(load_case(geoecon.shipped_case(name), told))


def row(ledger, label):
    found = [entry.amounts for entry in ledger.entries if entry.label == label and entry.amounts is not None]
    assert len(found) == 1, label
    return found[0]


@given(st.lists(st.floats(-1e9, 1e9), max_size=20), st.integers(0, 2))
def test_rounded_amounts_add_up_and_stay_near(amounts, places):
    rounded = footing(amounts, places)
    step = 10**-places
    assert sum(rounded) == pytest.approx(round(sum(amounts) / step) * step, abs=1e-5)
    assert all(abs(a - b) <= step * (1 + 1e-6) for a, b in zip(amounts, rounded, strict=True))


@pytest.mark.parametrize("name", CASES)
def test_sources_and_uses_foot_as_they_are_printed(name):
    totals = []
    for table in sources_and_uses(result_of(name)):
        figures = [[float(cell.strip(" %").replace(",", "")) for cell in cells[1:]] for _, cells in table.rows]
        *lines, total = np.array(figures)
        assert table.rows[-1][0] == SUM
        assert np.sum(lines, axis=0) == pytest.approx(total, abs=1e-9)
        assert total[1] == 100
        totals.append(total[0])
    assert totals[0] == totals[1]


@pytest.mark.parametrize("name", CASES)
def test_ledgers_agree_with_the_yearly_columns(name):
    result = result_of(name)
    a, first = {key: values[:, 0] for key, values in result.annual.items()}, result.build_years
    told = statement(result)
    assert row(told, "Total revenue") == pytest.approx(a["revenue"])
    assert row(told, "Total operating") == pytest.approx(-a["operating_cost"])
    assert row(told, "Sum of all sections") == pytest.approx(a["cash_flow_equity"], abs=1e-3)
    assert row(told, "Paid out less paid in") == pytest.approx(a["cash_flow_equity"])
    paid = row(waterfall(result), "Paid to the owner, or in where negative")
    assert paid == pytest.approx(a["cash_flow_equity"][first:], abs=1e-3)
    sheet = balance_sheet(result)
    assert row(sheet, "Total debt") == pytest.approx(a["debt_balance"], abs=1e-3)
    assert not row(told, "Difference").any()
    assert not row(sheet, "Difference").any()
    shown = sheet.shown()
    assert shown.rows[-1][1] == ("Difference", *["0"] * len(a["year"]))


def test_average_life_of_a_level_loan():
    """Outside check: the principal of each payment by numpy-financial's `ppmt`, weighted by its year."""
    result = result_of("dunmarrow")
    years, rate = result.case.finance.debt_years, float(result.loan_rate[0])
    repaid = -npf.ppmt(rate, np.arange(1, years + 1), years, 1.0)
    assert average_life(result) == pytest.approx(repaid @ np.arange(1, years + 1), rel=1e-12)


@pytest.mark.parametrize("name", ["ambry-wells", "sorrel-basin", "dunmarrow"])
def test_losses_that_wait_as_a_plain_loop_counts_them(name):
    result = result_of(name)
    a, limit = {key: values[:, 0] for key, values in result.annual.items()}, result.books.financing.terms.tax.loss_limit
    waiting, running = 0.0, a["year"] > 0
    profit = a["revenue"] - a["operating_cost"] - a["decommissioning"] - a["depreciation"] - a["drilling_expensed"]
    profit = profit - np.where(running, a["interest"] + a["fees"], 0.0)
    for found, earned in zip(losses_waiting(result), profit, strict=True):
        waiting += -earned if earned < 0 else -min(waiting, float(limit[0]) * earned)
        assert found == pytest.approx(waiting, rel=1e-9, abs=1.0)


def test_without_debt_and_tax_a_sentence_says_so():
    result = result_of("tessel-ridge")
    assert [line.basis for line in debt_figures(result).lines] == [NO_DEBT]
    assert [line.basis for line in tax_figures(result).lines] == [NO_TAX]
    assert cover_lines(result).picture is None


def test_figures_of_debt_and_tax_are_those_of_the_pass():
    result = result_of("ambry-wells", **{"finance.lockup_dscr": "1.6"})
    debt = {line.label: (line.value, line.basis) for line in debt_figures(result).lines}
    cover = result.annual["dscr"][:, 0]
    year = int(result.annual["year"][np.nanargmin(cover), 0])
    assert debt["Least cover"] == (f"{np.nanmin(cover):.2f} times", f"in year {year}; lenders ask 1.30")
    assert debt["Lock-up"][0] == f"in {int((cover < 1.6).sum())} years"
    spare = 1 - 1 / np.nanmin(cover)
    assert debt["Cash to spare"][0] == f"{spare * 100:.1f} %"
    tax = {line.label: (line.value, line.basis) for line in tax_figures(result).lines}
    assert tax["Rules"][0] == "us-2026"
    assert tax["Rules"][1].endswith("not tax advice")
    assert "sold to another taxpayer" in tax["Investment credit"][1]
    drawn = cover_lines(result)
    shown = drawn.data[drawn.data["cover"] == "debt service"]["times"].to_numpy()
    assert shown == pytest.approx(cover[np.isfinite(cover)])
    assert f"{np.nanmin(cover):.2f} times in the least year, year {year}" in drawn.sentence
    assert "nothing is paid out" in drawn.sentence


def test_a_case_without_a_price_shows_what_is_known():
    text = geoecon.shipped_case("tessel-ridge").read_text(encoding="utf-8")
    text = re.sub(r"^(price|price_growth|term_years|price_after_term) = .*$", "", text, flags=re.MULTILINE)
    result = evaluate(Case.read(text))
    told = statement(result).shown()
    assert "none" in {cells[0]: cells[2:] for _, cells in told.rows}["Total revenue"]
    assert any("no price" in note for note in told.notes)
    for ledger in ledgers(result).values():
        assert "nan" not in str(ledger.shown())


@pytest.mark.parametrize(
    ("text", "years"),
    [("all", list(range(11))), ("0-2", [0, 1, 2]), ("3, 1", [1, 3]), (None, [0, 1, 2, 5, 10]), (" 7 ", [7])],
)
def test_years_by_words(text, years):
    assert years_asked(text, result_of("dunmarrow")) == years


@pytest.mark.parametrize("text", ["", "x", "3-1", "0-11", "1,,2", "1-2-3", "99999"])
def test_years_that_are_none_are_refused(text):
    with pytest.raises(CaseError, match="--years"):
        years_asked(text, result_of("dunmarrow"))


def test_blocks_of_a_wide_table_hold_every_column_once():
    whole = statement(result_of("ambry-wells")).shown()
    blocks = list(in_blocks(whole, 6))
    assert [head for block in blocks for head in block.heads[1:]] == list(whole.heads[1:])
    assert all(block.heads[0] == whole.heads[0] and len(block.heads) <= 7 for block in blocks)


@pytest.mark.parametrize("name", CASES)
def test_revenue_that_a_utility_must_collect_is_one_of_its_books(name):
    result = result_of(name)
    shown = ledgers(result)
    if result.case.project.owner != "utility":
        assert "revenue-required" not in shown
        return
    required = row(shown["revenue-required"], "Revenue required")
    rate, first = float(result.asked["requirement_rate"][0]), result.build_years
    worth = (1 + rate) ** -result.times[first:, 0]
    level = (required * worth).sum() / (result.annual["delivered_energy"][first:, 0] * worth).sum()
    assert level == pytest.approx(result.value("revenue_requirement_levelized"), rel=1e-9)
    assert shown["revenue-required"].years[0] == 1


def test_depletion_is_a_column_of_its_own():
    """Half of a year's income at most, with the share of gross income that the rules give: here no year reaches the half."""
    plain, result = (
        result_of("ambry-wells"),
        result_of("ambry-wells", **{"tax.depletion": "percentage", "tax.property_share": "40 %"}),
    )
    assert not plain.annual["depletion"].any()
    taken = result.annual["depletion"][:, 0]
    sales = (result.annual["price"] * result.books.financing.kept_energy)[:, 0]
    assert taken.max() == pytest.approx(0.15 * 0.40 * sales[taken.argmax()])
    assert (taken <= 0.15 * 0.40 * sales + 1e-6).all()
    line = next(line for line in tax_figures(result).lines if line.label == "Depletion")
    assert "over the life" in line.basis

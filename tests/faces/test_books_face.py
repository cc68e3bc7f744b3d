"""`geoecon books`, the pages of books and of debt and tax, and the page of inputs, as a person meets them."""

import csv
import json
from functools import partial

import pytest
from streamlit.testing.v1 import AppTest

import geoecon
from geoecon.audit import checks, verdict
from geoecon.case import load_case
from geoecon.case.schema import TABLES
from geoecon.engine import evaluate
from geoecon.report.books import ledgers, sources_and_uses
from geoecon.report.financing import debt_figures, tax_figures
from geoecon.report.words import plain_text
from tests.faces.command import run_command

pytestmark = pytest.mark.filterwarnings("ignore:Implicitly cleaning up:ResourceWarning")
call = partial(run_command, "books", columns=118)


def page(name, which):
    at = AppTest.from_file(str(geoecon.shipped_app()), default_timeout=60)
    at.query_params["case"] = name
    at.run()
    if which != "inputs":  # the first page
        at.switch_page(f"geoecon/ui/pages/{which}.py").run()
    assert [error.message for error in at.exception] == []
    return at


def result_of(name, **told):
    return evaluate(load_case(geoecon.shipped_case(name), told))


def test_the_terminal_says_what_the_books_say():
    done = call("dunmarrow", "--years", "all")
    assert (done.returncode, done.stderr) == (0, "")
    result = result_of("dunmarrow")
    for line in (*debt_figures(result).lines, *tax_figures(result).lines):
        assert line.value in done.stdout
    for table in (*sources_and_uses(result), *(ledger.shown() for ledger in ledgers(result).values())):
        for _, cells in table.rows:
            assert cells[0] in done.stdout
            for cell in cells[1:]:
                assert cell in done.stdout
    assert f"Checks: {verdict(checks(result))}." in done.stdout
    assert "not tax, legal or investment advice" in done.stdout


def test_json_has_the_books_of_a_run():
    shown, result = json.loads(call("ambry-wells", "--json").stdout), result_of("ambry-wells")
    books = result.books.as_json()
    assert {key: shown[key] for key in books} == books
    assert shown["year"] == [int(year) for year in result.annual["year"][:, 0]]
    assert (shown["unit"], shown["basis"]) == ("USD", "nominal")
    assert all(check["holds"] for check in shown["checks"])


def test_files_hold_every_year_exactly(tmp_path):
    done = call("ambry-wells", "--out", "books", folder=tmp_path)
    assert done.returncode == 0
    names = {file.name for file in (tmp_path / "books").iterdir()}
    assert names == {
        "sources-and-uses.csv", "statement.csv", "waterfall.csv", "balance-sheet.csv", "debt-and-tax.csv", "checks.csv",
    }  # fmt: skip
    rows = list(csv.DictReader((tmp_path / "books" / "statement.csv").read_text(encoding="utf-8").splitlines()))
    result = result_of("ambry-wells")
    revenue = result.annual["revenue"][:, 0]
    assert [float(row["Revenue: Total revenue [USD]"]) for row in rows] == pytest.approx(list(revenue), rel=1e-12)


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["dunmarrow", "--years", "3-99"], "is not a year or years from 0 to 10"),
        (["dunmarrow", "--out", " "], "--out names no folder"),
        (["nowhere"], "neither a file nor an example"),
    ],
)
def test_what_cannot_be_is_said(tmp_path, arguments, words):
    done = call(*arguments, folder=tmp_path)
    assert done.returncode == 2
    assert words in done.stderr
    assert "Traceback" not in done.stderr
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("name", geoecon.shipped_cases())
def test_the_page_of_books_shows_them(name):
    shown = "\n".join(element.proto.body for element in page(name, "books").get("html"))
    result = result_of(name)
    for table in (*sources_and_uses(result), *(ledger.shown() for ledger in ledgers(result).values())):
        for _, cells in table.rows:
            for cell in cells[1:]:
                assert f">{cell}<" in shown


@pytest.mark.parametrize("name", geoecon.shipped_cases())
def test_the_page_of_debt_and_tax_shows_them(name):
    words = "\n".join(element.value for element in page(name, "financing").markdown)
    result = result_of(name)
    for line in (*debt_figures(result).lines, *tax_figures(result).lines):
        assert plain_text(line.value) in words
        assert plain_text(line.basis) in words


def test_no_field_of_the_schema_is_missing_on_the_page_of_inputs():
    at = page("ambry-wells", "inputs")
    known = {f"{table}.{leaf}" for table, model in TABLES.items() for leaf in model.model_fields}
    assert set(fields(at)) <= known
    found = set(fields(at))
    for table in TABLES:
        at.selectbox(key="table").set_value(table).run()
        assert [error.message for error in at.exception] == []
        found |= set(fields(at))
    assert found == known
    assert set(at.selectbox(key="other").options) == {
        option for option in at.selectbox(key="other").options if option.partition(":")[0] in known
    }


def fields(at):
    boxes = (*at.text_input, *at.selectbox)
    return [box.key.removeprefix("field:") for box in boxes if box.key and box.key.startswith("field:")]


@pytest.mark.parametrize(
    ("path", "text", "metric"),
    [
        ("finance.lockup_dscr", "1.5", "npv_equity"),
        ("market.price_floor", "160 USD/MWh", "npv"),
        ("timeline.spending", "[0.2, 0.8]", "npv"),
        ("capital.contingency", '{ all = "30 %" }', "capital_cost"),
        ("site.air_temperature", "[5, 5, 5, 9, 14, 19, 24, 23, 17, 10, 5, 5]", None),
    ],
)
def test_fields_of_every_form_can_be_typed(path, text, metric):
    at = page("ambry-wells", "inputs")
    at.selectbox(key="table").set_value(path.partition(".")[0]).run()
    at.text_input(key=f"field:{path}").set_value(text).run()
    assert [error.message for error in at.exception] == []
    refused = [error.value for error in at.error]
    if metric is None:
        assert len(refused) == 1  # bare numbers where a unit belongs
        return
    assert refused == []
    assert at.session_state.edits == {path: text}
    assert result_of("ambry-wells", **{path: text}).value(metric) != result_of("ambry-wells").value(metric)

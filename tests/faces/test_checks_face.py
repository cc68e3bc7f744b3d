"""One light for all checks: where a figure is spoilt, red on every page, FAIL on a terminal. Where they hold see `framed`."""

import json
from dataclasses import replace

import pytest
import streamlit as st
from click.testing import CliRunner
from streamlit.testing.v1 import AppTest

import geoecon
import geoecon.engine
from geoecon.audit import checks, verdict
from geoecon.case import load_case
from geoecon.cli import app
from geoecon.ui import passes
from geoecon.ui.light import ALARM
from tests.faces.framed import bars, links

pytestmark = pytest.mark.filterwarnings("ignore:Implicitly cleaning up:ResourceWarning")
EVALUATE = geoecon.engine.evaluate
HOLD = verdict(checks(EVALUATE(load_case(geoecon.shipped_case("tessel-ridge")))))


def spoilt(*arguments, **options):
    """A pass whose revenue is a thousand too much in every year, as a defect would make it."""
    result = EVALUATE(*arguments, **options)
    return replace(result, annual={**result.annual, "revenue": result.annual["revenue"] + 1000.0})


@pytest.fixture
def spoilt_pages(monkeypatch):
    st.cache_resource.clear()
    monkeypatch.setattr(passes, "evaluate", spoilt)
    yield
    st.cache_resource.clear()


def visit(page, name="ambry-wells", **address):
    at = AppTest.from_file(str(geoecon.shipped_app()), default_timeout=60)
    at.query_params["case"] = name
    for key, value in address.items():
        at.query_params[key] = value
    at.run()
    if page != "inputs":  # the first page
        at.switch_page(f"geoecon/ui/pages/{page}.py").run()
    assert [error.message for error in at.exception] == []
    return at


@pytest.mark.parametrize("page", ["inputs", "answer", "years", "books", "financing", "homes", "checks"])
def test_a_red_bar_with_words_and_a_sign_where_one_fails(spoilt_pages, page):
    (bar,) = bars(visit(page))
    assert "checks FAIL, the figures cannot all be right: " in bar
    assert "&#x27;s cash flow is the sum of its lines" in bar
    assert "&#10006;" in bar
    assert 'role="alert"' in bar
    assert "\u2716" in links(visit(page))[-1]


def test_a_case_without_a_result_has_no_light():
    at = visit("answer", "sorrel-basin", set=["resource.temperature=20 degC"])
    assert bars(at) == []
    assert not [label for label in links(at) if "checks of" in label]


def test_the_list_names_every_check():
    shown = "\n".join(element.proto.body for element in visit("checks").get("html"))
    for check in checks(EVALUATE(load_case(geoecon.shipped_case("ambry-wells")))):
        assert check.name.replace("'", "&#x27;") in shown


SAYS = [
    ["run", "ambry-wells"],
    ["books", "ambry-wells"],
    ["check", "--deep", "ambry-wells"],
    ["sweep", "ambry-wells", "market.price", "--steps", "3"],
    ["tornado", "ambry-wells"],
    ["stress", "ambry-wells"],
    ["delay", "ambry-wells"],
    ["stack", "ambry-wells"],
    ["plant", "ambry-wells"],
    ["risk", "ambry-wells", "--draws", "50"],
    ["gates", "ambry-wells", "--draws", "100"],
    ["indices", "ambry-wells", "--draws", "64"],
]


@pytest.mark.parametrize("arguments", SAYS, ids=lambda arguments: arguments[0])
def test_a_terminal_says_that_they_hold(arguments):
    done = CliRunner().invoke(app, arguments)
    assert (done.exit_code, done.exception) == (0, None)
    assert HOLD in done.output


@pytest.mark.parametrize("arguments", SAYS[:4], ids=lambda arguments: arguments[0])
def test_a_terminal_says_that_one_fails(monkeypatch, arguments):
    monkeypatch.setattr(geoecon.engine, "evaluate", spoilt)
    done = CliRunner().invoke(app, arguments)
    assert "checks FAIL, the figures cannot all be right: " in " ".join(done.output.split())
    assert done.exit_code == (0 if arguments[0] == "sweep" else 1)  # a study keeps its work


@pytest.mark.parametrize("arguments", SAYS[3:], ids=lambda arguments: arguments[0])
def test_json_of_a_study_has_the_checks_of_its_case(arguments):
    shown = json.loads(CliRunner().invoke(app, [*arguments, "--json"]).stdout)
    assert f"all {len(shown['checks'])} checks" in HOLD
    assert all(check["holds"] for check in shown["checks"])


def test_files_say_that_one_fails(monkeypatch, tmp_path):
    monkeypatch.setattr(geoecon.engine, "evaluate", spoilt)
    CliRunner().invoke(app, ["run", "ambry-wells", "--out", str(tmp_path)])
    shown = json.loads((tmp_path / "result.json").read_text(encoding="utf-8"))
    assert not all(check["holds"] for check in shown["checks"])


def test_a_chart_and_a_table_alone_carry_that_one_fails(monkeypatch, tmp_path):
    """They say nothing where all hold: then a table is its columns and a picture its figure."""
    picture, table = tmp_path / "price.svg", tmp_path / "price.csv"
    asked = ["sweep", "ambry-wells", "market.price", "--steps", "3", "--chart", str(picture), "--out", str(table)]
    CliRunner().invoke(app, asked)
    assert "FAIL" not in picture.read_text(encoding="utf-8") + table.read_text(encoding="utf-8")
    assert table.read_text(encoding="utf-8").startswith("market.price [USD/MWh],")
    monkeypatch.setattr(geoecon.engine, "evaluate", spoilt)
    CliRunner().invoke(app, asked)
    head, *rows = table.read_text(encoding="utf-8").splitlines()
    assert head.startswith("CHECKS FAIL,market.price [USD/MWh],")
    assert len(rows) == 3
    assert all("checks FAIL, the figures cannot all be right" in row for row in rows)
    drawn = picture.read_text(encoding="utf-8")
    assert "checks FAIL, the figures cannot all be right" in drawn
    assert ALARM in drawn

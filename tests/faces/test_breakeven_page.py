"""The page of break-even values without a browser: targets, lists, pairs, lines of equal value, refusals."""

import pytest
from streamlit.testing.v1 import AppTest

import geoecon
from geoecon.case import load_case
from geoecon.report.breakeven import headline, rows
from geoecon.report.frontiers import curve_sentence, frontier_sentence
from geoecon.report.words import plain_text
from geoecon.studies.breakeven import breakeven, usual_target
from geoecon.studies.frontiers import FLOW, TEMPERATURE, frontier, success_curve
from geoecon.studies.targets import target
from tests.faces.framed import framed
from tests.faces.shown_tables import tables

APP = str(geoecon.shipped_app())
CASES = tuple(geoecon.shipped_cases())
pytestmark = pytest.mark.filterwarnings("ignore:Implicitly cleaning up:ResourceWarning")


def visit(**address):
    at = AppTest.from_file(APP, default_timeout=90)
    for key, value in address.items():
        at.query_params[key] = value
    return sound(sound(at.run()).switch_page("geoecon/ui/pages/breakeven.py").run())


def sound(at):
    assert [error.message for error in at.exception] == []
    return at


def said(at):
    return "\n".join(element.value for element in at.markdown)


def case_of(name, **told):
    return load_case(geoecon.shipped_case(name), told)


def show(at, view):
    return sound(at.radio(key="breakeven:view").set_value(view).run())


@pytest.mark.parametrize("name", CASES)
def test_the_page_asks_what_the_owner_asks(name):
    at, case = visit(case=name), case_of(name)
    found = breakeven(case, usual_target(case))
    assert f"#### {plain_text(headline(found))}" in said(at)
    shown = [tuple(row) for table in tables(at) for row in table.itertuples(index=False)]
    assert [row[0] for row in shown] == [row.path for row in rows(found)]
    assert {row[2] for row in shown} == {row.needed for row in rows(found)}
    framed(at, "breakeven", name)


def test_another_target_and_another_input():
    at = visit(case="dunmarrow")
    metric = next(box for box in at.selectbox if box.key.startswith("breakeven:metric"))
    sound(metric.set_value("lcoe_real").run())
    value = next(box for box in at.text_input if box.key.startswith("breakeven:value"))
    sound(value.set_value("90 USD/MWh").run())
    sound(at.multiselect(key="breakeven:also").set_value(["money.inflation"]).run())
    sound(at.toggle(key="breakeven:hold").set_value(True).run())
    case = case_of("dunmarrow")
    found = breakeven(case, target("lcoe_real <= 90 USD/MWh", "USD"), ["money.inflation"], hold=True)
    assert plain_text(headline(found)) in said(at)
    assert "money.inflation" in [path for table in tables(at) for path in table["input"]]


@pytest.mark.parametrize(
    ("text", "words"), [("90", "has no unit"), ("", "is no target"), ("9 bananas", "is not a unit")]
)
def test_a_value_that_cannot_be_read_gets_a_message(text, words):
    at = visit(case="tessel-ridge")
    value = next(box for box in at.text_input if box.key.startswith("breakeven:value"))
    sound(value.set_value(text).run())
    assert at.error.len == 1
    assert words in at.error[0].value.replace("\\", "")
    assert tables(at) == []


def test_pairs():
    at = show(visit(case="pell-crossing"), "Two inputs together")
    case = case_of("pell-crossing")
    found = frontier(case, usual_target(case), TEMPERATURE, "market.price")
    assert plain_text(frontier_sentence(found)) in said(at)
    first, second = (box for box in at.selectbox if box.key.startswith("breakeven:pairs"))
    sound(second.set_value(first.value).run())
    assert "two different inputs" in at.error[0].value


def test_lines_with_wells_in_the_units_of_the_page():
    at = show(visit(case="pell-crossing", units="US"), "Success curve")
    sound(at.text_area(key="breakeven:wells").set_value("*PC*: 128 degC, 62 kg/s\n\n").run())
    case = case_of("pell-crossing")
    found = success_curve(case, usual_target(case), TEMPERATURE, FLOW, ["*PC*: 128 degC, 62 kg/s"])
    assert plain_text(curve_sentence(found, "US")) in said(at)
    assert plain_text("*PC*: 262.4 degF") in said(at)
    sound(at.text_area(key="breakeven:wells").set_value("nonsense").run())
    assert "is no well" in at.error[0].value.replace("\\", "")


@pytest.mark.parametrize("name", CASES)
def test_every_view_of_every_case(name):
    at = visit(case=name)
    for view in ("Two inputs together", "Success curve"):
        show(at, view)
        assert at.error.len == 0
        assert plain_text("The diamond is the case.") in said(at)

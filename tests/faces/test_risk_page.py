"""The page on how sure the answer is, without a browser."""

import pytest
from streamlit.testing.v1 import AppTest

import geoecon
from geoecon.report.risk import how_made, verdict
from geoecon.report.words import plain_text
from geoecon.studies.risk import risk
from tests.faces.shown_tables import tables

pytestmark = pytest.mark.filterwarnings("ignore:Implicitly cleaning up:ResourceWarning")


def visit(**address):
    at = AppTest.from_file(str(geoecon.shipped_app()), default_timeout=60)
    for key, value in address.items():
        at.query_params[key] = value
    return sound(sound(at.run()).switch_page("geoecon/ui/pages/risk.py").run())


def sound(at):
    assert [error.message for error in at.exception] == []
    return at


def said(at):
    return "\n".join(element.value for element in (*at.markdown, *at.subheader, *at.caption))


def study(name, draws=2000, **more):
    return risk(geoecon.load_case(geoecon.shipped_case(name)), draws, **more)


@pytest.mark.parametrize("name", ["ambry-wells", "pell-crossing", "tessel-ridge"])
def test_the_page_shows_the_study(name):
    at, found = visit(case=name), study(name)
    assert f"#### {plain_text(verdict(found))}" in said(at)
    assert plain_text(how_made(found)) in said(at)
    titles = [header.value for header in at.subheader]
    assert {"What may go wrong", "With which chance", "What is unsure"} <= set(titles)
    assert ("Why single wells do not add up" in titles) == bool(found.rolled)
    assert ("Cover of debt service" in titles) == ("dscr" in found.fans)
    assert [*at.error, *at.warning] == []


def test_draws_seed_and_figure_are_taken():
    at = visit(case="dunmarrow")
    at.selectbox(key="risk:draws").set_value(1000)
    at.number_input(key="risk:seed").set_value(9)
    sound(at.selectbox(key="risk:metric").set_value("lcoe_real").run())
    found = study("dunmarrow", 1000, seed=9)
    assert plain_text(how_made(found)) in said(at)
    assert "What the worst tenth by lcoe\\_real have in common" in said(at)
    sound(at.toggle(key="risk:resize").set_value(True).run())
    assert "every draw sized for itself" in said(at)


def test_units_of_the_inputs_follow_the_choice():
    at = visit(case="sorrel-basin", units="US")
    unsure = tables(at)[-1]
    unsure = unsure.set_index(unsure.columns[0])
    assert unsure.loc["resource.temperature", "as it is"] == "316.4 degF"
    assert unsure.loc["wells.flow_per_producer", "as it is"].endswith("gpm")

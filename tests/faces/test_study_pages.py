"""The pages of studies as a visitor meets them: a second input on the sweep page, and what moves the answer most."""

import re

import numpy as np
import pytest
from streamlit.testing.v1 import AppTest

import geoecon
from geoecon.case import load_case
from geoecon.report.tornado import origins, tornado_sentence
from geoecon.report.words import plain_text
from geoecon.studies.tornado import tornado
from tests.faces.framed import framed

APP = str(geoecon.shipped_app())
CASES = tuple(geoecon.shipped_cases())
# AppTest makes a folder for its runs and leaves it to the collector of garbage, which says so.
pytestmark = pytest.mark.filterwarnings("ignore:Implicitly cleaning up:ResourceWarning")


def sound(at):
    assert [error.message for error in at.exception] == []
    return at


def visit(page, **address):
    at = AppTest.from_file(APP, default_timeout=60)
    for key, value in address.items():
        at.query_params[key] = value
    sound(at.run())
    return sound(at.switch_page(f"geoecon/ui/pages/{page}.py").run())


def said(at):
    """All words of a page's body as they are read: escapes undone."""
    return re.sub(r"\\(.)", r"\1", "\n".join(element.value for element in at.markdown))


def result_of(name, **told):
    return geoecon.evaluate(load_case(geoecon.shipped_case(name), told))


@pytest.mark.parametrize("name", CASES)
def test_a_second_input_makes_a_map_through_the_case_itself(name):
    at = visit("sweep", case=name)
    sound(at.selectbox(key="sweep:second").set_value("market.price").run())
    assert [*at.error] == []
    data, own = at.dataframe[0].value, result_of(name).value("required_price")
    values = data["required_price [USD/MWh], nominal"].to_numpy()
    assert len(values) in {81, 90, 100}
    assert np.isclose(values, own, rtol=1e-12, atol=0).any()
    assert "in the boxed cell, which is the case itself" in said(at)
    sound(at.selectbox(key="sweep:second").set_value("none, the first input alone").run())
    assert "the diamond is the case" in said(at)


def test_a_second_range_may_be_wrong_and_the_design_held():
    at = visit("sweep")
    sound(at.selectbox(key="sweep:second").set_value("market.price").run())
    box = next(box for box in at.text_input if box.label == "Second from")
    sound(box.set_value("12 bananas").run())
    assert "is not a unit for this" in at.error[0].value.replace("\\", "")
    assert at.dataframe.len == 0
    sound(next(box for box in at.text_input if box.label == "Second from").set_value("90 USD/MWh").run())
    sound(at.toggle(key="sweep:hold").set_value(True).run())
    assert "the design held" in said(at)


@pytest.mark.parametrize("name", CASES)
def test_the_page_says_what_moves_it_most(name):
    at = visit("tornado", case=name)
    framed(at, "tornado", name)
    study = tornado(load_case(geoecon.shipped_case(name)))
    assert at.title[0].value == plain_text(study.name)
    assert tornado_sentence(study, study.usual_metric, "as written") in said(at)
    for words in origins(study):
        assert f"- {words}" in said(at)
    assert len(at.dataframe) == 2
    assert list(at.dataframe[0].value["input"]) == [
        study.inputs[n].input.path for n in study.by_reach(study.usual_metric)
    ]


def test_figure_units_and_design_can_be_chosen():
    at = visit("tornado", case="ambry-wells", units="US")
    sound(at.selectbox(key="tornado:metric:npv_equity").set_value("lcoe_real").run())
    sound(at.toggle(key="tornado:resize").set_value(True).run())
    assert "every scenario sized afresh" in said(at)
    assert "Levelized cost, no income tax or credit" in said(at)
    assert "reach [USD/MWh]" in at.dataframe[0].value
    assert any("gpm" in text for text in at.dataframe[0].value["its low"])


def test_an_edit_moves_the_bars():
    at = visit("tornado", case="dunmarrow", set=["plant.cost_per_kw=5000 USD/kW"])
    assert "2,500 USD/kW" in said(at)

"""`geoecon stack` and its page as a person meets them."""

import csv
import json
from functools import partial

import pytest
from streamlit.testing.v1 import AppTest

import geoecon
from geoecon.case import load_case
from geoecon.finance.stack import COST, FIRST
from geoecon.report.charts import cost_steps
from geoecon.report.stack import sheets, stack_sheet, verdict, ways
from geoecon.report.words import plain_text
from tests.faces.command import run_command

pytestmark = pytest.mark.filterwarnings("ignore:Implicitly cleaning up:ResourceWarning")
CASES = tuple(geoecon.shipped_cases())
call = partial(run_command, "stack", columns=110)


def result_of(name, **told):
    return geoecon.evaluate(load_case(geoecon.shipped_case(name), told))


def test_every_part_is_printed():
    done, result = call("ambry-wells"), result_of("ambry-wells")
    assert (done.returncode, done.stderr) == (0, "")
    for sheet in sheets(result):
        for row in sheet.rows:
            assert any(line.split() == " ".join(row).split() for line in done.stdout.splitlines()), row


@pytest.mark.parametrize("name", CASES)
def test_steps_lead_to_the_figures_that_run_prints(name):
    result, reached = result_of(name), {}
    so_far = 0.0
    for to, steps in ways(result):
        so_far += sum(steps.values())
        reached[to] = so_far
    assert reached[COST] == pytest.approx(result.value("lcoe_real"), rel=1e-9)
    assert reached[FIRST] == pytest.approx(result.value("required_price"), rel=1e-9)


def test_json_sums_to_the_metrics():
    done, result = call("kettle-sound", "--json"), result_of("kettle-sound")
    shown = json.loads(done.stdout)
    for money in ("real", "nominal"):
        assert sum(shown[money][COST].values()) == pytest.approx(result.value(f"lcoe_{money}"), rel=1e-12)
    assert shown["ways"][-1]["to"] == FIRST
    assert result.as_json()["stack"] == {key: shown[key] for key in ("real", "nominal", "ways")}


def test_a_nominal_stack_and_files(tmp_path):
    done = call("dunmarrow", "--nominal", "--out", "parts.csv", "--chart", "parts.svg", folder=tmp_path)
    assert done.returncode == 0, done.stderr
    assert "nominal" in done.stdout.splitlines()[1]
    table = list(csv.DictReader((tmp_path / "parts.csv").read_text(encoding="utf-8").splitlines()))
    of_cost = [row for row in table if (row["money"], row["price"]) == ("nominal", COST)]
    result = result_of("dunmarrow")
    assert sum(float(row["amount [USD/MWh]"]) for row in of_cost) == pytest.approx(
        result.value("lcoe_nominal"), rel=1e-12
    )
    assert "<svg" in (tmp_path / "parts.svg").read_text(encoding="utf-8")


def test_a_narrow_terminal_and_a_wrong_ending():
    narrow = call("ambry-wells", columns=60)
    assert max(map(len, narrow.stdout.splitlines())) <= 60
    wrong = call("ambry-wells", "--out", "parts.xlsx")
    assert wrong.returncode == 2
    assert ".csv, .parquet" in wrong.stderr


def test_a_price_that_does_not_exist_is_left_out():
    """Costs of next to nothing beside a payment for capacity: any price pays, so no price after tax is found."""
    result = result_of("tessel-ridge", **{"market.capacity_price": "9000 USD/kW/yr"})
    assert not result.metrics["lcoe_after_tax_real"].values[0] > 0
    sheet = stack_sheet(result, "real")
    assert sheet.heads == ("part", COST)
    assert cost_steps(result).data["part"].iloc[-1] == COST


@pytest.mark.parametrize("name", CASES)
def test_the_page_shows_the_stack(name):
    at = AppTest.from_file(str(geoecon.shipped_app()), default_timeout=60)
    at.query_params["case"] = name
    at.run()
    at.switch_page("geoecon/ui/pages/cost.py").run()
    assert [error.message for error in at.exception] == []
    result = result_of(name)
    assert f"#### {plain_text(verdict(result, 'real'))}" in [element.value for element in at.markdown]
    at.radio(key="cost:money").set_value("nominal").run()
    assert f"#### {plain_text(verdict(result, 'nominal'))}" in [element.value for element in at.markdown]

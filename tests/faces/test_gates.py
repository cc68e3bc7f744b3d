"""`geoecon gates` and the page on the decision, as a person meets them."""

import json
import re
from functools import partial

import pytest
from streamlit.testing.v1 import AppTest

import geoecon
from geoecon.report.charts import criteria_bars
from geoecon.report.decision import as_json, sheets, verdict
from geoecon.report.words import plain_text
from geoecon.studies.gates import decide
from geoecon.studies.risk import risk
from tests.faces.command import run_command

pytestmark = pytest.mark.filterwarnings("ignore:Implicitly cleaning up:ResourceWarning")
TITLES = ("What was asked", "What alone would turn it", "In the case as it is", "Money at stake", "The next gate")
call = partial(run_command, "gates", columns=118)


def decided(name, draws):
    case = geoecon.load_case(geoecon.shipped_case(name))
    return decide(case, risk(case, draws))


def test_a_case_that_deserves_a_no_gets_it_in_one_page():
    done = call("harrow-fen", "--draws", 300)
    assert (done.returncode, done.stderr) == (0, "")
    said = done.stdout
    assert said.splitlines()[1].startswith("Stop: as things are known, dscr_min at least 1.2 comes true in none of 300")
    for title in TITLES:
        assert title in said
    assert "180.0 kUSD  left out of every figure and of the verdict" in said
    assert "needs licensed" in " ".join(said.split())
    assert len(said.splitlines()) < 45


def test_json_is_the_decision():
    done = call("ambry-wells", "--draws", 300, "--json")
    assert done.returncode == 0
    found = json.loads(done.stdout)
    assert all(check["holds"] for check in found.pop("checks"))
    assert found == json.loads(json.dumps(as_json(decided("ambry-wells", 300))))
    assert found["verdict"] == "wait"
    assert [one["asked"] for one in found["criteria"]] == [0.5, 0.8]


def test_what_cannot_be_judged_is_said():
    done = call("tessel-ridge", "--set", 'market.price_form="schedule"')
    assert done.returncode == 2
    assert "Traceback" not in done.stderr


@pytest.mark.parametrize("name", list(geoecon.shipped_cases()))
def test_words_and_chart_of_every_case(name):
    found = decided(name, 200)
    assert verdict(found).startswith({"go": "Go", "stop": "Stop", "wait": "Wait"}[found.verdict])
    cells = [cell for sheet in sheets(found) for row in (*sheet.rows, sheet.notes) for cell in row]
    assert not re.search(r"\b(nan|None|inf)\b", " ".join(cells))
    assert f"over {found.risk.draws:,} draws" in criteria_bars(found).sentence
    assert list(criteria_bars(found).data["asked"]) == [one.asked * 100 for one in found.judged]


@pytest.mark.parametrize("name", ["harrow-fen", "dunmarrow"])
def test_the_page_says_the_same(name):
    at = AppTest.from_file(str(geoecon.shipped_app()), default_timeout=60)
    at.query_params["case"] = name
    at = at.run().switch_page("geoecon/ui/pages/decision.py").run()
    assert [error.message for error in at.exception] == []
    assert f"#### {plain_text(verdict(decided(name, 2000)))}" in [element.value for element in at.markdown]
    titles = " ".join(header.value for header in at.subheader)
    assert {"What was asked", "Money at stake", "The next gate"} <= {header.value for header in at.subheader}
    assert "What alone would" in titles
    assert [*at.error, *at.warning] == []

"""`geoecon stress` and its page as a person meets them."""

import csv
import json
from functools import partial

import pytest
from streamlit.testing.v1 import AppTest

import geoecon
from geoecon.case import load_case
from geoecon.report.stresses import label, outcome, verdict
from geoecon.report.words import plain_text
from geoecon.studies.stress import stress_set
from tests.faces.command import run_command
from tests.faces.framed import framed
from tests.faces.shown_tables import tables

pytestmark = pytest.mark.filterwarnings("ignore:Implicitly cleaning up:ResourceWarning")
call = partial(run_command, "stress", columns=400)


def set_of(name, **told):
    return stress_set(load_case(geoecon.shipped_case(name), told))


def test_lines_say_each_stress_and_its_break():
    done = call("dunmarrow", "--metric", "dscr_min")
    assert (done.returncode, done.stderr) == (0, "")
    found = set_of("dunmarrow")
    assert done.stdout.splitlines()[0] == verdict(found)
    for row in found.rows[1:]:
        assert f"{label(row.stress)}: {outcome(found, row)}\n" in done.stdout
    assert "does not apply: " in done.stdout


def test_json_is_the_study():
    done = call("ambry-wells", "--json", "--set", "finance.debt_rate=9 %/yr")
    found, shown = set_of("ambry-wells", **{"finance.debt_rate": "9 %/yr"}), json.loads(done.stdout)
    assert shown["criterion"] == {"metric": "dscr_min", "least": 1.0}
    for row, plain in zip(found.rows, shown["stresses"], strict=True):
        assert plain["label"] == label(row.stress)
        for key, value in plain["metrics"].items():
            assert value is None or value == row.metrics[key]


def test_files(tmp_path):
    done = call("dunmarrow", "--out", "t.csv", "--chart", "c.svg", "--metric", "irr_equity", folder=tmp_path)
    assert done.returncode == 0
    table = list(csv.DictReader((tmp_path / "t.csv").read_text(encoding="utf-8").splitlines()))
    found = set_of("dunmarrow")
    assert [row["stress"] for row in table] == [label(row.stress) for row in found.rows]
    assert float(table[0]["npv [USD]"]) == found.base.metrics["npv"]
    assert "<svg" in (tmp_path / "c.svg").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["dunmarrow", "--metric", "beauty"], "'beauty' is no figure; known are:"),
        (["dunmarrow", "--out", "t.txt"], "a table ends in .csv"),
        (["dunmarrow", "--chart", "t.bmp"], "a chart ends in .svg"),
        (["nowhere"], "neither a file nor an example"),
        (["sorrel-basin", "--set", "resource.temperature=20 degC"], "resource.temperature"),
        (["dunmarrow", "--set", "timeline.delay=4 yr"], "outside"),
    ],
)
def test_what_cannot_be_is_said_and_nothing_is_written(tmp_path, arguments, words):
    done = call(*arguments, folder=tmp_path)
    assert done.returncode == 2
    assert words in done.stderr
    assert "Traceback" not in done.stderr
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("name", geoecon.shipped_cases())
def test_the_page_shows_the_set(name):
    at = AppTest.from_file(str(geoecon.shipped_app()), default_timeout=60)
    at.query_params["case"] = name
    at.run().switch_page("geoecon/ui/pages/stress.py").run()
    framed(at, "stress", name)
    found = set_of(name)
    words = "\n".join(element.value for element in at.markdown)
    assert f"#### {plain_text(verdict(found))}" in words
    for row in found.rows[1:]:
        assert plain_text(outcome(found, row)) in words
    table = tables(at)[0]
    assert list(table["stress"]) == [label(row.stress) for row in found.rows]
    at.selectbox(key="stress:metric").set_value("first_year_energy").run()
    assert [error.message for error in at.exception] == []
    drawn = at.dataframe[0].value
    assert list(drawn["value"]) == [row.metrics["first_year_energy"] for row in found.rows if row.metrics]

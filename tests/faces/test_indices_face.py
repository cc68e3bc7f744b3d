"""`geoecon indices` and the page of drivers as a person meets them."""

import csv
import json
from functools import partial

import pytest
from streamlit.testing.v1 import AppTest

import geoecon
from geoecon.case import load_case
from geoecon.report.indices import drivers, lines, sentences, verdict
from geoecon.report.words import plain_text
from geoecon.studies.indices import explore_case
from tests.faces.command import run_command

pytestmark = pytest.mark.filterwarnings("ignore:Implicitly cleaning up:ResourceWarning")
call = partial(run_command, "indices", columns=400)


def explored(name, metrics, draws, seed=1, **told):
    return explore_case(load_case(geoecon.shipped_case(name), told), metrics, draws, seed)


def test_lines_are_the_studys_words():
    done = call("dunmarrow", "--metric", "npv", "--metric", "irr_equity", "--draws", "128", "--seed", "4")
    assert (done.returncode, done.stderr) == (0, "")
    found = explored("dunmarrow", ("npv", "irr_equity"), 128, 4)
    *said, checked = done.stdout.splitlines()
    assert said == [line for key in ("npv", "irr_equity") for line in lines(drivers(found, key))]
    assert checked.startswith("Checks of the case as it stands: all ")
    assert "plant.cost_per_kw alone explains" in done.stdout


def test_json_and_files(tmp_path):
    done = call("ambry-wells", "--metric", "lcoe_real", "--draws", "64", "--json", "--out", "t.csv", "--chart", "c.svg",
                folder=tmp_path)  # fmt: skip
    assert done.returncode == 0
    found, shown = explored("ambry-wells", ("lcoe_real",), 64).indices("lcoe_real"), json.loads(done.stdout)
    assert (shown["draws"], shown["seed"]) == (64, 1)
    inputs = shown["metrics"]["lcoe_real"]["inputs"]
    assert sorted(one["total"] for one in inputs.values()) == sorted(found.total.tolist())
    table = list(csv.DictReader((tmp_path / "t.csv").read_text(encoding="utf-8").splitlines()))
    assert [row["input"] for row in table] == list(inputs)
    assert [float(row["first share [1]"]) for row in table] == [one["first"] for one in inputs.values()]
    assert "<svg" in (tmp_path / "c.svg").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["dunmarrow", "--metric", "beauty"], "'beauty' is no figure; known are:"),
        (["dunmarrow", "--draws", "3"], "--draws: 3 is outside 64 to 65,536"),
        (["dunmarrow", "--draws", "many"], "not a valid integer"),
        (["dunmarrow", "--seed", "-1"], "not in the range"),
        (["dunmarrow", "--draws", "64", "--out", "t.txt"], "a table ends in .csv"),
        (["sorrel-basin", "--set", "resource.temperature=20 degC"], "resource.temperature"),
    ],
)
def test_what_cannot_be_is_said_and_nothing_is_written(tmp_path, arguments, words):
    done = call(*arguments, folder=tmp_path)
    assert done.returncode == 2
    assert words in done.stderr
    assert "Traceback" not in done.stderr
    assert list(tmp_path.iterdir()) == []


def visit(name):
    at = AppTest.from_file(str(geoecon.shipped_app()), default_timeout=60)
    at.query_params["case"] = name
    at.run().switch_page("geoecon/ui/pages/drivers.py").run()
    assert [error.message for error in at.exception] == []
    return at


def words(at):
    return "\n".join(element.value for element in at.markdown)


@pytest.mark.parametrize("name", ["dunmarrow", "pell-crossing", "sorrel-basin"])
def test_the_page_shows_the_shares(name):
    at = visit(name)
    found = drivers(explored(name, ("required_price",), 256), "required_price")
    assert f"#### {plain_text(verdict(found))}" in words(at)
    for line in sentences(found).lines:
        assert plain_text(line.value) in words(at)
    assert list(at.dataframe[0].value["input"])[::2] == found.names


def test_another_figure_or_number_of_draws():
    at = visit("tessel-ridge")
    at.selectbox(key="drivers:metric").set_value("dscr_min").run()
    assert [error.message for error in at.exception] == []
    assert "There is no dscr" in words(at)
    assert at.dataframe.len == 0
    at.selectbox(key="drivers:metric").set_value("npv").run()
    at.selectbox(key="drivers:draws").set_value(1024).run()
    assert [error.message for error in at.exception] == []
    assert plain_text(verdict(drivers(explored("tessel-ridge", ("npv",), 1024), "npv"))) in words(at)

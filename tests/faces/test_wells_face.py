"""`geoecon wells` and its page, as a person meets them."""

import json
import re
from functools import partial

import pytest
from streamlit.testing.v1 import AppTest

import geoecon
from geoecon.case import load_case
from geoecon.errors import CaseError
from geoecon.report.charts.drilling import wells_by_chance
from geoecon.report.drilling import verdict
from geoecon.report.words import plain_text
from geoecon.studies.drilling import drilling
from tests.faces.command import run_command
from tests.faces.framed import framed
from tests.faces.shown_tables import tables

geoecon_says = partial(run_command, "wells")


def test_lines_and_files(tmp_path):
    chart, out = tmp_path / "wells.svg", tmp_path / "wells.csv"
    done = geoecon_says("ambry-wells", "--set", "wells.success_first=45 %", "--chart", chart, "--out", out)
    assert done.returncode == 0, done.stderr
    assert re.match(
        r"To get 5 good wells, at most \d+ are drilled with an even chance and at most \d+ with 9", done.stdout
    )
    assert "9 chances in 10 of at most" in done.stdout
    assert "dangerous work: it is for licensed practice under local codes" in done.stdout
    assert chart.read_text().startswith("<svg")
    assert out.read_text().startswith("wells drilled [wells],chance of just so many [1],")


def test_a_narrow_terminal_shows_every_figure():
    done = geoecon_says("sorrel-basin", columns=50)
    assert max(map(len, done.stdout.splitlines())) <= 50
    assert "  wells, flow unsure: " in done.stdout


def test_json_holds_every_figure():
    said = json.loads(geoecon_says("kettle-sound", "--json").stdout)
    assert said["drilling"]["enough"][-1] == pytest.approx(1)
    assert len(said["drilling"]["wells"]) == len(said["drilling"]["chance"]) == len(said["drilling"]["cost"])
    assert said["drilling"]["mean"]["wells"] == pytest.approx(said["expected"]["wells"])
    assert said["drilling_with_flow_unsure"] is None


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("tessel-ridge",), "plant.stated_brine_flow: is missing: the case tells no wells of its plant"),
        (("pell-crossing",), "wells.existing_producers: the unit is sized from the 3 wells that exist"),
        (
            ("ambry-wells", "--set", "wells.success_first=90 %"),
            "wells.success_first: as set for this run: is above success",
        ),
        (("ambry-wells", "--out", "wells.txt"), "a table ends in .csv, .parquet"),
    ],
)
def test_what_cannot_be_is_said_once(arguments, words):
    done = geoecon_says(*arguments)
    assert done.returncode == 2
    assert words in done.stderr
    assert "Traceback" not in done.stderr


def test_one_sure_well_is_one_well():
    one = (
        "wells.success=100 %",
        "plant.net_capacity=200 kW",
        "wells.producers_per_injector=2",
        "wells.existing_injectors=1",
    )
    done = geoecon_says("kettle-sound", *(word for change in one for word in ("--set", change)))
    assert "To get 1 good well, at most 1 is drilled, with 9 chances in 10, for at most 1.900 MUSD." in done.stdout


def test_the_chart_draws_what_it_says():
    found = drilling(load_case(geoecon.shipped_case("ambry-wells")))
    chart = wells_by_chance(found)
    assert chart.data["wells drilled"].tolist()[:3] == [5, 6, 7]
    assert chart.data["enough [%]"].is_monotonic_increasing
    assert "9 are with 9 chances in 10" in chart.sentence
    assert "15.29 MUSD" in chart.sentence
    titles = re.findall(r'"title": "([^"]+)"', json.dumps(chart.picture.to_dict()))
    assert {"wells drilled [wells]", "chance that they are enough [%]", "cost on average [MUSD], money of 2026"} <= set(
        titles
    )


@pytest.mark.parametrize("name", geoecon.shipped_cases())
def test_the_page_says_how_many(name):
    at = AppTest.from_file(str(geoecon.shipped_app()), default_timeout=60)
    at.query_params["case"] = name
    at.run().switch_page("geoecon/ui/pages/wells.py").run()
    framed(at, "wells", name)
    told = "\n".join(element.value for element in (*at.markdown, *at.info))
    try:
        found = drilling(load_case(geoecon.shipped_case(name)))
    except CaseError:
        assert "none is drilled" in told
        return
    assert plain_text(verdict(found)) in told
    assert len(tables(at)) == 2


def test_one_well_beside_published_curves(tmp_path):
    chart, out = tmp_path / "one.svg", tmp_path / "one.csv"
    built = ("wells.cost_method=built-up", "wells.cost_per_producer=", "wells.cost_per_injector=")
    told = [word for change in built for word in ("--set", change)]
    done = geoecon_says("ambry-wells", "--one", *told, "--chart", chart, "--out", out)
    assert done.returncode == 0, done.stderr
    assert done.stdout.startswith("A well of 1,150 m costs 3.637 MUSD built up from days of the rig.")
    assert "> the case" in done.stdout
    assert "days of drilling" in done.stdout
    assert chart.read_text().startswith("<svg")
    assert out.read_text().startswith("depth [m],")
    said = json.loads(geoecon_says("ambry-wells", "--one", *told, "--json").stdout)
    assert sum(said["built_up"]["parts"].values()) == pytest.approx(said["one_well"])


def test_one_well_without_a_depth_is_said_once():
    done = geoecon_says("tessel-ridge", "--one")
    assert done.returncode == 2
    assert "wells.depth: is missing; the cost of a well is compared at its depth" in done.stderr


def test_the_page_shows_what_a_well_is_built_up_of():
    at = AppTest.from_file(str(geoecon.shipped_app()), default_timeout=60)
    at.query_params["case"] = "ambry-wells"
    at.query_params["set"] = ["wells.cost_method=built-up", "wells.cost_per_producer=", "wells.cost_per_injector="]
    at.run().switch_page("geoecon/ui/pages/wells.py").run()
    assert [error.message for error in at.exception] == []
    assert len(tables(at)) == 3
    assert any(plain_text("It takes the rig 26 days") in element.value for element in at.markdown)

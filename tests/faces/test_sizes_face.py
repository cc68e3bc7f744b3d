"""`geoecon sizes` and its page, as a person meets them."""

import json
from functools import partial

import pytest
from streamlit.testing.v1 import AppTest

import geoecon
from geoecon.case import load_case
from geoecon.report.sizes import verdict
from geoecon.report.words import plain_text
from geoecon.studies.sizes import sizes
from tests.faces.command import run_command
from tests.faces.framed import framed
from tests.faces.shown_tables import tables

geoecon_says = partial(run_command, "sizes")


def test_lines_and_files(tmp_path):
    chart, out = tmp_path / "sizes.svg", tmp_path / "sizes.csv"
    done = geoecon_says("kettle-sound", "--steps", "9", "--chart", chart, "--out", out)
    assert done.returncode == 0, done.stderr
    assert done.stdout.startswith("Energy costs least from a unit of ")
    assert "the case" in done.stdout
    assert chart.read_text().startswith("<svg")
    assert out.read_text().startswith("net capacity [MW],what it is,")


def test_json_holds_every_figure():
    said = json.loads(geoecon_says("ambry-wells", "--from", "4 MW", "--to", "8 MW", "--json").stdout)
    assert said["net_capacity"][0] == 4.0
    assert said["net_capacity"][said["case"]] == 6.0
    assert len(said["metrics"]["npv"]) == len(said["net_capacity"])


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("harrow-fen",), "plant.cost_exponent: is 1: a kW costs the same at every size"),
        (("pell-crossing",), "plant.size_from: the wells that exist set the size"),
        (("kettle-sound", "--from", "2 MW"), "sizes run from low to high, not from 2,000 kW to 1,500 kW"),
        (("kettle-sound", "--out", "sizes.txt"), "a table ends in .csv, .parquet"),
    ],
)
def test_what_cannot_be_is_said_once(arguments, words):
    done = geoecon_says(*arguments)
    assert done.returncode == 2
    assert words in done.stderr
    assert "Traceback" not in done.stderr


@pytest.mark.parametrize("name", geoecon.shipped_cases())
def test_the_page_says_how_large(name):
    at = AppTest.from_file(str(geoecon.shipped_app()), default_timeout=60)
    at.query_params["case"] = name
    at.run().switch_page("geoecon/ui/pages/size.py").run()
    framed(at, "size", name)
    told = "\n".join(element.value for element in (*at.markdown, *at.info))
    read = load_case(geoecon.shipped_case(name))
    if (read.plant.cost_exponent == 1).all():
        assert any(
            plain_text(words) in told
            for words in ("a kW costs the same at every size", "the wells that exist set the size")
        )
        return
    assert plain_text(verdict(sizes(read))) in told
    assert len(tables(at)) == 1

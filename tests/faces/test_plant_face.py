"""The plant over air and brine as a person meets it: sentences, charts, the command and its files, explanations."""

import json

import numpy as np
import pytest
from click.testing import CliRunner

import geoecon
from geoecon.cli import app
from geoecon.report import charts
from geoecon.report.explain import explain, listing
from geoecon.report.outputs import IDEAL, sheets, why_none


def evaluated(name, **told):
    return geoecon.evaluate(geoecon.load_case(geoecon.shipped_case(name), told))


@pytest.fixture(scope="module")
def island():
    return evaluated("kettle-sound", **{"site.daily_swing": "6 K"})


def test_every_axis_has_its_unit_and_every_sentence_its_numbers(island):
    by_air, by_brine = charts.output_by_air(island), charts.output_by_brine(island)
    for chart, title in ((by_air, "air [degC]"), (by_brine, "brine at the plant inlet [degC]")):
        drawn = json.dumps(chart.picture.to_dict())
        assert title in drawn
        assert drawn.count("[MW]") >= 2
        assert IDEAL in drawn
        assert "which no plant has" in chart.sentence
    power = island.outputs["months"].power[6].mean() / 1000
    assert f"{power:.4f} MW in Jul at 13.0 degC" in by_air.sentence
    assert "A bar spans the cool and the warm part" in by_air.sentence
    assert len(by_air.data) == 36
    assert "0.6000 MW from brine at 102.0 degC and" in by_brine.sentence
    assert "in year 25 at 97.1 degC" in by_brine.sentence
    assert "degF" in charts.output_by_air(island, "US").sentence


def test_a_stated_plant_says_plainly_that_it_has_no_map():
    result = evaluated("ambry-wells")
    for chart in (charts.output_by_air(result), charts.output_by_brine(result)):
        assert chart.picture is None
        assert chart.sentence == why_none(result)
    assert "the plant is stated, and has no map" in why_none(result)
    assert "1.6 % for each kelvin of air above" in why_none(result)
    assert sheets(result) == ()


def test_the_command_tells_both_and_writes_chart_and_numbers(tmp_path):
    picture, table = tmp_path / "brine.svg", tmp_path / "brine.csv"
    done = CliRunner().invoke(app, ["plant", "pell-crossing", "--brine", "--chart", str(picture), "--out", str(table)])
    assert (done.exit_code, done.exception) == (0, None)
    assert "by the vendor's table" in done.output
    assert "checks of the figures hold" in done.output
    assert "brine at the plant inlet [degC]" in picture.read_text(encoding="utf-8")
    head, *rows = table.read_text(encoding="utf-8").splitlines()
    assert head == "what,brine [degC],flow [kg/s],unit net at design air [MW]"
    assert rows[-1].startswith("year 25,125.325")


def test_no_chart_of_a_stated_plant_is_written(tmp_path):
    done = CliRunner().invoke(app, ["plant", "tessel-ridge", "--chart", str(tmp_path / "x.svg")])
    assert "no chart was written. There is none: the plant is stated" in str(done.exception)
    assert list(tmp_path.iterdir()) == []
    shown = json.loads(CliRunner().invoke(app, ["plant", "tessel-ridge", "--json"]).stdout)
    assert "no map" in shown["reason"]


def test_explanations_lead_down_to_temperatures_and_the_map(island):
    def terms(result, metric):
        found = explain(result, metric)
        assert found.line, f"{metric} has no arithmetic"
        return {term.label: term.value for term in found.terms}

    summer = terms(island, "summer_capacity")
    assert summer["mean air of July, the hottest month"] == 13.0
    assert summer["brine at the plant inlet at the design point"] == 102.0
    assert (summer["air of the map below it"], summer["air of the map above it"]) == (12.0, 13.5)
    assert summer["plant net of the map below it"] > summer["plant net of the map above it"]
    lowest = terms(evaluated("harrow-fen", **{"site.daily_swing": "12 K"}), "lowest_month_energy")
    swing = 6 * np.sqrt(0.75)  # a sine in three equal parts, as `plant.weather.daily_swing` says
    assert [lowest[f"air in part {n} of July"] for n in (1, 2, 3)] == pytest.approx([22 - swing, 22, 22 + swing])
    assert lowest["brine at the plant inlet, mean of year 1"] == pytest.approx(113.85)
    assert "unit net on the map in July" in terms(island, "lowest_month_energy")  # with an outage in one month
    told = "\n".join(
        line for _, lines in listing(explain(evaluated("ambry-wells"), "summer_capacity"), "x") for line in lines
    )
    assert "A stated plant has no map" in told

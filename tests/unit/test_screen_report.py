"""A screen in words, JSON and charts: every number with its unit, nothing left out, nothing said twice in two ways."""

import json
import re

import numpy as np
import pytest

import geoecon
from geoecon.case import Site, load_site
from geoecon.report import screen as words
from geoecon.report.charts.screen import geothermometer_dots, temperature_at_depth
from geoecon.report.screen_json import as_json
from geoecon.studies.screen import screen
from geoecon.studies.screen.written import write_case

SITES = tuple(geoecon.shipped_sites())
BARE = '[place]\nname = "Nowhere"\n'


@pytest.fixture(scope="module")
def screened():
    return {name: screen(load_site(file), 1_000) for name, file in geoecon.shipped_sites().items()}


def all_words(found, system="SI"):
    cells = [cell for sheet in words.sheets(found, system) for row in sheet.rows for cell in row]
    return "\n".join(
        [words.verdict(found), *cells, *(note for sheet in words.sheets(found, system) for note in sheet.notes)]
    )


@pytest.mark.parametrize("name", SITES)
@pytest.mark.parametrize("system", ["SI", "US", "as written"])
def test_sheets_hold_together(screened, name, system):
    for sheet in words.sheets(screened[name], system):
        assert sheet.title
        assert all(len(row) == len(sheet.heads) for row in sheet.rows)
        assert not sheet.words or len(sheet.heads) == 3
    assert not re.search(r"\bnan\b|\binf\b|None", all_words(screened[name], system))


@pytest.mark.parametrize("name", SITES)
def test_a_screen_never_speaks_of_a_bare_percentile(screened, name):
    assert not re.search(r"\bP\d\d\b", all_words(screened[name]))
    assert "no estimate of a reserve" in all_words(screened[name])
    assert "licensed practice" in all_words(screened[name])


@pytest.mark.parametrize("name", SITES)
def test_the_verdict_names_what_it_turns_on(screened, name):
    found = screened[name]
    said = words.verdict(found)
    assert all(criterion in said for criterion in found.turns_on)
    assert re.search(r"\d MW|\d kW|\d degC", said)


def test_figures_are_those_of_the_draws(screened):
    found = screened["ostler-bench"]
    rows = {row[0]: row[1:] for row in words.figures(found, "SI").rows}
    nine_in_ten = float(np.quantile(found.power.either, 0.1))
    assert rows["Power, either way"][0] == words.megawatts(nine_in_ten)
    assert (found.power.either >= nine_in_ten).mean() == pytest.approx(0.9, abs=0.01)
    degrees = [float(cell.split()[0]) for cell in rows["Temperature of the reservoir"]]
    assert degrees == sorted(degrees)
    fahrenheit = {row[0]: row[1:] for row in words.figures(found, "US").rows}["Temperature of the reservoir"]
    assert float(fahrenheit[1].split()[0]) == pytest.approx(degrees[1] * 1.8 + 32, abs=1.5)


def test_recalled_coefficients_are_said_to_be(screened):
    rows = {row[0]: row[2] for row in words.geothermometers(screened["larkspur-springs"], "SI").rows}
    assert rows["amorphous silica"].endswith("coefficients recalled")
    assert rows["Na-K-Ca, Fournier and Truesdell 1973"].endswith("coefficients recalled")
    assert not rows["K-Mg, Giggenbach 1988"].endswith("recalled")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ('gas = "bubbles"', "keep out of hollows"),
        ('gas = "smell of rotten eggs"', "hydrogen sulphide, which dulls the nose"),
        ('salinity = "35 g/L"', "corrodes and scales"),
    ],
)
def test_what_is_dangerous_here_is_said(text, said):
    found = screen(Site.read(f"{BARE}[water]\n{text}\n"), 200)
    assert any(said in note for note in words.criteria(found).notes)
    assert not any(said in note for note in words.criteria(screen(Site.read(BARE), 200)).notes)


def test_draws_that_were_cut_are_counted():
    lost = screen(Site.read(f'{BARE}[ground]\nheat_flow = "20 to 30 mW/m2"\nheat_production = "5 to 12 uW/m3"\n'), 500)
    assert any("of the draws have no temperature" in note for note in words.figures(lost, "SI").notes)
    held = screen(Site.read(f'{BARE}[ground]\ngradient = "400 K/km"\n'), 500)
    assert any("held to the boiling point" in note for note in words.figures(held, "SI").notes)


def test_a_draw_that_cannot_be_counts_as_one_without_power():
    text = '[ground]\nheat_flow = "20 to 25 mW/m2"\nheat_production = "14 to 18 uW/m3"\n'
    text += '[springs]\ntemperature = "120 degC"\n'
    lost = screen(Site.read(f"{BARE}{text}"), 500)
    share = float(np.isnan(lost.power.either).mean())
    assert share > 0.1
    assert as_json(lost)["power"]["either"]["nine_in_ten_at_least"] == 0
    assert words.figures(lost, "SI").rows[4][1] == "0 MW"


def test_a_place_without_heat_is_told_so():
    cold = screen(Site.read(f'{BARE}[ground]\ngradient = "8 K/km"\ngradient_depth = "1 km"\n'), 500)
    assert words.verdict(cold).endswith("No draw is hot enough for power, 90 degC.")
    assert "what stands in the way: heat" in words.verdict(cold)


@pytest.mark.parametrize("name", SITES)
def test_json_says_the_same(screened, name):
    found = screened[name]
    told = json.loads(json.dumps(as_json(found), allow_nan=False))
    assert told["verdict"] == words.verdict(found)
    assert [one["stands"] for one in told["criteria"]] == [v.grade for v in found.verdicts]
    assert told["power"]["either"]["even_chance_at_least"] == pytest.approx(float(np.median(found.power.either)))
    assert [m["name"] for m in told["measurements"]] == [m.name for m in found.measures]
    assert (told["chemistry"] is None) == (found.chemistry is None)


@pytest.mark.parametrize("name", SITES)
@pytest.mark.parametrize("system", ["SI", "US"])
def test_charts(screened, name, system):
    for chart in filter(
        None, (temperature_at_depth(screened[name], system), geothermometer_dots(screened[name], system))
    ):
        spec = json.dumps(chart.picture.to_dict())
        unit = "degF" if system == "US" else "degC"
        assert f"temperature [{unit}]" in spec
        assert chart.sentence.endswith(".")
        assert unit in chart.sentence
        assert "nan" not in chart.sentence
        assert len(chart.data)


def test_the_chart_of_depth_draws_what_the_table_lists(screened):
    found = screened["larkspur-springs"]
    data = temperature_at_depth(found).data
    assert np.array_equal(data["depth [m]"], found.warmth.curves.depth)
    assert np.allclose(data["linear [degC]"], found.warmth.curves.by_form["linear"])
    assert (data["linear [degC]"] >= data["exponential [degC]"] - 1e-9).all()


def test_who_has_a_case_written_is_told_what_is_assumed(screened):
    made = write_case(screened["ostler-bench"])
    said = "\n".join(words.told_of_case(made, "x.toml"))
    assert f"{len(made.assumed)} of the case's {len(made.items)} inputs are assumed" in said
    assert all(item.path in said for item in made.assumed)
    assert f"costs {made.result.value('lcoe_real'):,.0f} USD/MWh" in said

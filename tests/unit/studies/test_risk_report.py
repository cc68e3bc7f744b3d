"""Risk in words and charts: numbers of the study, senses of chances, units, axes."""

import re
from dataclasses import replace

import numpy as np
import pytest

import geoecon
from geoecon.report import risk as words
from geoecon.report.charts import picture_file
from geoecon.report.charts.risk import COLUMNS, break_even, exceedance, fan, tenth_dots
from geoecon.studies.risk import risk
from geoecon.studies.spread import spread

CASES = tuple(geoecon.shipped_cases())
YEARS = "year (0 ends when operation begins)"


@pytest.fixture(scope="module")
def studies():
    return {name: risk(geoecon.load_case(geoecon.shipped_case(name)), 300) for name in CASES}


def titles(spec):
    """Titles of all axes in a specification."""
    if isinstance(spec, list):
        return [title for part in spec for title in titles(part)]
    if not isinstance(spec, dict):
        return []
    own = [spec["encoding"][side].get("title") for side in ("x", "y") if side in spec.get("encoding", {})]
    return [t for t in own if t] + [title for part in spec.values() for title in titles(part)]


def sound(chart):
    shown = titles(chart.picture.to_dict())
    assert shown
    assert [title for title in shown if title != YEARS and not re.search(r"\[.+\]", title)] == []
    assert chart.sentence.endswith(".")
    assert not re.search(r"\bnan\b|\binf\b|P90|P10", chart.sentence)


@pytest.mark.parametrize("name", CASES)
@pytest.mark.parametrize("metric", ["npv", "lcoe_real", "irr_equity", "dscr_min", "net_capacity_factor"])
def test_the_curve_holds_the_study(studies, name, metric):
    found = studies[name]
    chart, own = exceedance(found, metric), spread(metric, found.metrics[metric])
    sound(chart)
    if own.reason:
        assert own.reason in chart.sentence
        assert chart.data.empty
        return
    values, chance = chart.data["value"].to_numpy(), chart.data["chance"].to_numpy()
    scale = {"npv": 1e-6, "irr_equity": 100.0, "net_capacity_factor": 100.0}.get(metric, 1.0)
    all_values = found.metrics[metric].values * scale
    for value, percent in list(zip(values, chance, strict=True))[::40]:
        reached = all_values <= value + 1e-9 if own.at_most else all_values >= value - 1e-9
        ties = np.isclose(all_values, value).mean()  # a value that many draws share is reached with a range of chances
        assert 100 * (reached.mean() - ties) - 1 <= percent <= 100 * reached.mean() + 1
    assert "9 chances in 10" in chart.sentence
    assert ("at most" if own.at_most else "at least") in chart.sentence


def test_break_even_is_in_the_sentence(studies):
    found = studies["ambry-wells"]
    share = (found.metrics["npv"].values >= 0).mean()
    assert f"{words.in_chances(share, 300)} it is at least 0 USD, the break-even." in exceedance(found, "npv").sentence
    assert break_even(found, "irr_equity") == (0.12, "return asked")
    assert break_even(found, "lcoe_real") is None


@pytest.mark.parametrize("name", CASES)
def test_fans_hold_the_quantiles_and_the_case(studies, name):
    found = studies[name]
    for column in COLUMNS:
        chart = fan(found, column)
        if chart is None:
            continue
        sound(chart)
        scale = 1e-6 if column == "cash_flow_equity" else 1.0
        assert chart.data["50% below"].to_numpy() == pytest.approx(scale * found.fans[column].quantiles[:, 3])
        base = found.base.annual[column][:, 0]
        base = np.cumsum(base) if column == "cash_flow_equity" else base
        rows = np.isin(found.base.annual["year"][:, 0], found.fans[column].years)
        assert chart.data["as it is"].to_numpy() == pytest.approx(scale * base[rows])
        assert not [heading for heading in chart.data.columns if "." in heading or "[" in heading]
    assert fan(studies["tessel-ridge"], "dscr") is None
    assert fan(studies["tessel-ridge"], "delivered_energy") is None


@pytest.mark.parametrize("name", CASES)
def test_the_tenth_shows_what_is_most_unusual_first(studies, name):
    chart = tenth_dots(studies[name], "npv")
    sound(chart)
    away = (chart.data["chance"] - 50).abs().to_numpy()
    assert (np.diff(away) <= 1e-9).all()
    assert chart.data["input"].iloc[0] in chart.sentence


def test_a_chart_becomes_a_picture(studies):
    for chart in (exceedance(studies["pell-crossing"], "npv"), exceedance(studies["tessel-ridge"], "dscr_min"),
                  fan(studies["sorrel-basin"], "cash_flow_equity"), tenth_dots(studies["sorrel-basin"], "npv")):  # fmt: skip
        assert b"<svg" in picture_file(chart, "svg")[:200]


@pytest.mark.parametrize("name", CASES)
def test_every_cell_of_every_table_is_filled_and_has_its_unit(studies, name):
    found = studies[name]
    for sheet in words.sheets(found, words.known_metrics(found), words.told_by(found)):
        assert sheet.rows
        for row in sheet.rows:
            assert len(row) == len(sheet.heads)
            assert all(row)
            assert not any(re.search(r"\bnan\b|\binf\b|-0(\.0+)? ", cell) for cell in row), row
    for row in words.figures(found, words.known_metrics(found)).rows:
        assert all(cell == "none" or re.search(r"\d .+|\d %", cell) for cell in row[1:]), row


def test_how_sure_a_value_is_stands_below_the_figures(studies):
    found = studies["dunmarrow"]
    error = spread("npv", found.metrics["npv"]).error
    note = words.figures(found, ("lcoe_real", "npv")).notes[0]
    assert note.startswith(f"npv: give or take {words.amount(2 * error[0], 'USD', 'USD')} with 9 chances in 10, ")
    few = risk(geoecon.load_case(geoecon.shipped_case("dunmarrow")), 10)
    assert words.figures(few, ("npv",)).notes[0] == "npv: too few draws to say how sure these values are"


def test_small_and_certain_chances_in_words():
    assert words.in_chances(0.526, 2000) == "53 chances in 100 that"
    assert words.in_chances(0.01, 2000) == "1 chance in 100 that"
    assert words.in_chances(0.002, 2000) == "2 chances in 1,000 that"
    assert words.in_chances(0.0001, 20_000) == "fewer than 1 chance in 1,000 that"
    assert words.in_chances(0.9999, 20_000) == "more than 999 chances in 1,000 that"
    assert words.in_chances(1.0, 2000) == "in all of 2,000 draws"


def test_convergence_speaks_of_the_first_event(studies):
    found = studies["ambry-wells"]
    loss = found.events[0]
    assert words.convergence(found) == (
        f"Twice the standard error of the chance that it makes a loss is {200 * loss.error:.1f} points, as of plain draws, at "
        "most: these are spread more evenly; four times the draws would halve it."
    )
    assert "points; four times" in words.convergence(replace(found, sampler="plain"))


def test_wells_that_are_alike_are_said_to_add_up(studies):
    sheet = words.rolled_up(studies["ambry-wells"])
    assert [row[0] for row in sheet.rows] == ["all alike"] * 3 + ["each for itself"] * 3
    assert "then they do add up" in sheet.notes[-1]
    assert all(cell.endswith("gpm") for row in sheet.rows for cell in row[2:])


def test_a_fan_of_temperatures_is_in_the_units_asked_for(studies):
    """By hand: degF = 1.8 degC + 32."""
    found = studies["sorrel-basin"]
    metric, us = (fan(found, "brine_temperature", system) for system in ("SI", "US"))
    for column in metric.data.columns[1:]:
        assert us.data[column].to_numpy() == pytest.approx(metric.data[column].to_numpy() * 1.8 + 32)
    assert "degF" in us.sentence
    assert "degC" not in us.sentence
    assert "degF" in str(us.picture.to_dict())

"""Charts: numbers of the result, words with units, colours that can be seen."""

import re

import numpy as np
import pytest

import geoecon
from geoecon.report import charts
from geoecon.result import METRICS
from geoecon.studies.inputs import inputs, usual_range
from geoecon.studies.sweep import sweep

PAGE = "#fbfaf6"
UNITLESS_AXES = {"year (0 ends when operation begins)", "operating year", "month of year 1"}
OF_A_RESULT = {
    "yearly energy": charts.yearly_energy,
    "monthly energy": charts.monthly_energy,
    "ledger": charts.ledger,
    "cash flow": charts.cash_flow,
    "cash flow of the owner": lambda result: charts.cash_flow(result, of_owner=True),
}
CASES = tuple(geoecon.shipped_cases())


@pytest.fixture(scope="module")
def results():
    return {name: geoecon.evaluate(geoecon.load_case(geoecon.shipped_case(name))) for name in CASES}


def titles(spec):
    """Titles of all axes in a specification."""
    if isinstance(spec, list):
        return [title for part in spec for title in titles(part)]
    if not isinstance(spec, dict):
        return []
    own = [spec["encoding"][side].get("title") for side in ("x", "y") if side in spec.get("encoding", {})]
    return [t for t in own if t] + [title for part in spec.values() for title in titles(part)]


def sound(chart):
    """The specification holds to its schema, numbers in the sentence have units, so do the axes."""
    spec = chart.picture.to_dict()
    shown = titles(spec)
    assert shown
    assert [title for title in shown if title not in UNITLESS_AXES and not re.search(r"\[.+\]", title)] == []
    assert chart.sentence.endswith(".")
    assert re.search(r"\d[\d,.]* (MWh|[kMG]?USD)\b", chart.sentence)
    assert "nan" not in chart.sentence


@pytest.mark.parametrize("kind", OF_A_RESULT)
@pytest.mark.parametrize("name", CASES)
def test_every_chart_of_every_case(results, name, kind):
    sound(OF_A_RESULT[kind](results[name]))


@pytest.mark.parametrize("name", CASES)
def test_the_data_are_the_results(results, name):
    result = results[name]
    running = result.annual["year"][:, 0] > 0
    yearly = charts.yearly_energy(result)
    assert np.array_equal(yearly.data["MWh"], result.annual["delivered_energy"][running, 0])
    assert f"{result.value('first_year_energy'):,.0f} MWh in year 1" in yearly.sentence
    monthly = charts.monthly_energy(result)
    assert np.array_equal(monthly.data["MWh"], result.monthly_energy[:, 0])
    assert f"{result.value('lowest_month_energy'):,.0f} MWh" in monthly.sentence
    for of_owner, column in ((False, "cash_flow_project"), (True, "cash_flow_equity")):
        flows = charts.cash_flow(result, of_owner=of_owner).data
        assert np.array_equal(flows[f"M{result.currency}"], result.annual[column][:, 0] / 1e6)
        assert np.array_equal(flows["total"], np.cumsum(result.annual[column][:, 0] / 1e6))
        assert np.array_equal(flows["year"], result.annual["year"][:, 0])


@pytest.mark.parametrize("name", CASES)
def test_the_bars_of_the_ledger_join(results, name):
    result = results[name]
    data = charts.ledger(result).data.set_index("step")
    for step, row in data.iterrows():
        assert row["MWh"] == float(result.ledger[step.replace(" ", "_")][0])
    whole = data[data["kind"] == "what is there"]
    assert (whole["from"] == 0).all()
    losses = data[data["kind"] != "what is there"]
    assert losses["from"].to_numpy() - losses["to"].to_numpy() == pytest.approx(losses["MWh"].to_numpy())
    gross = float(result.ledger["gross_at_design"][0])
    ends, starts = data["to"].to_numpy()[:-1], data["from"].to_numpy()[1:]
    joined = data["kind"].to_numpy()[1:] != "what is there"
    assert starts[joined] == pytest.approx(ends[joined], abs=1e-4 * gross)


@pytest.mark.parametrize("name", CASES)
def test_a_sweep_line_holds_the_sweep(results, name):
    case = geoecon.load_case(geoecon.shipped_case(name))
    swept = sweep(case, "operation.fixed_cost", *usual_range(inputs(case)["operation.fixed_cost"]), 3)
    chart = charts.sweep_line(swept, "required_price")
    sound(chart)
    assert np.array_equal(chart.data["input"], swept.values)
    assert np.array_equal(chart.data["metric"], swept.metrics["required_price"])
    assert chart.data["metric"][swept.at] == results[name].value("required_price")
    assert METRICS["required_price"].meaning[1:] in chart.sentence
    assert not re.search(r"\de[+-]\d", chart.sentence)


def test_a_sweep_without_values_says_why():
    case = geoecon.load_case(geoecon.shipped_case("tessel-ridge"))
    chart = charts.sweep_line(sweep(case, "market.price", 80.0, 90.0, 3), "dscr_min")
    assert chart.sentence.startswith("There is no dscr_min anywhere in this range: ")
    chart.picture.to_dict()


def light(colour):
    """Relative luminance of `#rrggbb` by WCAG 2."""
    parts = [int(colour[n : n + 2], 16) / 255 for n in (1, 3, 5)]
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one, other):
    high, low = sorted((light(one), light(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def test_contrast_is_wcags():
    assert contrast("#ffffff", "#000000") == pytest.approx(21)
    assert contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.005)


@pytest.mark.parametrize(("name", "least"), [("INK", 7), ("WATER", 3), ("EARTH", 3), ("STONE", 3), ("SAND", 1.8)])
def test_colours_stand_out_from_the_page(name, least):
    """SAND may be lighter, because what it marks has a place of its own in its chart."""
    assert contrast(getattr(charts.frame, name), PAGE) >= least


def test_the_page_has_this_background():
    config = (geoecon.shipped_app().parent / ".streamlit" / "config.toml").read_text(encoding="utf-8")
    assert f'backgroundColor = "{PAGE}"' in config


@pytest.mark.parametrize("ending", ["svg", "png", "html"])
def test_a_chart_becomes_a_file(results, ending):
    data = charts.picture_file(charts.yearly_energy(results["tessel-ridge"]), ending)
    assert {"svg": b"<svg", "png": b"\x89PNG", "html": b"<!DOCTYPE html>"}[ending] in data[:200]

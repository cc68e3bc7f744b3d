"""One input at a time: the same pass in every scenario, ranges of each input's own, order, words and pictures."""

import re

import numpy as np
import pytest
from scipy.stats import norm

import geoecon
from geoecon.case import Case, load_case
from geoecon.errors import CaseError
from geoecon.report import charts
from geoecon.report.charts.tornado import _apart
from geoecon.report.tornado import MOST_BARS, MOST_LINES, as_json, lines, origins, study_columns, tornado_sentence
from geoecon.studies.drawn import order
from geoecon.studies.tornado import POINTS, spider, tornado
from geoecon.studies.uncertain import uncertain_inputs

CASES = tuple(geoecon.shipped_cases())
COSTS = ("plant.cost_per_kw", "wells.cost_factor", "operation.fixed_cost", "operation.pump_cost", "capital.exploration",
         "capital.permits", "capital.gathering", "capital.grid_connection", "capital.owners_cost")  # fmt: skip


def case_of(name, **told):
    return load_case(geoecon.shipped_case(name), told)


def close(one, other):
    return (np.isnan(one) and np.isnan(other)) or abs(one - other) <= 1e-12 * max(abs(one), abs(other), 1e-300)


@pytest.mark.parametrize("name", CASES)
@pytest.mark.parametrize("resize", [False, True])
def test_the_base_line_is_the_run(name, resize):
    found, result = tornado(case_of(name), resize=resize), geoecon.evaluate(case_of(name))
    for key, metric in result.metrics.items():
        assert close(found.base[key], metric.values[0]), key
        assert found.base_reasons[key] == metric.reason


@pytest.mark.parametrize("name", CASES)
@pytest.mark.parametrize("resize", [False, True])
def test_one_pass_is_a_loop_over_cases(name, resize):
    """Against a plain loop: one case, one input changed, the plant held as ordered or sized afresh."""
    case, found = case_of(name), tornado(case_of(name), resize=resize)
    design = None if resize else geoecon.sizing.size(case)
    for n, moved in enumerate(found.inputs):
        assert uncertain_inputs(case)[moved.input.path].known == "after-design"
        for point in (0, 1):
            alone = geoecon.evaluate(case.with_values({moved.input.path: float(moved.values[point])}), design)
            for key, metric in alone.metrics.items():
                assert close(found.metrics[key][n, point], metric.values[0]), (moved.input.path, key)
                assert bool(found.reasons[key][n][point]) == np.isnan(metric.values[0])


@pytest.mark.parametrize("name", CASES)
def test_capital_cost_never_lowers_the_price_needed(name):
    found = tornado(case_of(name), only=[p for p in COSTS if p in uncertain_inputs(case_of(name))])
    low, high = found.metrics["required_price"].T
    base = found.base["required_price"]
    assert (low <= base * (1 + 1e-9)).all()
    assert (high >= base * (1 - 1e-9)).all()
    assert (high > low).any()


def test_ends_are_the_inputs_own_quantiles():
    """Class 4 of the estimate: -30 % and +50 % with 1 chance in 10 beyond each, so ln(values) lie 2 x 1.2816 sigma apart."""
    case = case_of("sorrel-basin")
    found = tornado(case, only=["plant.cost_per_kw", "resource.temperature"])
    ends = {moved.input.path: moved.values for moved in found.inputs}
    assert ends["plant.cost_per_kw"] == pytest.approx([2900 * 0.7, 2900 * 1.5])
    low, mode, high = 149.0, 158.0, 164.0  # a triangle: 1 chance in 10 below low + sqrt(0.1 x width x left)
    assert ends["resource.temperature"] == pytest.approx(
        [low + np.sqrt(0.1 * (high - low) * (mode - low)), high - np.sqrt(0.1 * (high - low) * (high - mode))]
    )
    sigma = np.log(1.5 / 0.7) / (2 * norm.ppf(0.9))
    own = {moved.input.path: moved.own for moved in found.inputs}["plant.cost_per_kw"]
    assert own == pytest.approx(norm.cdf((np.log(2900) - np.log(2900 * np.sqrt(0.7 * 1.5))) / sigma))


def test_a_spider_goes_through_the_tornado():
    case = case_of("dunmarrow")
    ends, ranges = tornado(case), spider(case)
    low, high = POINTS.index(0.1), POINTS.index(0.9)
    for key, values in ends.metrics.items():
        through = ranges.metrics[key][:, [low, high]]
        assert all(close(a, b) for a, b in zip(values.ravel(), through.ravel(), strict=True)), key
    plant = next(n for n, m in enumerate(ranges.inputs) if m.input.path == "plant.cost_per_kw")
    assert (np.diff(ranges.metrics["required_price"][plant]) > 0).all()


def test_permuting_the_inputs_permutes_the_results():
    case = case_of("ambry-wells")
    paths = list(uncertain_inputs(case))
    whole = tornado(case)
    for some in (paths[::3], paths[1:2], paths[::-1]):
        part = tornado(case, only=some)
        assert {m.input.path for m in part.inputs} == set(some)
        for n, moved in enumerate(part.inputs):
            there = paths.index(moved.input.path)
            assert np.array_equal(part.metrics["npv"][n], whole.metrics["npv"][there])


@pytest.mark.parametrize("name", CASES)
def test_bars_are_in_the_order_of_their_reach(name):
    found = tornado(case_of(name))
    for metric in ("required_price", "npv_equity", "first_year_energy"):
        reach, base = found.reach(metric), found.base[metric]
        for n, values in enumerate(found.metrics[metric]):
            known = [v for v in (*values, base) if np.isfinite(v)]
            assert reach[n] == (max(known) - min(known) if known else 0.0)
        ordered = reach[found.by_reach(metric)]
        assert (np.diff(ordered) <= 0).all()
        data = charts.tornado_bars(found, metric).data
        assert list(data["input"]) == [found.inputs[n].input.path for n in found.by_reach(metric)]


def test_an_end_without_a_value_is_shown_with_the_reason():
    """The vendor's table ends at 135 degC at the plant; 2 % above 136 degC is beyond it."""
    found = tornado(case_of("pell-crossing", **{"resource.temperature": "136 degC"}))
    n = next(n for n, m in enumerate(found.inputs) if m.input.path == "resource.temperature")
    assert np.isnan(found.metrics["npv_equity"][n, 1])
    why = "outside what the plant's map holds"
    assert why in found.reasons["npv_equity"][n][1]
    said = tornado_sentence(found, "npv_equity")
    assert "No value at resource.temperature = 138.7 degC" in said
    assert why in said
    assert any(line.startswith("none at resource.temperature = 138.7 degC: ") for line in lines(found, ["npv_equity"]))
    texts = str(charts.tornado_bars(found, "npv_equity").picture.to_dict()["datasets"])
    assert "138.7 degC: no value" in texts
    assert as_json(found)["inputs"][n]["metrics"]["npv_equity"][1] is None


def test_what_moves_nothing_is_said():
    """A stated plant that is quoted afresh for every brine loses nothing to a cooler one; as ordered it does."""
    said = tornado_sentence(tornado(case_of("ambry-wells"), resize=True), "npv_equity")
    assert "Hardly moved, or not at all, by resource.temperature." in said
    only = ["resource.temperature"]
    assert "resource.temperature moves it most" in tornado_sentence(
        tornado(case_of("ambry-wells"), only=only), "npv_equity"
    )
    nothing = tornado(case_of("ambry-wells"), only=only, resize=True)
    assert "No uncertain input moves npv_equity here." in tornado_sentence(nothing, "npv_equity")
    assert charts.picture_file(charts.tornado_bars(nothing, "npv_equity"), "svg").startswith(b"<svg")
    flat = spider(case_of("ambry-wells"), only=only)
    assert charts.picture_file(charts.spider_lines(flat, "npv_equity"), "svg").startswith(b"<svg")


def test_what_moves_it_most_is_said_with_its_ends():
    said = tornado_sentence(tornado(case_of("dunmarrow")), "npv_equity")
    assert "plant.cost_per_kw moves it most: 5.876 MUSD at 2,000 USD/kW, -8.286 MUSD at 8,000 USD/kW." in said
    assert "One input at a time, wells and plant as ordered" in said


@pytest.mark.parametrize("name", CASES)
@pytest.mark.parametrize("metric", ["npv_equity", "required_price", "irr_equity", "dscr_min", "net_capacity"])
def test_every_chart_of_every_case(name, metric):
    case = case_of(name)
    for chart in (charts.tornado_bars(tornado(case), metric), charts.spider_lines(spider(case), metric)):
        assert chart.sentence.endswith(".")
        assert not re.search(r"\bnan\b", chart.sentence)
        assert "One input at a time" in chart.sentence
        assert charts.picture_file(chart, "svg").startswith(b"<svg")


def test_a_picture_has_no_more_than_can_be_read():
    found = tornado(case_of("ambry-wells"))
    bars = charts.tornado_bars(found, "npv_equity")
    assert f"Not drawn: {len(found.movers('npv_equity')) - MOST_BARS} inputs of less reach." in bars.sentence
    assert max(len(rows) for rows in bars.picture.to_dict()["datasets"].values()) == 2 * MOST_BARS
    drawn = charts.spider_lines(spider(case_of("ambry-wells")), "npv_equity")
    assert drawn.data["input"].nunique() == MOST_LINES
    assert "inputs of less reach" in drawn.sentence


def test_names_of_lines_stand_apart():
    placed = np.array(_apart(np.array([5.0, 5.1, 5.05, 0.0, 9.99]), [0.0, 10.0]))
    least = 10.0 * 14 / 380
    assert np.diff(np.sort(placed)).min() >= least - 1e-12
    assert placed.max() <= 10.0
    assert list(np.argsort(placed)) == [3, 0, 2, 1, 4]


def test_the_usual_figure_is_the_owners_value_or_price():
    assert tornado(case_of("sorrel-basin")).usual_metric == "npv_equity"
    text = geoecon.shipped_case("tessel-ridge").read_text(encoding="utf-8")
    priceless = Case.read("\n".join(line for line in text.splitlines() if not line.startswith("price =")))
    found = tornado(priceless)
    assert found.usual_metric == "required_price"
    assert "There is no npv_equity as the case is: the case states no price" in tornado_sentence(found, "npv_equity")
    assert charts.picture_file(charts.spider_lines(spider(priceless), "npv_equity"), "svg").startswith(b"<svg")


def test_where_ranges_come_from_is_said_with_the_evidence():
    said = "\n".join(origins(tornado(case_of("sorrel-basin"))))
    assert "range of resource.temperature, wells.flow_per_producer: as the case says [stated]" in said
    assert "estimate class 4: -30% to +50%" in said
    assert "[compiled]" in said
    assert "(no maturity is stated)" in said


def test_what_is_known_before_moves_the_size():
    text = geoecon.shipped_case("sorrel-basin").read_text(encoding="utf-8")
    early = Case.read(text.replace('high = "164 degC"', 'high = "164 degC"\nknown = "before-design"'))
    found = tornado(early, only=["resource.temperature"])
    assert found.metrics["brine_flow"][0, 0] > found.metrics["brine_flow"][0, 1]
    late = tornado(case_of("sorrel-basin"), only=["resource.temperature"])
    assert late.metrics["brine_flow"][0, 0] == late.metrics["brine_flow"][0, 1]
    held, afresh = order(early, uncertain_inputs(early)), tornado(early, only=["resource.temperature"], resize=True)
    assert held.known_before == {"resource.temperature"}
    assert np.array_equal(found.metrics["brine_flow"], afresh.metrics["brine_flow"])


@pytest.mark.parametrize("path", ["market.price", "resource.temperatur", "finance.debt_years"])
def test_an_input_that_is_not_uncertain_is_refused(path):
    with pytest.raises(CaseError, match="is not uncertain in this case; uncertain are: "):
        tornado(case_of("sorrel-basin"), only=[path])


def test_a_case_that_cannot_be_worked_out_is_refused():
    with pytest.raises(CaseError, match="the case itself cannot be worked out: "):
        tornado(case_of("sorrel-basin", **{"resource.temperature": "30 degC"}), only=["capital.permits"])


def test_the_table_has_a_row_for_the_case_and_one_for_each_point():
    found = tornado(case_of("tessel-ridge"))
    columns = study_columns(found)
    assert {len(column) for column in columns.values()} == {1 + 2 * len(found.inputs)}
    assert columns["npv [USD]"][0] == found.base["npv"]
    assert np.array_equal(columns["npv [USD]"][1:], found.metrics["npv"].ravel(), equal_nan=True)
    assert list(columns["chance below [%]"][1:3]) == [10.0, 90.0]


def test_what_ends_the_project_stands_first():
    """Above 138.7 degC no figure of `pell-crossing` exists at this temperature; no other input ends it."""
    found = tornado(case_of("pell-crossing", **{"resource.temperature": "136 degC"}))
    first = found.inputs[found.by_reach("npv_equity")[0]].input.path
    assert first == "resource.temperature"
    assert found.ends_it.sum() == 1

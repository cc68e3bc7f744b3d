"""Two inputs and a target: by hand where value is straight in both, by the list of single inputs, by single passes."""

import csv
import io

import numpy as np
import pytest

import geoecon
from geoecon.case import load_case
from geoecon.errors import CaseError
from geoecon.report import charts
from geoecon.report.frontiers import curve_told, frontier_told
from geoecon.report.tables import table_file
from geoecon.studies.breakeven import breakeven, usual_target
from geoecon.studies.frontiers import FLOW, GRID, TEMPERATURE, frontier, success_curve
from geoecon.studies.targets import target

PRICE, PERMITS = "market.price", "capital.permits"


def case_of(name, **told):
    return load_case(geoecon.shipped_case(name), told)


def value_of(case, metric, **values):
    return geoecon.evaluate(case.with_values(values)).value(metric)


def test_pairs_by_hand_where_value_is_straight_in_both():
    """tessel-ridge knows no tax and no debt: npv = a + b x price + c x permits, from three passes."""
    case = case_of("tessel-ridge")
    here = {PRICE: 88.0, PERMITS: 350e3}
    own = value_of(case, "npv", **here)
    by_price = value_of(case, "npv", **{**here, PRICE: 98.0}) - own
    by_permits = value_of(case, "npv", **{**here, PERMITS: 450e3}) - own
    found = frontier(case, target("npv >= -2.5 MUSD", "USD"), PRICE, PERMITS)
    by_hand = 350e3 + (-2.5e6 - own - by_price * (found.values - 88.0) / 10) * 1e5 / by_permits
    inside = (by_hand > found.reach[0]) & (by_hand < found.reach[1])
    assert inside.sum() >= 2
    assert found.needed[inside] == pytest.approx(by_hand[inside], rel=1e-6)
    assert np.isnan(found.needed[~inside]).all()
    assert (found.side[inside] == -1).all()
    assert found.met[~inside].tolist() == (by_hand[~inside] > 350e3).tolist()


@pytest.mark.parametrize("name", ["sorrel-basin", "ambry-wells", "pell-crossing"])
def test_at_the_cases_own_value_the_pair_is_the_single_need(name):
    case = case_of(name)
    asked = usual_target(case)
    found = frontier(case, asked, "operation.fixed_cost", PRICE)
    own = found.values == found.first.value
    assert own.sum() == 1
    need = next(need for need in breakeven(case, asked).needs if need.path == PRICE)
    assert found.needed[own][0] == need.value
    known = np.isfinite(found.needed)
    assert (found.side[known] == 1).all()
    metric = geoecon.evaluate(
        case.with_values({"operation.fixed_cost": found.values[known], PRICE: found.needed[known]})
    )
    assert metric.metrics["irr_equity"].values == pytest.approx(asked.value, rel=1e-5)


def test_the_words_say_the_side_and_where_the_case_is():
    case = case_of("ambry-wells")
    found = frontier(case, usual_target(case), "plant.cost_per_kw", PRICE)
    told = frontier_told(found)
    assert "is met on and above the line" in told.lines[0]
    assert "The case itself, 2,700 USD/kW and 146 USD/MWh, meets it." in told.lines[0]
    marked = [line for line in told.lines[2:-1] if line.startswith("> ")]
    assert len(marked) == 1
    assert "at least 141.2 USD/MWh" in marked[0]
    table = list(csv.reader(io.StringIO(table_file(told.columns, "csv").decode())))
    assert table[0] == ["plant.cost_per_kw [USD/kW]", "market.price [USD/MWh]", "target is met"]
    assert [float(row[1]) for row in table[1:]] == found.needed.tolist()
    assert [point["met"] for point in told.json["points"]] == ["at or above"] * len(found.values)


def test_one_input_on_both_sides_is_refused():
    case = case_of("ambry-wells")
    with pytest.raises(CaseError, match="two different inputs"):
        frontier(case, usual_target(case), PRICE, PRICE)


def test_lines_of_equal_value_pass_where_single_passes_say():
    """Net value over price and fixed cost is straight in tessel-ridge, so the lines are exact."""
    case = case_of("tessel-ridge")
    found = success_curve(case, target("npv >= -2 MUSD", "USD"), PRICE, "operation.fixed_cost")
    assert -2e6 in found.lines
    assert len(found.lines) > 2
    for level, pieces in found.lines.items():
        for k in range(0, len(pieces), 25):
            x, y = (float(v) for v in pieces[k, :2])
            assert value_of(case, "npv", **{PRICE: x, "operation.fixed_cost": y}) == pytest.approx(level, abs=1.0)


def test_the_grid_is_the_engine_and_wells_are_on_their_side():
    case = case_of("pell-crossing")
    asked = target("irr_equity >= 7.5 %", "USD")
    wells = ["hot: 131 degC, 60 kg/s", "cool: 128 degC, 50 kg/s", "beyond: 150 degC, 50 kg/s"]
    found = success_curve(case, asked, wells=wells)
    assert found.values.shape == (GRID, GRID)
    for n, m in ((5, 7), (40, 20)):
        single = value_of(case, "irr_equity", **{TEMPERATURE: float(found.x[m]), FLOW: float(found.y[n])})
        assert found.values[n, m] == single or np.isnan([found.values[n, m], single]).all()
    hot, cool, beyond = found.wells
    assert hot.value == value_of(case, "irr_equity", **{TEMPERATURE: 131.0, FLOW: 60.0})
    assert (hot.value > 0.075, cool.value < 0.075, np.isnan(beyond.value)) == (True, True, True)
    assert "outside what the plant's map holds" in beyond.reason
    assert found.x[0] <= 128 < 150 <= found.x[-1]
    told = curve_told(found)
    assert told.lines[-3].endswith("meets it")
    assert told.lines[-2].endswith("misses it")
    assert [well["met"] for well in told.json["wells"]] == [True, False, False]
    assert len(table_file(told.columns, "csv").decode().splitlines()) == 1 + GRID**2 + 3


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("131 degC, 60 kg/s", "is no well"),
        ("a: 131 degC", "is no well"),
        (": 131 degC, 60 kg/s", "is no well"),
        ("a: 131 degC, 60 kg/s, 3", "is no well"),
        ("a: 131 bar, 60 kg/s", "'bar' is not a unit for this"),
        ("a: 131 degC, 60", "has no unit"),
        ("a: 131 degC, 60000 kg/s", "is outside what the field may be"),
    ],
)
def test_a_text_that_is_no_well_is_refused(text, words):
    case = case_of("pell-crossing")
    with pytest.raises(CaseError) as error:
        success_curve(case, usual_target(case), wells=[text])
    assert words in str(error.value)


def test_a_name_may_hold_a_colon_and_a_number_its_thousands():
    case = case_of("sorrel-basin")
    (well,) = success_curve(case, usual_target(case), wells=["A: 1: 316.4 degF, 1,450 gpm"], hold=True).wells
    assert well.name == "A: 1"
    assert (well.across, well.up) == pytest.approx((158.0, 0.09148078478), rel=1e-9)
    assert well.value == pytest.approx(geoecon.evaluate(case).value("irr_equity"), rel=1e-9)


@pytest.mark.parametrize("system", ["SI", "US"])
@pytest.mark.parametrize("name", ["pell-crossing", "ambry-wells", "kettle-sound"])
def test_charts_hold_their_numbers_with_units(name, system):
    case = case_of(name)
    asked = usual_target(case)
    found = breakeven(case, asked)
    bars = charts.breakeven_bars(found, system)
    assert set(bars.data["input"]) == {need.path for need in found.needs if need.chances}
    for need in found.needs:
        if need.chances:
            row = bars.data.set_index("input").loc[need.path]
            assert row["now"] == pytest.approx(100 * need.chances.now)
            assert np.isnan(row["needed"]) == (not need.found)
    pairs = charts.frontier_line(frontier(case, asked, TEMPERATURE, PRICE), system)
    lines = charts.success_lines(
        success_curve(case, asked, wells=["W: 100 degC, 40 kg/s"] if name != "ambry-wells" else []), system
    )
    for chart, axis in (
        (bars, "[%]"),
        (pairs, "degF" if system == "US" else "degC"),
        (lines, "degF" if system == "US" else "degC"),
    ):
        text = chart.picture.to_json()
        assert axis in text
        assert chart.sentence.endswith(".")
        assert "nan" not in chart.sentence
    assert pairs.data["first"].is_monotonic_increasing
    if system == "US":
        base = case.resource.temperature[0] * 1.8 + 32
        assert np.isclose(pairs.data["first"], base).any()


def test_a_name_is_no_formula_of_a_spreadsheet():
    """Signs with which a spreadsheet begins a formula: OWASP, CSV Injection, here from memory."""
    names = ["=1+1", "+1", "-1", "@sum", "\tx", "North 2"]
    told = table_file({"well": names, "value [m]": np.array([-1.0] * 6)}, "csv").decode()
    cells = [row[0] for row in csv.reader(io.StringIO(told))][1:]
    assert cells == ["'=1+1", "'+1", "'-1", "'@sum", "'\tx", "North 2"]
    assert all(row[1] == "-1.0" for row in list(csv.reader(io.StringIO(told)))[1:])  # a number stays one

"""Grids over two inputs: the same pass in every cell, the line at which the answer turns, words for both."""

import io
import re

import numpy as np
import pytest
from pyarrow import parquet

import geoecon
from geoecon.arrays import chunks
from geoecon.case import load_case
from geoecon.errors import CaseError
from geoecon.report import charts
from geoecon.report.charts.grids import zero_line
from geoecon.report.grids import as_json, decision_sentence, grid_columns, lines
from geoecon.report.tables import table_file
from geoecon.studies import grid as grids
from geoecon.studies.decisions import DECISIONS
from geoecon.studies.grid import Range, grid

CASES = tuple(geoecon.shipped_cases())
PRICE, PLANT = "market.price", "plant.cost_per_kw"


def case_of(name, **told):
    return load_case(geoecon.shipped_case(name), told)


def small(name, across=PRICE, down=PLANT, **more):
    return grid(case_of(name), Range(across, steps=3), Range(down, steps=4), **more)


def close(one, other):
    """Equal to 1e-12 of the greater, or both missing."""
    return (np.isnan(one) and np.isnan(other)) or abs(one - other) <= 1e-12 * max(abs(one), abs(other), 1e-300)


@pytest.mark.parametrize("name", CASES)
def test_the_cell_of_the_case_is_the_run(name):
    found, result = small(name), geoecon.evaluate(case_of(name))
    for key, metric in result.metrics.items():
        assert close(found.metrics[key][found.at], metric.values[0]), key
    assert (found.across.base, found.down.base) == (found.across.values[found.at[1]], found.down.values[found.at[0]])


@pytest.mark.parametrize(
    ("name", "across", "down"),
    [
        ("sorrel-basin", "resource.temperature", "wells.success"),  # one pass over all
        ("ambry-wells", "timeline.operating_years", "market.price"),  # a pass for each number of years
        ("dunmarrow", "market.price", "finance.debt_years"),
        ("kettle-sound", "timeline.operating_years", "finance.debt_years"),  # a pass for each cell
    ],
)
@pytest.mark.parametrize("hold", [False, True])
def test_every_cell_is_a_pass_of_its_own(name, across, down, hold):
    """Against a plain loop over the cells, one case each."""
    case = case_of(name)
    found = small(name, across, down, hold=hold)
    design = geoecon.sizing.size(case) if hold else None
    for row, y in enumerate(found.down.values):
        for column, x in enumerate(found.across.values):
            told = {
                axis.path: int(value) if axis.whole else float(value)
                for axis, value in ((found.across, x), (found.down, y))
            }
            try:
                alone = geoecon.evaluate(case.with_values(told), design)
            except CaseError:
                assert np.isnan(found.metrics["npv"][row, column])
                continue
            for key, metric in alone.metrics.items():
                assert close(found.metrics[key][row, column], metric.values[0]), key


def test_inputs_turned_round_turn_the_grid_round():
    one, other = small("sorrel-basin"), small("sorrel-basin", PLANT, PRICE)
    assert one.metrics["npv"].shape == (4 + 1, 3)  # 4 steps miss the case's own value, 3 meet it
    other = grid(case_of("sorrel-basin"), Range(PLANT, steps=4), Range(PRICE, steps=3))
    for key, values in one.metrics.items():
        assert all(close(a, b) for a, b in zip(values.T.ravel(), other.metrics[key].ravel(), strict=True)), key


def test_large_grids_go_in_parts_and_are_the_same(monkeypatch):
    whole = small("tessel-ridge")
    monkeypatch.setattr("geoecon.studies.grid.chunks", lambda count: chunks(count, 4))
    for key, values in small("tessel-ridge").metrics.items():
        assert all(close(a, b) for a, b in zip(values.ravel(), whole.metrics[key].ravel(), strict=True)), key


@pytest.mark.parametrize("name", CASES)
def test_the_good_side_is_that_of_the_run(name):
    """Margins worked out again from the run alone."""
    result, found = geoecon.evaluate(case_of(name)), small(name)
    v, first = result.value, float(result.annual["price"][result.build_years, 0])
    asked = {key: float(np.broadcast_to(values, 1)[0]) for key, values in result.asked.items()}
    expected = {
        "npv": v("npv"), "npv_equity": v("npv_equity"), "npv_at_decision": v("npv_at_decision"),
        "irr_equity": v("irr_equity") - asked["equity_return"], "irr_project": v("irr_project") - asked["discount_rate"],
        "dscr_min": v("dscr_min") - asked["target_dscr"], "required_price": first - v("required_price"),
        "lcoe_real": v("price_levelized_real") - v("lcoe_real"),
        "lcoe_nominal": v("price_levelized_nominal") - v("lcoe_nominal"),
        "lcoe_after_tax_real": v("price_levelized_real") - v("lcoe_after_tax_real"),
        "lcoe_after_tax_nominal": v("price_levelized_nominal") - v("lcoe_after_tax_nominal"),
    }  # fmt: skip
    assert set(expected) == set(DECISIONS)
    for key, margin in expected.items():
        own = found.margins[key][found.at]
        assert (np.isnan(own) and np.isnan(margin)) or own == pytest.approx(margin, rel=1e-9), key


def test_the_return_asked_may_itself_be_an_axis():
    found = small("dunmarrow", "finance.equity_return", PRICE)
    inside = found.metrics["irr_equity"] - found.across.values[None, :]
    known = np.isfinite(inside)
    assert found.margins["irr_equity"][known] == pytest.approx(inside[known])


def test_cells_without_a_value_are_counted_with_the_reason():
    found = grid(case_of("pell-crossing"), Range("resource.temperature", steps=5), Range(PRICE, steps=3))
    missing = int(np.isnan(found.metrics["npv"]).sum())
    assert missing
    assert sum(found.reasons["npv"].values()) == missing
    assert "outside what the plant's map holds" in found.obstacle
    said = charts.heat_map(found, "npv").sentence
    assert f"{missing} of {found.cells} cells have no value" in said
    assert found.obstacle in said
    assert "Cells struck through have none." in said


def test_values_that_contradict_each_other_are_missing_cells():
    found = grid(case_of("kettle-sound"), Range("timeline.operating_years"), Range("finance.debt_years"))
    beyond = found.down.values[:, None] > found.across.values[None, :]
    assert beyond.any()
    assert np.array_equal(np.isnan(found.metrics["npv"]), beyond)
    assert found.reasons["npv"] == {grids.CONTRADICTION: int(beyond.sum())}
    assert "is longer than the" in found.obstacle


@pytest.mark.parametrize(
    ("across", "down", "words"),
    [
        (Range(PRICE), Range(PRICE), "is given twice"),
        (Range(PRICE, steps=201), Range(PLANT, steps=201), "more than 40,000"),
        (
            Range("plant.turbine_efficiency", steps=50),
            Range("timeline.operating_years", "5", "60", 56),
            "2,001 at most",
        ),
        (Range(PRICE, "9 USD/MWh", "8 USD/MWh"), Range(PLANT), "a sweep runs from low to high"),
        (Range("finance.debt_share", high="130 %"), Range(PLANT), "is outside"),
        (Range("market.prise"), Range(PLANT), "did you mean 'market.price'?"),
        (Range(PRICE), Range("plant.cost_per_kw", "3 m"), "is not a unit for this"),
    ],
)
def test_what_cannot_be_is_refused(across, down, words):
    with pytest.raises(CaseError, match=words):
        grid(case_of("sorrel-basin"), across, down)


def test_a_range_with_nothing_feasible_is_refused():
    hopeless = case_of("sorrel-basin", **{"resource.temperature": "30 degC"})
    with pytest.raises(CaseError, match="nothing can be worked out in this range: "):
        grid(hopeless, Range(PRICE, steps=3), Range(PLANT, steps=3))


def test_the_line_of_a_plane_is_straight_and_on_it():
    """Margins x + 2 y - 3 are zero on a straight line, which linear interpolation meets exactly."""
    y, x = np.mgrid[0:5, 0:6]
    found = zero_line(x + 2.0 * y - 3.3)
    assert found
    for x0, y0, x1, y1 in found:
        assert x0 + 2 * y0 == pytest.approx(3.3)
        assert x1 + 2 * y1 == pytest.approx(3.3)
    ends = sorted([(x0, y0) for x0, y0, *_ in found] + [(x1, y1) for *_, x1, y1 in found])
    assert ends[0] == pytest.approx((0.0, 1.65))
    assert ends[-1] == pytest.approx((3.3, 0.0))


@pytest.mark.parametrize(("middle", "cut"), [(1.0, {(0.75, 0.0), (1.0, 0.25)}), (-1.0, {(0.0, 0.25), (0.25, 0.0)})])
def test_where_four_sides_are_passed_the_mean_decides(middle, cut):
    """A saddle: with a mean above zero the high corners are joined, and the line cuts off a low one."""
    high, low = (3.0, -1.0) if middle > 0 else (1.0, -3.0)
    found = zero_line(np.array([[high, low], [low, high]]))
    assert len(found) == 2
    assert cut in [{(x0, y0), (x1, y1)} for x0, y0, x1, y1 in found]


def test_no_line_past_a_missing_cell_or_on_one_side_alone():
    assert zero_line(np.array([[1.0, np.nan], [-1.0, 1.0]])) == []
    assert zero_line(np.ones((3, 3))) == []


def test_the_sentence_says_what_lies_on_which_side():
    found = small("sorrel-basin")
    good = int((found.metrics["npv"] >= 0).sum())
    said = decision_sentence(found, "npv")
    assert said == (
        f"npv is at least zero in {good} of {found.cells} cells, towards higher market.price and lower plant.cost_per_kw. "
        "The case itself is not."
    )
    assert said in charts.heat_map(found, "npv").sentence
    assert decision_sentence(found, "net_capacity").startswith("No one value of net_capacity decides")
    assert "one of them does not exist" in decision_sentence(small("tessel-ridge"), "dscr_min")
    far = grid(case_of("sorrel-basin"), Range(PRICE, "10 USD/MWh", "20 USD/MWh", 3), Range("capital.permits", steps=3))
    assert "in none of 12 cells: no line runs" in decision_sentence(far, "npv")


@pytest.mark.parametrize("name", CASES)
def test_the_heat_map_holds_the_grid(name):
    found = small(name)
    chart = charts.heat_map(found, "npv")
    spec = chart.picture.to_dict()
    assert chart.sentence.endswith(".")
    assert not re.search(r"\bnan\b", chart.sentence)
    shown = chart.data.iloc[:, 2].to_numpy() / found.metrics["npv"].ravel()
    assert shown == pytest.approx(np.full(shown.size, shown[0]))
    assert spec["layer"][0]["encoding"]["x"]["title"] == "market.price [USD/MWh]"
    marks = [layer["mark"]["type"] for layer in spec["layer"]]
    turns = bool((found.margins["npv"] >= 0).any() and (found.margins["npv"] < 0).any())
    assert marks.count("rule") == (2 if turns else 0)
    assert charts.picture_file(chart, "svg").startswith(b"<svg")


def test_a_large_grid_is_thinned_for_the_picture_alone():
    found = grid(case_of("tessel-ridge"), Range(PRICE, steps=150), Range(PLANT, steps=80))
    chart = charts.heat_map(found, "npv")
    assert len(chart.data) == found.cells > 70 * 70
    assert "evenly chosen; the numbers hold all." in chart.sentence
    spec = chart.picture.to_dict()
    cells = spec["datasets"][spec["layer"][0]["data"]["name"]]
    assert len(cells) <= 70 * 70
    assert {"x": found.across.base, "y": found.down.base} in [{"x": c["x"], "y": c["y"]} for c in cells]
    box = spec["datasets"][spec["layer"][-1]["data"]["name"]][0]
    own = next(c for c in cells if (c["x"], c["y"]) == (found.across.base, found.down.base))
    assert (box["left"], box["low"]) == (own["left"], own["low"])


def test_a_figure_that_exists_nowhere_says_why():
    chart = charts.heat_map(small("tessel-ridge"), "dscr_min")
    assert chart.sentence.startswith("There is no dscr_min anywhere in this range: the case has no debt")
    assert charts.picture_file(chart, "svg").startswith(b"<svg")


def test_lines_are_as_wide_as_there_is_room():
    found = grid(case_of("sorrel-basin"), Range(PRICE, steps=20), Range(PLANT, steps=5))
    narrow, wide = (list(lines(found, ["npv"], width)) for width in (60, 400))
    table = slice(4, 4 + 1 + found.down.values.size)
    assert all(len(line) <= 60 for line in narrow if line.startswith("  ") or line[:1].isdigit())
    joined = " ".join(wide[table])
    assert joined.count(">") == 3  # the column, the row, the cell
    assert len([line for line in narrow if line.lstrip().startswith("> 2,900")]) > 1


def test_json_and_tables_are_the_grid():
    found = small("pell-crossing", "resource.temperature", PRICE)
    plain = as_json(found)
    row, column = found.at
    assert plain["metrics"]["npv"][row][column] == found.metrics["npv"][found.at]
    assert plain["across"]["values"][column] == plain["across"]["base"] == 131.0
    assert (
        sum(cell is None for cells in plain["metrics"]["npv"] for cell in cells) == np.isnan(found.metrics["npv"]).sum()
    )
    columns = grid_columns(found)
    read = parquet.read_table(io.BytesIO(table_file(columns, "parquet")))
    assert read.column_names == list(columns)
    assert read["npv [USD]"].null_count == np.isnan(found.metrics["npv"]).sum()
    assert read["resource.temperature [degC]"].to_pylist() == list(columns["resource.temperature [degC]"])
    text = table_file(columns, "csv").decode().splitlines()
    assert len(text) == 1 + found.cells
    assert text[0].startswith("resource.temperature [degC],market.price [USD/MWh],gross_capacity [MW],")


def test_units_of_the_axes_can_be_others():
    found = small("sorrel-basin", "resource.temperature", PRICE)
    shown = found.shown_in("US")
    assert shown.across.unit == "degF"
    assert shown.across.base == pytest.approx(158 * 1.8 + 32)
    assert shown.metrics is found.metrics

"""The cost of a case's well beside the published curves: figures, sentences, table, JSON, columns and chart."""

import json

import numpy as np
import pytest

import geoecon
from geoecon.case import Case
from geoecon.drilling import cost_per_well
from geoecon.errors import CaseError
from geoecon.report.charts.well_costs import cost_by_depth
from geoecon.report.well_costs import as_json, cost_columns, cost_files, lines, part_rows, rows, verdict
from geoecon.studies.well_costs import budget_shares, well_costs
from geoecon.wells.drilling import curves

TEXT = geoecon.shipped_case("ambry-wells").read_text(encoding="utf-8")
STATED = 'cost_per_producer = "2.3 MUSD"\ncost_per_injector = "1.9 MUSD"\n'
BUILT = TEXT.replace(STATED, 'cost_method = "built-up"\nslim_holes = 2\n')


@pytest.fixture(scope="module")
def stated():
    return well_costs(Case.read(TEXT))


@pytest.fixture(scope="module")
def built():
    return well_costs(Case.read(BUILT))


def test_the_case_and_every_curve_at_its_depth(stated):
    assert (stated.own_m, stated.own) == (1150.0, 2.3e6)
    assert {name for name, _ in stated.here.ranked()} == set(curves()) - {"predicted-2006"}
    assert stated.lines.cost.shape == (8, stated.depth_m.size)
    at = int(np.flatnonzero(stated.depth_m == 1150.0)[0])
    assert np.array_equal(stated.lines.cost[:, at], stated.here.cost[:, 0], equal_nan=True)


def test_every_curve_is_drawn_from_its_first_depth(stated):
    first = {
        name: stated.depth_m[np.isfinite(cost).argmax()]
        for name, cost in zip(stated.lines.names, stated.lines.cost, strict=True)
    }
    assert first["vertical-small"] == 500
    assert first["historical-2014"] == 1000
    assert first["predicted-2006"] == 1500


def test_verdict_says_least_most_middle_and_who(stated):
    said = verdict(stated)
    ranked = stated.here.ranked()
    assert f"({ranked[0][0]})" in said
    assert f"({ranked[-1][0]})" in said
    assert f"in the middle ({stated.here.middle()[0][0]})" in said
    assert "A well of 1,150 m costs 2.300 MUSD as stated." in said
    assert "lies within them, 17 % below the middle" in said
    low, high = budget_shares()
    assert (round(low, 3), round(high, 3)) == (0.394, 0.474)
    assert "39 % to 47 %" in said


def test_a_cost_outside_all_curves_is_told():
    said = verdict(well_costs(Case.read(TEXT, told={"wells.cost_per_producer": "9 MUSD"})))
    assert "above them all: look at what it rests on" in said
    assert "below them all" in verdict(well_costs(Case.read(TEXT, told={"wells.cost_per_producer": "0.5 MUSD"})))


def test_a_depth_that_no_curve_reaches():
    found = well_costs(Case.read(TEXT, told={"wells.depth": "300 m"}))
    assert "No published curve reaches that depth." in verdict(found)
    assert as_json(found)["least"] is None
    assert "none of them reaches" in cost_by_depth(found).sentence


def test_one_curve_is_no_spread():
    found = well_costs(Case.read(TEXT, told={"wells.depth": "420 m", "wells.cost_per_producer": "0.8 MUSD"}))
    assert "Of published curves only oil-gas-2014 reaches that depth: " in verdict(found)
    assert " times that." in verdict(found)


def test_a_well_that_is_built_up_shows_days_and_parts(built):
    own = cost_per_well(Case.read(BUILT))[0][0]
    assert built.own == pytest.approx(own)
    assert built.slim_hole == pytest.approx(own / 2)
    said = verdict(built)
    assert "built up from days of the rig. It takes the rig 26 days" in said
    assert "Each of 2 slim holes costs" in said
    labels = [row[0] for row in part_rows(built)]
    assert {"days of drilling", "all days", "rig", "bits and mud", "one well"} <= set(labels)


def test_table_has_the_case_at_its_place(stated):
    _, _, *body = rows(stated)
    costs = [float(row[2]) for row in body]
    assert costs == sorted(costs)
    assert [row[0] for row in body].count("> the case") == 1


def test_lines_fit_a_narrow_terminal(built):
    told = list(lines(built, 44))
    assert "  one well: 3.64" in told
    assert max(len(line) for line in told if line.startswith("  ")) <= 44


def test_json_is_plain_and_names_sources(built, stated):
    told = json.loads(json.dumps(as_json(built), allow_nan=False))
    assert told["least"]["cost"] < told["median"]["cost"] < told["most"]["cost"]
    assert sum(told["built_up"]["parts"].values()) == pytest.approx(told["one_well"])
    assert len(told["curves"]) == 8
    assert all(curve["source"] and curve["evidence"] == "recalled" for curve in told["curves"])
    assert as_json(stated)["built_up"] is None


def test_columns_have_units(stated):
    columns = cost_columns(stated)
    assert list(columns)[:2] == ["depth [m]", "vertical-small [USD of 2026]"]
    assert all(len(column) == stated.depth_m.size for column in columns.values())


def test_chart_draws_every_curve_and_the_case(stated, tmp_path):
    chart = cost_by_depth(stated)
    assert set(chart.data["curve"]) == set(curves())
    assert "the diamond is the case's own well, 2.300 MUSD" in chart.sentence
    files = cost_files(stated, str(tmp_path / "cost.svg"), str(tmp_path / "cost.csv"))
    drawn = (tmp_path / "cost.svg").read_text(encoding="utf-8")
    assert len(files) == 2
    assert all(name in drawn for name in (*curves(), "the case"))


def test_labels_keep_clear_of_each_other(stated):
    from geoecon.report.charts.well_costs import GAP, _labels

    drawn = cost_by_depth(stated).data.set_axis(["curve", "of", "depth", "cost"], axis=1)
    heights = _labels(drawn, 4000.0)["beside"].to_numpy()
    assert (np.diff(heights) >= GAP * drawn["cost"].max() * (1 - 1e-9)).all()


def test_other_money_is_not_compared():
    text = TEXT.replace("USD", "EUR").replace('rules = "us-2026"', 'rules = "plain"\nrate = "25 %"')
    text = text.replace('credit = "investment"\ncredit_use = "sold"\nconstruction_begins = 2028\n', "")
    found = well_costs(Case.read(text))
    assert not found.compared
    assert "cannot be compared without a rate of exchange, and none is made up" in verdict(found)
    assert cost_by_depth(found).picture is None
    assert as_json(found)["compared"] is False
    assert as_json(found)["one_well"] == 2.3e6
    assert "Published curves" in "\n".join(lines(found))


def test_a_case_without_a_depth_is_asked_for_it():
    text = TEXT.replace('depth = "1150 m"\n', "")
    with pytest.raises(CaseError, match=r"wells\.depth.*is missing; the cost of a well is compared at its depth"):
        well_costs(Case.read(text))

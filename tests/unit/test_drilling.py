"""Cost of a well from a published curve, how far curves lie apart, and prices of another year."""

import numpy as np
import pytest

from geoecon.errors import TableError
from geoecon.tables import row, table
from geoecon.wells.drilling import FORMS, METRES, cost_curve, curves, price_level, spread


@pytest.mark.parametrize("name", curves())
def test_curve_rises_over_its_depths_and_ends_there(name):
    curve = cost_curve(name)
    depths = np.linspace(curve.from_m, curve.to_m, 200)
    cost = curve.cost(depths)
    assert (cost > 0).all()
    assert (np.diff(cost) > 0).all()
    if row("well_cost_curves", curve=name)["form"] != "points":  # which go up by a step where a casing string is added
        assert (np.diff(cost, n=2) > -1e-3).all(), "the deeper metre costs more"
    outside = np.array([curve.from_m - 0.1, curve.to_m + 0.1, np.nan])
    assert not curve.covers(outside).any()
    assert np.isnan(curve.cost(outside)).all()


def test_curve_in_feet_is_asked_in_metres():
    curve = cost_curve("california-2004")
    feet = 2000 / METRES["ft"]
    assert curve.cost(2000.0) == pytest.approx(0.019069 * feet**2 + 210 * feet + 240785)


def test_shape_is_kept():
    depth = np.array([[1000.0, 2000.0], [3000.0, 9000.0]])
    cost = cost_curve("vertical-large").cost(depth)
    assert cost.shape == (2, 2)
    assert np.isnan(cost).tolist() == [[False, False], [False, True]]


def test_unknown_curve_is_no_curve():
    with pytest.raises(TableError, match="has 0 rows"):
        cost_curve("free")


def test_curves_name_their_source():
    assert len(set(curves())) == len(curves())
    assert all(
        r["source"] and r["evidence"] and float(r["from_m"]) < float(r["to_m"]) for r in table("well_cost_curves")
    )


def test_price_level():
    inflation = np.array([0.0, 0.03])
    assert price_level(2024, 2024, inflation).tolist() == [1.0, 1.0]
    forward = price_level(2009, 2020, inflation)
    assert forward[0] == forward[1] > 1
    assert price_level(2020, 2009, inflation) * forward == pytest.approx(1.0)
    known = max(int(r["year"]) for r in table("price_index"))
    beyond = price_level(2009, known + 5, inflation) / price_level(2009, known, inflation)
    assert beyond == pytest.approx([1.0, 1.03**5])


def test_every_curve_has_an_index_for_its_year():
    for name in curves():
        assert price_level(cost_curve(name).price_year, 2024, np.array([0.0]))[0] > 1


def test_every_form_has_a_curve():
    assert {r["form"] for r in table("well_cost_curves")} == set(FORMS)
    assert {r["curve"] for r in table("well_cost_points")} == {
        r["curve"] for r in table("well_cost_curves") if r["form"] == "points"
    }


def test_points_are_met_and_lines_run_between_them_within_a_number_of_strings():
    cost = cost_curve("predicted-2006").cost
    for r in table("well_cost_points"):
        beyond = float(r["strings"]) > 4 and r["depth_m"] in {"5000", "6000"} and r["cost"] in {"8300000", "12300000"}
        at = float(r["depth_m"]) + (1e-6 if beyond else 0.0)  # just below the shoe of the fewer strings
        assert cost(np.array([at]))[0] == pytest.approx(float(r["cost"]), rel=1e-8)
    assert cost(np.array([2000.0, 5500.0])).tolist() == pytest.approx([2.85e6, 9.0e6])
    assert np.isnan(cost(np.array([1499.0, 10001.0]))).all(), "never beyond its depths"


def test_spread_ranks_curves_that_reach_a_depth():
    found = spread(np.array([450.0, 2000.0, 3500.0]), 2024, np.zeros(1))
    assert found.cost.shape == (len(curves()), 3)
    assert [name for name, _ in found.ranked(0)] == ["oil-gas-2014"]
    assert {name for name, _ in found.ranked(2)} == set(curves()) - {"california-2004"}
    costs = [cost for _, cost in found.ranked(1)]
    assert costs == sorted(costs)
    assert len(costs) == len(curves()) == 8
    names, median = found.middle(1)
    assert median == pytest.approx(float(np.median(found.cost[:, 1])))
    assert names == tuple(name for name, _ in found.ranked(1)[3:5])


def test_spread_of_one_depth_is_that_of_many():
    depths = np.array([800.0, 1500.0, 2500.0])
    together = spread(depths, 2027, np.array([0.02])).cost
    for n, depth in enumerate(depths):
        alone = spread(np.array([depth]), 2027, np.array([0.02])).cost
        assert np.array_equal(alone[:, 0], together[:, n], equal_nan=True)


def test_spread_where_no_curve_reaches():
    found = spread(np.array([300.0]), 2024, np.zeros(1))
    assert found.ranked() == []
    assert found.middle()[0] == ()
    assert np.isnan(found.middle()[1])

"""Cost of a well from a published curve, and prices of another year."""

import numpy as np
import pytest

from geoecon.errors import TableError
from geoecon.tables import table
from geoecon.wells.drilling import METRES, cost_curve, curves, price_level


@pytest.mark.parametrize("name", curves())
def test_curve_rises_over_its_depths_and_ends_there(name):
    curve = cost_curve(name)
    depths = np.linspace(curve.from_m, curve.to_m, 200)
    cost = curve.cost(depths)
    assert (cost > 0).all()
    assert (np.diff(cost) > 0).all()
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

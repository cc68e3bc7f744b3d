"""Laws of layouts, for every fluid that has a table: what a second level and a recuperator can and cannot do."""

from dataclasses import replace

import numpy as np
import pytest

from geoecon.plant.binary import SAME_POWER, CycleTerms
from geoecon.plant.layouts import LAYOUTS

TERMS = CycleTerms(0.82, 0.72, 0.95, 5.0, 18.0, 0.0, 0.015)  # without fans, whose power falls with a smaller condenser
BRINE = np.arange(90.0, 231.0, 5.0)
FLUIDS = ("isobutane", "isopentane", "R245fa", "R134a", "R1234ze(E)")
SEARCH = 2 * SAME_POWER


def run(fluid, layout, air=15.0, **changes):
    return LAYOUTS[layout](fluid, replace(TERMS, layout=layout, **changes))(BRINE, air)


@pytest.mark.parametrize("fluid", FLUIDS)
def test_a_recuperator_gives_no_power_where_brine_may_leave_cold(fluid):
    basic, with_it = run(fluid, "basic", floor_degC=20.0), run(fluid, "recuperated", floor_degC=20.0, recuperator_K=8.0)
    # Where brine leaves as cold as liquid from the pump lets it, that binds like a floor.
    free = basic.injection > 15.0 + TERMS.approach_K + TERMS.pinch_K + 5.0
    assert free.any()
    assert (with_it.net[free] <= basic.net[free] * (1 + SEARCH)).all()
    assert (with_it.injection >= basic.injection - 0.5)[free].all(), "brine leaves no cooler"


@pytest.mark.parametrize("fluid", FLUIDS)
def test_a_recuperator_gives_power_where_the_floor_binds(fluid):
    floor = 85.0
    basic = run(fluid, "basic", floor_degC=floor)
    with_it = run(fluid, "recuperated", floor_degC=floor, recuperator_K=8.0)
    assert (with_it.net >= basic.net * (1 - SEARCH)).all()
    bound = (basic.injection < floor + 0.01) & (floor + 20 < BRINE)
    assert bound.any()
    assert (with_it.net[bound] >= basic.net[bound]).all()
    less_pinch = run(fluid, "recuperated", floor_degC=floor, recuperator_K=4.0)
    assert (less_pinch.net >= with_it.net * (1 - SEARCH)).all(), "a larger recuperator does no harm"


@pytest.mark.parametrize("fluid", FLUIDS)
@pytest.mark.parametrize("floor", [None, 30.0, 80.0])
def test_a_second_level_does_no_harm(fluid, floor):
    basic, dual = run(fluid, "basic", floor_degC=floor), run(fluid, "dual-pressure", floor_degC=floor)
    assert (dual.net >= basic.net * (1 - 1e-3)).all(), "one level alone is among what is tried"
    if floor == 30.0:
        cool = (basic.net > 0) & (basic.evaporating < basic.evaporating.max() - 5)
        assert (dual.net[cool] > 1.03 * basic.net[cool]).all(), "and gives more where brine may leave cold"


@pytest.mark.parametrize("layout", LAYOUTS)
def test_cold_air_hot_brine_and_a_low_floor_do_no_harm(layout):
    least = {"recuperator_K": 8.0} if layout == "recuperated" else {}
    cold, warm = (run("isobutane", layout, air, **least).net for air in (5.0, 25.0))
    assert (cold >= warm).all()
    free, bound = (run("isobutane", layout, floor_degC=floor, **least).net for floor in (40.0, 90.0))
    assert (free >= bound * (1 - 1e-3)).all()
    assert (np.diff(free) >= -1e-3 * free[1:]).all()

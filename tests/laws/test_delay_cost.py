"""Laws of a late start's cost: its causes sum to it, nothing is lost without delay, and later never costs less."""

import numpy as np
from hypothesis import given

from geoecon.studies.delay import ENERGY, SAVED, SERVICE, delay_cost
from tests.laws.strategies import cases, read, same


@given(cases())
def test_causes_sum_to_the_cost(values):
    found = delay_cost(read(values), (1, 6, 12, 29))
    size = found.metrics["capital_cost"][0]
    assert same(sum(found.causes.values()), found.cost, size=size)
    assert all(part[0] == 0 for part in found.causes.values())
    assert (found.causes[ENERGY] >= 0).all()
    assert (found.causes[SAVED] <= 1e-9 * size).all()
    assert (found.causes[SERVICE] == 0).all()
    if found.value == "npv" or "wells.makeup_threshold" not in values:
        assert (np.diff(found.cost) >= -1e-9 * size).all()

"""How cool brine may leave before its silica comes out, with and without steam taken.

Source: the relations of R. O. Fournier (1977) for quartz and amorphous silica (`tables/geothermometers.csv`); the table of limits
was computed from them with another program, and its digits are the tolerance. The trade's rule, cool by no more than 100 to 120 K,
is from memory.
"""

import numpy as np
import pytest

from geoecon.plant.steam import flashed, saturated
from geoecon.resource.silica import quartz_silica, silica_floor

TABLE = [  # water, its silica by quartz, limit without flash, silica and limit after a flash to 100 degC
    (150, 125, 28.5, 138, 34), (160, 147, 37.6, 166, 45), (180, 200, 56.3, 236, 67), (190, 231, 65.9, 279, 79),
    (200, 265, 75.5, 328, 92), (220, 343, 95.2, 447, 118), (250, 487, 125.8, 692, 162),
]  # fmt: skip


@pytest.mark.parametrize(("hot", "silica", "limit", "flashed_silica", "flashed_limit"), TABLE)
def test_limits(hot, silica, limit, flashed_silica, flashed_limit):
    content = quartz_silica(float(hot))
    steam = flashed(saturated(np.array(float(hot))).liquid, np.array(100.0))
    assert content == pytest.approx(silica, abs=0.51)
    assert silica_floor(content) == pytest.approx(limit, abs=0.06)
    assert content / (1 - steam) == pytest.approx(flashed_silica, abs=0.6)
    assert silica_floor(content, steam) == pytest.approx(flashed_limit, abs=0.6)
    assert 100 < hot - silica_floor(content) < 126, "the rule of the trade"


def test_quartz_is_refused_above_250():
    assert np.isnan(quartz_silica(np.array([250.0, 250.1]))).tolist() == [False, True]

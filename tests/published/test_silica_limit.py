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


def test_quartz_is_refused_above_330():
    assert np.isnan(quartz_silica(np.array([330.0, 330.1]))).tolist() == [False, True]


@pytest.mark.parametrize("hot", [260.0, 280.0, 300.0, 330.0])
def test_quartz_of_1982_is_turned_round(hot):
    """The polynomial of R. O. Fournier and R. W. Potter (1982), coefficients as in the table, put back into itself."""
    s = float(quartz_silica(hot))
    back = -42.198 + 0.28831 * s - 3.6686e-4 * s**2 + 3.1665e-7 * s**3 + 77.034 * np.log10(s)
    assert back == pytest.approx(hot, abs=0.01)


def test_hotter_water_never_holds_less_and_little_silica_limits_nothing():
    assert (np.diff(quartz_silica(np.arange(150.0, 331.0))) >= 0).all()
    assert silica_floor(1.0) == 0, "the curve begins at 0 degC"

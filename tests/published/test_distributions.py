"""Closed forms of distributions: triangular, PERT, normal and lognormal, and the adding of percentiles.

Sources: textbook forms, here from memory and recomputed: triangular mean (a+m+b)/3 and variance; PERT as the beta curve
with mean (a+4m+b)/6 and variance (mean-a)(b-mean)/7; lognormal from two percentiles with z = 1.2815515655; Swanson's mean.
scipy.stats is the second opinion.
"""

import numpy as np
import pytest
from scipy import stats

from geoecon.studies.distributions import (
    discrete,
    empirical,
    lognormal,
    lognormal_between,
    normal,
    pert,
    triangular,
    uniform,
)

CHANCES = np.linspace(0.0005, 0.9995, 1999)
FINE = (np.arange(2_000_003) + 0.5) / 2_000_003


def moments(shape):
    values = shape.quantile(FINE)
    return values.mean(), values.var()


def test_triangular_10_12_20():
    assert triangular(10, 12, 20).quantile(np.array([0.1, 0.5, 0.9])) == pytest.approx(
        [11.4142136, 13.6754447, 17.1715729]
    )
    assert moments(triangular(10, 12, 20)) == pytest.approx((14, 4.6666667), rel=1e-6)


def test_pert_10_12_20():
    assert pert(10, 12, 20).quantile(np.array([0.1, 0.5, 0.9])) == pytest.approx([10.8990213, 12.7667226, 15.4533405])
    assert moments(pert(10, 12, 20)) == pytest.approx((13, 3.0), rel=1e-6)
    assert moments(pert(0, 5, 10)) == pytest.approx((5, 25 / 7), rel=1e-6)


def test_lognormal_between_4_and_10():
    shape = lognormal_between(4, 10)
    assert shape.quantile(np.array([0.1, 0.5, 0.9])) == pytest.approx([4, 6.3245553, 10])
    mean, variance = moments(shape)
    assert (mean, np.sqrt(variance)) == pytest.approx((6.7418897, 2.4892725), rel=1e-5)
    swanson = np.array([0.3, 0.4, 0.3]) @ shape.quantile(np.array([0.1, 0.5, 0.9]))
    assert swanson == pytest.approx(6.7298221)


def test_a_yield_exceeded_with_nine_chances_in_ten():
    """Yearly energy 200 GWh, three independent errors of 6, 3 and 2 % combine to 7 % (a wind yield example of 2026)."""
    spread = np.sqrt(0.06**2 + 0.03**2 + 0.02**2)
    assert spread == pytest.approx(0.07)
    assert normal(200, 200 * spread).quantile(np.array([0.1])) == pytest.approx(182.0583, abs=1e-4)
    assert lognormal(200, spread).quantile(np.array([0.1])) == pytest.approx(182.8395, abs=1e-3)


@pytest.mark.parametrize(
    ("ours", "theirs"),
    [
        (triangular(10, 12, 20), stats.triang(0.2, 10, 10)),
        (triangular(10, 10, 20), stats.triang(0.0, 10, 10)),
        (triangular(10, 20, 20), stats.triang(1.0, 10, 10)),
        (pert(10, 12, 20), stats.beta(1.8, 4.2, 10, 10)),
        (uniform(3, 7), stats.uniform(3, 4)),
        (normal(5, 2), stats.norm(5, 2)),
        (normal(5, 2, 4, 8), stats.truncnorm(-0.5, 1.5, 5, 2)),
        (lognormal(3, 0.4), stats.lognorm(0.4, scale=3)),
    ],
)
def test_quantiles_and_chances_are_those_of_a_second_library(ours, theirs):
    values = ours.quantile(CHANCES)
    assert values == pytest.approx(theirs.ppf(CHANCES), rel=1e-9)
    assert ours.chance_below(values) == pytest.approx(CHANCES, abs=1e-9)
    assert (np.diff(values) > 0).all()


def test_a_few_values_come_as_often_as_said():
    shape = discrete(np.array([3.0, 1.0, 2.0]), np.array([0.5, 0.2, 0.3]))
    values, counts = np.unique(shape.quantile(FINE), return_counts=True)
    assert values == pytest.approx([1, 2, 3])
    assert counts / FINE.size == pytest.approx([0.2, 0.3, 0.5], abs=1e-6)
    assert shape.chance_below(np.array([0.5, 1, 2.5, 3])) == pytest.approx([0, 0.2, 0.5, 1])


def test_observed_values_are_joined_by_straight_lines():
    shape = empirical(np.array([30.0, 10.0, 20.0]))
    assert shape.quantile(np.array([0.0, 0.25, 0.5, 1.0])) == pytest.approx([10, 15, 20, 30])
    assert shape.chance_below(np.array([5, 15, 30, 99])) == pytest.approx([0, 0.25, 1, 1])

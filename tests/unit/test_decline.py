"""Decline against its closed forms: flow by Arps, temperature in a straight line."""

import numpy as np
import pytest

from geoecon.resource.decline import DECLINES, cooling, remaining_flow

LOSS, HALF = np.array([0.10]), np.array([0.5])


def means(shape, loss=0.10, exponent=0.5, years=7):
    return remaining_flow(shape, np.array([loss]), np.array([exponent]), years).ravel()


def flow_at(shape, time, loss=LOSS, exponent=HALF, step=1e-5):
    """Remaining flow at a moment, the slope of its integral."""
    after, before = (DECLINES[shape](np.array([[time + s]]), loss, exponent)[0, 0] for s in (step, -step))
    return (after - before) / (2 * step)


@pytest.mark.parametrize("shape", sorted(DECLINES))
def test_ten_per_cent_in_the_first_year_is_the_same_for_every_shape(shape):
    assert flow_at(shape, 1.0) == pytest.approx(0.9, abs=1e-9)
    assert flow_at(shape, 1e-4) == pytest.approx(1.0, abs=2e-5)
    for exponent in (0.05, 0.9):
        assert flow_at(shape, 1.0, exponent=np.array([exponent])) == pytest.approx(0.9, abs=1e-9)


def test_later_years_differ_by_shape():
    tenth = {shape: flow_at(shape, 10.0) for shape in DECLINES}
    assert tenth["exponential"] == pytest.approx(0.9**10, abs=1e-9)
    assert tenth["hyperbolic"] == pytest.approx((1 + 10 * (0.9**-0.5 - 1)) ** -2, abs=1e-9)
    assert tenth["harmonic"] == pytest.approx(1 / (1 + 10 / 9), abs=1e-9)


def test_means_of_years_are_exact_integrals():
    ends = np.arange(8.0)
    assert means("exponential") == pytest.approx(np.diff((1 - 0.9**ends) / -np.log(0.9)))
    rate = 0.1 / 0.9
    assert means("harmonic") == pytest.approx(np.diff(np.log(1 + rate * ends) / rate))
    half = 0.9**-0.5 - 1  # exponent x nominal rate, at an exponent of one half
    assert means("hyperbolic") == pytest.approx(np.diff(ends / (1 + half * ends)))


@pytest.mark.parametrize("shape", sorted(DECLINES))
def test_no_loss_no_decline(shape):
    assert means(shape, loss=0.0).tolist() == [1] * 7


def test_hyperbolic_lies_between_the_other_two():
    assert means("hyperbolic", exponent=0.01) == pytest.approx(means("exponential"), rel=0.01)
    assert means("hyperbolic", exponent=0.99) == pytest.approx(means("harmonic"), rel=0.01)
    assert (means("exponential")[1:] < means("hyperbolic")[1:]).all()
    assert (means("hyperbolic")[1:] < means("harmonic")[1:]).all()


def test_scenarios_have_their_own_loss():
    found = remaining_flow("harmonic", np.array([0.0, 0.1, 0.3]), np.full(3, 0.5), 5)
    assert found.shape == (5, 3)
    for scenario, loss in enumerate((0.0, 0.1, 0.3)):
        assert found[:, scenario] == pytest.approx(means("harmonic", loss=loss, years=5))


def test_cooling_is_the_mean_of_each_year():
    assert cooling(np.array([0.4]), 0, 3).ravel() == pytest.approx([0.2, 0.6, 1.0])
    assert cooling(np.array([0.4, 1.0]), 2, 5) == pytest.approx(
        np.array([[0, 0], [0, 0], [0.2, 0.5], [0.6, 1.5], [1.0, 2.5]])
    )

"""The search along rays: first changes found, whatever lies beyond; toys whose answers are known by hand."""

import numpy as np
import pytest

from geoecon.studies.contours import contour
from geoecon.studies.edges import FINER, PASSES, STEPS, Rays, edges

SMALLEST = 1.0 / STEPS / FINER**PASSES


def rays(*ends, geometric=False):
    start, end = (np.array(part, dtype=float) for part in zip(*ends, strict=True))
    return Rays(start, end, np.full(start.shape, geometric))


def search(margin, *ends, geometric=False):
    return edges(lambda ray, value: margin(value), rays(*ends, geometric=geometric))


def test_a_hump_is_met_where_it_first_is_and_for_as_long_as_it_is():
    """1 - (x - 3)^2 is above zero from 2 to 4 alone."""
    found = search(lambda x: 1 - (x - 3) ** 2, (0, 10), (10, 0))
    assert found.found.all()
    assert not found.met.any()
    assert found.edge == pytest.approx([2, 4], abs=1e-6)
    assert (1 - (found.edge - 3) ** 2 >= 0).all()
    assert 4 - 10 / STEPS <= found.until[0] <= 4
    assert 2 <= found.until[1] <= 2 + 10 / STEPS
    assert found.best == pytest.approx(1, abs=(10 / STEPS) ** 2)


def test_the_last_value_that_meets_is_given_where_it_is_met_at_the_start():
    found = search(lambda x: 4 - x, (1, 9))
    assert found.met.all()
    assert found.edge == pytest.approx([4], abs=1e-6)
    assert found.edge[0] <= 4 < found.outer[0]
    assert np.isposinf(found.until[0])


def test_a_step_is_found_without_a_root():
    found = search(lambda x: np.where(x < np.pi, -1.0, 2.0), (0, 10))
    assert found.inner[0] < np.pi <= found.outer[0]
    assert found.outer[0] - found.inner[0] <= 10 * SMALLEST * 1.01


def test_a_value_that_ends_breaks_the_search():
    """The target is met beyond 6, but between 4 and 5 there is no value."""
    found = search(lambda x: np.where((x > 4) & (x < 5), np.nan, x - 6), (0, 10))
    assert not found.found.any()
    assert found.broken.all()
    assert found.inner[0] == pytest.approx(4, abs=1e-6)
    assert found.inner[0] <= 4
    assert found.best[0] == pytest.approx(-2, abs=10 / STEPS)
    assert found.best_at[0] <= 4


def test_a_start_without_a_value_is_left_behind():
    found = search(lambda x: np.where(x < 3, np.nan, x - 5), (0, 10))
    assert found.found.all()
    assert found.edge == pytest.approx([5], abs=1e-6)
    met_at_once = search(lambda x: np.where(x < 3, np.nan, 1.0), (0, 10))
    assert met_at_once.edge == pytest.approx([3], abs=1e-6)


def test_what_never_changes_says_so():
    found = search(lambda x: np.where(x > 0, -1.0, -1.0), (1, 5), (1, 0.2))
    assert not (found.found | found.broken).any()
    assert found.still.all()
    assert found.inner == pytest.approx([5, 0.2])
    nothing = search(lambda x: np.full(x.shape, np.nan), (1, 5))
    assert np.isnan(nothing.best).all()
    assert not (nothing.found | nothing.broken | nothing.still).any()


def test_equal_factors_and_equal_differences_find_the_same_root():
    for geometric in (False, True):
        assert search(lambda x: x - 2.5, (1, 5), geometric=geometric).edge == pytest.approx([2.5], rel=1e-7)


def test_rays_together_are_what_they_are_alone_in_any_order():
    made = np.random.default_rng(7)
    roots, count = made.uniform(0.2, 9.5, 12), 12
    start, end = np.zeros(count), np.full(count, 10.0)

    def of(order):
        return edges(lambda ray, x: np.sin(x - roots[order][ray]), Rays(start, end, np.zeros(count, dtype=bool)))

    plain, order = of(np.arange(count)), made.permutation(count)
    assert np.array_equal(of(order).edge, plain.edge[order])
    for n, root in enumerate(roots):
        alone = search(lambda x, root=root: np.sin(x - root), (0, 10))
        assert alone.edge[0] == plain.edge[n]


def test_the_number_of_calls_does_not_depend_on_the_number_of_rays():
    for count in (1, 9):
        calls = []
        edges(
            lambda ray, x, calls=calls: (calls.append(len(x)), x - 3)[1],
            Rays(np.zeros(count), np.full(count, 10.0), np.zeros(count, dtype=bool)),
        )
        assert calls == [count * (STEPS + 1)] + [count * (FINER - 1)] * PASSES


def test_lines_of_a_plane_are_straight_and_exact():
    x, y = np.linspace(0, 2, 5), np.linspace(-1, 1, 4)
    pieces = contour(x, y, 2 * x + 3 * y[:, None], 1.3)
    for ends in (pieces[:, :2], pieces[:, 2:]):
        assert 2 * ends[:, 0] + 3 * ends[:, 1] == pytest.approx(1.3, abs=1e-12)
    length = np.hypot(*(pieces[:, 2:] - pieces[:, :2]).T).sum()
    first, last = (
        (2.0, -0.9),
        ((1.3 + 3) / 2, -1.0),
    )  # the line leaves the grid at x = 2, and would at y = -1 only beyond
    assert last[0] > 2
    assert length == pytest.approx(np.hypot(first[0] - 0.0, first[1] - 1.3 / 3))


def test_a_circle_has_its_length():
    axis = np.linspace(-1.5, 1.5, 121)
    pieces = contour(axis, axis, axis**2 + axis[:, None] ** 2, 1.0)
    assert np.hypot(*(pieces[:, 2:] - pieces[:, :2]).T).sum() == pytest.approx(2 * np.pi, rel=1e-3)
    assert np.hypot(pieces[:, 0], pieces[:, 1]) == pytest.approx(1, abs=1e-3)


def test_no_line_runs_where_there_is_no_value():
    x = np.linspace(0, 1, 11)
    values = np.broadcast_to(x, (11, 11)).copy()
    values[5:, :] = np.nan
    pieces = contour(x, x, values, 0.55)
    assert pieces[:, [1, 3]].max() == pytest.approx(0.4)
    assert len(contour(x, x, np.full((11, 11), np.nan), 0.5)) == 0

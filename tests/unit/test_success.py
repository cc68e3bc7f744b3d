"""Chances of success by phase and learning, wells expected and outcomes of drilling, against closed forms and scipy."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from geoecon.wells.counts import count_wells, wells_cost
from geoecon.wells.outcomes import outcomes
from geoecon.wells.success import expected_drilled, failures_at, success_by_well


def one(value):
    return np.array([float(value)])


def learning(settled=0.7, first=0.45, wells=13, exploring=0.59, explored=2, existing=0):
    return success_by_well(one(settled), one(first), wells, one(exploring), explored, existing)


class TestTheSequence:
    """One sequence of phases and learning, which goes on after wells that exist."""

    def test_exploration_comes_first_and_development_rises_in_a_straight_line(self):
        chances = learning(wells=5, explored=2).early[:, 0]
        assert chances == pytest.approx([0.59, 0.59, 0.45, 0.50, 0.55, 0.60, 0.65])

    def test_the_well_after_the_last_that_teaches_has_the_settled_chance(self):
        found = learning(wells=5, explored=2)
        assert found.one_by_one(np.array([6, 7, 500])) == pytest.approx([0.65, 0.70, 0.70])

    @pytest.mark.parametrize("existing", [0, 1, 2, 3, 6, 7, 50])
    def test_wells_that_exist_have_taught(self, existing):
        whole, rest = learning(wells=5), learning(wells=5, existing=existing)
        assert rest.early[:, 0].tolist() == whole.early[existing:, 0].tolist()

    def test_learning_of_no_length_is_none(self):
        assert not success_by_well(one(0.7), one(0.3), 0).early.size
        assert not success_by_well(one(0.7)).early.size


class TestWellsExpected:
    """The mean number drilled until enough succeed."""

    @pytest.mark.parametrize("needed", [0, 1, 5, 40])
    def test_with_one_chance_it_is_that_of_the_negative_binomial(self, needed):
        wells = np.full(3, float(needed))
        chances = np.array([0.25, 0.7, 1.0])
        assert expected_drilled(wells, success_by_well(chances)) == pytest.approx(needed / chances, rel=1e-12)

    @pytest.mark.parametrize("reuse", [0.0, 0.3, 1.0])
    def test_without_learning_wells_and_cost_are_the_formula_to_twelve_digits(self, reuse):
        """(producers + injectors) / success less failed producers reused; cost with dry holes at their share."""
        chances, ones = np.array([0.3, 0.55, 0.97]), np.ones(3)
        found = count_wells(
            130 * ones, 45 * ones, 1, 1, 0, 1.5 * ones, success_by_well(chances), reuse * ones
        )  # fmt: skip
        new, injectors, failed = 3, 3, (1 / chances - 1) * 3
        reused = np.minimum(reuse * failed, injectors)
        assert found.drilled == pytest.approx((new + injectors) / chances - reused, rel=1e-12)
        good = new * 4 + (injectors - reused) * 3
        cost = good + (1 / chances - 1) * 0.8 * (new * 4 + injectors * 3)
        assert wells_cost(found, 4 * ones, 3 * ones, 0.8 * ones) == pytest.approx(cost, rel=1e-12)

    def test_the_same_chance_in_every_phase_is_one_chance(self):
        same = learning(settled=0.6, first=0.6, exploring=0.6)
        assert expected_drilled(one(5), same) == pytest.approx(5 / 0.6, rel=1e-12)

    def test_two_wells_by_hand(self):
        """First 0.5, then 0.75, then 1: one good well takes 1 + 0.5 (1 + 0.25) wells."""
        assert expected_drilled(one(1), success_by_well(one(1.0), one(0.5), 2)) == pytest.approx([1.625])

    @given(st.permutations(range(7)))
    @settings(max_examples=20, deadline=None)
    def test_scenarios_stand_alone_in_any_order(self, order):
        settled, first = np.linspace(0.5, 1.0, 7), np.linspace(0.1, 0.5, 7)
        needed = np.array([1.0, 5, 0, 3, 2, 9, 4])
        whole = expected_drilled(needed, success_by_well(settled, first, 6))
        place = np.array(order)
        mixed = expected_drilled(needed[place], success_by_well(settled[place], first[place], 6))
        assert mixed.tolist() == whole[place].tolist()
        for n in range(7):
            alone = expected_drilled(needed[n : n + 1], success_by_well(settled[n : n + 1], first[n : n + 1], 6))
            assert alone[0] == whole[n]


class TestOutcomes:
    """The exact distribution of wells and their cost."""

    @pytest.mark.parametrize(
        ("producers", "injectors", "chance"), [(1, 0, 0.65), (3, 2, 0.7), (0, 4, 0.3), (12, 8, 0.55)]
    )
    def test_with_one_chance_it_is_the_negative_binomial_of_scipy(self, producers, injectors, chance):
        found, good = outcomes(producers, injectors, success_by_well(one(chance)), 0.0), producers + injectors
        for failed in range(30):
            ours = found.chance[found.drilled == good + failed].sum()
            assert ours == pytest.approx(stats.nbinom.pmf(failed, good, chance), abs=1e-11)

    @pytest.mark.parametrize("success", [success_by_well(one(0.7)), learning(), learning(existing=4)])
    def test_quantiles_are_those_that_draws_of_failures_take(self, success):
        found = outcomes(3, 2, success, 0.0)
        chances = (np.arange(97) + 0.5) / 97
        wide = success_by_well(np.full(97, 0.7))
        wide = type(wide)(np.repeat(success.early, 97, axis=1), np.repeat(success.settled, 97))
        order = np.argsort(found.drilled, kind="stable")
        reached = np.searchsorted(np.cumsum(found.chance[order]), chances)
        assert (found.drilled[order][reached] - 5).tolist() == failures_at(chances, np.full(97, 5.0), wide).tolist()

    @pytest.mark.parametrize("reuse", [0.0, 0.4, 1.0])
    @pytest.mark.parametrize("success", [success_by_well(one(0.7)), learning(), learning(existing=9)])
    def test_chances_sum_to_one(self, success, reuse):
        assert outcomes(4, 3, success, reuse).chance.sum() == pytest.approx(1, abs=1e-9)

    @pytest.mark.parametrize("success", [success_by_well(one(0.6)), learning(), learning(existing=6)])
    def test_means_are_those_of_the_recursion(self, success):
        found = outcomes(4, 3, success, 0.0)
        assert (found.chance * found.drilled).sum() == pytest.approx(expected_drilled(one(7), success)[0], rel=1e-9)
        count = count_wells(one(160), one(40), 0, 0, 0, one(1.5), success, one(0))
        cost = (found.chance * found.cost(4.0, 3.0, 0.8)).sum()
        assert cost == pytest.approx(wells_cost(count, one(4), one(3), one(0.8))[0], rel=1e-9)

    def test_reuse_against_a_second_way(self):
        """Failures of producers are negative binomial, those of use among them binomial, and the rest of the injectors too."""
        producers, injectors, chance, reuse = 2, 2, 0.6, 0.5
        found, expected = outcomes(producers, injectors, success_by_well(one(chance)), reuse), 0.0
        for failed in range(60):
            for useful in range(failed + 1):
                spared = min(useful, injectors)
                likely = stats.nbinom.pmf(failed, producers, chance) * stats.binom.pmf(useful, failed, reuse)
                expected += likely * (producers + failed + (injectors - spared) / chance)
        assert (found.chance * found.drilled).sum() == pytest.approx(expected, rel=1e-9)

    def test_every_outcome_is_paid_for_well_by_well(self):
        found = outcomes(2, 1, success_by_well(one(0.5)), 0.5)
        parts = 2 * 4 + 0.8 * 4 * found.failed_producers + 3 * (1 - found.reused) + 0.8 * 3 * found.failed_injectors
        assert found.cost(4.0, 3.0, 0.8) == pytest.approx(parts)
        assert (found.reused <= np.minimum(found.failed_producers, 1)).all()


SHARES = st.floats(0.1, 1.0)


class TestMoreIsNeverWorse:
    """Laws that hold whatever the chances."""

    @given(low=SHARES, high=SHARES, first=SHARES, wells=st.integers(0, 8), existing=st.integers(0, 9))
    @settings(max_examples=30, deadline=None)
    def test_more_success_never_takes_more_wells(self, low, high, first, wells, existing):
        low, high = sorted((low, high))
        few, many = (
            expected_drilled(one(4), success_by_well(one(s), one(min(first, low)), wells, existing=existing))[0]
            for s in (high, low)
        )
        assert few <= many * (1 + 1e-12)

    @given(settled=SHARES, less=SHARES, more=SHARES, reuse=st.tuples(st.floats(0, 1), st.floats(0, 1)))
    @settings(max_examples=20, deadline=None)
    def test_reuse_never_takes_more_wells(self, settled, less, more, reuse):
        success = success_by_well(one(settled), one(settled * min(less, more)), 3)
        drilled = [
            (found.chance * found.drilled).sum()
            for found in (outcomes(3, 2, success, share) for share in sorted(reuse))
        ]
        assert drilled[1] <= drilled[0] * (1 + 1e-9)

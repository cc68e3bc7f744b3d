"""Spread, ranks and the roll-up of wells, against scipy, closed forms and a published kind of example."""

import math

import numpy as np
import pytest
from scipy import stats

from geoecon.finance.reasons import Reason
from geoecon.result import Metric
from geoecon.studies.distributions import lognormal, uniform
from geoecon.studies.ranks import importance, in_common, ranks, worst_tenth
from geoecon.studies.rollup import roll_up
from geoecon.studies.spread import chance_error, goodness, quantiles, spread


def metric(values, codes=None, unit="USD"):
    values = np.asarray(values, dtype=float)
    codes = np.zeros(values.size, dtype=np.uint8) if codes is None else np.asarray(codes, dtype=np.uint8)
    return Metric(values, unit, "none", "none", codes)


def test_quantiles_are_numpys_where_all_is_finite():
    values = np.random.default_rng(1).normal(size=997)
    chances = np.array([0.05, 0.1, 0.5, 0.9, 0.95])
    assert quantiles(values, chances)[0] == pytest.approx(np.quantile(values, chances), rel=1e-14)


def test_draws_without_a_value_count_as_worst():
    """Three of ten draws fail: nothing is reached with 9 chances in 10; an even chance is the sixth worst of ten."""
    codes = [Reason.NOT_FEASIBLE] * 3 + [0] * 7
    found = spread("npv", metric([np.nan] * 3 + [1, 2, 3, 4, 5, 6, 7], codes))
    assert (found.missing, found.at_most, math.isnan(found.reached[0])) == (3, False, True)
    assert found.reached[1:] == pytest.approx([2.5, 6.1])
    cost = spread("lcoe_real", metric([np.nan] * 3 + [1, 2, 3, 4, 5, 6, 7], codes))
    assert (cost.at_most, math.isnan(cost.reached[0])) == (True, True)
    assert cost.reached[1:] == pytest.approx([5.5, 1.9])


def test_a_price_of_zero_that_pays_counts_as_best():
    codes = [Reason.ANY_PRICE_PAYS, Reason.NO_PRICE_IN_REACH, 0]
    assert goodness("required_price", metric([np.nan, np.nan, 80.0], codes)).tolist() == [np.inf, -np.inf, -80.0]


def test_no_value_at_all_gives_the_commonest_reason():
    codes = [Reason.NOT_FEASIBLE, Reason.NO_DEBT, Reason.NO_DEBT]
    assert spread("dscr_min", metric([np.nan] * 3, codes)).reason == Reason.NO_DEBT.words


def test_the_error_of_a_quantile_is_about_right():
    """For n draws the standard error of a quantile is sqrt(p (1 - p) / n) / density: here of the normal median."""
    errors = [quantiles(np.random.default_rng(n).normal(size=4000), np.array([0.5]))[1][0] for n in range(40)]
    exact = 0.5 / math.sqrt(4000) * math.sqrt(2 * math.pi)
    assert float(np.mean(errors)) == pytest.approx(exact, rel=0.12)
    assert np.isnan(quantiles(np.arange(19.0), np.array([0.5]))[1][0])


def test_the_error_of_a_chance_is_that_of_a_share():
    rng = np.random.default_rng(4)
    seen = (rng.random((3000, 400)) < 0.2).mean(axis=1).std()
    assert chance_error(0.2, 400) == pytest.approx(seen, rel=0.05)
    assert chance_error(0.0, 400) == 0.0


def test_ranks_are_scipys():
    values = np.random.default_rng(2).integers(0, 40, 300).astype(float)
    values[:5] = -np.inf
    assert np.array_equal(ranks(values), stats.rankdata(values))


def test_rank_correlation_is_scipys():
    rng = np.random.default_rng(3)
    inputs = {"a": rng.normal(size=500), "b": rng.normal(size=500), "still": np.ones(500)}
    figure = np.exp(inputs["a"]) - 0.4 * inputs["b"]
    found = {one.path: one for one in importance(inputs, figure)}
    assert list(found) == ["a", "b"]
    for path, one in found.items():
        assert one.rank_correlation == pytest.approx(stats.spearmanr(inputs[path], figure).statistic, rel=1e-12)
    table = np.column_stack([stats.zscore(stats.rankdata(inputs[path])) for path in ("a", "b")])
    weights = np.linalg.lstsq(table, stats.zscore(stats.rankdata(figure)), rcond=None)[0]
    assert [found[path].weight for path in ("a", "b")] == pytest.approx(weights, rel=1e-10)
    assert importance(inputs, np.ones(500)) == ()


def test_what_a_known_tenth_has_in_common():
    """Value is the input itself: its worst tenth are its lowest draws, of mean cumulative chance 5 %."""
    rng = np.random.default_rng(6)
    inputs = {"aside": rng.random(1000), "cause": rng.permutation((np.arange(1000) + 0.5) / 1000)}
    first, second = in_common(inputs, inputs["cause"])
    assert (first.path, second.path) == ("cause", "aside")
    assert first.chance_bad == pytest.approx(0.05)
    assert (first.median, first.median_bad) == pytest.approx((0.5, 0.05))
    assert second.chance_bad == pytest.approx(0.5, abs=4 * math.sqrt(1 / 12 / 100))
    assert np.array_equal(np.sort(worst_tenth(inputs["cause"])), np.flatnonzero(inputs["cause"] < 0.1))


def test_four_wells_do_not_add_up():
    """Lognormal, median 1, log deviation 0.5; the sums were simulated once apart: 3.14 and 6.11, to +-0.01."""
    found = roll_up(lognormal(1.0, 0.5), 4, 0.0, 400_000, 1)
    low, high = math.exp(-0.5 * 1.2815515655446004), math.exp(0.5 * 1.2815515655446004)
    assert found.single == pytest.approx([low, 1.0, high], rel=1e-9)
    assert found.single[0] == pytest.approx(0.527, abs=5e-4)
    assert found.added[[0, 2]] == pytest.approx([2.11, 7.59], abs=5e-3)
    assert found.together[[0, 2]] == pytest.approx([3.14, 6.11], abs=0.02)
    plain = np.random.default_rng(9).lognormal(0.0, 0.5, (400_000, 4)).sum(axis=1)
    assert (np.abs(found.together - np.quantile(plain, [0.1, 0.5, 0.9])) <= 4 * np.sqrt(2) * found.error + 1e-3).all()


def test_wells_all_alike_do_add_up():
    found = roll_up(uniform(10.0, 20.0), 3, 1.0, 20_000, 1)
    assert found.together == pytest.approx(found.added, rel=1e-3)


def test_wells_partly_alike_lie_between():
    alone, partly, alike = (roll_up(lognormal(1.0, 0.5), 4, common, 50_000, 1).together for common in (0.0, 0.5, 1.0))
    assert alone[0] > partly[0] > alike[0]
    assert alone[2] < partly[2] < alike[2]

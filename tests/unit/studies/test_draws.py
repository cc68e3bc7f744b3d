"""Draws: streams keyed by path, even spread, correlation as stated, means of wells; nothing depends on company or order."""

import numpy as np
import pytest
from scipy import stats

from geoecon.case.uncertainty import Correlation, latent_correlation, possible_share
from geoecon.errors import CaseError
from geoecon.studies.draws import MOST_DRAWS, draw, streams
from geoecon.studies.uncertain import uncertain_inputs

PATHS = ("resource.temperature", "wells.flow_per_producer", "plant.cost_per_kw")


@pytest.mark.parametrize("sampler", ["plain", "latin", "sobol"])
class TestStreams:
    """The chances of one input."""

    def test_another_input_leaves_the_others_as_they_were(self, sampler):
        three = streams(7, PATHS, 997, sampler)
        two = streams(7, PATHS[::2], 997, sampler)
        assert all((three[path] == two[path]).all() for path in PATHS[::2])

    def test_each_path_and_each_seed_has_its_own(self, sampler):
        one, other = streams(0, PATHS, 1024, sampler), streams(1, PATHS, 1024, sampler)
        assert not (one[PATHS[0]] == other[PATHS[0]]).any()
        for path in PATHS[1:]:
            assert abs(stats.spearmanr(one[PATHS[0]], one[path])[0]) < 4 / np.sqrt(1024)

    def test_they_are_even_between_0_and_1(self, sampler):
        for chances in streams(3, PATHS, 4096, sampler).values():
            assert (chances > 0).all()
            assert (chances < 1).all()
            assert stats.kstest(chances, "uniform").pvalue > 1e-3


def test_latin_draws_fall_once_into_each_part():
    chances = streams(5, PATHS, 1001, "latin")[PATHS[0]]
    assert (np.sort((chances * 1001).astype(int)) == np.arange(1001)).all()


def test_sobol_fills_the_cells_of_two_inputs_evenly():
    both = streams(5, PATHS[:2], 4096, "sobol")
    counts = np.histogram2d(both[PATHS[0]], both[PATHS[1]], bins=8, range=[[0, 1], [0, 1]])[0]
    assert (counts == 64).all()


@pytest.mark.parametrize("sampler", ["plain", "latin", "sobol"])
@pytest.mark.parametrize("rank", [-0.95, -0.3, 0.6, 1.0])
def test_rank_correlation_is_the_one_stated(example, sampler, rank):
    case = example("sorrel-basin")
    pair = Correlation(paths=PATHS[:2], rank=rank)
    drawn = draw(uncertain_inputs(case), 16384, 2, sampler, [pair])
    assert stats.spearmanr(drawn.values[PATHS[0]], drawn.values[PATHS[1]])[0] == pytest.approx(rank, abs=0.02)


def test_correlation_moves_only_the_inputs_it_names_and_keeps_their_distributions(example):
    case = example("sorrel-basin")
    uncertain = uncertain_inputs(case)
    apart = draw(uncertain, 20000, 2)
    coupled = draw(uncertain, 20000, 2, correlation=[Correlation(paths=PATHS[:2], rank=0.7)])
    for path in uncertain:
        if path not in PATHS[:2]:
            assert (apart.values[path] == coupled.values[path]).all()
    for path in PATHS[:2]:
        quantiles = np.quantile(coupled.values[path], [0.1, 0.5, 0.9])
        assert quantiles == pytest.approx([uncertain[path].quantile(c) for c in (0.1, 0.5, 0.9)], rel=0.01)


def test_correlations_that_cannot_hold_together_are_found():
    """Three inputs, each pair at -0.9: at most -1/2 each could hold (the least of equal correlations is -1/(n-1))."""
    pairs = [Correlation(paths=two, rank=-0.9) for two in (("a", "b"), ("b", "c"), ("a", "c"))]
    matrix = latent_correlation(["a", "b", "c"], pairs)
    share = possible_share(matrix)
    assert share * matrix[0, 1] == pytest.approx(-0.5)
    assert possible_share(latent_correlation(["a", "b"], pairs[:1])) == 1


class TestMeanOfWells:
    """An input of wells that share a part of their variance."""

    def test_wells_that_share_nothing_scatter_less(self, example):
        """Four like wells apart from each other: the deviation of their mean is half that of one."""
        alike, apart = (self.flows(example, common, 4) for common in ("1", "0"))
        assert np.log(alike).std() == pytest.approx(np.log(1.3), rel=0.02)
        assert apart.std() == pytest.approx(alike.std() / 2, rel=0.03)
        assert apart.mean() == pytest.approx(alike.mean(), rel=0.01)

    def test_one_well_has_nothing_to_share(self, example):
        assert self.flows(example, "0", 1) == pytest.approx(self.flows(example, "1", 1))

    def flows(self, example, common, wells):
        file = example("sorrel-basin").to_toml().replace("factor = 1.3", f"factor = 1.3\ncommon = {common}")
        case = type(example("sorrel-basin")).read(file)
        return draw(uncertain_inputs(case), 40000, 3, "plain", wells=wells).values[PATHS[1]]


def test_part_of_the_draws_is_a_slice_of_them(example):
    whole = draw(uncertain_inputs(example("ambry-wells")), 101, 1)
    part = whole.part(13, 30)
    assert part.size == 17
    assert all((part.values[path] == whole.values[path][13:30]).all() for path in whole.values)
    assert (part.drilling == whole.drilling[13:30]).all()


@pytest.mark.parametrize(
    ("size", "sampler", "words"),
    [
        (10**9, "latin", "outside 1 to"),
        (0, "latin", "outside 1 to"),
        (MOST_DRAWS + 1, "plain", "outside 1 to"),
        (10, "dice", "is not one of: latin, sobol, plain"),
    ],
)
def test_what_cannot_be_drawn_is_said(example, size, sampler, words):
    with pytest.raises(CaseError, match=words):
        draw(uncertain_inputs(example("dunmarrow")), size, 1, sampler)

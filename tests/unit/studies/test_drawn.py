"""A pass with drawn values: the plant as ordered, wells that fail counted out, every scenario as if it were alone."""

import numpy as np
import pytest
from scipy import stats

from geoecon.engine import evaluate
from geoecon.sizing import size
from geoecon.studies.drawn import Order, order
from geoecon.studies.draws import draw
from geoecon.studies.uncertain import uncertain_inputs
from geoecon.wells.success import failures_at, success_by_well

SHOWN = ("net_capacity", "wells_drilled", "first_year_energy", "capital_cost", "required_price", "npv_equity")


def test_without_other_values_it_is_the_pass_itself(every_example):
    alone, drawn = evaluate(every_example), order(every_example, {}).evaluate({})
    for key, metric in alone.metrics.items():
        assert drawn.metrics[key].values == pytest.approx(metric.values, abs=0, rel=1e-12, nan_ok=True), key


def test_a_drawn_scenario_is_the_same_alone_and_among_others(example):
    case = example("sorrel-basin")
    uncertain = uncertain_inputs(case)
    drawn, ordered = draw(uncertain, 7, 11), order(case, uncertain)
    together = ordered.evaluate(drawn.values, drawn.drilling)
    for n in range(7):
        part = drawn.part(n, n + 1)
        alone = ordered.evaluate(part.values, part.drilling)
        for key in SHOWN:
            assert alone.metrics[key].values[0] == together.metrics[key].values[n], key


class TestThePlantAsOrdered:
    """What is known when the plant is ordered, and what is not."""

    def test_a_poor_field_costs_energy_and_not_capacity(self, example):
        poor = self.pass_with(example, "resource.temperature", 150.0)
        base = evaluate(example("sorrel-basin"))
        assert poor.metrics["producers"].values == base.metrics["producers"].values
        assert poor.metrics["first_year_energy"].values < base.metrics["first_year_energy"].values
        assert poor.held

    def test_what_is_known_before_sizes_the_plant(self, example):
        case, path = example("sorrel-basin"), "resource.temperature"
        known = Order(case, frozenset([path])).evaluate({path: np.array([150.0])})
        afresh = evaluate(case.with_values({path: np.array([150.0])}))
        for key in SHOWN:
            assert known.metrics[key].values == afresh.metrics[key].values, key

    def test_with_resize_every_scenario_is_sized_for_itself(self, example):
        case, path = example("sorrel-basin"), "resource.temperature"
        afresh = evaluate(case.with_values({path: np.array([150.0])}))
        resized = Order(case, frozenset(), resize=True).evaluate({path: np.array([150.0])})
        assert resized.metrics["producers"].values == afresh.metrics["producers"].values

    def pass_with(self, example, path, value):
        return Order(example("sorrel-basin"), frozenset()).evaluate({path: np.array([value])})


class TestWellsThatFail:
    """Dry holes are counted, not averaged."""

    @pytest.mark.parametrize(("needed", "success"), [(1, 0.65), (5, 0.7), (12, 0.25), (3, 1.0), (8, 0.95)])
    def test_the_number_that_fails_is_that_of_a_second_library(self, needed, success):
        chances = (np.arange(997) + 0.5) / 997
        ours = failures_at(chances, np.full(997, float(needed)), success_by_well(np.full(997, success)))
        assert (ours == stats.nbinom.ppf(chances, needed, success)).all()

    def test_none_fails_where_none_is_needed(self):
        assert failures_at(np.array([0.999]), np.array([0.0]), success_by_well(np.array([0.3]))) == 0

    def test_drilled_wells_are_whole_and_expected_as_a_single_pass_says(self, example):
        case = example("ambry-wells")
        chances = (np.arange(4001) + 0.5) / 4001
        drilled = (
            order(case, {}).evaluate({"market.price": np.full(4001, 90.0)}, chances).metrics["wells_drilled"].values
        )
        assert drilled == pytest.approx(np.round(drilled))
        assert drilled.mean() == pytest.approx(evaluate(case).value("wells_drilled"), rel=0.01)

    def test_failed_wells_cost_what_they_cost(self, example):
        """Capital goes up in a straight line with the number of wells drilled: every dry hole costs the same."""
        case = example("ambry-wells")
        chances = np.array([0.05, 0.3, 0.6, 0.9, 0.99])
        found = order(case, {}).evaluate({"market.price": np.full(5, 90.0)}, chances).metrics
        drilled, capital = found["wells_drilled"].values, found["capital_cost"].values
        slope, start = np.polyfit(drilled, capital, 1)
        assert slope > 0
        assert start + slope * drilled == pytest.approx(capital, rel=1e-9)

    def test_make_up_wells_keep_their_chance(self, example):
        case = example("ambry-wells")
        found = order(case, {}).evaluate({"market.price": np.full(2, 90.0)}, np.array([0.05, 0.95])).annual
        sustained = found["sustaining_capital"]
        assert (sustained[:, 0] == sustained[:, 1]).all()


def test_a_held_design_drills_as_it_turns_out(example):
    case = example("ambry-wells")
    design = size(case)
    worse = evaluate(case.with_values({"wells.success": 0.5}), design)
    assert worse.value("wells_drilled") == pytest.approx(
        evaluate(case.with_values({"wells.success": 0.5})).value("wells_drilled")
    )

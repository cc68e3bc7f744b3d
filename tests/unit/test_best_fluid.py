"""`plant.fluid = "best"`: never worse than any, told beside all others, chosen scenario by scenario, held with a design."""

from pathlib import Path

import numpy as np
import pytest

import geoecon
from geoecon.errors import CaseError
from geoecon.plant.chosen import ChosenPlant
from geoecon.plant.fluids import fluid_names, inventory_kg, ranking
from geoecon.report.explain.walk import explain
from geoecon.report.plant import fluid_lines, plant_lines
from geoecon.sizing import size

CASES = Path(geoecon.__file__).parents[1] / "cases"
FREE = {"plant.off_design": "re-optimised"}
BEST = {"plant.fluid": "best"}
THRESHOLD_KG = 4535.9


@pytest.fixture(scope="module")
def fen():
    """As built, cooled by air, at 116 degC."""
    return geoecon.load_case(CASES / "harrow-fen.toml").with_texts(BEST)


@pytest.fixture(scope="module")
def result(fen):
    return geoecon.evaluate(fen, unsolved="raise")


# Temperatures at which several fluids are best, and as many climates.
MIXED = {
    "resource.temperature": np.array([90.0, 104.0, 118.0]),
    "site.air_temperature_offset": np.array([0.0, 3.0, -2.0]),
}


def test_no_fluid_gives_more(fen, result):
    """Each fluid stated by itself takes at least as much brine for the capacity, by as much as the ranking says."""
    ranked = list(result.fluids.in_order())
    assert {r.fluid for r in ranked} | set(result.fluids.without()) == set(fluid_names())
    assert [r.unit_net for r in ranked] == sorted((r.unit_net for r in ranked), reverse=True)
    for r in ranked:
        alone = size(fen.with_texts({"plant.fluid": r.fluid}))
        assert alone.brine_flow[0] == r.brine >= result.value("brine_flow")
        assert alone.net_kw[0] / alone.brine_flow[0] == r.unit_net


def test_the_best_is_the_plant_with_that_fluid(fen, result):
    """To the last bit, and as built."""
    taken = result.fluids.chosen()
    named = geoecon.evaluate(fen.with_texts({"plant.fluid": taken}))
    for name, metric in result.metrics.items():
        assert np.array_equal(metric.values, named.metrics[name].values, equal_nan=True), name
    assert result.as_json()["fluids"]["taken"] == taken
    assert {"plant.fluid: taken": taken}.items() <= {a.path: a.value for a in result.assumptions}.items()


@pytest.mark.parametrize("off_design", ["built", "re-optimised"])
def test_each_scenario_chooses_for_itself(fen, off_design):
    """Alone as among others, to the last bit, with as many fluids as there are."""
    case = fen.with_texts({"plant.off_design": off_design})
    many = case.with_values(MIXED)
    assert isinstance(size(many).plant, ChosenPlant)
    together = geoecon.evaluate(many)
    for k in (0, 2):
        alone = geoecon.evaluate(case.with_values({path: value[k : k + 1] for path, value in MIXED.items()}))
        for name in ("brine_flow", "first_year_energy", "lifetime_energy", "summer_capacity", "lcoe_real"):
            assert together.metrics[name].values[k] == alone.metrics[name].values[0], name


def test_a_held_design_keeps_its_fluid(fen):
    """The fluid is chosen when the plant is ordered; a field that turns out otherwise meets the plant as it is."""
    design = size(fen)
    held = geoecon.evaluate(fen.with_values(MIXED), design)
    other = fen.with_texts({"plant.fluid": design.fluids.chosen()})
    named = geoecon.evaluate(other.with_values(MIXED), size(other))
    assert held.fluids.chosen() == design.fluids.chosen()
    assert np.array_equal(held.metrics["first_year_energy"].values, named.metrics["first_year_energy"].values)


def test_words_say_which_by_how_much_and_what_burns(fen, result):
    first, second, others, *_ = fluid_lines(result)
    ranked = list(result.fluids.in_order())
    assert first.label == ranked[0].fluid
    assert f"{(ranked[0].unit_net / ranked[1].unit_net - 1) * 100:.1f} % more than {ranked[1].fluid}" in first.basis
    assert "less than the best" in second.basis
    assert others.basis.startswith(f"{ranked[2].fluid} {-ranked[2].behind * 100:.1f} %, ")
    store = next(line for line in plant_lines(result) if line.label == "Fluid in the plant")
    assert "not flammable" in store.basis
    assert "10,000 lb" not in store.basis
    large = geoecon.evaluate(fen.with_texts({"plant.fluid": "isopentane"}))
    store = next(line for line in plant_lines(large) if line.label == "Fluid in the plant")
    assert (inventory_kg(1000 * large.value("gross_capacity")) > THRESHOLD_KG) == ("above the 10,000 lb" in store.basis)
    assert "local codes decide" in store.basis


def test_explanations_lead_to_the_fluid(result):
    rests_on = explain(result, "gross_capacity").as_json()
    assert "plant.fluid: taken" in str(rests_on)


def test_a_fluid_without_a_solution_is_left_out():
    found = ranking(("a", "b", "c"), *([np.array([x, y]) for x, y in rows] for rows in (
        ((5.0, 0.0), (-1.0, 0.0), (6.0, np.nan)), ((1.0, 1.0),) * 3, ((7.0, 7.0),) * 3)))  # fmt: skip
    assert found.which.tolist() == [2, 0]
    assert found.without() == ("b",)
    assert found.without(1) == ("a", "b", "c")
    assert found.chosen() == "a in 1 of 2 scenarios, c in 1 of 2 scenarios"


@pytest.mark.parametrize(
    ("texts", "path", "words"),
    [
        ({"plant.evaporating_temperature": "200 degC"}, "plant.evaporating_temperature", "no working fluid boils"),
        ({"resource.temperature": "80 degC", "plant.pinch": "40 K", "plant.condenser_approach": "60 K"}, "plant.fluid",
         "no working fluid makes power"),
    ],
)  # fmt: skip
def test_no_fluid_with_a_solution_says_what_to_do(fen, texts, path, words):
    with pytest.raises(CaseError) as raised:
        geoecon.evaluate(fen.with_texts(FREE | texts), unsolved="raise")
    assert any(fault.path == path and words in fault.message for fault in raised.value.faults)


@pytest.mark.parametrize("name", ["pell-crossing", "tessel-ridge"])
def test_the_best_fluid_is_that_of_a_plant_that_is_worked_out(name):
    """Not of a vendor's table, nor of a plant that is stated."""
    with pytest.raises(CaseError, match="only for binary plants that are worked out"):
        geoecon.load_case(CASES / f"{name}.toml").with_texts(BEST)

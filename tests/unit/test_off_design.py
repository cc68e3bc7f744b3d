"""The plant as built in a case: its fields move the answer, and are refused where they say nothing."""

import numpy as np
import pytest

import geoecon
from geoecon.errors import CaseError
from geoecon.plant.designed import BuiltPlant
from geoecon.sizing import size

SORREL = geoecon.shipped_case("sorrel-basin")
TESSEL = geoecon.shipped_case("tessel-ridge")


@pytest.fixture(scope="module")
def result():
    return geoecon.evaluate(geoecon.load_case(SORREL))


def changed(**texts):
    return geoecon.evaluate(geoecon.load_case(SORREL, {f"plant.{name}": text for name, text in texts.items()}))


@pytest.mark.parametrize("texts", [
    {"off_design": "re-optimised"},
    {"fan_speed": "variable"},
    {"least_condensing_pressure": "1.1 bara"},
    {"least_condensing_pressure": "0.2 barg"},
    {"generator_limit": "102 %"},
], ids=str)  # fmt: skip
def test_a_field_moves_energy_and_nothing_of_the_design(result, texts):
    other = changed(**texts)
    assert abs(other.value("lifetime_energy") / result.value("lifetime_energy") - 1) > 1e-6
    for name in ("brine_flow", "gross_capacity", "plant_net_capacity", "injection_temperature", "capital_cost"):
        assert other.value(name) == pytest.approx(result.value(name), rel=1e-12), name


def test_variable_fans_never_cost_energy_and_limits_never_give_any(result):
    assert changed(fan_speed="variable").value("lifetime_energy") > result.value("lifetime_energy")
    assert changed(generator_limit="102 %").value("lifetime_energy") < result.value("lifetime_energy")


def test_the_design_point_is_that_of_the_best_cycle(result):
    """In a month as warm as the design air the plant makes its capacity."""
    mean = float(size(geoecon.load_case(SORREL)).plant.air[0])
    months = "[" + ", ".join(f'"{mean!r} degC"' for _ in range(12)) + "]"
    level = geoecon.evaluate(geoecon.load_case(SORREL, {"site.air_temperature": months}))
    assert float(level.ledger["weather"][0]) == pytest.approx(0.0, abs=1e-6 * float(level.ledger["gross_at_design"][0]))
    assert level.value("summer_capacity") == pytest.approx(level.value("net_capacity"), rel=1e-9)


def test_hot_months_cost_a_built_plant_more_and_cold_ones_give_it_less(result):
    best = changed(off_design="re-optimised")
    assert result.value("summer_capacity") < best.value("summer_capacity")
    cold = geoecon.load_case(SORREL).with_values({"site.air_temperature_offset": np.array([-8.0])})
    free = geoecon.load_case(SORREL, {"plant.off_design": "re-optimised", "plant.output_limit": "3"})
    free = free.with_values({"site.air_temperature_offset": np.array([-8.0])})
    ours = geoecon.evaluate(cold.with_texts({"plant.output_limit": "3"}))
    assert ours.value("first_year_energy") < geoecon.evaluate(free).value("first_year_energy")


def test_the_warning_stands_only_where_it_holds(result):
    words = "the cycle is the best one at every temperature"
    assert not any(words in warning for warning in result.warnings)
    assert any(words in warning for warning in changed(off_design="re-optimised").warnings)


def test_a_held_plant_stays_as_it_was_ordered():
    """A cooler field than ordered for: the hardware of the order, not that of the cooler field."""
    case = geoecon.load_case(SORREL)
    design = size(case)
    assert isinstance(design.plant, BuiltPlant)
    cooler = case.with_values({"resource.temperature": np.array([148.0, 158.0])})
    held = geoecon.evaluate(cooler, design).metrics["lifetime_energy"].values
    assert held[1] == pytest.approx(geoecon.evaluate(case).value("lifetime_energy"), rel=1e-12)
    assert held[0] < held[1]


@pytest.mark.parametrize(("file", "texts", "said"), [
    (TESSEL, {"plant.fan_speed": "variable"}, 'is only for kind = "binary"'),
    (TESSEL, {"plant.generator_limit": "110 %"}, 'is only for kind = "binary"'),
    (TESSEL, {"plant.off_design": "re-optimised"}, 'is only for kind = "binary"'),
    (SORREL, {"plant.off_design": "re-optimised", "plant.fan_speed": "variable"}, 'say off_design = "built"'),
    (SORREL, {"plant.off_design": "re-optimised", "plant.least_condensing_pressure": "1.1 bara"}, "is not used"),
])  # fmt: skip
def test_what_says_nothing_is_refused(file, texts, said):
    with pytest.raises(CaseError, match=said):
        geoecon.load_case(file, texts)


def test_what_is_assumed_of_it_is_listed(result):
    listed = {a.path for a in result.assumptions}
    assert {"plant.off_design", "plant.fan_speed"} <= listed
    assert "plant.fan_speed" not in {a.path for a in geoecon.evaluate(geoecon.load_case(TESSEL)).assumptions}

"""A plant with a wet tower: what it is cooled by, the water it takes and what that costs, and what it asks of a case."""

from pathlib import Path

import numpy as np
import pytest

import geoecon
from geoecon.errors import CaseError
from geoecon.plant.layouts import LAYOUTS
from geoecon.preparing.climate import design_air, design_sink, monthly_air, monthly_sink, sink_in_parts, tower
from geoecon.preparing.plants import cycle_terms
from geoecon.report.plant import plant_lines
from geoecon.sizing import size
from geoecon.watering import heat_rejected

SORREL = Path(geoecon.__file__).parents[1] / "cases" / "sorrel-basin.toml"
FREE = {"plant.off_design": "re-optimised"}
WET = {"plant.cooling": "wet", "site.relative_humidity": "45 %"}


@pytest.fixture(scope="module")
def air():
    return geoecon.load_case(SORREL).with_texts(FREE)


@pytest.fixture(scope="module")
def wet(air):
    return air.with_texts(WET | {"operation.water_cost": "2 USD/m3", "site.daily_swing": "14 K"})


@pytest.fixture(scope="module")
def result(wet):
    return geoecon.evaluate(wet, unsolved="raise")


def test_a_tower_is_never_warmer_than_air(wet):
    """Above freezing, and at every hour; a swing of the air moves the wet bulb less."""
    assert (design_sink(wet) < design_air(wet)).all()
    assert (monthly_sink(wet) <= np.maximum(monthly_air(wet), 0.0)).all()
    damp = wet.with_texts({"site.relative_humidity": "100 %"})
    assert monthly_sink(damp) == pytest.approx(np.maximum(monthly_air(damp), 0.0))
    assert np.ptp(sink_in_parts(wet), axis=1).max() < 14


def test_cooler_than_air_at_the_same_approach_gives_more(air, wet):
    """Tower and condenser together as far above the wet bulb as the air-cooled condenser above the air."""
    same = wet.with_texts(
        {"plant.tower_approach": "6 K", "plant.tower_fan_power": "0 %", "plant.tower_pump_head": "0 m"}
    )
    free = air.with_texts({"plant.fan_power": "0 %"})
    assert tower(same).above_wet_bulb == cycle_terms(free).approach_K == 18.0
    assert size(same).brine_flow < size(free).brine_flow


def test_heat_of_the_tower_closes_the_balance_of_the_cycle(wet):
    """As the cycle itself has it, which the map does not keep; within what reading between points of the map leaves."""
    design, terms = size(wet), cycle_terms(wet)
    cycle = LAYOUTS["basic"]("isopentane", terms)(design.inlet, float(design_sink(wet)[0]))
    assert heat_rejected(wet, design) == pytest.approx(cycle.heat_out * design.brine_flow, rel=2e-3)


def test_water_goes_with_heat_and_is_paid_for(wet, result):
    """Some 10 to 17 m3 for each MWh: 2,700 to 4,500 gallons, as binary plants with towers are said to take (recalled)."""
    design, first = size(wet), result.build_years
    each = result.water.per_net_mwh[0]
    assert each == pytest.approx(heat_rejected(wet, design)[0] * tower(wet).makeup * 3.6e3 / design.net_kw[0])
    assert 10 < each < 17
    gross = result.annual["gross_energy"][first:]
    assert result.water.by_year / gross == pytest.approx(each * design.net_kw[0] / design.gross_kw[0])
    paid = result.operating_accounts["water"][first:] / result.index[first:]
    assert paid == pytest.approx(2 * result.water.by_year)
    assert result.as_json()["water"]["makeup_m3_per_mwh"] == each
    assert any(line.label == "Make-up water" for line in plant_lines(result))


def test_dry_air_and_few_cycles(wet):
    """Dry air cools more; fewer cycles let more water out and change nothing else."""
    dry, hard = wet.with_texts({"site.relative_humidity": "20 %"}), wet.with_texts({"plant.tower_cycles": "2"})
    assert size(dry).brine_flow < size(wet).brine_flow
    assert size(hard).brine_flow == size(wet).brine_flow
    assert tower(hard).makeup == pytest.approx(1.5 * tower(wet).makeup)


@pytest.mark.parametrize(
    ("texts", "path", "words"),
    [
        ({"plant.cooling": "wet"}, "site.relative_humidity", "is missing"),
        (WET | {"site.relative_humidity": "120 %"}, "site.relative_humidity", "outside 5 % to 100 %"),
        (WET | {"plant.condenser_approach": "15 K"}, "plant.condenser_approach", 'say cooling = "air"'),
        ({"plant.tower_cycles": "3"}, "plant.tower_cycles", 'say cooling = "wet"'),
        ({"operation.water_cost": "2 USD/m3"}, "operation.water_cost", "buys nothing"),
        (WET | {"plant.off_design": "built", "plant.fan_speed": "variable"}, "plant.fan_speed", 'cooling = "air"'),
    ],
)
def test_what_does_not_go_together_is_told(air, texts, path, words):
    with pytest.raises(CaseError) as raised:
        air.with_texts(texts)
    assert any(fault.path == path and words in fault.message for fault in raised.value.faults)

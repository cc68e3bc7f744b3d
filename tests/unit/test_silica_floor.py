"""How cool brine of a binary plant may leave: silica by quartz where nothing else is stated.

Source: R. O. Fournier, Geothermics 5 (1977), quartz without loss of steam and amorphous silica; temperatures at which water
at rest with quartz is saturated with amorphous silica were computed before this was written, to a tenth of a degree.
"""

from pathlib import Path

import numpy as np
import pytest

import geoecon
from geoecon.errors import CaseError
from geoecon.flooring import BY_CONTENT, BY_PRACTICE, BY_QUARTZ, STATED, floor_told, silica_warnings
from geoecon.preparing.field import inlet_temperature
from geoecon.preparing.plants import cycle_terms
from geoecon.resource.silica import coolest_by_quartz

SORREL = Path(geoecon.__file__).parents[1] / "cases" / "sorrel-basin.toml"
COMPUTED = {150: 28.5, 160: 37.6, 180: 56.3, 190: 65.9, 200: 75.5, 220: 95.2, 250: 125.8}


@pytest.fixture(scope="module")
def case():
    return geoecon.load_case(SORREL)


def test_saturation_of_water_that_was_at_rest_with_quartz():
    assert coolest_by_quartz(np.array(list(COMPUTED))).round(1).tolist() == list(COMPUTED.values())


def test_hotter_than_quartz_tells_is_no_cooler():
    assert coolest_by_quartz(300.0) == coolest_by_quartz(250.0)


def test_the_highest_rule_holds_and_is_told(case):
    hot = case.with_texts({"resource.temperature": "230 degC"})
    poor = hot.with_texts({"resource.silica": "100 mg/kg"})
    rich = hot.with_texts({"resource.silica": "500 mg/kg"})
    stated = hot.with_texts({"plant.injection_temperature_floor": "80 degC"})
    told = {name: floor_told(one) for name, one in
            {"cool": case, "hot": hot, "poor": poor, "rich": rich, "stated": stated}.items()}  # fmt: skip
    rules = {name: rule for name, (_, rule) in told.items()}
    assert rules == {"cool": BY_PRACTICE, "hot": BY_QUARTZ, "poor": BY_PRACTICE, "rich": BY_CONTENT, "stated": STATED}
    for name, one in {"cool": case, "hot": hot, "poor": poor, "rich": rich, "stated": stated}.items():
        assert told[name][0] == cycle_terms(one).floor(inlet_temperature(one))
    assert told["hot"][0] == coolest_by_quartz(230.0)


def test_quartz_only_ever_raises_the_floor(case):
    brine = np.arange(60.0, 300.0, 7.0)
    terms = cycle_terms(case)
    with_quartz, without = terms.floor(brine), cycle_terms(case.with_texts({"resource.silica": "1 mg/kg"})).floor(brine)
    assert terms.quartz
    assert (with_quartz >= without).all()
    assert (with_quartz[brine < 210] == without[brine < 210]).all()
    assert (with_quartz < brine).all()


def test_rock_hotter_than_quartz_tells_is_warned_of(case):
    assert not list(silica_warnings(case))
    assert "resource.silica" in "".join(silica_warnings(case.with_texts({"resource.temperature": "260 degC"})))


def test_silica_that_no_brine_of_the_case_holds_is_named(case):
    with pytest.raises(CaseError) as raised:
        geoecon.evaluate(case.with_texts({"resource.silica": "1400 mg/L"}), unsolved="raise")
    (fault,) = raised.value.faults
    assert fault.path == "resource.silica"
    assert "1,400 mg/kg of silica comes out of water cooler than 250 degC or hotter" in fault.message

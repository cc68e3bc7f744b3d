"""Heat lost between feed zone and plant in whole cases: by the stated difference, by conduction, in an insulated line."""

from pathlib import Path

import numpy as np
import pytest

from geoecon import evaluate, load_case, size
from geoecon.case import Case
from geoecon.errors import CaseError
from geoecon.preparing.climate import mean_air
from geoecon.preparing.field import inlet_temperature, wellhead_temperature
from geoecon.report.explain import explain
from geoecon.report.pumping import pumping_section

FILE = Path(__file__).parents[1] / "data" / "complete.toml"
RAMEY = {"wells.bore_heat_loss": "ramey"}
LINE = {"wells.pipe_length": "1200 m"}


@pytest.fixture(scope="module")
def case():
    return load_case(FILE)


def test_both_losses_by_hand(case):
    """Drop in the bore times flow and heat capacity: about 2 pi k L (half the difference) / f; then 1,200 m of line."""
    lossy = case.with_texts(RAMEY | LINE)
    flow, hot, air = 900 * 0.003785411784 / 60 * 919.6, 149.0, float(mean_air(case)[0])
    function = np.log(2 * np.sqrt(2.5 / (2650 * 850) * 31_557_600) / 0.11) - 0.29
    conducted = 2 * np.pi * 2.5 * 1650 * (hot - air) / 2 / function
    in_bore = hot - float(wellhead_temperature(lossy)[0])
    assert in_bore == pytest.approx(conducted / (flow * 4290), rel=0.02)
    conductance = 1 / (np.log(0.16 / 0.11) / (2 * np.pi * 0.045) + 1 / (2 * np.pi * 0.16 * 10))
    in_line = float((wellhead_temperature(lossy) - inlet_temperature(lossy))[0])
    assert in_line == pytest.approx(conductance * 1200 * (hot - in_bore - air) / (flow * 4290), rel=0.01)


def test_a_line_comes_on_top_of_a_stated_loss(case):
    assert wellhead_temperature(case.with_texts(LINE)) == wellhead_temperature(case) == inlet_temperature(case) == 147.0
    assert inlet_temperature(case.with_texts(LINE)) < 147.0


def test_cooler_brine_reaches_sizing_and_every_year(case):
    """One temperature at the plant: of the design, of the first year, and in what explains the returned brine."""
    lossy = case.with_texts(RAMEY | LINE)
    inlet = inlet_temperature(lossy)
    assert size(lossy).inlet == inlet
    result = evaluate(lossy)
    cooling = evaluate(case).annual["brine_temperature"][result.build_years :] - inlet_temperature(case)
    assert result.annual["brine_temperature"][result.build_years :] == pytest.approx(inlet + cooling)
    assert size(lossy).brine_flow != size(case).brine_flow


@pytest.mark.parametrize("metric", ["injection_temperature", "last_brine_temperature", "well_pump_power"])
@pytest.mark.parametrize("texts", [RAMEY, LINE, RAMEY | LINE])
def test_explanations_add_up(case, metric, texts):
    found = explain(evaluate(case.with_texts(texts)), metric)
    labels = {term.label for term in found.terms}
    if metric != "well_pump_power":
        assert ("lost in the well" in labels) == ("wells.bore_heat_loss" in texts)
        assert ("lost in the line to the plant" in labels) == ("wells.pipe_length" in texts)


def test_better_insulation_keeps_heat(case):
    def inlet(**texts):
        return float(inlet_temperature(case.with_texts(LINE | {f"wells.{k}": v for k, v in texts.items()}))[0])

    assert inlet(pipe_insulation="0 mm") < inlet(pipe_insulation="20 mm") < inlet() < inlet(pipe_insulation="100 mm")
    assert inlet(insulation_conductivity="0.03 W/m/K") > inlet()
    assert inlet(pipe_bore="300 mm") < inlet()


def test_rock_is_among_the_inputs_where_it_has_a_part(case):
    plain, conducted = ({row.path for row in evaluate(c).assumptions} for c in (case, case.with_texts(RAMEY)))
    assert "resource.rock_conductivity" in conducted - plain
    assert "wells.temperature_loss" in plain - conducted
    assert "wells.pipe_insulation" not in plain | conducted
    assert "wells.pipe_insulation" in {row.path for row in evaluate(case.with_texts(LINE)).assumptions}


@pytest.mark.parametrize(
    ("texts", "path"),
    [
        ({"wells.pipe_insulation": "80 mm"}, "wells.pipe_insulation"),
        (RAMEY | {"wells.temperature_loss": "3 K"}, "wells.temperature_loss"),
        ({"resource.rock_conductivity": "3 W/m/K"}, "resource.rock_conductivity"),
    ],
)
def test_what_has_no_part_is_told(case, texts, path):
    assert [w for w in evaluate(case.with_texts(texts)).warnings if "has no part" in w and path in w]


def test_rock_that_a_bore_needs_is_not_told(case):
    warnings = evaluate(case.with_texts(RAMEY | {"resource.rock_conductivity": "3 W/m/K"})).warnings
    assert not [w for w in warnings if "has no part" in w]


@pytest.mark.parametrize(
    ("changes", "missing"),
    [
        ({'static_level = "60 m"': 'bore_heat_loss = "ramey"\npump = "none"\nshut_in_pressure = "14 bara"',
          'flow_per_producer = "900 gpm @ 147 degC"\n': ""}, "wells.flow_per_producer"),
        ({'static_level = "60 m"': 'pipe_bore = "300 mm"'}, "wells.pipe_length"),
    ],
)  # fmt: skip
def test_what_is_needed_is_asked_for(changes, missing):
    text = FILE.read_text(encoding="utf-8")
    for before, after in changes.items():
        assert before in text
        text = text.replace(before, after, 1)
    with pytest.raises(CaseError) as error:
        Case.read(text, str(FILE))
    assert missing in [fault.path for fault in error.value.faults]


def test_a_scenario_does_not_touch_another(case):
    lengths, depths = np.linspace(100.0, 5000.0, 9), np.linspace(1200.0, 2500.0, 9)
    lossy = case.with_texts(RAMEY | LINE)
    together = inlet_temperature(lossy.with_values({"wells.pipe_length": lengths, "wells.depth": depths}))
    alone = [
        inlet_temperature(lossy.with_values({"wells.pipe_length": lengths[[i]], "wells.depth": depths[[i]]}))[0]
        for i in range(9)
    ]
    assert np.array_equal(together, alone)
    assert (np.diff(together) < 0).all()


def test_words_tell_what_is_lost(case):
    plain = {line.label for line in pumping_section(evaluate(case)).lines}
    lossy = {line.label: line.value for line in pumping_section(evaluate(case.with_texts(RAMEY | LINE))).lines}
    assert "Lost on the way" in plain
    assert "Lost on the way" not in lossy
    assert lossy["Lost in the well"].endswith(" K")
    assert lossy["Lost in the line"].endswith(" K")

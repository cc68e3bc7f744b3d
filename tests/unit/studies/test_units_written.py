"""Studies answer in the units in which the case is written, or in those of the view that is chosen.

1,450 gpm at 155 degC is 91.48 L/s (a US gallon is 3.785411784 L by definition), 158 degC is 316.4 degF.
"""

import pytest

import geoecon
from geoecon.case import load_case
from geoecon.report.amounts import input_text
from geoecon.report.breakeven import lines as needs_lines
from geoecon.report.breakeven import rows
from geoecon.report.stresses import outcomes
from geoecon.report.stresses import verdict as stress_verdict
from geoecon.report.tornado import lines as tornado_lines
from geoecon.studies.breakeven import breakeven
from geoecon.studies.inputs import input_of
from geoecon.studies.stress import TOGETHER, stress_set
from geoecon.studies.sweep import sweep_texts
from geoecon.studies.targets import target
from geoecon.studies.tornado import tornado
from geoecon.units import SYSTEMS

FLOW, AS_WRITTEN = "wells.flow_per_producer", SYSTEMS[0]


@pytest.fixture(scope="module")
def case():
    return load_case(geoecon.shipped_case("sorrel-basin"))


@pytest.mark.parametrize(
    ("path", "system", "words"),
    [
        (FLOW, AS_WRITTEN, "1,450 gpm @ 155 degC"),
        (FLOW, "SI", "91.481 L/s @ 155 degC"),
        (FLOW, "US", "1,450 gpm @ 155 degC"),
        ("resource.temperature", AS_WRITTEN, "158 degC"),
        ("resource.temperature", "US", "316.4 degF"),
        ("wells.depth", AS_WRITTEN, "2,800 ft"),
        ("wells.depth", "SI", "853.44 m"),
        ("capital.permits", AS_WRITTEN, "600 kUSD"),
        ("operation.planned_outage", AS_WRITTEN, "6 d/yr"),
        ("timeline.operating_years", AS_WRITTEN, "30 yr"),
        ("wells.cost_factor", AS_WRITTEN, "1"),
    ],
)
def test_a_value_is_shown_as_written_or_as_the_view_has_it(case, path, system, words):
    chosen = input_of(case, path)
    assert input_text(chosen, chosen.value, "USD", system) == words


def test_a_unit_that_was_set_for_the_run_is_the_one_shown():
    case = load_case(geoecon.shipped_case("sorrel-basin"), {"wells.depth": "0.85 km"})
    chosen = input_of(case, "wells.depth")
    assert input_text(chosen, chosen.value, "USD", AS_WRITTEN) == "0.85 km"
    moved = input_of(case.with_values({"wells.depth": 900.0}), "wells.depth")
    assert input_text(moved, moved.value, "USD", AS_WRITTEN) == "0.9 km"


def test_a_nominal_rate_of_decline_is_shown_as_the_effective_one():
    """A loss of 5 %/yr nominal is 1 - exp(-0.05) = 4.877 %/yr."""
    case = load_case(geoecon.shipped_case("sorrel-basin"), {"wells.flow_decline": "5 %/yr nominal"})
    chosen = input_of(case, "wells.flow_decline")
    assert input_text(chosen, chosen.value, "USD", AS_WRITTEN) == "4.8771 %/yr"


def test_stresses_speak_the_units_of_the_case_and_of_the_view(case):
    found = stress_set(case)
    as_written, metric, us = (
        " ".join(line.basis for line in outcomes(found, s).lines) for s in (AS_WRITTEN, "SI", "US")
    )
    assert f"{FLOW} 1,450 to 1,000 gpm @ 155 degC" in as_written
    assert f"{FLOW} 91.48 to 63.11 L/s @ 155 degC" in metric
    assert f"{FLOW} 1,450 to 1,000 gpm @ 155 degC" in us
    assert "resource.temperature 158 to 152.7 degC" in as_written
    assert "resource.temperature 316.4 to 306.8 degF" in us


def test_break_evens_and_lows_speak_the_units_of_the_case(case):
    needs = breakeven(case, target("irr_equity >= 10 %/yr", "USD"), [FLOW])
    assert any("1,450 gpm @ 155 degC" in line for line in needs_lines(needs))
    by_system = {s: {row.path: row for row in rows(needs, s)} for s in SYSTEMS}
    assert by_system["SI"][FLOW].now == "91.48 L/s @ 155 degC"
    warmer = {s: by_system[s]["resource.temperature"].change for s in SYSTEMS}
    kelvin, fahrenheit = float(warmer["SI"].split()[0]), float(warmer["US"].split()[0])
    assert warmer[AS_WRITTEN] == warmer["SI"]
    assert (warmer["SI"].split()[1], warmer["US"].split()[1]) == ("K", "degF")
    assert fahrenheit == pytest.approx(1.8 * kelvin, abs=0.15)
    assert any("gpm @ 155 degC" in line for line in tornado_lines(tornado(case), ["npv"]))


def test_a_sweep_is_shown_as_the_view_has_it(case):
    swept = sweep_texts(case, FLOW, None, None, 3)
    assert swept.shown_in(AS_WRITTEN).unit == swept.shown_in("US").unit == "gpm"
    assert swept.shown_in(AS_WRITTEN).base == pytest.approx(1450.0, rel=1e-12)
    assert swept.shown_in("SI").unit == "L/s"


def test_all_stresses_together_are_no_stress_among_the_others(case):
    found = stress_set(case)
    single = [row for row in found.rows if row.breaks and row.stress.name != TOGETHER]
    kept = sum(row.metrics["dscr_min"] >= 1 for row in single)
    words = stress_verdict(found)
    assert f"under {kept} of {len(single)} stresses" in words
    assert TOGETHER not in words
    assert words.endswith("Under all of them together cover fails.")

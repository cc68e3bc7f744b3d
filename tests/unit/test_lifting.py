"""Kinds of pumps and their limits in words, wells that flow by themselves, and pressures of injection, in whole cases."""

from pathlib import Path

import numpy as np
import pytest

from geoecon import evaluate, load_case, size
from geoecon.case import Case
from geoecon.errors import CaseError
from geoecon.preparing.field import own_flow, producer_flow, pumping
from geoecon.report.pumping import pumping_section, pumps_in_short
from geoecon.resource.water import saturation_pressure

FILE = Path(__file__).parents[1] / "data" / "complete.toml"
TEXT = FILE.read_text(encoding="utf-8")
STATED = 'flow_per_producer = "900 gpm @ 147 degC"\n'
OWN = {
    STATED: 'pump = "none"\nshut_in_pressure = "14 bara"\n',
    'static_level = "60 m"\n': "",
}


@pytest.fixture(scope="module")
def case():
    return load_case(FILE)


def read(changes):
    text = TEXT
    for before, after in changes.items():
        assert before in text
        text = text.replace(before, after, 1)
    return Case.read(text, str(FILE))


def own(**texts):
    return read(OWN).with_texts({f"wells.{name}": text for name, text in texts.items()})


def said(case, words):
    return [warning for warning in evaluate(case).warnings if words in warning]


# --- pumps -----------------------------------------------------------------------------------------------------------


def test_the_kind_of_pump_moves_no_figure(case):
    shaft, motor = evaluate(case), evaluate(case.with_texts({"wells.pump": "submersible"}))
    for name in ("npv", "well_pump_power", "net_capacity", "capital_cost"):
        assert shaft.value(name) == motor.value(name)


@pytest.mark.parametrize(
    ("texts", "words"),
    [
        ({"wells.static_level": "250 m"}, "sources disagree"),
        ({"wells.static_level": "700 m"}, "driven from the top they reach about 610 m"),
        ({"wells.pump": "submersible", "resource.temperature": "168 degC"}, "submersible pumps went to 163 degC in 2014"),
        ({"wells.pump": "submersible", "resource.temperature": "225 degC"}, "submersible pumps reach about 220 degC at most"),
        ({"resource.temperature": "196 degC"}, "the practical limit of pumps is about 190 degC"),
        ({"wells.flow_per_producer": "3000 gpm @ 147 degC"}, "the practical limit is about 160 L/s"),
        ({"wells.bore_diameter": "80 mm"}, "look at the units of wells.bore_diameter"),
        ({"wells.injectivity_index": "0.6 kg/s/bar", "wells.vertical_depth": "1400 m"}, "rock may open"),
    ],
)  # fmt: skip
def test_limits_are_told_beyond_them_alone(case, texts, words):
    assert said(case.with_texts(texts), words)
    assert not said(case, words)


def test_a_deep_submersible_is_not_told_of_shafts(case):
    assert not said(
        case.with_texts({"wells.pump": "submersible", "wells.static_level": "700 m"}), "driven from the top"
    )


def test_the_intake_stays_above_saturation_gas_and_the_head_of_the_pump(case):
    """Pressure at the intake by hand: air, and the water that stands above it."""
    wide = case.with_texts({"wells.intake_margin": "3 bar"})
    pumps, flow = pumping(wide), producer_flow(wide)
    above = pumps.setting_m(flow) - pumps.static_m - pumps.drawdown_m(flow)
    intake = pumps.air_bar + above * pumps.column_bar_per_m
    assert intake == pytest.approx(saturation_pressure(pumps.temperature) + 3.0)


# --- wells that flow by themselves --------------------------------------------------------------------------------------


def test_own_flow_balances_the_column():
    """Pressure when shut, less drawdown and friction, is what is kept at the wellhead."""
    case = own()
    pumps, flow = pumping(case), producer_flow(case)
    at_wellhead = 14.0 - flow / pumps.productivity - pumps.friction(flow)
    assert at_wellhead == pytest.approx(pumps.wellhead_bar, rel=1e-9)
    assert 30 < flow[0] < 90


def test_own_flow_takes_no_pump_and_no_money_for_one():
    case = own().with_texts({"operation.pump_cost": "400 kUSD", "operation.pump_life_years": "5"})
    result = evaluate(case)
    assert "pumps" not in result.capital_accounts
    assert not any(name == "pump_replacement" for name in result.books.financing.streams.sustaining)
    assert size(case).production_kw[0] == 0
    assert len(said(case, "no pump hangs in a producer")) == 2


def test_a_flow_that_is_worked_out_stands_among_the_inputs():
    rows = {row.path: row for row in evaluate(own()).assumptions}
    assert rows["wells.flow_per_producer"].evidence == "worked out"
    assert float(rows["wells.flow_per_producer"].value) == pytest.approx(producer_flow(own())[0], rel=1e-9)


def test_flow_is_the_same_whatever_the_company():
    values = np.linspace(10.0, 20.0, 11)
    many = own().with_values({"wells.shut_in_pressure": values})
    together = producer_flow(many)
    assert (np.diff(together[np.isfinite(together)]) > 0).all()
    alone = [producer_flow(own().with_values({"wells.shut_in_pressure": np.array([v])}))[0] for v in values]
    assert np.array_equal(together, alone, equal_nan=True)


@pytest.mark.parametrize(
    ("texts", "path", "words"),
    [
        ({"wellhead_pressure": "3 bara"}, "wells.flow_per_producer", "the water boils in the well"),
        ({"shut_in_pressure": "5 bara"}, "wells.shut_in_pressure", "the well does not flow by itself"),
    ],
)
def test_a_well_that_gives_no_flow_says_why(texts, path, words):
    with pytest.raises(CaseError) as error:
        evaluate(own(**texts), unsolved="raise")
    assert [f for f in error.value.faults if f.path == path and words in f.message]


def test_a_boiling_well_keeps_the_flow_stated():
    case = read({'static_level = "60 m"\n': 'pump = "none"\nwellhead_pressure = "3 bara"\n'})
    assert said(case, "the water boils on its way up, so the flow stands as stated")
    assert size(case).production_kw[0] == 0


def test_a_flow_stated_above_what_the_well_gives_is_told():
    case = read({'static_level = "60 m"\n': 'pump = "none"\nshut_in_pressure = "9 bara"\n'})
    assert said(case, "brings")
    assert not said(own(), "brings")
    assert own_flow(pumping(case))[0] < producer_flow(case)[0]


def test_a_flow_that_nothing_gives_is_asked_for():
    with pytest.raises(CaseError) as error:
        read({STATED: 'pump = "none"\n'})
    assert "shut_in_pressure, from which the flow follows" in str(error.value)


def test_a_shut_well_stands_below_or_under_pressure():
    with pytest.raises(CaseError) as error:
        read({STATED: STATED + 'shut_in_pressure = "9 bara"\n'})
    assert "stands beside static_level" in str(error.value)


# --- in words ---------------------------------------------------------------------------------------------------------


def test_words_tell_depth_and_pressures(case):
    lines = {line.label: line for line in pumping_section(evaluate(case)).lines}
    assert lines["Intake"].value.endswith(" m")
    assert "shaft" in lines["Production pumps"].basis
    short = pumps_in_short(evaluate(case))
    assert short is not None
    assert "its own weight" in short.basis
    tight = pumps_in_short(evaluate(case.with_texts({"wells.injectivity_index": "1 kg/s/bar"})))
    assert tight is not None
    assert "is pumped back with" in tight.basis


def test_words_of_wells_that_flow():
    lines = {line.label: line.value for line in pumping_section(evaluate(own())).lines}
    assert lines["Production pumps"] == "none"
    assert "Intake" not in lines
    assert lines["Spare pressure"].endswith(" bar")


def test_a_stated_plant_has_no_words_of_pumps():
    stated = read({
        'kind = "binary"\nfluid = "isopentane"': 'kind = "stated"',
        'injection_temperature_floor = "65 degC"\n': 'stated_brine_flow = "150 kg/s"\n',
        'cost_basis = "plant-net"': 'cost_basis = "net"',
    })  # fmt: skip
    assert {line.label for line in pumping_section(evaluate(stated)).lines} == {"Lost on the way"}
    assert pumps_in_short(evaluate(stated)) is None

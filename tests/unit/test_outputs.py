"""Output over air and brine: the months are those of the ledger, the design point is on both lines, a table is read by hand."""

import csv

import numpy as np
import pytest

import geoecon
from geoecon.energy import MONTH_HOURS
from geoecon.outputs import AIR, BRINE, HOTTEST, MONTHS, YEARS
from geoecon.report.outputs import air_sentence

DAYS = np.array(MONTH_HOURS) / 24


def evaluated(name, **told):
    return geoecon.evaluate(geoecon.load_case(geoecon.shipped_case(name), told))


@pytest.fixture(scope="module")
def cooperative():
    return evaluated("harrow-fen", **{"site.daily_swing": "12 K"})


@pytest.mark.parametrize("name", ["harrow-fen", "pell-crossing"])
def test_months_are_those_of_the_ledger(name, cooperative):
    """Unit net of a month x its hours x what outages and the line leave is what is delivered, where no month is apart."""
    result = cooperative if name == "harrow-fen" else evaluated(name)
    case, found = result.case, result.outputs[MONTHS]
    left = (1 - case.operation.planned_outage) * (1 - case.operation.forced_outage) * (1 - case.site.line_loss)
    energy = found.power.mean(axis=1)[:, 0] / 1000 * 24 * DAYS * left
    assert energy == pytest.approx(result.monthly_energy[:, 0], rel=1e-12)
    assert found.power.shape == (12, 3 if name == "harrow-fen" else 1, 1)


def test_the_design_point_lies_on_the_lines(cooperative):
    net = cooperative.value("net_capacity") * 1000
    line = cooperative.outputs[BRINE]
    assert line.temperature[-1, 0] == 114.0
    assert (line.power[-1, 0], line.ideal[-1, 0]) == (pytest.approx(net, rel=1e-9), pytest.approx(net, rel=1e-9))
    years = cooperative.outputs[YEARS]
    assert years.temperature[:, 0] == pytest.approx(cooperative.annual["brine_temperature"][-25:, 0], abs=0)


def test_the_lines_fall_with_warm_air_and_rise_with_hot_brine(cooperative):
    air, brine = cooperative.outputs[AIR], cooperative.outputs[BRINE]
    for power in (air.power, air.ideal):
        assert (np.diff(power, axis=0) <= 1e-9).all()
    for power in (brine.power, brine.ideal):
        assert (np.diff(power, axis=0) >= -1e-9).all()
    assert air.power.max() == pytest.approx(1.05 * cooperative.value("net_capacity") * 1000, rel=1e-12)


def test_a_vendors_table_is_read_between_its_rows_by_hand():
    """Pell Crossing at 129 degC and 26 degC: each of the four rows around it by its share, times flow, less the pumps."""
    result = evaluated("pell-crossing")
    with geoecon.shipped_case("pell-crossing").with_suffix(".csv").open() as file:
        rows = {(float(b), float(a)): float(net) for b, a, net, _ in list(csv.reader(file))[1:]}
    brines = sorted({b for b, _ in rows})
    low, high = max(b for b in brines if b <= 129), min(b for b in brines if b > 129)
    share = (129 - low) / (high - low)
    each = [rows[low, air] * (1 - share) + rows[high, air] * share for air in (20.0, 30.0)]
    sides = result.outputs[HOTTEST]
    between = 0.4 * each[0] + 0.6 * each[1]
    assert sides.temperature[:, 0] == pytest.approx([20, 26, 30], abs=0)
    by_rows = np.array([each[0], between, each[1]]) * result.value("brine_flow")
    assert sides.power[:, 0] == pytest.approx(by_rows, rel=1e-12)
    by_hand = by_rows[1] / 1000 - result.value("well_pump_power")
    assert result.value("summer_capacity") == pytest.approx(by_hand, rel=1e-12)
    assert result.outputs[BRINE].ideal is None


def test_scenarios_have_their_own_lines_alone_as_among_others():
    case = geoecon.load_case(geoecon.shipped_case("pell-crossing"))
    many = geoecon.evaluate(case.with_values({"resource.temperature": np.array([127.0, 131.0, 133.0])})).outputs
    alone = geoecon.evaluate(case).outputs
    for name in (MONTHS, AIR, YEARS, BRINE, HOTTEST):
        assert (many[name].power[..., 1] == alone[name].power[..., 0]).all()


@pytest.mark.parametrize("name", ["ambry-wells", "tessel-ridge", "dunmarrow"])
def test_a_stated_plant_has_none(name):
    assert evaluated(name).outputs == {}


def test_what_ends_the_rise_is_named():
    """The condenser of steam in the cold months; the most that a unit may run at where that comes first."""
    floor = "In the cold months the condenser is as cold as it is let become (plant.least_condensing_temperature)"
    assert floor in air_sentence(evaluated("cinder-saddle"))
    held = air_sentence(evaluated("cinder-saddle", **{"site.export_limit": "15.5 MW"}))
    assert "15.50 MW is the most that it may run at" in held
    assert floor not in held

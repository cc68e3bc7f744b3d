"""Hours of a weather file: means and spread of a month, and one clear message for each thing that can be wrong."""

from itertools import pairwise

import numpy as np
import pytest

import geoecon
from geoecon.errors import CaseError, TableFileError
from geoecon.plant.weather import DAYS, HOURS, MISSING, daily_swing, hourly_weather, of_hours
from geoecon.preparing.plants import plant_map
from geoecon.sizing import size

SORREL = geoecon.shipped_case("sorrel-basin")
HOUR = np.arange(HOURS)
AIR = 10 + 12 * np.sin((HOUR / HOURS - 0.3) * 2 * np.pi) + 7 * np.sin((HOUR % 24 - 9) / 24 * 2 * np.pi)


def lines(air, leap=False):
    """A file in the format: eight headings, then month, day, hour and dry bulb where the format has them (from memory)."""
    rows, at = [], 0
    for month, days in enumerate(DAYS, 1):
        for day in range(1, days + 1 + (leap and month == 2)):
            for hour in range(1, 25):
                value = 99.0 - 90 if day == 29 and month == 2 else air[at]
                at += not (day == 29 and month == 2)
                rows.append(f"2001,{month},{day},{hour},60,?9?9,{value:.10g},1.0,50,101325")
    heads = ["LOCATION,Nowhere,-,-,-,0,44.0,-118.0,-8.0,1341.0", *("HEADING",) * 7]
    return [*heads, *rows]


def text(rows):
    return "\n".join(rows) + "\n"


def test_monthly_means_are_those_of_the_hours():
    found = hourly_weather(text(lines(AIR)))
    ends = np.cumsum([0, *(24 * days for days in DAYS)])
    means = [AIR[a:b].mean() for a, b in pairwise(ends)]
    assert found.monthly == pytest.approx(means, abs=1e-9)
    deviations = [AIR[a:b].std() for a, b in pairwise(ends)]
    assert found.spread.mean(axis=1) == pytest.approx(np.zeros(12), abs=1e-12)
    assert found.spread.std(axis=1) == pytest.approx(deviations, rel=1e-9)


def test_a_leap_day_is_left_out():
    plain, leap = hourly_weather(text(lines(AIR))), hourly_weather(text(lines(AIR, leap=True)))
    assert leap.monthly == plain.monthly
    assert np.array_equal(leap.spread, plain.spread)


def test_gaps_are_filled_between_their_neighbours():
    air = AIR.copy()
    air[[0, 500, 501, 502, 8759]] = MISSING
    found = hourly_weather(text(lines(air)))
    whole = AIR.copy()
    whole[500:503] = np.interp([1, 2, 3], [0, 4], AIR[[499, 503]])
    whole[[8759, 0]] = np.interp([1, 2], [0, 3], [AIR[8758], AIR[1]])
    assert found.monthly == pytest.approx(of_hours(whole).monthly, abs=1e-9)


def broken(change):
    rows = lines(AIR)
    change(rows)
    return text(rows)


def without(rows, first, count):
    del rows[8 + first : 8 + first + count]


@pytest.mark.parametrize(("change", "said"), [
    (lambda rows: without(rows, 100, 1), r"8,759 hours .* a year has 8,760.*first that is missing is 5 Jan hour 5"),
    (lambda rows: without(rows, 0, 8760), "holds 0 hours"),
    (lambda rows: rows.append(rows[-1]), r"8,761 hours .*some hours stand more than once"),
    (lambda rows: rows.insert(20, rows.pop(21)), "is 1 Jan hour 14 where 1 Jan hour 13 is due"),
    (lambda rows: rows.__setitem__(50, "2001,1,2,19"), "line 51: is no hour of a weather file"),
    (lambda rows: rows.__setitem__(50, rows[50].replace("2001,1,2,19", "2001,1,2,x")), "line 51: is no hour"),
    (lambda rows: rows.__setitem__(8, "2001,1,1,1,60,?,85.0,1"), "line 9: dry bulb 85 is not within -70 to 70"),
    (lambda rows: [rows.__setitem__(k, ",".join([*rows[k].split(",")[:6], "99.9"])) for k in range(100, 107)],
     "line 107: more than 6 hours in a row"),
    (lambda rows: rows.clear(), "holds 0 hours"),
])  # fmt: skip
def test_what_is_wrong_is_said_in_one_sentence(change, said):
    with pytest.raises(TableFileError, match=said):
        hourly_weather(broken(change))


def test_parts_of_a_daily_swing_have_the_mean_of_a_sine():
    """Polynomials to the fifth order, exactly: the rule of Gauss and Chebyshev, from memory."""
    swing = 14.0
    sine = swing / 2 * np.sin((np.arange(10_000) + 0.5) / 10_000 * 2 * np.pi)
    for order in range(6):
        assert (daily_swing(swing) ** order).mean(axis=1) == pytest.approx(np.full(12, (sine**order).mean()), abs=1e-6)


# --- in a case --------------------------------------------------------------------------------------------------------------


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "hours.epw").write_text(text(lines(AIR)), encoding="utf-8")
    case = SORREL.read_text(encoding="utf-8")
    start = case.index("air_temperature = ")
    (tmp_path / "case.toml").write_text(
        case[:start] + 'weather_file = "hours.epw"' + case[case.index("\n", start) :], encoding="utf-8"
    )
    return tmp_path


def test_a_file_stands_for_its_monthly_means_and_more(folder):
    result = geoecon.evaluate(geoecon.load_case(folder / "case.toml"))
    means = hourly_weather(text(lines(AIR))).monthly
    stated = "[" + ", ".join(f'"{mean!r} degC"' for mean in means) + "]"
    level = geoecon.evaluate(geoecon.load_case(SORREL, {"site.air_temperature": stated}))
    for name in ("brine_flow", "summer_capacity", "gross_capacity", "capital_cost"):
        assert result.value(name) == pytest.approx(level.value(name), rel=1e-9), name
    assert result.value("first_year_energy") < level.value("first_year_energy"), "cold hours meet the output limit"
    listed = {a.path: a.value for a in result.assumptions}
    assert len(listed["site.weather_file: monthly means"].split(",")) == 12


def test_the_parts_give_what_all_hours_give(folder):
    """Energy of year 1 against the plant's map read at every one of the 8,760 hours."""
    case = geoecon.load_case(
        folder / "case.toml", {"operation.forced_outage": "0 %", "operation.planned_outage": "0 d/yr"}
    )
    result, design = geoecon.evaluate(case), size(case)
    brine = np.array([[float(result.annual["brine_temperature"][result.build_years, 0])]])
    powers = plant_map(case, design.plant, design.inlet, brine)
    net = np.array([n[0, 0] for _, n in powers.monthly(brine, AIR.reshape(-1, 1), np.ones((1, 1)))])
    pumps = result.value("well_pump_power") * 1000
    unit = np.minimum(net * float(design.brine_flow[0]) - pumps, 1.05 * 5000)
    assert float(result.ledger["unit_net"][0]) == pytest.approx(unit.sum() / 1000, rel=0.004)


def test_a_swing_costs_a_little_energy_where_the_output_limit_holds():
    level = geoecon.evaluate(geoecon.load_case(SORREL))
    swung = geoecon.evaluate(geoecon.load_case(SORREL, {"site.daily_swing": "16 K"}))
    assert 0.97 < swung.value("first_year_energy") / level.value("first_year_energy") < 1.0
    assert swung.value("brine_flow") == level.value("brine_flow")
    assert float(sum(swung.monthly_energy[:, 0])) == pytest.approx(swung.value("first_year_energy"), rel=1e-9)


def test_no_swing_is_the_mean():
    level = geoecon.evaluate(geoecon.load_case(SORREL))
    tiny = geoecon.evaluate(geoecon.load_case(SORREL, {"site.daily_swing": "0.000001 K"}))
    assert tiny.value("lifetime_energy") == pytest.approx(level.value("lifetime_energy"), rel=1e-6)


def test_a_stated_plant_swings_by_its_slope():
    ambry = geoecon.shipped_case("ambry-wells")
    level = geoecon.evaluate(geoecon.load_case(ambry))
    swung = geoecon.evaluate(geoecon.load_case(ambry, {"site.daily_swing": "12 K"}))
    assert swung.value("first_year_energy") == pytest.approx(level.value("first_year_energy"), rel=0.03)


@pytest.mark.parametrize(("texts", "said"), [
    ({"site.air_temperature": '["1 degC"' + ', "1 degC"' * 11 + "]"}, "stands beside air_temperature"),
    ({"site.daily_swing": "9 K"}, "stands beside weather_file"),
])  # fmt: skip
def test_one_climate_at_a_time(folder, texts, said):
    with pytest.raises(CaseError, match=said):
        geoecon.load_case(folder / "case.toml", texts)


def test_a_file_that_is_missing_is_named(folder):
    (folder / "hours.epw").unlink()
    with pytest.raises(CaseError, match=r"hours\.epw"):
        geoecon.evaluate(geoecon.load_case(folder / "case.toml"))

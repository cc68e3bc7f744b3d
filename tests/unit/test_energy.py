"""The energy of a stated plant by hand: air, outages, limits, load, and what is lost on the line."""

import numpy as np
import pytest

from geoecon import evaluate, size
from geoecon.case import Case
from geoecon.energy import MONTH_HOURS, STEPS, Running, homes, hours_mean, stated_ledger
from geoecon.plant.stated import StatedPlant

HOURS, JULY = 8760, 6


def one(value):
    return np.array([float(value)])


def plant(**changed):
    """1,000 kW net of 1,250 kW gross."""
    given = {"net_kw": one(1000), "gross_kw": one(1250), "monthly_kw": None, "air_slope": one(0), "brine_slope": one(0),
             "factor": one(1), "design_flow": one(100)}  # fmt: skip
    return StatedPlant(**given | changed)


def running(**changed):
    given = {"planned": one(0), "planned_month": None, "forced": one(0), "limit_kw": one(1e9), "line_loss": one(0),
             "load_mwh": None}  # fmt: skip
    return Running(**given | changed)


def ledger(of=None, how=None, warmer=0.0, left=(1.0,)):
    """Steps of year 1, and delivered energy by month."""
    found = stated_ledger(of or plant(), np.full((12, 1), warmer), np.array(left).reshape(-1, 1), how or running())
    return {name: float(values[0, 0]) for name, values in found.steps.items()}, found.monthly.ravel()


def test_everything_in_service():
    steps, monthly = ledger()
    assert steps["gross_at_design"] == pytest.approx(1.25 * HOURS)
    assert steps["plant_auxiliaries"] == pytest.approx(0.25 * HOURS)
    assert steps["delivered"] == pytest.approx(HOURS)
    assert monthly == pytest.approx(np.array(MONTH_HOURS))
    assert sum(MONTH_HOURS) == HOURS


def test_warm_air_is_weather_at_gross():
    steps, _ = ledger(plant(air_slope=one(0.01)), warmer=5.0)
    assert steps["weather"] == pytest.approx(0.05 * 1.25 * HOURS)
    assert steps["delivered"] == pytest.approx(0.95 * HOURS)
    cold, _ = ledger(plant(air_slope=one(0.01)), warmer=-5.0)
    assert cold["weather"] == pytest.approx(-0.05 * 1.25 * HOURS)
    dead, _ = ledger(plant(air_slope=one(0.1)), warmer=20.0)
    assert dead["delivered"] == 0  # never below nothing


def test_a_weaker_field_is_decline():
    steps, _ = ledger(left=[0.8, 0.7, 0.6])
    assert steps["decline"] == pytest.approx(0.2 * 1.25 * HOURS)
    assert steps["delivered"] == pytest.approx(0.8 * HOURS)


def test_stated_outputs_by_month():
    monthly_kw = tuple(float(n) for n in range(100, 1300, 100))
    _, monthly = ledger(plant(monthly_kw=monthly_kw))
    assert monthly == pytest.approx(np.array(monthly_kw) * MONTH_HOURS / 1000)


def test_share_left_by_flow_and_brine():
    found = plant(brine_slope=one(0.02))
    assert found.share_left(one(0), one(100), one(100)) == pytest.approx([1])
    assert found.share_left(one(5), one(80), one(100)) == pytest.approx([0.8 * 0.9])
    assert found.share_left(one(5), one(300), one(100)) == pytest.approx(
        [0.9]
    )  # flow beyond the limit counts for nothing
    assert found.share_left(one(90), one(100), one(100)) == [0]
    assert plant(design_flow=one(np.nan)).share_left(one(0), one(np.nan), one(np.nan)) == [1]


def test_forced_outage_is_of_the_hours_that_planned_outage_leaves():
    steps, _ = ledger(how=running(planned=one(0.1), forced=one(0.2)))
    assert steps["planned_outage"] == pytest.approx(0.1 * HOURS)
    assert steps["forced_outage"] == pytest.approx(0.9 * 0.2 * HOURS)
    assert steps["unit_net"] == pytest.approx(0.72 * HOURS)


def test_planned_outage_in_a_month():
    days = 10 * 24
    steps, monthly = ledger(how=running(planned=one(days / HOURS), planned_month=JULY))
    assert steps["planned_outage"] == pytest.approx(days)
    hours = np.array(MONTH_HOURS)
    hours[JULY] -= days
    assert monthly == pytest.approx(hours)


def test_planned_outage_costs_less_in_a_hot_month():
    hot = np.zeros((12, 1))
    hot[JULY] = 30
    how = {"planned": one(0.02), "forced": one(0)}
    found = [
        stated_ledger(plant(air_slope=one(0.01)), hot, np.ones((1, 1)), running(**how, planned_month=month))
        for month in (None, JULY, 0)
    ]
    even, july, january = (float(ledger.steps["planned_outage"][0, 0]) for ledger in found)
    assert july == pytest.approx(0.02 * HOURS * 0.7)
    assert january == pytest.approx(0.02 * HOURS)
    assert july < even < january


def test_export_limit():
    steps, _ = ledger(how=running(limit_kw=one(800)))
    assert steps["output_limit"] == pytest.approx(0.2 * 1.25 * HOURS)
    assert steps["unit_net"] == pytest.approx(0.8 * HOURS)
    free, _ = ledger(how=running(limit_kw=one(1000)))
    assert free["output_limit"] == pytest.approx(0, abs=1e-9)


def test_line_loss_is_of_what_is_sent():
    steps, _ = ledger(how=running(line_loss=one(0.05)))
    assert steps["line_loss"] == pytest.approx(0.05 * HOURS)
    assert steps["delivered"] == pytest.approx(0.95 * HOURS)


def test_load_is_served_with_what_the_line_loses():
    load = np.full((12, 1), 400.0)
    load[JULY] = 10000
    steps, monthly = ledger(how=running(line_loss=one(0.2), load_mwh=load))
    wanted = np.full(12, 400.0)
    wanted[JULY] = MONTH_HOURS[JULY] * 0.8  # all there is
    assert monthly == pytest.approx(wanted)
    assert steps["line_loss"] == pytest.approx(wanted.sum() / 0.8 * 0.2)
    assert steps["curtailment"] == pytest.approx(HOURS - wanted.sum() / 0.8)


def test_outages_never_let_a_unit_sell_more_than_the_load_or_than_it_makes():
    load = np.full((12, 1), 400.0)
    steps, monthly = ledger(how=running(planned=one(0.1), forced=one(0.2), load_mwh=load))
    assert (monthly <= 400).all()
    assert steps["planned_outage"] == pytest.approx(0.1 * HOURS)
    assert steps["forced_outage"] == pytest.approx(0.9 * 0.2 * HOURS)
    assert steps["unit_net"] == pytest.approx(0.72 * HOURS)
    assert steps["curtailment"] == pytest.approx(0.72 * HOURS - monthly.sum())


def test_own_use_stops_in_outages():
    found = stated_ledger(plant(), np.zeros((12, 1)), np.ones((3, 1)), running(planned=one(0.25), forced=one(0.2)))
    assert found.gross_energy == pytest.approx(np.full((3, 1), 1.25 * 0.75 * 0.8 * HOURS))
    assert found.of_life()["delivered"] == pytest.approx([3 * 0.6 * HOURS])
    assert tuple(found.of_year(1)) == STEPS


def test_scenarios_and_years_do_not_mix():
    five = StatedPlant(
        np.full(5, 1000.0),
        np.full(5, 1250.0),
        None,
        np.zeros(5),
        np.zeros(5),
        np.arange(1.0, 6.0) / 5,
        np.full(5, 100.0),
    )
    how = Running(np.zeros(5), None, np.zeros(5), np.full(5, 1e9), np.zeros(5), None)
    left = np.array([[1.0], [0.5], [0.25]]) * np.ones(5)
    found = stated_ledger(five, np.zeros((12, 5)), left, how)
    assert found.steps["delivered"] == pytest.approx(left * np.arange(1, 6) / 5 * HOURS)
    assert found.monthly.shape == (12, 5)


def test_mean_over_the_hours_of_the_year():
    assert hours_mean((7.0,) * 12) == pytest.approx(7)
    assert hours_mean((12.0,) + (0.0,) * 11) == pytest.approx(12 * 31 / 365)


def test_homes_take_the_smaller_and_the_larger_year():
    low, high = homes(one(1000), one(900), one(0.1), one(8), one(12))
    assert low == pytest.approx([900 * 0.9 / 12])
    assert high == pytest.approx([1000 * 0.9 / 8])


ISLAND = """
[project]
name = "Island"
[money]
currency = "USD"
price_year = 2026
[timeline]
first_year = 2028
operating_years = 7
[site]
line_loss = "5 %"
[plant]
kind = "stated"
net_capacity = "1 MW"
[finance]
discount_rate = "8 %/yr"
[community]
islanded = true
local_load = [
    "900 MWh", "800 MWh", "500 MWh", "500 MWh", "500 MWh", "500 MWh",
    "600 MWh", "500 MWh", "500 MWh", "500 MWh", "500 MWh", "900 MWh",
]
standby_share = "10 %"
"""


def test_an_islanded_unit_never_sells_more_than_the_load_less_standby():
    result = evaluate(Case.read(ISLAND))
    load = np.array([900, 800, 500, 500, 500, 500, 600, 500, 500, 500, 500, 900]) * 0.9
    can = np.array(MONTH_HOURS) * 0.95
    assert result.value("first_year_energy") == pytest.approx(np.minimum(load, can).sum())
    assert result.value("lowest_month_energy") == pytest.approx(450)
    assert result.value("curtailed_energy") == pytest.approx((can - np.minimum(load, can)).sum() / 0.95)


def test_a_load_on_the_grid_limits_nothing():
    texts = {
        "community.islanded": "false",
        "operation.planned_outage": "10 d/yr",
        "operation.planned_outage_month": "7",
    }
    result = evaluate(Case.read(ISLAND).with_texts(texts))
    assert result.value("curtailed_energy") == 0
    assert result.value("first_year_energy") == pytest.approx((HOURS - 240) * 0.95)


def test_export_limit_of_a_case():
    result = evaluate(Case.read(ISLAND).with_texts({"community.islanded": "false", "site.export_limit": "700 kW"}))
    assert result.ledger["output_limit"] == pytest.approx([0.3 * HOURS])
    assert result.value("summer_capacity") == pytest.approx(0.7)


def test_a_stated_capacity_factor_holds_every_loss():
    texts = {"community.islanded": "false", "plant.stated_capacity_factor": "86 %", "operation.forced_outage": "4 %"}
    result = evaluate(Case.read(ISLAND).with_texts(texts))
    assert result.value("net_capacity_factor") == pytest.approx(0.86, rel=0.01)


def month_by_month(plant, warmer, left, run):
    """The same ledger one month of one year of one scenario at a time, in plain arithmetic."""
    parts, (years, scenarios) = warmer.shape[1], left.shape
    steps, monthly = {name: np.zeros(left.shape) for name in STEPS}, np.zeros((12, scenarios))
    for s in range(scenarios):
        gross_of_net = plant.gross_kw[s] / plant.net_kw[s]
        for year in range(years):
            booked = dict.fromkeys(STEPS, 0.0)
            booked["gross_at_design"] = plant.gross_kw[s] * HOURS / 1000
            made_in_weather = 0.0
            for month, hours in enumerate(MONTH_HOURS):
                full = [float(plant.in_weather(month, warmer[month, part])[s]) for part in range(parts)]
                ran = [min(power * left[year, s], run.limit_kw[s]) for power in full]
                each = hours / parts / 1000
                made_in_weather += sum(full) * each * gross_of_net
                booked["decline"] += sum(power * (1 - left[year, s]) for power in full) * each * gross_of_net
                cut = sum(power * left[year, s] - most for power, most in zip(full, ran, strict=True))
                booked["output_limit"] += cut * each * gross_of_net
                available = sum(ran) * each
                booked["plant_auxiliaries"] += available * (gross_of_net - 1)
                off = run.planned[s]
                if run.planned_month is not None:
                    off = min(off * HOURS / hours, 1.0) if month == run.planned_month else 0.0
                start, end = sum(MONTH_HOURS[:month]) / HOURS + year, sum(MONTH_HOURS[: month + 1]) / HOURS + year
                late = 0.0 if run.delay is None else min(max((run.delay[s] - start) / (end - start), 0.0), 1.0)
                lost = run.forced[s] + (1 - run.forced[s]) * late
                net = available * (1 - off) * (1 - lost)
                wanted = net
                if run.load_mwh is not None:
                    wanted = min(net, run.load_mwh[month, s] * (1 - off) * (1 - lost) / (1 - run.line_loss[s]))
                booked["planned_outage"] += available * off
                booked["forced_outage"] += available * (1 - off) * lost
                booked["unit_net"] += net
                booked["curtailment"] += net - wanted
                booked["line_loss"] += wanted * run.line_loss[s]
                booked["delivered"] += wanted * (1 - run.line_loss[s])
                if year == 0:
                    monthly[month, s] = wanted * (1 - run.line_loss[s])
            booked["weather"] = booked["gross_at_design"] - made_in_weather
            for name, value in booked.items():
                steps[name][year, s] = value
    return steps, monthly


@pytest.mark.parametrize("limit", [0.0, 600.0, 980.0, np.inf])
@pytest.mark.parametrize("planned_month", [None, 1])
@pytest.mark.parametrize("load", [None, 0.55])
@pytest.mark.parametrize("late", [False, True])
def test_a_ledger_is_that_of_its_months_one_by_one(limit, planned_month, load, late):
    rng = np.random.default_rng(5)
    five = StatedPlant(
        rng.uniform(900, 1100, 5), rng.uniform(1200, 1300, 5), None, rng.uniform(0, 0.02, 5), np.zeros(5),
        rng.uniform(0.9, 1.1, 5), np.full(5, np.nan),
    )  # fmt: skip
    run = running(
        planned=np.array([0.0, 0.01, 0.02, 0.1, 0.03]), planned_month=planned_month, forced=rng.uniform(0, 0.1, 5),
        limit_kw=np.full(5, limit), line_loss=rng.uniform(0, 0.1, 5), delay=rng.uniform(0, 1.5, 5) if late else None,
        load_mwh=None if load is None else np.tile(load * np.array(MONTH_HOURS)[:, None], 5),
    )  # fmt: skip
    warmer, left = rng.normal(0, 8, (12, 2, 5)), np.sort(rng.uniform(0.6, 1.0, (3, 5)), axis=0)[::-1]
    found, (steps, monthly) = stated_ledger(five, warmer, left, run), month_by_month(five, warmer, left, run)
    assert tuple(found.steps) == STEPS
    for name in STEPS:
        assert found.steps[name] == pytest.approx(steps[name], rel=1e-12, abs=1e-9), name
    assert found.monthly == pytest.approx(monthly, rel=1e-12)
    if limit == 0:
        assert not found.steps["delivered"].any()


def ordered(more=""):
    """A stated unit whose brine turns out as a study says, held to what was ordered for 150 degC."""
    text = f"""
[project]
name = "Any"
[money]
currency = "USD"
price_year = 2026
[timeline]
first_year = 2028
operating_years = 5
[resource]
temperature = "150 degC"
temperature_decline = "1 K/yr"
[plant]
kind = "stated"
net_capacity = "2 MW"
brine_slope = "1.5 %/K"
cost_per_kw = "3000 USD/kW"
cost_basis = "net"
{more}
[finance]
discount_rate = "8 %/yr"
"""
    case = Case.read(text, "any")
    return case, size(case)


@pytest.mark.parametrize("more", ["", 'stated_capacity_factor = "80 %"'])
def test_brine_that_turns_out_cooler_than_the_plant_is_ordered_for_costs_output(more):
    """By hand: half a kelvin is lost by the middle of year 1; 10 K less than ordered take 15 % of the output as stated."""
    case, design = ordered(more)
    energy = evaluate(case.with_values({"resource.temperature": np.array([140.0, 150.0])}), design).annual
    found = energy["delivered_energy"][case.timeline.build_years :]
    share = 0.8 if more else 1 - 0.015 * 0.5
    assert found[0, 1] == pytest.approx(2 * HOURS * share)
    lost = 0.015 * (10 + np.arange(5) + 0.5)
    assert found[:, 0] / found[0, 1] == pytest.approx((1 - lost) / (1 - 0.015 * 0.5))
    afresh = evaluate(case.with_values({"resource.temperature": 140.0})).annual["delivered_energy"][-5:, 0]
    assert afresh == pytest.approx(found[:, 1])

"""How large a unit: against a straight computation size by size, its steps, what ends it, and what is refused."""

import json
import math
from dataclasses import replace

import numpy as np
import pytest

import geoecon
from geoecon import evaluate
from geoecon.case import Case, load_case
from geoecon.costs import plant_cost
from geoecon.errors import CaseError
from geoecon.report.charts.sizes import cost_by_size, value_by_size
from geoecon.report.sizes import as_json, growth, lines, rows, size_columns, verdict
from geoecon.reservoir import supported_gross_kw
from geoecon.studies.sizes import CAP, FIELD, LARGER, SMALLER, sizes

YEARS, RATE, EXPONENT, OWN = 20, 0.08, 0.8, 2000.0
PER_KW, PER_WELL, FLOOR, A_KW = 3000.0, 1.5e6, 300e3, 100.0
FLOW, OF_A_WELL = 50.0, 20.0
PLAIN = f"""
[project]
name = "Sizes"
[money]
currency = "USD"
price_year = 2030
inflation = "0 %/yr"
[timeline]
first_year = 2031
build_years = 1
operating_years = {YEARS}
[wells]
cost_per_producer = "{PER_WELL} USD"
flow_per_producer = "{OF_A_WELL} kg/s"
success = "100 %"
producers_per_injector = 20
cost_per_injector = "0 USD"
[plant]
kind = "stated"
net_capacity = "{OWN} kW"
stated_brine_flow = "{FLOW} kg/s"
cost_per_kw = "{PER_KW} USD/kW"
cost_basis = "net"
cost_exponent = {EXPONENT}
[operation]
fixed_cost = "{A_KW} USD/kW/yr"
staff_floor = "{FLOOR} USD/yr"
[market]
price = "90 USD/MWh"
[finance]
discount_rate = "{RATE * 100} %/yr"
equity_return = "{RATE * 100} %/yr"
"""


def case(**told):
    return Case.read(PLAIN, told={path.replace("__", "."): text for path, text in told.items()})


def by_hand(kw):
    """Levelized cost and value of one size, in a loop over the years: nothing of the package is used."""
    wells = math.ceil(FLOW * kw / OWN / OF_A_WELL - 1e-9)
    capital = PER_KW * OWN * (kw / OWN) ** EXPONENT + wells * PER_WELL
    yearly = max(A_KW * kw, FLOOR)
    paid, sold, value = capital, 0.0, -capital
    for year in range(1, YEARS + 1):
        worth = 1 / (1 + RATE) ** year
        energy = kw * 8.76
        paid += yearly * worth
        sold += energy * worth
        value += (90 * energy - yearly) * worth
    return paid / sold, value, wells


def test_every_size_is_what_a_loop_over_the_years_gives():
    found = sizes(case())
    cost, value, wells = np.array([by_hand(kw) for kw in found.capacity]).T
    assert found.metrics["lcoe_real"] == pytest.approx(cost, rel=1e-12)
    assert found.metrics["npv"] == pytest.approx(value, rel=1e-9, abs=1e-3)
    assert (found.metrics["producers"] == wells).all()
    assert found.cheapest == int(cost.argmin())
    assert found.best == int(value.argmax())


def test_sizes_that_use_whole_wells_are_among_them_and_the_next_has_one_more():
    found = sizes(case())
    full = found.capacity[found.full]
    assert full == pytest.approx([800.0, 1600.0, 2400.0, 3200.0, 4000.0, 4800.0])
    at = np.flatnonzero(found.full)[:-1]
    assert (found.metrics["producers"][at + 1] == found.metrics["producers"][at] + 1).all()


@pytest.mark.parametrize("name", ["ambry-wells", "kettle-sound", "sorrel-basin"])
def test_the_own_size_is_the_case_itself(name):
    read = load_case(geoecon.shipped_case(name))
    found, own = sizes(read), evaluate(read)
    for key, values in found.metrics.items():
        assert values[found.at] == pytest.approx(own.metrics[key].values[0], rel=1e-9, nan_ok=True), key


def test_a_load_that_takes_no_more_sets_the_size():
    """Nothing above the load is sold, nothing below serves it all: the least cost lies where output meets it."""
    load = (
        "["
        + ", ".join(
            f'"{1500 * hours / 1000:.6f} MWh"'
            for hours in np.array([31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31]) * 24
        )
        + "]"
    )
    found = sizes(
        case(community__islanded="true", community__local_load=load, wells__cost_per_producer="0 USD"),
        "500 kW",
        "3000 kW",
        251,
    )
    assert found.capacity[found.cheapest] == pytest.approx(1500.0, abs=10.0)
    assert not found.better
    assert "better" not in verdict(found)


def test_a_field_ends_what_it_does_not_support():
    found = sizes(case(resource__supported_power="3 MW"))
    assert found.capacity[found.cheapest] == 3000.0
    assert {one.why for one in found.better} == {FIELD}
    assert verdict(found).endswith("but the field is said to support 3 MW for the life.")
    assert (found.capacity[~found.supported] > 3000).all()
    low, high = found.as_good
    assert low <= 3000.0 == high


@pytest.mark.parametrize("high", ["1700 kW", "2 MW", "2300 kW", "2500 kW", "3100 kW", "5 MW"])
def test_a_larger_size_that_costs_less_is_told_wherever_the_range_ends(high):
    """Cost has a step at each further well; where the range ends just behind one, larger units still do better."""
    found = sizes(case(), "700 kW", high)
    larger = next(one for one in found.better if one.metric == "lcoe_real")
    assert larger.why == LARGER
    assert by_hand(larger.capacity_kw)[0] == pytest.approx(larger.value, rel=1e-12)
    assert larger.value < min(by_hand(kw)[0] for kw in np.linspace(700, found.high, 300))
    assert "Beyond the upper end of the sizes asked for a larger one does better" in verdict(found)


def test_a_smaller_size_that_does_better_is_told():
    found = sizes(load_case(geoecon.shipped_case("kettle-sound")), "750 kW", "900 kW")
    assert {one.why for one in found.better} == {SMALLER}
    assert "Beyond the lower end" in verdict(found)


def test_the_own_size_outside_the_range_is_marked_and_not_judged():
    found = sizes(case(), "3 MW", "4500 kW")
    assert found.capacity[found.at] == OWN
    assert not found.inside[found.at]
    assert [row[0] for row in rows(found)[2:]].count("the case, not asked for") == 1
    assert found.capacity[found.open].min() == 3000
    assert "which was not asked for, costs" in verdict(sizes(case(), "700 kW", "1700 kW"))


def test_stored_heat_ends_what_it_does_not_support():
    """The largest size is the one whose gross power is what the heat in place gives over the life."""
    stated = geoecon.shipped_case("ambry-wells").read_text(encoding="utf-8")
    heat = 'reservoir_area = "16 km2"\nreservoir_thickness = "150 m"'
    read = Case.read(stated.replace('supported_power = "8 MW"', heat))
    found, stored = sizes(read), supported_gross_kw(read)[0]
    assert found.by_heat
    last = np.flatnonzero(found.supported)[-1]
    assert found.metrics["gross_capacity"][last] * 1e3 == pytest.approx(stored, rel=1e-6)
    assert (found.metrics["gross_capacity"][last + 1 :] * 1e3 > stored).all()
    assert found.capacity[found.cheapest] <= found.supported_kw
    assert "the field supports by its stored heat" in growth(found)


def test_a_cap_on_the_commitment_ends_what_is_above_it():
    told = {"finance.commitment_cap": "13.5 MUSD"}
    found = sizes(load_case(geoecon.shipped_case("kettle-sound"), told))
    assert (found.metrics["total_commitment"][found.open] <= 13.5e6).all()
    assert any(one.why == CAP for one in found.better)
    assert "finance.commitment_cap" in verdict(found)
    assert any("above the cap" in row[0] for row in rows(found)[2:])
    nothing = sizes(load_case(geoecon.shipped_case("kettle-sound"), {"finance.commitment_cap": "1 MUSD"}))
    assert nothing.cheapest is None
    assert "commits the owner to more than 1.000 MUSD" in verdict(nothing)


def test_the_quote_keeps_its_size():
    """A plant quoted for 4 MW costs what the law of its exponent makes of that quote, at every size."""
    found = sizes(case(plant__cost_reference_capacity="4 MW", wells__cost_per_producer="0 USD"))
    quoted = PER_KW * 4000 * (found.capacity / 4000) ** EXPONENT
    assert found.metrics["capital_cost"] == pytest.approx(quoted, rel=1e-12)


def test_published_small_units_follow_one_exponent():
    """Entingh, Easwaran and McLarty 1994 at 120 degC, 1993 USD, from memory: 2,210 USD/kW at 100 kW, 1,700 at 1,000 kW."""
    made = plant_cost(np.full(2, 2210.0), np.array([200.0, 1000.0]), np.full(2, 100.0), np.full(2, 0.886))
    assert made / np.array([200.0, 1000.0]) == pytest.approx([2040.0, 1700.0], rel=0.01)


@pytest.mark.parametrize(
    ("told", "path"),
    [
        ({"plant__cost_exponent": "1"}, "plant.cost_exponent"),
        ({"plant__size_from": "wells", "wells__existing_producers": "2"}, "plant.size_from"),
        ({"plant__stated_output": "[" + ", ".join(['"2 MW"'] * 12) + "]"}, "plant.stated_output"),
    ],
)
def test_a_case_that_says_nothing_of_size_is_refused(told, path):
    with pytest.raises(CaseError) as caught:
        sizes(case(**told))
    assert [fault.path for fault in caught.value.faults] == [path]


@pytest.mark.parametrize(
    ("low", "high", "steps"), [("3 MW", "2 MW", 9), ("2 kg", "3 MW", 9), ("1 W", "3 MW", 9), (None, None, 1)]
)
def test_a_range_that_cannot_be_is_refused(low, high, steps):
    with pytest.raises(CaseError):
        sizes(case(), low, high, steps)


def test_no_supported_size_is_said():
    found = sizes(case(resource__supported_power="100 kW"))
    assert found.cheapest is None
    assert found.as_good is None
    assert verdict(found).endswith(
        "the field is said to support 0.1 MW for the life, less than the smallest asked for."
    )
    assert list(lines(found))


def test_without_a_price_cost_alone_is_told():
    found = sizes(Case.read(PLAIN.replace('price = "90 USD/MWh"', "")))
    assert found.best is None
    assert "states no price" in verdict(found)
    assert value_by_size(found).picture is None


def test_report_says_the_same_everywhere():
    found = sizes(load_case(geoecon.shipped_case("kettle-sound")))
    said = as_json(found)
    json.dumps(said, allow_nan=False)
    assert said["net_capacity"][said["least_cost"]] == pytest.approx(found.capacity[found.cheapest] / 1e3)
    columns = size_columns(found)
    assert {len(column) for column in columns.values()} == {found.capacity.size}
    heads, _, *body = rows(found)
    assert all(len(row) == len(heads) for row in body)
    assert [row[0] for row in body].count("the case") == 1
    assert "twice the size, -13 % a kW" in growth(replace(found, exponent=0.8))
    for chart in (cost_by_size(found), value_by_size(found)):
        assert "diamond is the case's own 0.6 MW" in chart.sentence
        assert "triangle" in chart.sentence
        assert chart.picture.to_json()


def test_narrow_lines_fit():
    found = sizes(load_case(geoecon.shipped_case("kettle-sound")), steps=5)
    figures = [line for line in lines(found, 40) if line.startswith("  ")]
    assert len(figures) == 6 * len(rows(found)[2:])
    assert max(map(len, figures)) <= 40


def test_a_fixed_cost_that_does_not_grow_is_said():
    assert "fixed cost, 650.0 kUSD a year, is the same at every size" in growth(
        sizes(load_case(geoecon.shipped_case("ambry-wells")))
    )
    assert "same at every size" not in growth(sizes(case()))

"""From capacity to wells and back: sizes that fit, a design that is held, scenarios that do not touch each other.

The case is `tests/data/complete.toml`: 5 MW from isopentane and brine of 149 degC.
"""

from pathlib import Path

import numpy as np
import pytest

import geoecon
from geoecon import evaluate, load_case, size
from geoecon.case import Case
from geoecon.engine import plan_years
from geoecon.errors import CaseError
from geoecon.finance.reasons import Reason
from geoecon.preparing.basics import calendar
from geoecon.preparing.field import inlet_temperature, mass_flow
from geoecon.preparing.plants import mapped_plant
from geoecon.sizing import MOST_PRODUCERS, plant_and_pumps, too_small_a_field

FILE = Path(__file__).parents[1] / "data" / "complete.toml"
SOUND = {
    "resource.temperature": (141.0, 156.0),
    "wells.flow_per_producer": (0.045, 0.070),  # m3/s, as the case states a volume
    "wells.productivity_index": (5.0, 14.0),
    "site.air_temperature_offset": (-2.0, 3.0),
    "plant.performance_factor": (0.9, 1.1),
}


@pytest.fixture(scope="module")
def case():
    return load_case(FILE)


@pytest.fixture(scope="module")
def text():
    return FILE.read_text(encoding="utf-8")


def unit_of(case):
    plant = mapped_plant(case)
    return plant_and_pumps(case, plant, inlet_temperature(case))


def drawn(case, count):
    """Values of every sound input for so many scenarios, each scenario the same whatever the count."""
    generator = np.random.default_rng(2026)
    low, high = np.array(list(SOUND.values())).T
    rows = low + (high - low) * generator.random((101, len(SOUND)))
    return case.with_values(dict(zip(SOUND, rows[:count].T.copy(), strict=True)))


# --- sizes -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("capacity", ["500 kW", "1.3 MW", "5 MW", "12 MW", "40 MW"])
def test_least_whole_number_of_producers_that_delivers(case, capacity):
    asked = case.with_values({"plant.net_capacity": capacity})
    design, unit, each = size(asked), unit_of(asked), mass_flow(asked, asked.wells.flow_per_producer)
    kilowatts, number = asked.plant.net_capacity[0], design.wells.producers
    assert not design.short[0]
    assert number[0] == np.round(number[0])
    assert unit.unit_net(number, number * each)[0] >= kilowatts
    if number[0] > 1:
        assert unit.unit_net(number - 1, (number - 1) * each)[0] < kilowatts
    assert design.brine_flow[0] <= number[0] * each[0]


@pytest.mark.parametrize("capacity", ["500 kW", "1.3 MW", "5 MW", "12 MW", "40 MW"])
def test_flow_gives_the_capacity_back(case, capacity):
    asked = case.with_values({"plant.net_capacity": capacity})
    design = size(asked)
    again = unit_of(asked).unit_net(design.wells.producers, design.brine_flow)
    assert again == pytest.approx(asked.plant.net_capacity, rel=1e-6)


def test_net_and_pumps_are_plant_net(case):
    design = size(drawn(case, 101))
    assert design.net_kw + design.production_kw + design.injection_kw == pytest.approx(design.plant_net_kw, rel=1e-12)
    unit = unit_of(drawn(case, 101))
    assert design.plant_net_kw == pytest.approx(unit.net * design.brine_flow, rel=1e-6)
    assert (design.gross_kw > design.plant_net_kw).all()
    assert (design.injection < design.inlet).all()


def test_capacity_from_wells_that_exist(case):
    exist = {"wells.existing_producers": 4, "wells.existing_injectors": 2}
    wells = case.with_values({"plant.size_from": "wells", "plant.net_capacity": None, **exist})
    design, each = size(wells), mass_flow(wells, wells.wells.flow_per_producer)
    assert design.brine_flow == pytest.approx(4 * each)
    assert design.wells.producers[0] == 4
    assert design.wells.new_producers[0] == 0
    assert design.wells.injectors[0] == 3  # 4 producers at 1.5 to an injector
    assert design.wells.drilled == pytest.approx(1 / wells.wells.success)
    assert design.net_kw == pytest.approx(unit_of(wells).unit_net(np.array([4.0]), 4 * each))
    back = wells.with_values({"plant.size_from": "capacity", "plant.net_capacity": float(design.net_kw[0])})
    assert size(back).brine_flow == pytest.approx(design.brine_flow, rel=1e-6)


def test_existing_wells_are_kept_and_not_drilled(case):
    few = size(case)
    some = size(case.with_values({"wells.existing_producers": 2, "wells.existing_injectors": 1}))
    assert some.wells.producers[0] == few.wells.producers[0]
    assert some.wells.new_producers[0] == few.wells.new_producers[0] - 2
    assert some.wells.new_injectors[0] == few.wells.new_injectors[0] - 1
    many = size(case.with_values({"wells.existing_producers": 7, "wells.existing_injectors": 6}))
    assert many.wells.producers[0] == 7
    assert many.wells.injectors[0] == 6
    assert many.wells.drilled[0] == 0
    assert many.brine_flow[0] < few.brine_flow[0]  # each well gives less, and less is lost by drawdown


def test_spare_producers_come_on_top(case):
    assert size(case.with_values({"wells.spare_producers": 2})).wells.producers == size(case).wells.producers + 2


@pytest.mark.parametrize("ratio", [0.8, 1.0, 1.5, 3.0])
def test_injectors_follow_producers(case, ratio):
    wells = size(case.with_values({"wells.producers_per_injector": ratio})).wells
    assert wells.injectors[0] == np.ceil(wells.producers[0] / ratio - 1e-9)


def test_less_of_a_field_takes_more_wells(case):
    better, worse = (
        size(case.with_values({"resource.temperature": t, "wells.flow_per_producer": f})).wells.producers[0]
        for t, f in (("160 degC", "60 kg/s"), ("130 degC", "35 kg/s"))
    )
    assert better < worse


def test_too_small_a_field(case):
    large = case.with_values({"plant.net_capacity": "500 MW"})
    design = size(large)
    assert design.short[0]
    (found,) = too_small_a_field(large, design)
    assert found.path == "wells.flow_per_producer"
    assert found.message.startswith(f"{MOST_PRODUCERS} producers do not give the net_capacity")
    assert found.where.tolist() == [True]
    assert too_small_a_field(case, size(case)) == []


def test_pumps_that_take_more_than_the_plant_makes(case):
    deep = case.with_values({"wells.static_level": "1000 m", "wells.pump_efficiency": "20 %"})
    (found,) = too_small_a_field(deep, size(deep))
    assert found.path == "wells.flow_per_producer"
    assert "well pumps take more than the plant makes" in found.message
    with pytest.raises(CaseError, match="well pumps take more than the plant makes"):
        evaluate(deep, unsolved="raise")


def test_a_plant_without_power(case):
    cool = case.with_values({"resource.temperature": "60 degC"})
    (found,) = too_small_a_field(cool, size(cool))
    assert found.path == "plant.fluid"
    assert "isopentane makes no power from brine at 58.0 degC" in found.message


# --- a design that is held ----------------------------------------------------------------------------------------------


def test_held_design_in_a_poorer_field(case):
    """Without make-up wells: with them a weaker field may bring them in sooner, and more energy with them."""
    case = case.with_values({"wells.makeup_per_year": 0})
    design = size(case)
    poorer = {
        "resource.temperature": 141.0, "resource.temperature_decline": 0.9, "wells.flow_decline": 0.06,
        "wells.productivity_index": 4.0, "wells.flow_per_producer": "38 kg/s", "plant.performance_factor": 0.93,
        "site.air_temperature_offset": 2.0,
    }  # fmt: skip
    as_planned = evaluate(case, design)
    for path, value in poorer.items():
        turned_out = evaluate(case.with_values({path: value}), design)
        assert turned_out.held
        for name in ("net_capacity", "gross_capacity", "producers", "injectors", "wells_drilled", "brine_flow"):
            assert turned_out.value(name) == as_planned.value(name), (path, name)
        assert turned_out.value("lifetime_energy") < as_planned.value("lifetime_energy"), path
        assert turned_out.value("capital_cost") == as_planned.value("capital_cost"), path


def test_held_design_as_planned_is_the_sized_one(case):
    held, sized = evaluate(case, size(case)), evaluate(case)
    for name, metric in sized.metrics.items():
        assert np.array_equal(metric.values, held.metrics[name].values, equal_nan=True), name


def test_one_design_for_many_drawn_fields(case):
    """A design of one scenario is held through scenarios that draw their own field."""
    values = np.array([149.0, 141.0, 154.0])
    many = evaluate(case.with_values({"resource.temperature": values}), size(case))
    assert (many.metrics["producers"].values == size(case).wells.producers).all()
    energy = many.metrics["first_year_energy"].values
    assert energy[1] < energy[0] < energy[2]


# --- the field over the years ---------------------------------------------------------------------------------------------


def plan_of(case):
    return plan_years(case, size(case), calendar(case)).plan


def test_flow_at_the_limit_is_not_drilled_against(case):
    """Only the temperature falls: output goes below the threshold, flow stays at the plant's limit."""
    cooling = case.with_values({"resource.temperature_decline": "1.5 K/yr", "wells.flow_decline": 0.0})
    plan = plan_of(cooling)
    assert (plan.added == 0).all()
    last = evaluate(cooling).annual["gross_energy"][:, 0]
    assert last[-1] < 0.7 * last[calendar(cooling).first]


@pytest.mark.parametrize("stop", [0, 5, 12])
def test_no_well_enters_in_the_last_years(case, stop):
    falling = case.with_values({"wells.flow_decline": "12 %/yr", "wells.makeup_stop_years": stop})
    plan, life = plan_of(falling), falling.timeline.operating_years
    assert plan.added[: life - stop].sum() > 2
    assert (plan.added[life - stop :] == 0).all()
    assert (plan.added[0] == 0).all()
    assert (np.diff(plan.producers, axis=0) == plan.added[1:]).all()
    assert (plan.added <= falling.wells.makeup_per_year).all()


def test_no_make_up_where_none_may_enter(case):
    assert plan_of(case.with_values({"wells.makeup_per_year": 0})).added.sum() == 0
    assert plan_of(case.with_values({"wells.makeup_threshold": 0.0})).added.sum() == 0


# --- scenarios ------------------------------------------------------------------------------------------------------------


def arrays(result):
    """Every array of a result by name."""
    named = {f"metric {name}": metric.values for name, metric in result.metrics.items()}
    named |= {f"code {name}": metric.codes for name, metric in result.metrics.items()}
    for group in ("annual", "ledger", "ledger_life", "operating_accounts", "capital_accounts"):
        named |= {f"{group} {name}": np.asarray(values) for name, values in getattr(result, group).items()}
    return named


def test_bits_do_not_depend_on_company(case):
    alone, few, many = (arrays(evaluate(drawn(case, count))) for count in (1, 7, 101))
    for name, values in many.items():
        assert np.array_equal(values[..., :7], few[name], equal_nan=True), name
        assert np.array_equal(values[..., :1], alone[name], equal_nan=True), name
    assert (many["code npv"] == 0).all()
    assert np.unique(many["metric npv"]).size == 101


def test_bits_do_not_depend_on_company_when_the_design_is_held(case):
    alone, many = (arrays(evaluate(drawn(case, count), size(case))) for count in (1, 101))
    for name, values in many.items():
        assert np.array_equal(values[..., :1], alone[name], equal_nan=True), name


# --- what cannot be built -------------------------------------------------------------------------------------------------

STATED = 'cost_method = "stated"\ncost_per_producer = "5.1 MUSD"'
CURVE = 'cost_method = "curve"\ncost_curve = "historical-2014"'
BAD = {
    "brine colder than air": (
        {'temperature = "149 degC"': 'temperature = "21 degC"'},
        "resource.temperature", "brine reaches the plant at 19.0 degC, which is no hotter than the air there (22.0 degC)",
    ),
    "brine beyond the map": (
        {'temperature = "149 degC"': 'temperature = "320 degC"'},
        "resource.temperature", "is outside what the plant's map holds: brine 30 to 300 degC",
    ),
    "no pump can lift it": (
        {'productivity_index = "9 kg/s/bar"': 'productivity_index = "0.3 kg/s/bar"'},
        "wells.flow_per_producer", "no pump can lift it",
    ),
    "a vendor's file that is not there": (
        {'kind = "binary"\nfluid = "isopentane"': 'kind = "stated"\nperformance = "nowhere.csv"'},
        "plant.performance", "nowhere.csv: No such file",
    ),
    "a curve outside its depths": (
        {STATED: CURVE, 'depth = "1650 m"': 'depth = "800 m"'},
        "wells.depth", "800 m is outside the depths of curve 'historical-2014', 1,000 to 6,000 m",
    ),
    "a curve that nobody published": (
        {STATED: CURVE.replace("historical-2014", "mine")},
        "wells.cost_curve", "'mine' is not a published curve",
    ),
    "brine too cool to heat its fluid above the critical pressure": (
        {'fluid = "isopentane"': 'fluid = "isopentane"\nlayout = "supercritical"'},
        "plant.fluid", "which has to be well above 192 degC",
    ),
    "a layout of a plant that is stated": (
        {'kind = "binary"\nfluid = "isopentane"': 'kind = "stated"\nlayout = "recuperated"'},
        "plant.layout", "is only for binary plants",
    ),
    "an evaporation above the critical point": (
        {'fluid = "isopentane"': 'fluid = "isopentane"\nevaporating_temperature = "190 degC"'},
        "plant.evaporating_temperature", "above its critical temperature of 187.2 degC",
    ),
}  # fmt: skip


@pytest.mark.parametrize("what", BAD)
def test_bad_case_says_what_is_wrong(text, what):
    changes, path, said = BAD[what]
    for before, after in changes.items():
        assert before in text
        text = text.replace(before, after, 1)
    with pytest.raises(CaseError) as fault:
        evaluate(Case.read(text, str(FILE)), unsolved="raise")
    found = [f for f in fault.value.faults if f.path == path and said in f.message]
    assert found, str(fault.value)
    assert found[0].line == next(
        n for n, line in enumerate(text.splitlines(), 1) if line.startswith(path.split(".")[1])
    )


BULK = {
    "resource.temperature": (149.0, {1: 21.0, 3: 320.0, 4: 60.0}),
    "wells.productivity_index": (9.0, {2: 0.3}),
    "wells.depth": (1650.0, {0: 50.0, 4: 100.0}),
    "site.air_temperature_offset": (0.0, {}),
}


@pytest.mark.parametrize("path", BULK)
def test_in_bulk_only_the_scenarios_concerned(case, path):
    good, bad = BULK[path]
    values = good + np.array([0.0, 0.2, 0.4, 0.6, 0.8, 1.0])
    fine = evaluate(case.with_values({path: values.copy()}))
    values[list(bad)] = list(bad.values())
    many = evaluate(case.with_values({path: values}))
    hit = np.isin(np.arange(values.size), list(bad))
    for name, metric in many.metrics.items():
        assert (metric.codes[hit] == Reason.NOT_FEASIBLE).all(), name
        assert np.isnan(metric.values[hit]).all(), name
        assert np.array_equal(metric.values[~hit], fine.metrics[name].values[~hit], equal_nan=True), name
        assert np.array_equal(metric.codes[~hit], fine.metrics[name].codes[~hit]), name
    for name, column in many.annual.items():
        assert np.array_equal(column[:, ~hit], fine.annual[name][:, ~hit], equal_nan=True), name


# --- a vendor's table ------------------------------------------------------------------------------------------------------


@pytest.fixture
def vendor(text, tmp_path):
    """The case with the powers of its own binary plant, written down as a vendor would."""
    from geoecon.plant.maps import COLUMNS, binary_map

    plant = mapped_plant(load_case(FILE))
    powers = binary_map("isopentane", plant.terms, np.arange(120.0, 161.0, 2.5), np.arange(-9.0, 31.0, 3.0))
    rows = [
        f"{b!r},{a!r},{float(powers.net[i, j])!r},{float(powers.injection[i, j])!r}"
        for i, b in enumerate(powers.brine.tolist())
        for j, a in enumerate(powers.air.tolist())
    ]
    (tmp_path / "powers.csv").write_text("\n".join((",".join(COLUMNS), *rows)), encoding="utf-8")
    words = 'kind = "stated"\nperformance = "powers.csv"'
    (tmp_path / "case.toml").write_text(text.replace('kind = "binary"\nfluid = "isopentane"', words), encoding="utf-8")
    return tmp_path / "case.toml"


def test_vendors_table_gives_what_the_plant_behind_it_gives(case, vendor):
    """The table holds the best cycles, so the plant behind it is the best one at every temperature."""
    quoted, worked = (
        evaluate(load_case(vendor), unsolved="raise"),
        evaluate(case.with_texts({"plant.off_design": "re-optimised"})),
    )
    for name in ("net_capacity", "plant_net_capacity", "producers", "brine_flow", "injection_temperature",
                 "first_year_energy", "lifetime_energy", "summer_capacity", "well_pump_power"):  # fmt: skip
        assert quoted.value(name) == pytest.approx(worked.value(name), rel=1e-9), name
    assert quoted.value("gross_capacity") == pytest.approx(quoted.value("plant_net_capacity"))


def test_vendors_table_is_read_again_when_it_changes(vendor):
    import os

    before = evaluate(load_case(vendor)).value("brine_flow")
    file = vendor.parent / "powers.csv"
    head, *rows = file.read_text(encoding="utf-8").splitlines()
    halved = [",".join((b, a, repr(float(net) / 2), t)) for b, a, net, t in (row.split(",") for row in rows)]
    file.write_text("\n".join((head, *halved)), encoding="utf-8")
    os.utime(file, (1, 1))
    assert evaluate(load_case(vendor)).value("brine_flow") > 1.9 * before


def test_vendors_table_that_does_not_reach(vendor):
    hot = load_case(vendor).with_values({"resource.temperature": "175 degC"})
    with pytest.raises(CaseError, match="outside what the plant's map holds: brine 120 to 160 degC") as fault:
        evaluate(hot, unsolved="raise")
    assert fault.value.faults[0].path == "plant.performance"


def test_vendors_table_that_cannot_be_read(vendor):
    (vendor.parent / "powers.csv").write_text("brine,power\n1,2\n", encoding="utf-8")
    with pytest.raises(CaseError, match=r"powers\.csv: the first line must be"):
        evaluate(load_case(vendor))


@pytest.mark.parametrize(
    ("name", "count", "said"), [("kettle-sound", 1, 0), ("kettle-sound", 5, 1), ("ambry-wells", 9, 1)]
)
def test_wells_that_exist_beyond_need_are_told(name, count, said):
    case = load_case(geoecon.shipped_case(name), {"wells.existing_producers": str(count)})
    found = geoecon.evaluate(case)
    assert found.value("producers") >= count
    assert len([words for words in found.warnings if "more producers exist than the capacity takes" in words]) == said

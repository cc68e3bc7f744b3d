"""How the brine cools in a case: each way against a straight computation, what follows the design, what is refused.

The case is a shipped one of 5 MW whose wells and plant are worked out; a stated plant is the other.
"""

import math

import numpy as np
import pytest
from iapws import IAPWS97
from scipy.integrate import quad

import geoecon
from geoecon.case import Case
from geoecon.errors import CaseError, TableFileError
from geoecon.resource.tables import yearly_temperatures
from geoecon.studies.stress import stress_set

RATE = {"resource.temperature_decline": "0 K/yr", "resource.decline_start_years": "0"}
DOUBLET = {
    **RATE,
    "resource.temperature_path": "doublet",
    "resource.well_spacing": "900 m",
    "resource.aquifer_thickness": "60 m",
}
SWEEP = {**DOUBLET, "resource.temperature_path": "sweep", "resource.swept_width": "700 m"}
FRACTURE = {**RATE, "resource.temperature_path": "fracture", "resource.fracture_area": "4 km2"}
WAYS = {"doublet": DOUBLET, "sweep": SWEEP, "fracture": FRACTURE}
SECONDS = 365.25 * 86400


@pytest.fixture(scope="module")
def sorrel():
    return geoecon.load_case(geoecon.shipped_case("sorrel-basin"))


def brine(result):
    running = result.annual["year"][:, 0] > 0
    return result.annual["brine_temperature"][running]


def fault_of(case, texts):
    with pytest.raises(CaseError) as caught:
        case.with_texts(texts)
    return str(caught.value)


# --- each way --------------------------------------------------------------------------------------------------------


def test_a_doublet_by_its_own_streamlines(sorrel):
    """From the flow and temperature that the pass prints, streamline by streamline, in this test's own words.

    The pass takes water from the saturation equations, this test from IF97: 0.06 % apart in heat, so in time.
    """
    result = geoecon.evaluate(sorrel.with_texts(DOUBLET))
    hot, back = 158.0, result.value("injection_temperature")
    pairs = min(result.value("producers"), result.value("injectors"))
    warm, cold = (IAPWS97(T=t + 273.15, x=0) for t in (hot, back))
    heat = (warm.h - cold.h) / (hot - back) * 1e3
    layer = 0.1 * heat * warm.rho + 0.9 * 2650 * 850
    first = math.pi / 3 * layer * 900**2 * 60 / (result.value("brine_flow") / pairs * heat) / SECONDS

    def arrived(years):
        if years <= first:
            return 0.0
        low, high = 1e-9, math.pi - 1e-9
        for _ in range(80):
            angle = (low + high) / 2
            late = 3 * (1 - angle / math.tan(angle)) / math.sin(angle) ** 2 * first > years
            low, high = (low, angle) if late else (angle, high)
        return low / math.pi

    expected = [quad(arrived, n, n + 1, points=[first] if n < first < n + 1 else None)[0] for n in range(30)]
    assert 0 < first < 30
    fallen = (158.0 - 2.0 - brine(result)[:, 0]) / (hot - back)
    assert fallen == pytest.approx(np.array(expected), abs=6e-4)


def test_a_table_moves_the_brine_by_its_own_fall(sorrel, tmp_path):
    years = np.arange(31)
    values = 160 - 0.4 * years - 0.01 * years**2
    lines = ["year,temperature [degC]", *(f"{n},{t:.6f}" for n, t in zip(years, values, strict=True))]
    (tmp_path / "field.csv").write_text("\n".join(lines) + "\n", encoding="utf-8")
    text = geoecon.shipped_case("sorrel-basin").read_text(encoding="utf-8")
    file = tmp_path / "case.toml"
    file.write_text(text, encoding="utf-8")
    case = geoecon.load_case(file).with_texts(
        {**RATE, "resource.temperature_path": "table", "resource.temperature_table": "field.csv"}
    )
    result = geoecon.evaluate(case)
    middle = (values[1:] + values[:-1]) / 2
    assert brine(result)[:, 0] == pytest.approx(156.0 - (160.0 - middle), abs=1e-6)
    assert any("begins at 160.0 degC and the field at 158.0 degC" in line for line in result.warnings)
    twice = geoecon.evaluate(case.with_texts({"resource.table_factor": "2"}))
    assert 156 - brine(twice)[:, 0] == pytest.approx(2 * (156 - brine(result)[:, 0]))


def test_a_rate_may_follow_the_flow(sorrel):
    plain = geoecon.evaluate(sorrel)
    flow = plain.value("brine_flow")
    same = geoecon.evaluate(sorrel.with_texts({"resource.decline_reference_flow": f"{flow!r} kg/s"}))
    assert brine(same) == pytest.approx(brine(plain), rel=1e-12)
    half = geoecon.evaluate(sorrel.with_texts({"resource.decline_reference_flow": f"{flow * 2!r} kg/s"}))
    assert 156 - brine(half) == pytest.approx((156 - brine(plain)) / 2)


def test_a_bigger_unit_cools_its_field_faster(sorrel):
    tied = sorrel.with_texts({"resource.decline_reference_flow": "150 kg/s"})
    lasts = [
        geoecon.evaluate(tied.with_texts({"plant.net_capacity": size})).value("last_brine_temperature")
        for size in ("3 MW", "5 MW", "7 MW")
    ]
    assert lasts[0] > lasts[1] > lasts[2]


def test_a_delay_before_the_field_begins_to_cool(sorrel):
    late = brine(geoecon.evaluate(sorrel.with_texts({"resource.decline_start_years": "10"})))[:, 0]
    assert late[:10] == pytest.approx(156.0)
    assert 156 - late[10:] == pytest.approx(0.3 * (np.arange(20) + 0.5))


# --- what follows the design ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("way", sorted(WAYS))
def test_scenarios_do_not_touch_each_other(sorrel, way):
    case = sorrel.with_texts(WAYS[way])
    sizes, hot = np.array([3000.0, 5000.0, 6000.0]), np.array([150.0, 158.0, 162.0])
    together = geoecon.evaluate(case.with_values({"plant.net_capacity": sizes, "resource.temperature": hot}))
    for n in range(3):
        alone = geoecon.evaluate(case.with_values({"plant.net_capacity": sizes[n], "resource.temperature": hot[n]}))
        assert brine(together)[:, n] == pytest.approx(brine(alone)[:, 0], rel=1e-6)


@pytest.mark.parametrize("way", sorted(WAYS))
def test_nothing_better_cools_faster(sorrel, way):
    case = sorrel.with_texts(WAYS[way])
    now = brine(geoecon.evaluate(case))[:, 0]
    assert (np.diff(now) <= 1e-9).all()
    assert now[-1] < now[0] - 1
    for texts in {
        "doublet": [{"resource.well_spacing": "1100 m"}, {"resource.aquifer_thickness": "90 m"}],
        "sweep": [{"resource.swept_width": "900 m"}, {"resource.rock_conductivity": "3.5 W/m/K"}],
        "fracture": [{"resource.fracture_area": "6 km2"}, {"resource.reinjection_temperature": "95 degC"}],
    }[way]:
        better = brine(geoecon.evaluate(case.with_texts(texts)))[:, 0]
        assert (better >= now - 1e-9).all()
        assert better[-1] > now[-1]


def test_brine_beyond_the_map_is_said_and_loses_no_other_scenario():
    shipped = geoecon.load_case(geoecon.shipped_case("pell-crossing"))
    case = shipped.with_texts(
        {**DOUBLET, "resource.well_spacing": "150 m", "resource.reinjection_temperature": "45 degC"}
    )
    with pytest.raises(CaseError, match=r"brine from \d+ down to \d+ degC over the life, or the air"):
        geoecon.evaluate(case, unsolved="raise")
    result = geoecon.evaluate(case.with_values({"resource.well_spacing": np.array([150.0, 3000.0])}))
    assert np.isnan(result.metrics["npv"].values).tolist() == [True, False]


def test_a_stated_plant_needs_its_flow_and_injection():
    case = geoecon.load_case(geoecon.shipped_case("ambry-wells"))
    assert "resource.reinjection_temperature: is missing" in fault_of(case, DOUBLET)
    result = geoecon.evaluate(case.with_texts({**DOUBLET, "resource.reinjection_temperature": "70 degC"}))
    assert brine(result)[-1, 0] < brine(result)[0, 0]


# --- stored heat ------------------------------------------------------------------------------------------------------


def test_stored_heat_warns_when_the_unit_takes_more(sorrel):
    text = geoecon.shipped_case("sorrel-basin").read_text(encoding="utf-8")
    case = Case.read(
        text.replace('supported_power = "8 MW"', 'reservoir_thickness = "300 m"\nreservoir_area = "1 km2"')
    )
    small = geoecon.evaluate(case)
    assert any("stored heat supports" in line and "MW gross for 30 years" in line for line in small.warnings)
    large = geoecon.evaluate(case.with_texts({"resource.reservoir_area": "90 km2"}))
    assert not any("stored heat" in line for line in large.warnings)


# --- what is refused --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("texts", "path", "said"),
    [
        ({"resource.temperature_path": "doublet", **RATE}, "resource.well_spacing", "is missing"),
        ({**SWEEP, "resource.temperature_path": "doublet"}, "resource.swept_width", "is not used"),
        ({**FRACTURE, "resource.drawdown_parameter": "2e-5 kg/s/m2"}, "resource.drawdown_parameter", "keep one"),
        ({"resource.temperature_path": "fracture", **RATE}, "resource.fracture_area", "or drawdown_parameter"),
        ({**DOUBLET, "resource.temperature_decline": "0.3 K/yr"}, "resource.temperature_decline", "is not used"),
        ({**DOUBLET, "resource.well_spacing": "0.9 kg"}, "resource.well_spacing", "kg"),
        ({"resource.reservoir_area": "3 km2"}, "resource.reservoir_thickness", "is missing"),
        ({"resource.temperature_path": "pond"}, "resource.temperature_path", "pond"),
    ],
)
def test_what_does_not_fit_together_is_refused(sorrel, texts, path, said):
    message = fault_of(sorrel, texts)
    assert path in message
    assert said in message


def test_water_that_goes_back_hotter_than_the_field_is_refused(sorrel):
    case = sorrel.with_texts({**DOUBLET, "resource.reinjection_temperature": "170 degC"})
    with pytest.raises(CaseError, match=r"reinjection_temperature: 170\.0 degC is no cooler"):
        geoecon.evaluate(case, unsolved="raise")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "the first line must be"),
        ("year,temperature\n0,150\n", "the first line must be"),
        ("year,temperature [degC]\n1,150\n", "year 0, the start of operation, comes first"),
        ("year,temperature [degC]\n0,150\n2,149\n", "1 comes after 0"),
        ("year,temperature [degC]\n0,150\n1,hot\n", "line 3: '1, hot'|line 3"),
        ("year,temperature [degC]\n0,150\n1,nan\n", "is not a temperature"),
        ("year,temperature [degC]\n0,150\n1,950\n", "outside 0 to 400"),
        ("year,temperature [degC]\n0,150\n", "ends in year 0 and the case runs for 2"),
    ],
)
def test_tables_that_cannot_be_read(text, said):
    with pytest.raises(TableFileError, match=said):
        yearly_temperatures(text, 2)


def test_rows_after_the_life_are_left_out():
    found = yearly_temperatures("\ufeffyear, temperature [K]\n0,423.15\n1,422.15\n2,421.15\n3,400\n", 2)
    assert found == pytest.approx([150.0, 149.0, 148.0])


# --- told -------------------------------------------------------------------------------------------------------------


def test_stresses_move_what_the_way_has(sorrel):
    moved = {path for found in stress_set(sorrel.with_texts(DOUBLET)).rows for path in found.stress.reach}
    assert "resource.aquifer_thickness" in moved
    assert not moved & {"resource.temperature_decline", "resource.fracture_area", "resource.table_factor"}

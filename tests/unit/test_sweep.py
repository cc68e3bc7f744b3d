"""Sweeps: the same pass at every value, to the last bit."""

import numpy as np
import pytest

import geoecon
from geoecon.case import load_case
from geoecon.errors import CaseError
from geoecon.studies.inputs import inputs, usual_range
from geoecon.studies.sweep import sweep, sweep_texts


def case_of(name, **told):
    return load_case(geoecon.shipped_case(name), told)


def same(swept, n, result):
    for key, metric in result.metrics.items():
        assert np.array_equal(swept.metrics[key][n], metric.values[0], equal_nan=True), key
        assert swept.reasons[key][n] == metric.reason


@pytest.mark.parametrize("name", geoecon.shipped_cases())
def test_the_cases_own_value_is_the_plain_pass(name):
    case = case_of(name)
    result = geoecon.evaluate(case)
    for path in ("operation.fixed_cost", "finance.discount_rate", "timeline.operating_years"):
        known = inputs(case)
        if path not in known:
            continue
        swept = sweep(case, path, *usual_range(known[path]), 4)
        assert swept.base == known[path].value
        same(swept, swept.at, result)


@pytest.mark.parametrize(
    ("name", "path", "low", "high"),
    [
        ("tessel-ridge", "timeline.operating_years", 18, 22),
        ("ambry-wells", "finance.debt_years", 10, 14),
        ("sorrel-basin", "plant.turbine_efficiency", 0.78, 0.86),
    ],
)
def test_what_cannot_vary_takes_a_pass_per_value(name, path, low, high):
    case = case_of(name)
    assert not inputs(case)[path].about.varies
    swept = sweep(case, path, low, high, 3)
    for n, value in enumerate(swept.values):
        number = int(value) if inputs(case)[path].about.form == "count" else float(value)
        same(swept, n, geoecon.evaluate(case.with_values({path: number})))


@pytest.mark.parametrize(("name", "path"), [("sorrel-basin", "wells.success"), ("kettle-sound", "wells.depth")])
def test_one_pass_over_all_values_equals_single_passes(name, path):
    case = case_of(name)
    assert inputs(case)[path].about.varies
    swept = sweep(case, path, *usual_range(inputs(case)[path]), 3)
    for n, value in enumerate(swept.values):
        same(swept, n, geoecon.evaluate(case.with_values({path: float(value)})))


def test_an_impossible_value_has_none_and_a_reason():
    case = case_of("sorrel-basin")
    swept = sweep(case, "resource.temperature", 20.0, 158.0, 3)
    price = swept.metrics["required_price"]
    assert np.isnan(price[0])
    assert swept.reasons["required_price"][0]
    assert np.isfinite(price[swept.at])
    assert swept.reasons["required_price"][swept.at] == ""


def test_an_impossible_count_has_none_and_a_reason():
    case = case_of("dunmarrow")
    years = case.timeline.operating_years
    swept = sweep(case, "finance.debt_years", 5, years + 3, 9)
    beyond = swept.values > years
    assert beyond.any()
    assert np.isnan(swept.metrics["npv"][beyond]).all()
    assert all(swept.reasons["npv"][n] for n in np.flatnonzero(beyond))


@pytest.mark.parametrize("path", ["resource.temperature", "timeline.operating_years"])
def test_hold_keeps_the_wells(path):
    case = case_of("sorrel-basin")
    known = inputs(case)[path]
    low, high = (140.0, 160.0) if path == "resource.temperature" else (25, 35)
    held = sweep(case, path, low, high, 3, hold=True)
    for key in ("producers", "wells_drilled", "net_capacity", "brine_flow"):
        assert len(set(held.metrics[key])) == 1, key
        assert held.metrics[key][0] == geoecon.evaluate(case).value(key)
    assert held.held
    assert held.base == known.value
    if path == "resource.temperature":
        afresh = sweep(case, path, low, high, 3)
        assert not np.array_equal(held.metrics["first_year_energy"], afresh.metrics["first_year_energy"])


@pytest.mark.parametrize("name", geoecon.shipped_cases())
def test_every_input_has_a_range_about_itself_within_its_bounds(name):
    for path, known in inputs(case_of(name)).items():
        low, high = usual_range(known)
        least, most = known.about.limits(known.kind)
        assert least <= low <= known.value <= high <= most, path
        assert low < high, path


def test_shown_in_another_system_changes_the_input_alone():
    swept = sweep_texts(case_of("sorrel-basin"), "resource.temperature", "300 degF", "330 degF", 3)
    shown = swept.shown_in("US")
    assert shown.unit == "degF"
    assert shown.values[[0, -1]] == pytest.approx([300.0, 330.0], abs=1e-9)
    assert shown.base == pytest.approx(158 * 1.8 + 32)
    assert shown.metrics is swept.metrics


def test_a_path_or_a_range_that_cannot_be_is_refused():
    case = case_of("tessel-ridge")
    for path, low, high, steps in (("tax.nothing", 1, 2, 3), ("market.price", 2, 1, 3), ("market.price", 1, 1, 3),
                                   ("market.price", np.nan, 2, 3), ("market.price", 1, 2, 1)):  # fmt: skip
        with pytest.raises(CaseError):
            sweep(case, path, low, high, steps)


def test_the_own_value_stands_once_however_the_range_is_read():
    """2,800 ft and the middle of 1,400 to 4,200 ft differ in their last bit."""
    case = case_of("sorrel-basin")
    depth = float(case.wells.depth[0])
    low, high = depth * 0.5, np.nextafter(depth * 1.5, np.inf)
    found = sweep(case, "wells.depth", low, high, 3)
    assert len(found.values) == 3
    assert found.base == depth

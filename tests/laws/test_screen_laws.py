"""Facts that hold for every site: the order of curves, round trips, and what more heat, more rock or more knowledge does."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from geoecon.case import Site
from geoecon.resource.geothermometers import geothermometer, geothermometers, maturity_index, na_k_ca
from geoecon.resource.gradient import (
    boiling_temperature,
    conductive_constant,
    conductive_exponential,
    conductive_linear,
)
from geoecon.resource.stored_heat import heat_in_place, stored_heat_power, work_per_heat
from geoecon.studies.screen import screen

BARE = '[place]\nname = "Nowhere"\n'
contents = st.floats(0.01, 5_000.0)


@given(
    st.floats(50.0, 7_000.0), st.floats(30.0, 300.0), st.floats(1.0, 5.0), st.floats(0.1, 3.0), st.floats(5_000.0, 20_000.0)
)  # fmt: skip
def test_constant_is_below_exponential_is_below_linear(depth, flow, conductivity, made, scale):
    """The same heat flow at the surface, and more heat made above a depth, leaves less to come from below it."""
    at = np.array(depth), np.array(10.0), np.array(flow), np.array(conductivity)
    constant = conductive_constant(*at, np.array(made))
    exponential = conductive_exponential(*at, np.array(made), np.array(scale))
    linear = conductive_linear(*at)
    slack = 1e-9 * float(linear)
    assert np.isnan(constant) or constant <= exponential + slack
    assert exponential <= linear + slack
    assert linear > 10.0


@given(st.floats(0.0, 7_000.0), st.floats(0.0, 7_000.0), st.floats(0.0, 4_000.0))
@settings(max_examples=30)
def test_water_boils_hotter_the_deeper_and_the_lower_the_place(one, other, height):
    upper, lower = sorted((one, other))
    assert boiling_temperature(np.array(upper)) <= boiling_temperature(np.array(lower))
    assert boiling_temperature(np.array(one), round(height, -2)) <= boiling_temperature(np.array(one)) + 1e-9


@given(contents, contents)
def test_more_silica_reads_hotter(one, other):
    low, high = sorted((one, other))
    for name in ("quartz", "quartz-boiled", "chalcedony", "amorphous"):
        form = geothermometer(name)
        assert form.temperature({"silica": np.array(low)}) <= form.temperature({"silica": np.array(high)})


@given(st.floats(0.01, 1.0), contents, contents, contents, contents)
def test_boiling_changes_silica_and_no_ratio(left, sodium, potassium, magnesium, calcium):
    """Steam carries no salt: what is left is stronger in the same proportion, and ratios of one charge stay."""
    before = {name: np.array(value) for name, value in
              (("sodium", sodium), ("potassium", potassium), ("magnesium", magnesium), ("calcium", calcium))}  # fmt: skip
    after = {name: value / left for name, value in before.items()}
    for one in geothermometers():
        if one.ratio == "potassium-sodium":
            assert np.allclose(one.temperature(before), one.temperature(after), rtol=1e-9, equal_nan=True)


@given(contents, contents, contents)
def test_na_k_ca_is_one_of_its_two_forms(sodium, potassium, calcium):
    found = float(na_k_ca(np.array(sodium), np.array(potassium), np.array(calcium)))
    bracket = np.log10(np.sqrt(calcium) / sodium) + 2.06
    base = np.log10(sodium / potassium) + 2.47
    forms = [1647 / below - 273.15 for beta in (4 / 3, 1 / 3) if (below := base + beta * bracket) > 0]
    assert np.isnan(found) or any(abs(found - form) < 1e-6 * max(1, abs(form)) for form in forms)


@given(contents, contents, contents, st.floats(0.1, 10.0))
def test_cold_water_full_of_magnesium_lowers_the_index(sodium, potassium, magnesium, factor):
    before, after = (
        float(maturity_index(np.array(sodium), np.array(potassium), np.array(magnesium * f))) for f in (1.0, 1.0 + factor)
    )  # fmt: skip
    assert after < before


@given(st.floats(60.0, 340.0), st.floats(1.0, 30.0), st.floats(0.1, 100.0), st.floats(0.01, 0.3))
def test_work_is_less_than_carnot_would_make_of_it(temperature, cold, volume, recovery):
    """Cooling water cannot give more than heat taken at its hottest: work over heat < 1 - T0 / T."""
    share = float(work_per_heat(np.array(temperature), np.array(cold)))
    assert 0 < share < 1 - (cold + 273.15) / (temperature + 273.15)
    heat = heat_in_place(np.array(volume), np.array(temperature), np.array(cold), np.array(2.7))
    terms = np.array(temperature), np.array(cold), np.array(recovery), np.array(0.4)
    one, half = stored_heat_power(heat, *terms, 30), stored_heat_power(heat / 2, *terms, 30)
    assert one == pytest.approx(2 * half)
    assert stored_heat_power(heat, *terms, 60) == pytest.approx(half)


@given(st.floats(20.0, 150.0), st.floats(1.0, 60.0))
@settings(max_examples=15, deadline=None)
def test_a_steeper_gradient_is_never_less_power(gradient, more):
    values = []
    for slope in (gradient, gradient + more):
        text = f'[ground]\ngradient = "{slope} K/km"\ngradient_depth = "1 km"\n[reservoir]\ndepth = "1500 m"\n'
        values.append(screen(Site.read(BARE + text), 300))
    less, hotter = values
    assert (hotter.warmth.values >= less.warmth.values - 1e-9).all()
    assert hotter.power.enough.mean() >= less.power.enough.mean()
    assert (hotter.power.heat >= less.power.heat - 1e-12).all()


@given(st.floats(0.2, 20.0), st.floats(1.1, 5.0))
@settings(max_examples=15, deadline=None)
def test_power_goes_with_the_area(area, factor):
    sites = [
        Site.read(f'{BARE}[ground]\ngradient = "80 K/km"\n[reservoir]\narea = "{a} km2"\n')
        for a in (area, area * factor)
    ]
    small, large = (screen(site, 300).power.either for site in sites)
    assert large == pytest.approx(small * factor, rel=1e-9)


@given(st.integers(0, 10_000))
@settings(max_examples=10, deadline=None)
def test_shares_and_chances_are_shares_of_one(seed):
    found = screen(Site.read(f'{BARE}[springs]\ntemperature = "80 degC"\n[water]\nsilica = "150 mg/L"\n'), 200, seed)
    assert sum(way.share for way in found.warmth.ways) == pytest.approx(1)
    assert sum(reading.weight for reading in found.chemistry.readings) == pytest.approx(1)
    assert sum(found.plants.values()) == pytest.approx(1)
    assert all(0 <= share <= 1 for share in found.spread_by.values())

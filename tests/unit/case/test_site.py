"""A site file: ranges, units, and every fault with its line."""

import numpy as np
import pytest

import geoecon
from geoecon.case import Site, load_site
from geoecon.case.fields import about
from geoecon.case.site import SITE_TABLES
from geoecon.errors import CaseError

SITES = tuple(geoecon.shipped_sites())
BARE = '[place]\nname = "Nowhere"\n'


def faults(text, told=None):
    with pytest.raises(CaseError) as caught:
        Site.read(text, "site.toml", told)
    return [str(fault) for fault in caught.value.faults]


def span(text, path="ground.gradient"):
    table, _, leaf = path.partition(".")
    found = Site.read(f"{BARE}[{table}]\n{leaf} = {text}\n").span(path)
    return float(found.low[0]), float(found.high[0])


@pytest.mark.parametrize("name", SITES)
def test_shipped_sites_are_read(name):
    site = load_site(geoecon.shipped_sites()[name])
    assert site.place.summary.strip()
    assert site == Site.read(geoecon.shipped_sites()[name].read_text(encoding="utf-8"))


def test_sites_are_no_cases():
    assert not set(geoecon.shipped_sites()) & set(geoecon.shipped_cases())


def test_a_name_is_enough():
    assert Site.read(BARE).place.name == "Nowhere"


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ('"45 K/km"', (45, 45)),
        ('"40 to 60 K/km"', (40, 60)),
        ('"40 K/km to 60 K/km"', (40, 60)),
        ('"4 to 6 degC/100m"', (40, 60)),
        ('{ low = "40 K/km", high = "6 degC/100m" }', (40, 60)),
        # 1 degF over 100 ft is 5/9 K over 30.48 m, by the definitions of both units
        ('"2 degF/100ft"', (2 / 1.8 / 0.03048, 2 / 1.8 / 0.03048)),
    ],
)
def test_a_quantity_is_one_value_or_a_range(text, expected):
    assert span(text) == pytest.approx(expected)


@pytest.mark.parametrize(
    ("path", "text", "expected"),
    [
        ("ground.heat_flow", '"0.08 W/m2"', 80),
        ("reservoir.area", '"247.105381 acres"', 1.0),  # 1 km2 is 247.105381 acres
        ("reservoir.area", '"100 ha"', 1.0),
        ("water.silica", '"0.2 g/L"', 200),
        ("water.magnesium", '"50 ug/L"', 0.05),
        ("springs.temperature", '"50 degF"', 10),
    ],
)
def test_units_of_sites(path, text, expected):
    assert span(text, path) == pytest.approx((expected, expected), rel=1e-5)  # an acre of survey feet is 4e-6 larger


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("[water]\nmagnesium = \"0 mg/L\"", "line 4: water.magnesium: is zero, and every geothermometer takes a logarithm"),
        ("[water]\nsilica = \"1500 mg/L\"", "line 4: water.silica: 1,500 mg/kg is above any saturation"),
        ("[water]\nsilica = \"200\"", "'200' has no unit; write it in mg/kg, mg/L, ppm"),
        ("[water]\nsillica = \"200 mg/L\"", "is not a known field; did you mean 'silica'?"),
        ("[watr]\nsilica = \"200 mg/L\"", "is not a known table; did you mean 'water'?"),
        ("[water]\nsodium = \"900 mg/L\"\nsalinity = \"300 mg/L\"", "line 5: water.salinity: 300 mg/kg of dissolved solids"),
        ("[water]\nboiled = \"maybe\"", "'maybe' is not one of: yes, no"),
        ("[flow_test]\nflow = \"40 bar\"", "'bar' is not a unit for this; write it in kg/s"),
        ("[flow_test]\nflow = \"900 gpm\"", "hot water is light: say at which temperature"),
        ("[flow_test]\nflow = \"40 kg/s\"\ndrawdown = \"30 m\"", "'m' is not a unit for this; write it in bar, kPa, psi"),
        ("[flow_test]\ndrawdown = \"3 bar\"", "flow_test.flow: is missing; a drawdown says nothing"),
        ("[reservoir]\ndepth = \"12 km\"", "12 km is outside 0.05 km to 7 km"),
        ("[reservoir]\ndepth = \"2 to 1 km\"", "is above high"),
        (
            "[ground]\nheat_flow = \"20 mW/m2\"\nheat_production = \"10 uW/m3\"\n[reservoir]\ndepth = \"3 km\"",
            "3,000 m is beyond the curve: rock that makes 10 uW/m3 would make all of the 20 mW/m2 within 2,000 m",
        ),
        ("[ground]\nmeasured_temperature = \"90 degC\"", "ground.measured_depth: is missing"),
        ("[ground]\ngradient_depth = \"90 m\"", "ground.gradient: is missing"),
        ("[buyer]\nprice = \"90 EUR/MWh\"", "write it in USD/MWh"),
        ("[place]\nname = \" \"", "place.name: is empty"),
    ],
)  # fmt: skip
def test_faults_say_what_to_do(text, words):
    whole = text if text.startswith("[place]") else f"{BARE}{text}\n"
    assert words in "\n".join(faults(whole))


def test_the_hottest_month_is_above_the_mean():
    text = '[place]\nname = "x"\nair_temperature = "9 degC"\nhottest_month = "5 degC"\n'
    assert faults(text) == [
        "line 4: place.hottest_month: 5 degC is 4 K below the mean of the year; the hottest month is 0 to 32 K above it"
    ]


def test_all_faults_come_together_and_in_order():
    found = faults(f'{BARE}[water]\nsodium = "0 mg/L"\n[ground]\ngradient = "60"\nmeasured_depth = "1 km"\n')
    assert [fault.split(":")[0] for fault in found] == ["line 4", "line 6", "line 6"]


def test_what_is_told_goes_before_the_file_and_nothing_takes_a_field_away():
    text = f'{BARE}[ground]\ngradient = "60 K/km"\ngradient_depth = "90 m"\n'
    assert float(Site.read(text, told={"ground.gradient": "70 K/km"}).ground.gradient.low[0]) == 70
    assert Site.read(text, told={"ground.gradient": "", "ground.gradient_depth": " "}).ground.gradient is None
    assert faults(text, {"ground.gradient": "x"})[0].startswith(
        "ground.gradient: as set for this run: 'x' is not a number"
    )
    assert "did you mean 'gradient'?" in faults(text, {"ground.gradent": "7"})[0]
    assert "did you mean 'ground'?" in faults(text, {"grund.gradient": "7"})[0]


def test_words_of_a_field_read_back_as_the_field():
    site = load_site(geoecon.shipped_sites()["larkspur-springs"])
    told = {f"{t}.{leaf}": site.text(f"{t}.{leaf}") for t, model in SITE_TABLES.items() for leaf in model.model_fields}
    assert Site.read(BARE, told=told) == site


def test_a_range_may_hold_no_other_text():
    assert "is not a number with a unit" in faults(f'{BARE}[ground]\ngradient = "to 60 K/km"\n')[0]


def test_every_field_has_help_and_bounds():
    for model in SITE_TABLES.values():
        for leaf in model.model_fields:
            described = about(model, leaf)
            assert described.help
            assert all(np.isfinite(described.limits(kind)).all() for kind in described.kinds)

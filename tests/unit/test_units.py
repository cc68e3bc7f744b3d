"""The traps of units: what a person writes, and what it comes to inside."""

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from geoecon import units
from geoecon.errors import UnitError
from geoecon.resource.water import water_density

GAUGE = ("absolute pressure", "gauge pressure")
FLOW = ("mass flow", "volume flow")


@pytest.mark.parametrize(
    ("text", "kinds", "expected"),
    [
        ("332 degF", ("temperature",), 166.6666667),
        ("60 degF", ("difference",), 33.3333333),  # no 32 in a difference
        ("8 degF/yr", ("cooling rate",), 4.4444444),
        ("1 klb/h", FLOW, 0.1259979),
        ("1 kph", FLOW, 0.1259979),  # thousand pounds an hour, not kilometres
        ("1 t/h", FLOW, 0.2777778),
        ("6,500 ft", ("length",), 1981.2),
        ("12.2 psia", GAUGE, 0.8411604),
        ("9.5 c/kWh", ("price",), 95.0),
        ("95 mills/kWh", ("price",), 95.0),
        ("0.095 USD/kWh", ("price",), 95.0),
        ("95 USD/MWh", ("price",), 95.0),
        ("4.2 MUSD", ("money",), 4.2e6),
        ("4200 kUSD", ("money",), 4.2e6),
        ("100 USD/kW-yr", ("money per kW a year",), 100.0),
        ("10 USD/kW-month", ("money per kW a year",), 120.0),
        ("100 USD/MW-day", ("money per kW a year",), 36.5),
        ("3300 USD/kW", ("money per kW",), 3300.0),
        ("3.3 MUSD/MW", ("money per kW",), 3300.0),
        ("7 d/yr", ("time out",), 168 / 8760),
        ("168 h/yr", ("time out",), 168 / 8760),
        ("899 kWh/month", ("energy a year",), 10.788),
        ("6.8 %/yr", ("rate",), 0.068),
        ("3 %/yr", ("decline",), 0.03),
        ("3 %/yr nominal", ("decline",), 0.02955447),  # effective = 1 - exp(-nominal)
        ("1 %/degF", ("slope",), 0.018),
        ("771.5 lb/MWh", ("emission",), 349.9465),
        ("70 %", ("share",), 0.7),
        ("1,233.4818 USD/acre-ft", ("price of water",), 1.0),  # an acre of 4,046.8564 m2, a foot deep
        ("5 %/a", ("rate",), 0.05),
    ],
)
def test_what_a_text_comes_to(text, kinds, expected):
    assert units.read(text, kinds, "USD").value == pytest.approx(expected, rel=1e-6)


def test_a_share_is_the_nearest_float():
    assert [units.read(f"{n} %", ("share",)).value for n in range(1, 101)] == [n / 100 for n in range(1, 101)]


def test_a_gauge_pressure_says_that_it_is_one():
    reading = units.read("100 psig", GAUGE)
    assert (reading.kind, round(reading.value, 4)) == ("gauge pressure", 6.8948)


@pytest.mark.parametrize(
    ("temperature", "kg_s"), [("60 degF", 63.0), ("150 degC", 57.9), ("175 degC", 56.3), ("200 degC", 54.6)]
)
def test_a_thousand_gallons_of_hot_water_are_light(temperature, kg_s):
    reading = units.read(f"1,000 gpm @ {temperature}", FLOW)
    assert float(reading.value * water_density(reading.at_degC)) == pytest.approx(kg_s, abs=0.05)


def test_a_thousand_gallons_to_five_digits():
    reading = units.read("1000 gpm @ 150 degC", FLOW)
    assert float(reading.value * water_density(reading.at_degC)) == pytest.approx(57.854, abs=0.0005)


@pytest.mark.parametrize(
    ("text", "kinds", "words"),
    [
        ("165", ("temperature",), "has no unit; write it in degC, degF, K"),
        ("165 degc", ("temperature",), "did you mean 'degC'?"),
        ("900 gpm", FLOW, "say at which temperature"),
        ("50 kg/s @ 150 degC", FLOW, "only a volume is stated at a temperature"),
        ("2 %/yr", ("cooling rate",), "give kelvin a year"),
        ("12 bar", GAUGE, "say gauge or absolute"),
        ("5 EUR", ("money",), "write it in USD, kUSD, MUSD"),
        ("5 MM", ("money",), "'MM' is not a unit for this"),
        ("6,5 m", ("length",), "is not a number with a unit"),
        ("1 2 m", ("length",), "is not a number with a unit"),
        ("m", ("length",), "is not a number with a unit"),
        ("nan m", ("length",), "is not a number with a unit"),
        ("inf m", ("length",), "is not a number with a unit"),
        ("1e999 m", ("length",), "is too large a number"),
        ("0,095 USD/kWh", ("price",), "write a decimal point"),
        ("5 $/MWh", ("price",), "did you mean 'USD/MWh'?"),
        ("300 F", ("temperature",), "did you mean 'degF'?"),
        ("4 USD/acre-foot", ("price of water",), "'USD/acre-foot' is not a unit for this; did you mean 'USD/acre-ft'?"),
        ("900 gpm @ 900 degF", FLOW, "is no liquid"),
        ("9**9**9**9 m", ("length",), "is not a number with a unit"),
        ("__import__('os') m", ("length",), "is not a number with a unit"),
        ("1" * 100 + " m", ("length",), "is not a number with a unit"),
        ("", ("length",), "is not a number with a unit"),
    ],
)
def test_what_is_refused(text, kinds, words):
    with pytest.raises(UnitError) as refused:
        units.read(text, kinds, "USD")
    assert words in str(refused.value)
    assert len(str(refused.value)) < 400


@pytest.mark.parametrize("kind", units.KINDS)
@given(number=st.floats(1e-6, 1e9))
def test_what_is_written_reads_back(kind, number):
    # A percentage or a unit with a factor cannot hit every float: the last bit may differ.
    text = units.write(number, kind, "USD") + (" @ 100 degC" if kind.startswith("volume") else "")
    assert units.read(text, (kind,), "USD").value == pytest.approx(number, rel=5e-16, abs=0)


@pytest.mark.parametrize("kind", units.KINDS)
def test_every_spelling_reads_and_names_one_kind(kind):
    for spelling in units.spellings(kind, "USD"):
        at = " @ 100 degC" if kind.startswith("volume") else ""
        assert units.read(f"1 {spelling}{at}", (kind,), "USD").kind == kind


def own_names(registry):
    """What a year and money are to this trade, which pint's own list does not have."""
    for line in (
        "CUR = [currency]", "hundredth_CUR = 0.01 CUR", "mill_CUR = 0.001 CUR", "kilopound = 1000 pound",
        "hundred_meter = 100 meter", "hundred_foot = 100 foot", "acre_by_foot = 43560 * foot ** 3", "twelfth = year / 12",
        "billing_day = year / 365", "hour_of_year = 1 / 8760", "day_of_year = 1 / 365",
    ):  # fmt: skip
        registry.define(line)
    return registry


def test_every_unit_is_that_of_the_list_that_comes_with_pint():
    """Source: default_en.txt of pint, whose definitions are not ours."""
    theirs = own_names(pint.UnitRegistry())
    for kind in units.KINDS.values():
        for unit in kind.spellings.values():
            slope, offset = units._line(unit, kind.inside)
            at_zero = theirs.Quantity(0.0, unit).to(kind.inside).magnitude
            assert offset == pytest.approx(at_zero, rel=1e-15), unit
            assert slope == pytest.approx(theirs.Quantity(1.0, unit).to(kind.inside).magnitude - at_zero, rel=1e-15), (
                unit
            )

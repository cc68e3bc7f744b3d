"""Reading a case with all its faults, changing it by path, and writing it back."""

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from geoecon.case import Case, load_case
from geoecon.case.documents import line_of
from geoecon.errors import CaseError

COMPLETE = (Path(__file__).parents[2] / "data" / "complete.toml").read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def case():
    return Case.read(COMPLETE)


def faults(text):
    with pytest.raises(CaseError) as refused:
        Case.read(text)
    return refused.value.faults


def changed(old, new):
    assert old in COMPLETE
    return COMPLETE.replace(old, new)


def test_all_faults_come_together_each_with_its_line():
    text = COMPLETE
    for old, new in {
        'inflation = "2.2 %/yr"': "inflation = 2.2",
        'depth = "1650 m"': 'depth = "-5 m"',
        "debt_rate": "det_rate",
        "term_years = 20": "term_years = 40",
        "[capital]": "[capitol]",
    }.items():
        text = text.replace(old, new, 1)
    found = faults(text)
    lines = {fault.path: fault.line for fault in found}
    expected = {
        path: next(n for n, line in enumerate(text.splitlines(), 1) if start in line)
        for path, start in {
            "money.inflation": "inflation =",
            "wells.depth": "depth =",
            "finance.det_rate": "det_rate",
            "market.term_years": "term_years",
            "capitol": "contingency",
        }.items()
    }
    assert lines == expected
    assert "did you mean 'debt_rate'?" in str(found[-1])


@pytest.mark.parametrize(
    ("old", "new", "path", "words"),
    [
        ('"1650 m"', '"1650"', "wells.depth", "has no unit; write it in m, ft, km, mi"),
        ('"1650 m"', "1650", "wells.depth", "has no unit"),
        ('"1650 m"', "nan", "wells.depth", "has no unit"),
        ('"1650 m"', '"1650 degC"', "wells.depth", "'degC' is not a unit for this"),
        ('"1650 m"', '"-3 m"', "wells.depth", "-3 m is outside 1 m to 7000 m"),
        ('"1650 m"', '["1 m"]', "wells.depth", "has no unit"),
        ('"0.4 K/yr"', '"0.3 %/yr"', "resource.temperature_decline", "give kelvin a year"),
        ('"900 gpm @ 147 degC"', '"900 gpm"', "wells.flow_per_producer", "say at which temperature"),
        ('debt_rate = "6.8 %/yr"', 'debt_rate = "650 %/yr"', "finance.debt_rate", "650 % is outside 0 % to 50 %"),
        ('debt_rate = "6.8 %/yr"', "debt_rate = 650", "finance.debt_rate", "650 has no unit"),
        ("term_years = 20", "term_years = 31", "market.term_years", "longer than the 30 operating years"),
        ("debt_years = 15", "debt_years = 31", "finance.debt_years", "longer than the 30 operating years"),
        ("debt_years = 15", 'debt_years = "15 yr"', "finance.debt_years", "takes a whole number without a unit"),
        ('debt_share = "60 %"', 'debt_share = "101 %"', "finance.debt_share", "101 % is outside 0 % to 100 %"),
        (', "-1 degC"]', ', "-1 degC", "5 degC"]', "site.air_temperature", "list of 12 values, January first, not 13"),
        ('"isopentane"', '"isopentan"', "plant.fluid", "did you mean 'isopentane'?"),
        ('"isopentane"', '"isopentane"\nlayout = "dual"', "plant.layout", "is not one of: basic, recuperated, dual-pressure"),
        ('"isopentane"', '"isopentane"\nrecuperator_pinch = "8 K"', "plant.recuperator_pinch", 'used with layout = "basic"'),
        ("all = [0.4, 0.6]", "all = [0.4, 0.4]", "timeline.spending", "sum to 1, not 0.8"),
        ("all = [0.4, 0.6]", "all = [0.4, 0.3, 0.3]", "timeline.spending", "3 shares for 2 build years"),
        ('plant = "10 %"', 'plnt = "10 %"', "capital.contingency", "'plnt' is not an account"),
        ('currency = "USD"', 'currency = "dollars"', "money.currency", "is not a currency code"),
        ("debt_years = 15", "", "finance.debt_years", "is missing"),
        (
            "debt_years = 15",
            'debt_years = 15\nlender_energy_by_year = ["90 %", "80 %"]',
            "finance.lender_energy_by_year",
            "is not used: no debt follows cash",
        ),
        ("debt_years = 15", "debt_years = 15\ntarget_dscr = 0.9", "finance.target_dscr", "is below 1: cash would not"),
        ('net_capacity = "5 MW"', "", "plant.net_capacity", "is missing"),
        ('kind = "binary"', 'kind = "binary"\ngross_capacity = "6 MW"', "plant.gross_capacity", 'only for kind = "stated"'),
        ('high = "156 degC"', 'high = "130 degC"', "uncertainty.resource.temperature", "stands above the higher"),
        ('mode = "149 degC"', "", "uncertainty.resource.temperature", "takes low, mode, high"),
        ('low = "140 degC"', "low = 140", "uncertainty.resource.temperature.low", "has no unit"),
        ('."resource.temperature"', '."resource.temprature"', "uncertainty.resource.temprature", "not the path of a number"),
        ('mode = "149 degC"', 'mode = "149 degC"\nmod = 1', "uncertainty.resource.temperature.mod", "did you mean 'mode'"),
        ("rank = 0.6", "rank = 0.6\nrang = 1", "uncertainty.correlation.0.rang", "did you mean 'rank'"),
        ('name = "Tarn Hollow"', "", "project.name", "is missing and has no default"),
        ('name = "Tarn Hollow"', "name = 5", "project.name", "takes text, not 5"),
        ('owner = "private"', 'owner = "bank"', "project.owner", "is not one of: private, utility"),
        ('size_from = "capacity"', 'size_from = "capacity"\nterm = 3', "plant.term", "is not a known field"),
    ],
)  # fmt: skip
def test_one_fault_is_worded_and_located(old, new, path, words):
    (fault,) = faults(changed(old, new))
    assert fault.path == path
    assert words in fault.message
    assert fault.line is None or 1 <= fault.line <= COMPLETE.count("\n") + 2


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("[project\nname=1", "is not valid TOML"),
        ("a = " + "[" * 3000 + "]" * 3000, "nested too deeply"),
        ("", "project: is missing"),
        ("project = 3", "project: is a table"),
        ("x = 1", "x: is not a known table"),
        ("[money]\ncurrency = 'USD'\ncurrency = 'EUR'", "is not valid TOML"),
    ],
)
def test_what_is_no_case_gets_a_message(text, words):
    assert any(words in str(fault) for fault in faults(text))


@given(st.text(max_size=200))
def test_no_text_breaks_the_reader(text):
    with pytest.raises(CaseError):
        Case.read(text)


def test_files_that_cannot_be_read(tmp_path):
    (tmp_path / "noise.toml").write_bytes(bytes(range(256)) * 40_000)
    (tmp_path / "latin.toml").write_bytes("naïve".encode("latin-1"))
    for name, words in {
        "absent.toml": "no such file",
        ".": "is not a file",
        "noise.toml": "holds 10,240,000 bytes",
        "latin.toml": "is not UTF-8 text",
    }.items():
        with pytest.raises(CaseError) as refused:
            load_case(tmp_path / name)
        assert words in str(refused.value)


def test_a_changed_value_is_written_in_its_own_unit_and_the_rest_stays(case):
    other = case.with_values({"wells.depth": 1700.0, "market.price": 101.5, "capital.contingency.plant": 0.12})
    text = other.to_toml()
    assert 'depth = "1700 m"' in text
    assert 'price = "101.5 USD/MWh"' in text
    assert 'contingency = { all = "15 %", plant = "12 %" }' in text
    assert "# feed zone" in text
    assert Case.read(text) == other
    assert other != case


def test_texts_change_a_case_as_a_file_would(case):
    other = case.with_texts({"wells.depth": "5,500 ft", "timeline.operating_years": "25", "plant.fluid": "isobutane"})
    assert other.wells.depth[0] == pytest.approx(1676.4)
    assert other.timeline.operating_years == 25
    with pytest.raises(CaseError, match="has no unit"):
        case.with_texts({"wells.depth": "5500"})
    with pytest.raises(CaseError, match="did you mean 'depth'"):
        case.with_texts({"wells.dept": "5500 m"})


def test_scenarios_are_arrays_of_one_length(case):
    other = case.with_values({"wells.depth": np.array([1500.0, 1600.0, 1700.0]), "market.price": 90.0})
    assert (other.scenarios, case.scenarios) == (3, 1)
    assert other.finance is case.finance  # tables that stay are shared
    for wrong, words in {
        "wells.depth": (np.array([1500.0, -1.0, 1600.0]), r"-1 m is outside .* \(1 of 3 scenarios\)"),
        "market.price": (np.array([90.0, 91.0]), "scenario counts differ"),
        "timeline.operating_years": (np.array([20, 21, 22]), "takes a whole number"),
        "wells.success": (np.ones((2, 2)), "takes one number"),
        "finance.debt_rate": (np.array([0.05, np.nan, 0.06]), "nan % is outside"),
    }.items():
        with pytest.raises(CaseError, match=words[1]):
            other.with_values({wrong: words[0]})


def test_arrays_of_a_case_cannot_be_written_into(case):
    with pytest.raises(ValueError, match="read-only"):
        case.wells.depth[0] = 1.0
    with pytest.raises(Exception, match="frozen"):
        case.wells.depth = np.array([1.0])


def test_cases_are_equal_when_their_values_are(case):
    same = Case.read(COMPLETE.replace('"1650 m"', '"1.65 km"'))
    assert same == case
    assert hash(same) == hash(case)
    assert case.with_values({"wells.depth": 1650.0}) == case
    assert case.with_values({"wells.depth": np.array([1650.0, 1650.0])}) != case


NASTY = """# a comment
a.b = "1"
[t]
"quoted key" = 'x'
list = [
  "one",
  "two", # with a comment
]
inline = { low = "1", high = "2" }
[late.sub]
v = 3
"""


@pytest.mark.parametrize("newline", ["\n", "\r\n"])
@pytest.mark.parametrize(
    ("path", "line"),
    [
        ("a.b", 2),
        ("t.quoted key", 4),
        ("t.list", 5),
        ("t.inline.high", 9),
        ("late.sub.v", 11),
        ("t.absent", 4),
        ("no", None),
    ],
)
def test_lines_are_found_in_nasty_files(path, line, newline):
    assert line_of(NASTY.replace("\n", newline), path) == line

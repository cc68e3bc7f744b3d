"""`geoecon sweep` as a person meets it: lines, ranges with units, messages, files."""

import csv
import io
import json
from functools import partial

import pytest

import geoecon
from geoecon.audit import checks, verdict
from geoecon.report.words import significant
from tests.faces.command import run_command

call = partial(run_command, columns=400)


def result_of(name, **told):
    return geoecon.evaluate(geoecon.load_case(geoecon.shipped_case(name), told))


def own_line(text):
    found = [line for line in text.splitlines() if line.lstrip().startswith("> ") and "is the case" not in line]
    assert len(found) == 1
    return found[0].replace(">", "").split()


def test_the_marked_line_is_the_run():
    done = call("sweep", "ambry-wells", "market.price", "--metric", "npv", "--metric", "lcoe_real")
    assert (done.returncode, done.stderr) == (0, "")
    result = result_of("ambry-wells")
    assert own_line(done.stdout)[1:] == [significant(result.value(key), 5) for key in ("npv", "lcoe_real")]
    header, units = done.stdout.splitlines()[1:3]
    assert header.split() == ["market.price", "npv", "lcoe_real"]
    assert units.split() == ["[USD/MWh]", "[USD]", "[USD/MWh]"]
    *_, mark, checked = done.stdout.splitlines()
    assert mark.endswith("all else stays, every value sized afresh")
    all_hold = verdict(checks(geoecon.evaluate(geoecon.load_case(geoecon.shipped_case("tessel-ridge")))))
    assert checked == f"Checks of the case as it stands: {all_hold}."


def test_json_agrees_with_the_run_to_the_last_bit():
    done = call("sweep", "kettle-sound", "wells.success", "--json", "--set", "capital.grant=5 MUSD")
    shown = json.loads(done.stdout)
    result = result_of("kettle-sound", **{"capital.grant": "5 MUSD"})
    at = shown["values"].index(shown["base"])
    assert (shown["path"], shown["unit"], shown["design"]) == ("wells.success", "1", "sized afresh")
    for key, column in shown["metrics"].items():
        assert len(column) == len(shown["values"])
        assert column[at] == result.metrics[key].as_json()["value"], key
    assert shown["units"]["npv"] == "USD"


def test_a_range_is_text_with_any_unit_of_the_field():
    by_cents = json.loads(call("sweep", "dunmarrow", "market.price", "--from", "8 c/kWh", "--to", "120 USD/MWh",
                               "--steps", "5", "--json").stdout)  # fmt: skip
    assert {80.0, 90.0, 100.0, 110.0, 120.0} <= set(by_cents["values"])
    assert by_cents["values"] == sorted(set(by_cents["values"]))


def test_a_volume_flow_keeps_the_temperature_that_the_case_states():
    arguments = ["sweep", "sorrel-basin", "wells.flow_per_producer", "--steps", "3", "--json", "--from"]
    assert json.loads(call(*arguments, "1200 gpm").stdout) == json.loads(call(*arguments, "1200 gpm @ 155 degC").stdout)
    done = call(*arguments, "1200 gpm @ 90 degC")
    assert done.returncode == 2
    assert "the case states this flow at 155 degC" in done.stderr


def test_a_count_takes_whole_numbers():
    done = call("sweep", "tessel-ridge", "timeline.operating_years", "--from", "18", "--to", "23", "--steps", "12",
                "--metric", "lcoe_real", "--json")  # fmt: skip
    shown = json.loads(done.stdout)
    assert (shown["values"], shown["unit"]) == ([18, 19, 20, 21, 22, 23], "yr")
    for years, cost in zip(shown["values"], shown["metrics"]["lcoe_real"], strict=True):
        told = {"timeline.operating_years": str(int(years))}
        assert cost == result_of("tessel-ridge", **told).value("lcoe_real")


def test_a_held_design_is_said():
    arguments = ["sweep", "pell-crossing", "resource.temperature", "--steps", "3"]
    assert "all else stays, the design held" in call(*arguments, "--hold").stdout
    held, afresh = (json.loads(call(*arguments, "--json", *more).stdout) for more in (["--hold"], []))
    assert (held["design"], afresh["design"]) == ("held", "sized afresh")
    assert len(set(held["metrics"]["producers"]) - {None}) == 1


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["market.pric"], "did you mean 'market.price'?"),
        (["unicorn"], "`geoecon fields` lists them"),
        (["money.currency"], "is not a number that this case states and that can be moved"),
        (["market.price", "--metric", "profit"], "'profit' is no figure; known are: gross_capacity, "),
        (["market.price", "--from", "120 USD/MWh", "--to", "80 USD/MWh"], "a sweep runs from low to high"),
        (["market.price", "--from", "80"], "has no unit"),
        (["market.price", "--from", "80 EUR/MWh"], "is not a unit for this"),
        (["finance.debt_share", "--to", "130 %"], "is outside"),
        (["market.price", "--steps", "1"], "2 to 2001 steps"),
        (["market.price", "--steps", "9999999"], "2 to 2001 steps"),
        (["timeline.operating_years", "--from", "nan"], "a sweep runs from low to high"),
        (["timeline.operating_years", "--from", "ten"], "is not a bare number"),
    ],
)
def test_mistakes_get_one_message_and_leave_no_file(arguments, words, tmp_path):
    done = call("sweep", "dunmarrow", *arguments, "--chart", "a.svg", "--out", "a.csv", folder=tmp_path)
    assert (done.returncode, done.stdout) == (2, "")
    assert words in done.stderr
    assert "Traceback" not in done.stderr
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize(("ending", "start"), [("svg", b"<svg"), ("png", b"\x89PNG"), ("html", b"<!DOCTYPE html>")])
def test_chart_and_table_are_written(ending, start, tmp_path):
    done = call("sweep", "dunmarrow", "market.price", "--chart", f"new/a.{ending}", "--out", "a.csv", folder=tmp_path)
    assert done.returncode == 0, done.stderr
    assert done.stdout.count("written: ") == 2
    assert (tmp_path / "new" / f"a.{ending}").read_bytes().lstrip()[: len(start)].lower() == start.lower()
    rows = list(csv.DictReader(io.StringIO((tmp_path / "a.csv").read_text(encoding="utf-8"))))
    result = result_of("dunmarrow")
    price = float(result.annual["price"][result.build_years, 0])
    own = [row for row in rows if float(row["market.price [USD/MWh]"]) == price]
    assert float(own[0]["npv [USD]"]) == result.value("npv")
    assert sorted(file.name for file in tmp_path.rglob("*") if file.is_file()) == sorted([f"a.{ending}", "a.csv"])


@pytest.mark.parametrize(
    ("chart", "table", "words"),
    [("a.gif", "a.csv", "a chart ends in .svg, .png, .html"), ("a", "a.csv", "a chart ends in"),
     ("a.svg", "a.xlsx", "a table ends in .csv"), ("taken/a.svg", "a.csv", "cannot be written"),
     ("a.svg", "taken/a.csv", "cannot be written")],
)  # fmt: skip
def test_files_are_written_whole_or_not_at_all(chart, table, words, tmp_path):
    (tmp_path / "taken").write_text("mine")
    done = call("sweep", "tessel-ridge", "market.price", "--chart", chart, "--out", table, folder=tmp_path)
    assert done.returncode == 2
    assert words in done.stderr
    assert done.stderr.count("\n") == 1
    assert [file.name for file in tmp_path.iterdir()] == ["taken"]
    assert (tmp_path / "taken").read_text() == "mine"


def test_two_files_in_two_folders_are_written_both_or_neither(tmp_path):
    (tmp_path / "a").mkdir()
    (tmp_path / "a" / "x.svg").write_text("mine")
    (tmp_path / "b" / "y.csv").mkdir(parents=True)
    arguments = ["sweep", "tessel-ridge", "market.price", "--out", "b/y.csv", "--chart"]
    for chart in ("a/x.svg", "new/deep/x.svg"):
        done = call(*arguments, chart, folder=tmp_path)
        assert done.returncode == 2
        assert done.stderr == "b/y.csv: cannot be written (it is a folder); nothing was changed\n"
        assert sorted(p.relative_to(tmp_path).as_posix() for p in tmp_path.rglob("*")) == [
            "a",
            "a/x.svg",
            "b",
            "b/y.csv",
        ]
        assert (tmp_path / "a" / "x.svg").read_text() == "mine"

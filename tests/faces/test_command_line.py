"""The command line as a person meets it: answers, messages, exit codes, files."""

import json
import re
import subprocess
import sys
from functools import partial
from pathlib import Path

import pytest

import geoecon
from geoecon.case.reference import reference
from geoecon.report.answer import sections
from tests.faces.command import PROCESS, run_command

COMPLETE = Path(__file__).parents[1] / "data" / "complete.toml"
call = partial(run_command, columns=100)


@pytest.mark.parametrize("name", geoecon.shipped_cases())
def test_run_answers_from_anywhere(name, tmp_path):
    done = call("run", name, folder=tmp_path)
    assert done.returncode == 0, done.stderr
    for words in ("Net capacity", "MWh", "Levelized cost", "Required price", "homes", "licensed practice", "Cash flow"):
        assert words in done.stdout
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize("name", geoecon.shipped_cases())
def test_every_number_of_the_answer_has_a_unit(name):
    result = geoecon.evaluate(geoecon.load_case(geoecon.shipped_case(name)))
    values = [line.value for section in sections(result) for line in section.lines]
    assert values
    assert [v for v in values if v != "none" and not re.search(r"\d.* ([A-Za-z%]|USD)", v)] == []


def test_json_is_one_object_that_agrees_with_the_library():
    shown = json.loads(call("run", "tessel-ridge", "--json").stdout)
    result = geoecon.evaluate(geoecon.load_case(geoecon.shipped_case("tessel-ridge")))
    assert all(check["holds"] for check in shown.pop("checks"))
    assert shown == json.loads(result.to_json())
    assert shown["metrics"]["npv"] == {
        "value": result.value("npv"), "unit": "USD", "basis": "money of year 0", "point": "none",
    }  # fmt: skip


def test_set_changes_a_run():
    shown = json.loads(call("run", "tessel-ridge", "--json", "--set", "finance.discount_rate=5 %/yr").stdout)
    base = json.loads(call("run", "tessel-ridge", "--json").stdout)
    assert shown["metrics"]["npv"]["value"] > base["metrics"]["npv"]["value"]
    assert shown["case"]["hash"] != base["case"]["hash"]


def test_out_writes_three_files(tmp_path):
    done = call("run", "ambry-wells", "--out", tmp_path / "a" / "b")
    assert done.returncode == 0
    files = {file.name: file.read_text(encoding="utf-8") for file in (tmp_path / "a" / "b").iterdir()}
    assert set(files) == {"result.json", "annual.csv", "ledger.csv"}
    assert json.loads(files["result.json"])["case"]["name"] == "Ambry Wells"
    assert files["annual.csv"].count("\n") == 28
    assert files["annual.csv"].startswith("year [yr],calendar_year [yr],brine_flow [kg/s]")


def test_an_output_folder_that_cannot_be_one_leaves_nothing(tmp_path):
    (tmp_path / "taken").write_text("mine")
    done = call("run", "tessel-ridge", "--out", tmp_path / "taken")
    assert done.returncode == 2
    assert "cannot be written" in done.stderr
    assert done.stderr.count("\n") == 1
    assert [file.name for file in tmp_path.iterdir()] == ["taken"]
    assert (tmp_path / "taken").read_text() == "mine"


def test_a_file_that_cannot_be_replaced_leaves_the_others_alone(tmp_path):
    (tmp_path / "ledger.csv").mkdir()
    (tmp_path / "result.json").write_text("before")
    done = call("run", "tessel-ridge", "--out", tmp_path)
    assert done.returncode == 2
    assert (tmp_path / "result.json").read_text() == "before"
    assert sorted(file.name for file in tmp_path.iterdir()) == ["ledger.csv", "result.json"]


STATED = geoecon.shipped_case("ambry-wells").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ('temperature = "154 degC"', 'temperature = "20 degC"', "no hotter than the air"),
        ('"8 kg/s/bar"', '"0.3 kg/s/bar"', "no pump can lift it"),
        ('planned_outage = "8 d/yr"', 'planned_outage = "40 d/yr"', "do not fit into month 7"),
        (
            'rules = "us-2026"',
            'rules = "us-2062"',
            "'us-2062' is not a table of rules; known are: none, plain, us-2026",
        ),
        (
            'debt_years = 15\nupfront_fee = "1.5 %"\nreserve_months = 6',
            'debt_years = 1\nupfront_fee = "20 %"\nreserve_months = 24',
            "would not pay for its own interest, fees and first reserve",
        ),
        ('credit = "investment"', 'credit = "investmnt"', "did you mean 'investment'?"),
    ],
)
def test_what_no_engineer_could_build_is_refused(tmp_path, old, new, words):
    assert old in STATED
    (tmp_path / "bad.toml").write_text(STATED.replace(old, new), encoding="utf-8")
    done = call("run", tmp_path / "bad.toml", "--out", tmp_path / "out")
    assert (done.returncode, done.stdout) == (2, "")
    assert words in done.stderr
    assert done.stderr.count("\n") == 1
    assert re.search(r"line \d+: \w+\.\w+: ", done.stderr)
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize(
    ("setting", "words"),
    [
        ("plant.condenser_approach=60 K", ""),
        ("plant.fluid=R134a", ""),
        ("plant.evaporating_temperature=200 degC", "evaporates at 200.0 degC, above its critical temperature of 187.2"),
    ],
)
def test_a_fluid_above_its_critical_temperature_is_refused(setting, words):
    done = call("check", COMPLETE, "--set", setting)
    assert done.returncode == (2 if words else 0)
    assert words in done.stderr


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["run", "nowhere"], "neither a file nor an example; examples are: ambry-wells"),
        (["run", "nowhere.toml"], "no such file"),
        (["run", "tests"], "is not a file"),
        (["run", "tessel-ridge", "--set", "finance.discount_rate"], "has no '='"),
        (["run", "tessel-ridge", "--set", "finance.discount_rat=5 %/yr"], "did you mean 'discount_rate'?"),
        (["run", "tessel-ridge", "--set", "finance.discount_rate=650"], "has no unit"),
        (["fields", "--search", "unicorn"], "no field speaks of"),
        (["nonsense"], "No such command"),
    ],
)
def test_mistakes_get_one_message_and_exit_code_2(arguments, words):
    done = call(*arguments, folder=Path(__file__).parents[2])
    assert done.returncode == 2
    assert words in done.stderr
    assert "Traceback" not in done.stderr


def test_check_reports_faults_as_json_too(tmp_path):
    (tmp_path / "bad.toml").write_text(
        STATED.replace('"1150 m"', '"-1 m"').replace("debt_years = 15", "debt_years = 99")
    )
    done = call("check", tmp_path / "bad.toml", "--json")
    assert done.returncode == 2
    assert [fault["path"] for fault in json.loads(done.stdout)["faults"]] == ["wells.depth", "finance.debt_years"]


def test_a_case_that_cannot_be_worked_out_yet_says_so():
    done = call("check", COMPLETE)
    assert done.returncode == 0
    assert "no fault found" in done.stdout
    done = call("run", "sorrel-basin", "--set", "project.owner=partnership")
    assert done.returncode == 2
    assert "is not worked out yet" in done.stderr


def test_fields_lists_the_reference():
    done = call("fields", "--json")
    listed = json.loads(done.stdout)
    assert {"path", "help", "units", "default", "required"} <= set(listed[0])
    assert "market.price\n" in call("fields", "--search", "price").stdout


def test_a_name_is_never_markup(tmp_path):
    (tmp_path / "odd.toml").write_text(STATED.replace('"Ambry Wells"', '"[red]=1+1[/red] <b>"'), encoding="utf-8")
    assert call("run", tmp_path / "odd.toml").stdout.startswith("[red]=1+1[/red] <b>\n")


@pytest.mark.parametrize(
    ("case", "settings", "words"),
    [
        ("kettle-sound", ["capital.grant=0 USD"], "below the 4.0 % asked"),
        ("kettle-sound", [], "A grant of 6.000 MUSD is counted in."),
        ("ambry-wells", ["market.price=175 USD/MWh"], "At the stated price it pays"),
        ("ambry-wells", ["tax.bonus_depreciation=0 %"], "cover of debt service falls to 1.24, below the 1.30 asked"),
        ("ambry-wells", ["market.price=280 USD/MWh", "market.term_years=8"], "covers only"),
        ("sorrel-basin", [], "20.1 % short of it"),
        ("tessel-ridge", ["operation.forced_outage=60 %"], "outages that are stated lie inside"),
        ("dunmarrow", ["tax.rate=30 %"], "set for this run: tax.rate"),
        ("tessel-ridge", ["market.price=110 USD/kWh"], "times the levelized cost; look at its unit, which is per MWh"),
        ("tessel-ridge", ["market.price=0.088 USD/MWh"], "% of the levelized cost; look at its unit, which is per MWh"),
        ("tessel-ridge", ["timeline.first_year=2020"], "is 6 years before the price year, 2026"),
        ("tessel-ridge", ["plant.net_capacity=1 kW"], "plant.net_capacity is 1 kW, below the usual 300 kW"),
        ("tessel-ridge", ["plant.net_capacity=50 MW"], "plant.net_capacity is 50,000 kW, above the usual 30,000 kW"),
        ("tessel-ridge", ["money.inflation=25 %/yr"], "money.inflation is 25 %/yr, above the usual 15 %/yr"),
        ("tessel-ridge", ["market.price_after_term=50 USD/MWh"], "market.price_after_term is not used"),
    ],
)
def test_the_words_say_what_the_figures_say(case, settings, words):
    done = call("run", case, *(part for setting in settings for part in ("--set", setting)))
    assert done.returncode == 0, done.stderr
    assert words in " ".join(done.stdout.split())


def test_a_case_without_cost_needs_no_price(tmp_path):
    lines = ["[project]", 'name="m"', "[money]", 'currency="USD"', "price_year=2026", "[timeline]", "first_year=2030",
             "operating_years=20", "[plant]", 'kind="stated"', 'net_capacity="2 MW"', 'stated_capacity_factor="90 %"',
             "[finance]", 'discount_rate="8 %"', "[market]", 'price="50 USD/MWh"']  # fmt: skip
    (tmp_path / "free.toml").write_text("\r\n".join(lines), encoding="utf-8-sig")
    done = call("run", tmp_path / "free.toml")
    assert (done.returncode, done.stderr) == (0, "")


def test_a_setting_can_mend_a_file_and_is_named_when_it_is_wrong(tmp_path):
    (tmp_path / "short.toml").write_text(STATED.replace("debt_years = 15\n", ""), encoding="utf-8")
    assert call("run", tmp_path / "short.toml").returncode == 2
    assert call("run", tmp_path / "short.toml", "--set", "finance.debt_years=15").returncode == 0
    done = call("run", "tessel-ridge", "--set", "market.price=9 EUR")
    assert "market.price: as set for this run: '9 EUR'" in done.stderr
    shown = json.loads(call("run", "tessel-ridge", "--json", "--set", "market.price=90 USD/MWh").stdout)
    assert shown["case"]["set_for_this_run"] == ["market.price"]
    assert [a["source"] for a in shown["assumptions"] if a["path"] == "market.price"] == ["set for this run"]


def test_output_that_nobody_takes_is_no_defect():
    command = [sys.executable, "-c", "import subprocess, sys; p = subprocess.Popen([sys.executable, '-m', 'geoecon', 'fields'],"
               " stdout=subprocess.PIPE, stderr=subprocess.PIPE); p.stdout.readline(); p.stdout.close();"
               " print(p.wait(), p.stderr.read().decode())"]  # fmt: skip
    assert subprocess.run(command, capture_output=True, text=True, check=True).stdout.split() == ["0"]


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="this system has no device that is always full")
def test_output_that_cannot_be_written_gets_one_message():
    with open("/dev/full", "w") as full:
        done = subprocess.run([*PROCESS, "fields"], stdout=full, stderr=subprocess.PIPE, text=True, check=False)
    assert done.returncode == 2
    assert done.stderr.startswith("the output cannot be written: ")
    assert done.stderr.count("\n") == 1


def test_an_answer_fits_a_narrow_terminal():
    done = call("run", "ambry-wells", columns=44)
    assert max(len(line.rstrip()) for line in done.stdout.splitlines()) <= 60
    assert "Levelized cost: 122.87 USD/MWh" in done.stdout


def test_who_is_paid_what_and_a_commitment_above_its_cap():
    done = call("run", "kettle-sound", "--statement", "--set", "finance.commitment_cap=10 MUSD")
    assert done.returncode == 0, done.stderr
    for words in ("For a public owner", "Total commitment", "Paid out", "Lenders", "more than is allowed"):
        assert words in done.stdout
    shown = json.loads(call("run", "kettle-sound", "--json").stdout)
    paid = sum(row["life"] for row in shown["payments"] if row["payer"] == "owner")
    assert paid == pytest.approx(sum(found["life"] for found in shown["recipients"].values()))


def test_a_partnership_is_not_built_yet():
    done = call("run", "dunmarrow", "--set", "project.owner=partnership")
    assert done.returncode == 2
    assert "not worked out yet" in done.stderr


@pytest.mark.parametrize("name", geoecon.shipped_cases())
def test_shipped_cases_have_nothing_odd(name):
    """No value of theirs is far from what is usual, none is unused, and each price is near its cost."""
    assert "note:" not in call("check", name).stdout
    told = call("run", name).stdout
    assert "the usual" not in told
    assert "look at its unit" not in told


def test_fields_are_found_by_words_in_any_order():
    def found(words):
        done = call("fields", "--search", words)
        return [line for line in done.stdout.splitlines() if not line.startswith(" ")], done.stderr

    assert "resource.well_spacing" in found("cold water")[0]
    assert found("rate debt")[0] == found("debt rate")[0] == found("debt_rate rate")[0]
    assert found("unicorn royalty")[0] == found("royalty")[0]
    assert "no field speaks of all of 'unicorn royalty'" in found("unicorn royalty")[1]
    assert found("royalty")[1] == ""


@pytest.mark.parametrize(
    ("path", "words"),
    [
        ("finance.debt_rate", "0 to 50 %/yr"), ("wells.depth", "1 to 7000 m"), ("plant.net_capacity", "1 to 1000000 kW"),
        ("operation.royalty", "0 to 50 %"), ("plant.air_slope", "0 to 10 %/K"), ("capital.permits", "at least 0 CUR"),
        ("plant.cost_exponent", "a bare number; 0.2 to 1.2;"),
    ],
)  # fmt: skip
def test_bounds_have_units(path, words):
    (how,) = [field.how for field in reference() if field.path == path]
    assert words in how


@pytest.mark.parametrize("text", ["0.095", '"0.095"'])
def test_a_rate_without_its_unit_is_shown_in_percent(text):
    done = call("run", "tessel-ridge", "--set", f"finance.discount_rate={text}")
    assert done.returncode == 2
    assert '"9.5 %/yr"' in done.stderr


def test_an_empty_text_takes_a_value_out():
    done = call("run", "kettle-sound", "--set", "capital.grant=")
    assert done.returncode == 0
    assert "A grant of" not in done.stdout
    assert (
        "plant.net_capacity: as set for this run: is missing"
        in call("run", "kettle-sound", "--set", "plant.net_capacity=").stderr
    )


def test_one_temperature_stands_for_all_months_and_is_told():
    done = call("run", "sorrel-basin", "--set", "site.air_temperature=50 degF")
    assert "the air has 10 degC in every month" in " ".join(done.stdout.split())


def test_a_written_case_is_not_overwritten_and_states_its_owner(tmp_path):
    file = tmp_path / "mine.toml"
    assert call("screen", "marl-plain", "--draws", "500", "--write", file).returncode == 0
    assert 'owner = "private"' in file.read_text(encoding="utf-8")
    file.write_text("mine", encoding="utf-8")
    again = call("screen", "marl-plain", "--draws", "500", "--write", file)
    assert again.returncode == 2
    assert "is there already and is left as it is" in again.stderr
    assert file.read_text(encoding="utf-8") == "mine"
    assert call("screen", "marl-plain", "--draws", "500", "--write", file, "--force").returncode == 0
    assert file.read_text(encoding="utf-8") != "mine"


def test_a_fault_by_what_is_set_names_no_line_and_the_file_s_own_keep_theirs(tmp_path):
    done = call("check", "sorrel-basin", "--set", "resource.temperature_path=doublet")
    assert done.stderr.count("(by what is set for this run)") == done.stderr.count("\n") > 1
    assert ": line " not in done.stderr
    (tmp_path / "bad.toml").write_text(STATED.replace('"8 kg/s/bar"', '"8 bananas"'), encoding="utf-8")
    line = 1 + next(n for n, text in enumerate(STATED.splitlines()) if '"8 kg/s/bar"' in text)
    told = call("check", tmp_path / "bad.toml", "--set", "project.summary=a\\nb").stderr
    assert f"line {line}: wells.productivity_index" in told
    assert "by what is set" not in told


def test_without_a_case_the_examples_are_named():
    done = call("run")
    assert done.returncode == 2
    assert all(name in done.stderr for name in geoecon.shipped_cases())


def test_metric_and_case_stand_in_either_order():
    assert call("explain", "tessel-ridge", "npv").stdout == call("explain", "npv", "tessel-ridge").stdout != ""


@pytest.mark.parametrize(
    ("case", "settings", "words"),
    [
        ("ambry-wells", ["capital.decommissioning=0 USD", "capital.decommissioning_bond=2 %/yr"], "bond is not used"),
        ("sorrel-basin", ["operation.lease=federal-us", "operation.royalty="], "is charged without rent"),
    ],
)  # fmt: skip
def test_what_is_paid_for_nothing_is_told(case, settings, words):
    done = call("check", case, *(part for setting in settings for part in ("--set", setting)))
    assert done.returncode == 0, done.stderr
    assert words in done.stdout


def test_two_metrics_are_not_compared():
    done = call("breakeven", "ambry-wells", "--target", "irr_equity >= wacc")
    assert done.returncode == 2
    assert "compares two metrics; hold irr_equity against a value" in done.stderr


def test_accounts_are_read_as_words():
    told = call("run", "ambry-wells", "--statement").stdout
    assert "Owner's cost" in told
    assert "Owners cost" not in told
    assert "owners cost" not in told

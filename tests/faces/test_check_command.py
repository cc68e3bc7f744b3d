"""`geoecon check`: everything that a study would meet is told at once, and what is odd is remarked."""

import json

import pytest
from click.testing import CliRunner

import geoecon
from geoecon.cli import app

TEXT = geoecon.shipped_case("ambry-wells").read_text(encoding="utf-8")
ODD = '[uncertainty."plant.cost_per_kw"]\nshape = "uniform"\nlow = "2000 USD/kW"\nhigh = "2600 USD/kW"\n'
WRONG = """
[uncertainty."capital.permits"]
shape = "uniform"
low = "1 USD"
high = "2 furlong"
[[decision.criteria]]
target = "nvp >= 0 USD"
[[decision.criteria]]
target = "dscr_min over 1"
"""


def checked(tmp_path, more, *options):
    file = tmp_path / "case.toml"
    file.write_text(f"{TEXT}\n{more}", encoding="utf-8")
    return CliRunner().invoke(app, ["check", str(file), *options])


def test_faults_of_reading_and_of_studies_come_together(tmp_path):
    done = checked(tmp_path, WRONG, "--json")
    assert done.exit_code == 2
    told = [(fault["path"], fault["message"]) for fault in json.loads(done.stdout)["faults"]]
    assert [path for path, _ in told] == ["uncertainty.capital.permits.high", *["decision.criteria"] * 2]
    assert "did you mean 'npv'" in told[1][1]
    assert "is no target" in told[2][1]


def test_all_unsure_inputs_without_a_value_are_told(tmp_path):
    more = "".join(
        f'[uncertainty."{path}"]\nshape = "uniform"\nlow = "100 {unit}"\nhigh = "200 {unit}"\n'
        for path, unit in (("capital.spent_to_date", "USD"), ("wells.vertical_depth", "m"))
    )
    done = checked(tmp_path, more, "--json")
    faults = json.loads(done.stdout)["faults"]
    assert done.exit_code == 2
    assert [fault["path"] for fault in faults] == [
        "uncertainty.capital.spent_to_date",
        "uncertainty.wells.vertical_depth",
    ]
    assert all(fault["line"] for fault in faults)


@pytest.mark.parametrize("command", ["check", "run"])
def test_a_value_outside_its_own_range_is_remarked(tmp_path, command):
    file = tmp_path / "case.toml"
    file.write_text(f"{TEXT}\n{ODD}", encoding="utf-8")
    done = CliRunner().invoke(app, [command, str(file)], env={"COLUMNS": "400"})
    assert done.exit_code == 0
    assert "note: plant.cost_per_kw is 2700 USD/kW, above the most of it, 2600 USD/kW" in done.stdout.replace("\n", " ")

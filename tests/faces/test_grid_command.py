"""`geoecon sweep CASE PATH PATH2` as a person meets it: the table, messages, files."""

import csv
import io
import json
from functools import partial

import pytest
from pyarrow import parquet

import geoecon
from tests.faces.command import run_command

PAIR = ["market.price", "plant.cost_per_kw"]
call = partial(run_command, columns=400)


def result_of(name, **told):
    return geoecon.evaluate(geoecon.load_case(geoecon.shipped_case(name), told))


def test_the_marked_cell_is_the_run():
    done = call("sweep", "dunmarrow", *PAIR, "--metric", "npv")
    assert (done.returncode, done.stderr) == (0, "")
    rows = done.stdout.splitlines()
    assert rows[0].startswith("npv [MUSD], money of year 0: ")
    assert rows[1].startswith("down: plant.cost_per_kw [USD/kW], ")
    assert rows[2].startswith("across: market.price [USD/MWh], ")
    own = next(row for row in rows if row.lstrip().startswith("> 4,000"))
    assert f"> {result_of('dunmarrow').value('npv') / 1e6:.2f}" in own
    assert "towards higher market.price and lower plant.cost_per_kw. The case itself is " in done.stdout
    assert len({len(row) for row in rows[4 : 4 + 10]}) == 1  # aligned


def test_a_narrow_terminal_gets_blocks():
    done = call("sweep", "dunmarrow", *PAIR, columns=50)
    assert max(len(row) for row in done.stdout.splitlines()[4:20]) <= 50
    assert done.stdout.count("> 4,000") > 1


def test_json_holds_every_figure_of_every_cell():
    done = call("sweep", "kettle-sound", *PAIR, "--steps", "3", "--steps2", "4", "--json", "--hold")
    shown = json.loads(done.stdout)
    result = result_of("kettle-sound")
    at = [shown[axis]["values"].index(shown[axis]["base"]) for axis in ("down", "across")]
    assert shown["design"] == "held"
    for key, rows in shown["metrics"].items():
        assert {len(row) for row in rows} == {len(shown["across"]["values"])}
        assert len(rows) == len(shown["down"]["values"])
        value = result.metrics[key].as_json()["value"]
        assert rows[at[0]][at[1]] == (value if value is None else pytest.approx(value, rel=1e-12)), key


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["market.price", "market.price"], "market.price: is given twice"),
        ([*PAIR, "--steps", "300", "--steps2", "300"], "90,601 cells are more than 40,000"),
        ([*PAIR, "--steps2", "1"], "2 to 2001 steps"),
        ([*PAIR, "--from2", "4000"], "has no unit"),
        ([*PAIR, "--metric", "profit"], "'profit' is no figure"),
        (["market.price", "--to2", "4 USD/kW"], "are of a second input; name it after the first"),
        (["market.price", "plant.cost"], "did you mean 'plant.cost_per_kw'?"),
        ([*PAIR, "--set", "operation.planned_outage=9000 h/yr"], "is outside"),
    ],
)
def test_mistakes_get_one_message_and_leave_no_file(arguments, words, tmp_path):
    done = call("sweep", "dunmarrow", *arguments, "--chart", "a.svg", "--out", "a.csv", folder=tmp_path)
    assert (done.returncode, done.stdout) == (2, "")
    assert words in done.stderr
    assert "Traceback" not in done.stderr
    assert not list(tmp_path.iterdir())


def test_nothing_feasible_is_one_message():
    done = call("sweep", "sorrel-basin", *PAIR, "--set", "resource.temperature=30 degC")
    assert (done.returncode, done.stdout) == (2, "")
    assert "nothing can be worked out in this range: resource.temperature: " in done.stderr
    assert done.stderr.count("\n") == 1


def test_tables_in_both_forms_agree(tmp_path):
    for ending in ("csv", "parquet"):
        done = call("sweep", "pell-crossing", "resource.temperature", "market.price", "--steps", "3", "--steps2", "3",
                    "--out", f"a.{ending}", "--chart", f"{ending}.png", folder=tmp_path)  # fmt: skip
        assert done.returncode == 0, done.stderr
        assert "have no value: the scenario is not feasible" in done.stdout
    rows = list(csv.DictReader(io.StringIO((tmp_path / "a.csv").read_text(encoding="utf-8"))))
    table = parquet.read_table(tmp_path / "a.parquet").to_pylist()
    assert [[None if cell == "" else float(cell) for cell in row.values()] for row in rows] == [
        list(row.values()) for row in table
    ]
    assert list(rows[0]) == list(table[0])
    assert (tmp_path / "csv.png").read_bytes().startswith(b"\x89PNG")


def test_a_line_may_be_parquet_as_well(tmp_path):
    done = call("sweep", "tessel-ridge", "market.price", "--out", "a.parquet", folder=tmp_path)
    assert done.returncode == 0, done.stderr
    table = parquet.read_table(tmp_path / "a.parquet")
    assert "market.price [USD/MWh]" in table.column_names
    assert table["dscr_min [1]"].null_count == table.num_rows

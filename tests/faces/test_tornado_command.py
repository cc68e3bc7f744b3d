"""`geoecon tornado` as a person meets it: aligned lines, ranges with units and origins, messages, files."""

import json
from functools import partial

import pytest
from pyarrow import parquet

import geoecon
from geoecon.studies.uncertain import uncertain_inputs
from tests.faces.command import run_command

call = partial(run_command, columns=400)


def case_of(name, **told):
    return geoecon.load_case(geoecon.shipped_case(name), told)


def result_of(name, **told):
    return geoecon.evaluate(case_of(name, **told))


def test_lines_say_input_ends_figures_and_reach():
    done = call("tornado", "dunmarrow")
    assert (done.returncode, done.stderr) == (0, "")
    rows = done.stdout.splitlines()
    own = result_of("dunmarrow").value("npv_equity") / 1e6
    assert rows[0] == "npv_equity [MUSD], money of year 0: value to the owner at the return wanted"
    assert rows[1] == f"{own:.3f} MUSD as the case is"
    assert rows[2].split() == ["input", "its", "low", "its", "high", "at", "low", "at", "high", "reach"]
    assert rows[3].split() == ["plant.cost_per_kw", "2,000", "USD/kW", "8,000", "USD/kW", "5.876", "-8.286", "14.162"]
    assert len({len(row) for row in rows[2 : rows.index("")]}) == 1
    assert "one at a time, all else as the case has it, wells and plant as ordered" in done.stdout
    assert "1 chance in 10 below and 1 in 10 above" in done.stdout
    assert "estimate class 5 (no class is stated): -50% to +100%" in done.stdout
    assert "[compiled]" in done.stdout


def test_several_figures_and_a_spider():
    done = call("tornado", "kettle-sound", "--metric", "lcoe_real", "--metric", "first_year_energy", "--spider",
                "--only", "wells.depth", "--only", "wells.cost_factor")  # fmt: skip
    assert done.returncode == 2
    assert "wells.depth: is not uncertain in this case; uncertain are: resource.temperature" in done.stderr
    done = call("tornado", "kettle-sound", "--metric", "lcoe_real", "--metric", "first_year_energy", "--spider",
                "--only", "resource.temperature", "--only", "wells.cost_factor")  # fmt: skip
    assert done.returncode == 0, done.stderr
    for heading in ("lcoe_real [USD/MWh], real 2026", "first_year_energy [MWh]"):
        assert done.stdout.count(heading) == 2
    heads = [
        line.split("input")[1].split() for line in done.stdout.splitlines() if line.startswith("input") and "%" in line
    ]
    assert (
        heads
        == [["5", "%", "10", "%", "20", "%", "35", "%", "50", "%", "65", "%", "80", "%", "90", "%", "95", "%"]] * 2
    )
    assert "plant.cost_per_kw" not in done.stdout


def test_json_agrees_with_the_run():
    told = {"market.price": "120 USD/MWh", "resource.temperature": "136 degC"}
    changes = [word for path, text in told.items() for word in ("--set", f"{path}={text}")]
    done = call("tornado", "pell-crossing", "--json", "--spider", "--resize", *changes)
    shown = json.loads(done.stdout)
    result = result_of("pell-crossing", **told)
    assert shown["design"] == "sized afresh"
    for key, value in shown["base"].items():
        expected = result.metrics[key].as_json()["value"]
        assert value == (expected if expected is None else pytest.approx(expected, rel=1e-12)), key
    assert shown["chances"] == [0.1, 0.9]
    assert len(shown["spider"]["chances"]) == 9
    hot = next(one for one in shown["inputs"] if one["path"] == "resource.temperature")
    assert hot["metrics"]["npv"][1] is None
    assert "outside what the plant's map holds" in hot["no_value"]["npv"][1]


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["--metric", "profit"], "'profit' is no figure"),
        (["--only", "market.price"], "is not uncertain in this case"),
        (["--chart", "a.gif"], "a chart ends in .svg, .png, .html"),
        (["--out", "a.xlsx"], "a table ends in .csv, .parquet"),
        (["--set", "finance.debt_share=130 %"], "is outside"),
    ],
)
def test_mistakes_get_one_message_and_leave_no_file(arguments, words, tmp_path):
    done = call("tornado", "dunmarrow", "--chart", "a.svg", "--out", "a.csv", *arguments, folder=tmp_path)
    assert (done.returncode, done.stdout) == (2, "")
    assert words in done.stderr
    assert "Traceback" not in done.stderr
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize("more", [[], ["--spider"]])
def test_chart_and_table_are_written(more, tmp_path):
    done = call("tornado", "tessel-ridge", "--chart", "new/a.svg", "--out", "a.parquet", *more, folder=tmp_path)
    assert done.returncode == 0, done.stderr
    assert done.stdout.count("written: ") == 2
    picture = (tmp_path / "new" / "a.svg").read_text(encoding="utf-8")
    assert "plant.cost_per_kw" in picture
    assert ("chance of the input being lower" in picture) == bool(more)
    table = parquet.read_table(tmp_path / "a.parquet")
    assert table["npv [USD]"][0].as_py() == pytest.approx(result_of("tessel-ridge").value("npv"), rel=1e-12)
    assert table.num_rows == 1 + len(uncertain_inputs(case_of("tessel-ridge"))) * (9 if more else 2)

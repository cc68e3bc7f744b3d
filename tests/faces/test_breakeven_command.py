"""`geoecon breakeven` as a person meets it: the sentence, the list, pairs, lines of equal value, messages, files."""

import csv
import io
import json
from functools import partial

import pytest

import geoecon
from geoecon.audit import checks, verdict
from tests.faces.command import run_command

call = partial(run_command, "breakeven", columns=400)


def result_of(name, **told):
    return geoecon.evaluate(geoecon.load_case(geoecon.shipped_case(name), told))


def test_a_sentence_then_the_list_in_columns():
    done = call("tessel-ridge")
    assert (done.returncode, done.stderr) == (0, "")
    first, heading, *listed, checked = done.stdout.splitlines()
    assert first.startswith(
        "irr_equity is 5.95 %/yr, and the target is missed: at least 9 %. 3 of 5 inputs can meet it alone: "
    )
    columns = [heading.index(word) for word in ("as it is", "would have to be", "change", "how likely")]
    price = next(line for line in listed if line.startswith("market.price"))
    assert [price[at - 2 : at] for at in columns] == ["  "] * 4
    assert [price[at:].split("  ")[0] for at in columns] == [
        "88 USD/MWh", "at least 104.2 USD/MWh", "+18.4 %", "no distribution",
    ]  # fmt: skip
    all_hold = verdict(checks(geoecon.evaluate(geoecon.load_case(geoecon.shipped_case("tessel-ridge")))))
    assert checked == f"Checks of the case as it stands: {all_hold}."
    assert listed[-1].startswith("One input is moved at a time and all else stays; wells and plant are sized afresh")


def test_json_is_met_when_it_is_put_back():
    shown = json.loads(call("dunmarrow", "--json", "--input", "finance.debt_rate").stdout)
    assert shown["target"] == {"metric": "irr_equity", "sense": ">=", "value": 0.12}
    assert shown["base"] == result_of("dunmarrow").value("irr_equity")
    price = next(item for item in shown["inputs"] if item["path"] == "market.price")
    told = result_of("dunmarrow", **{"market.price": f"{price['value']!r} USD/MWh"})
    assert told.value("irr_equity") == pytest.approx(0.12, rel=1e-6)
    assert price["value"] == pytest.approx(result_of("dunmarrow").value("required_price"), rel=1e-6)
    assert "finance.debt_rate" in [item["path"] for item in shown["inputs"]]


def test_a_target_in_words_and_a_changed_case():
    done = call(
        "sorrel-basin", "--target", "lcoe_real <= 95 USD/MWh", "--set", "plant.cost_per_kw=2500 USD/kW", "--hold"
    )
    assert done.returncode == 0, done.stderr
    assert "the target is missed: at most 95 USD/MWh" in done.stdout
    assert "2,500 USD/kW" in done.stdout
    assert "the plant stays as ordered" in done.stdout


def test_pairs_and_lines(tmp_path):
    pairs = call(
        "pell-crossing",
        "--with",
        "market.price",
        "plant.cost_per_kw",
        "--out",
        "p.csv",
        "--chart",
        "p.svg",
        folder=tmp_path,
    )
    assert pairs.returncode == 0, pairs.stderr
    assert "is met on and below the line" in pairs.stdout
    rows = list(csv.DictReader(io.StringIO((tmp_path / "p.csv").read_text(encoding="utf-8"))))
    assert {row["target is met"] for row in rows} <= {"at or below", "nowhere", "everywhere"}
    assert (tmp_path / "p.svg").read_bytes().startswith(b"<svg")
    curve = call(
        "pell-crossing", "--success-curve", "--well", "PC-1: 128 degC, 62 kg/s", "--chart", "c.png", folder=tmp_path
    )
    assert curve.returncode == 0, curve.stderr
    assert "PC-1: 128 degC, 62 kg/s: " in curve.stdout
    assert curve.stdout.splitlines()[-3].endswith("misses it")  # before the checks and the file written
    assert (tmp_path / "c.png").read_bytes().startswith(b"\x89PNG")


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["--target", "profit >= 3"], "'profit' is no metric"),
        (["--target", "npv above 3"], "write METRIC >= VALUE"),
        (["--target", "npv >= 3 EUR"], "is not a unit for this"),
        (["--target", ""], "write METRIC >= VALUE"),
        (["--input", "market.pric"], "did you mean 'market.price'?"),
        (["--input", "timeline.operating_years"], "`geoecon sweep` can"),
        (["--with", "market.price", "market.price"], "two different inputs"),
        (["--with", "market.price", "unicorn"], "`geoecon fields` lists them"),
        (["--success-curve"], "resource.temperature: is not a number that this case states"),
        (["--well", "a: 1 degC, 2 kg/s"], "--success-curve; ask for these too"),
        (["--input", "finance.debt_rate", "--with", "market.price", "plant.cost_per_kw"], "leave it out with --with"),
        (["--set", "finance.debt_share=130 %"], "is outside"),
    ],
)
def test_mistakes_get_one_message_and_leave_no_file(arguments, words, tmp_path):
    done = call("dunmarrow", *arguments, "--chart", "a.svg", "--out", "a.csv", folder=tmp_path)
    assert (done.returncode, done.stdout) == (2, "")
    assert words in done.stderr
    assert "Traceback" not in done.stderr
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize(
    ("chart", "table", "words"),
    [("a.gif", "a.csv", "a chart ends in .svg, .png, .html"), ("a.svg", "a.xlsx", "a table ends in .csv, .parquet"),
     ("taken/a.svg", "a.csv", "cannot be written")],
)  # fmt: skip
def test_files_are_written_whole_or_not_at_all(chart, table, words, tmp_path):
    (tmp_path / "taken").write_text("mine")
    done = call("tessel-ridge", "--chart", chart, "--out", table, folder=tmp_path)
    assert done.returncode == 2
    assert words in done.stderr
    assert [file.name for file in tmp_path.iterdir()] == ["taken"]


def test_without_a_price_it_says_what_to_do(tmp_path):
    text = geoecon.shipped_case("tessel-ridge").read_text(encoding="utf-8")
    file = tmp_path / "bare.toml"
    file.write_text("\n".join(line for line in text.splitlines() if not line.startswith("price =")), encoding="utf-8")
    done = call(file)
    assert done.returncode == 2
    assert "market.price: is not stated" in done.stderr
    assert "lcoe_real <= 95 USD/MWh" in done.stderr
    assert call(file, "--target", "lcoe_real <= 95 USD/MWh").returncode == 0

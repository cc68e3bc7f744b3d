"""`geoecon risk` as a person meets it: the page, JSON, files, messages, stopping."""

import csv
import io
import json
import os
import subprocess
import sys
from functools import partial

import numpy as np
import pandas as pd
import pytest

import geoecon
from geoecon.arrays import CHUNK
from geoecon.report.chances import in_chances
from geoecon.studies.risk import QUANTILES, risk
from geoecon.studies.spread import spread
from tests.faces.command import run_command

TITLES = ("What may go wrong", "What the figures reach", "What is unsure", "What the worst tenth by npv have in common")
call = partial(run_command, "risk", columns=118)


def study(name, draws=200, **more):
    return risk(geoecon.load_case(geoecon.shipped_case(name)), draws, **more)


@pytest.mark.parametrize(
    ("name", "columns"),
    [("sorrel-basin", "118"), ("tessel-ridge", "118"), ("pell-crossing", "118"), ("pell-crossing", "60")],
)
def test_the_page_holds_everything(name, columns):
    done = call(name, "--draws", 200, columns=columns)
    assert (done.returncode, done.stderr) == (0, "")
    for title in TITLES:
        assert title in done.stdout
    found = study(name)
    words = " ".join(done.stdout.split())
    for event in found.events:
        if not event.reason:
            assert in_chances(event.chance, 200).removesuffix(" that") in words
        else:
            assert event.reason in words
    assert ("Why single wells do not add up" in words) == bool(found.rolled)
    assert "seed 1, latin sampling" in words
    assert "four times the draws" in words
    assert "nan" not in words.replace("financ", "")
    assert " P90" not in words
    if found.failed.any():
        assert f"{int(found.failed.sum())} of 200 draws could not be worked out" in words
        assert "counts as bad in every chance" in words


def test_json_is_the_study():
    done = call("ambry-wells", "--draws", 300, "--seed", 5, "--sampler", "sobol", "--metric", "lcoe_real", "--json")
    shown, found = json.loads(done.stdout), study("ambry-wells", 300, seed=5, sampler="sobol")
    assert (shown["draws"], shown["seed"], shown["sampler"], shown["design"]) == (300, 5, "sobol", "as ordered")
    own = spread("lcoe_real", found.metrics["lcoe_real"])
    assert list(shown["metrics"]) == ["lcoe_real"]
    cost = shown["metrics"]["lcoe_real"]
    assert [point["value"] for point in cost["at_most"]] == own.reached.tolist()
    assert cost["as_it_is"] == found.base.value("lcoe_real")
    assert shown["events"]["loss"]["chance"] == (found.metrics["npv"].values < 0).mean()
    assert shown["worst_tenth"]["by"] == "lcoe_real"
    assert set(shown["inputs"]) == set(found.uncertain)


@pytest.mark.parametrize("table", ["csv", "parquet"])
def test_files_hold_every_draw(table, tmp_path):
    arguments = ("pell-crossing", "--draws", 150, "--out", "new/there", "--table", table, "--chart", "new/a.svg")
    done = call(*arguments, "--metric", "npv", folder=tmp_path)
    assert done.returncode == 0, done.stderr
    assert done.stdout.count("written: ") == 4
    folder, found = tmp_path / "new" / "there", study("pell-crossing", 150)
    assert (tmp_path / "new" / "a.svg").read_text(encoding="utf-8").startswith("<svg")
    draws = pd.read_csv(folder / "draws.csv") if table == "csv" else pd.read_parquet(folder / "draws.parquet")
    assert len(draws) == 150
    assert np.array_equal(draws["npv [USD]"], found.metrics["npv"].values, equal_nan=True)
    assert np.array_equal(draws["plant.cost_per_kw [USD/kW]"], found.values["plant.cost_per_kw"])
    assert np.array_equal(draws["worked out"].astype(bool), ~found.failed)
    assert np.array_equal(draws["event loss"].astype(bool), found.events[0].happens)
    rows = list(csv.DictReader(io.StringIO((folder / "fans.csv").read_text(encoding="utf-8"))))
    energy = [row for row in rows if row["column"] == "delivered_energy"]
    assert [float(row["chance below 0.5"]) for row in energy] == found.fans["delivered_energy"].quantiles[
        :, QUANTILES.index(0.5)
    ].tolist()
    assert json.loads((folder / "risk.json").read_text(encoding="utf-8"))["draws"] == 150


def test_workers_print_the_same():
    one, two = (call("dunmarrow", "--draws", 4500, "--json", "--workers", n) for n in (1, 2))
    assert one.returncode == two.returncode == 0
    assert one.stdout == two.stdout


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["--draws", 10**9], "--draws: 1,000,000,000 is outside 1 to 2,000,000; ten thousand tell most"),
        (["--draws", "ten"], "'ten' is not a valid integer"),
        (["--seed", "1.5"], "'1.5' is not a valid integer"),
        (["--sampler", "dice"], "--sampler: 'dice' is not one of: latin, sobol, plain"),
        (["--metric", "nvp"], "--metric: 'nvp' is no figure; did you mean 'npv'?"),
        (["--metric", "profit!"], "is no figure; known are: gross_capacity"),
        (["--workers", 0], "--workers: 0 is outside 1 to 64"),
        (["--table", "xlsx"], "--table: 'xlsx' is not one of: csv, parquet"),
        (["--chart", "a.gif"], "a chart ends in .svg, .png, .html"),
        (["--out", "taken"], "is no folder to write into"),
        (["--out", "taken/below"], "cannot be written"),
        (["--draws", 300_000, "--out", "new"], "too many for CSV"),
    ],
)
def test_mistakes_get_one_message_and_leave_no_file(arguments, words, tmp_path):
    (tmp_path / "taken").write_text("mine")
    done = call("dunmarrow", "--draws", 50, "--chart", "a.svg", *arguments, folder=tmp_path)
    assert (done.returncode, done.stdout) == (2, "")
    assert words in done.stderr
    assert "Traceback" not in done.stderr
    assert [file.name for file in tmp_path.iterdir()] == ["taken"]


def test_all_failing_says_the_commonest_reason_and_keeps_the_work(tmp_path):
    text = geoecon.shipped_case("sorrel-basin").read_text(encoding="utf-8")
    for warm, cold in (("158", "22"), ("149", "21"), ("164", "23")):
        text = text.replace(f'"{warm} degC"', f'"{cold} degC"')
    (tmp_path / "cold.toml").write_text(text, encoding="utf-8")
    done = call("cold.toml", "--draws", 60, "--out", "kept", folder=tmp_path)
    assert (done.returncode, done.stdout) == (2, "")
    assert "None of the 60 draws could be worked out" in done.stderr
    assert "resource.temperature: brine reaches the plant at" in done.stderr
    assert sorted(file.name for file in (tmp_path / "kept").iterdir()) == ["draws.csv", "fans.csv", "risk.json"]


STOPS = """
import os, signal, sys
from geoecon.cli import main
from geoecon.studies import working
work, count, at = working.work, 0, int(sys.argv[1])
def stopping(job):
    global count
    count += 1
    if count == at:
        os.kill(os.getpid(), signal.SIGINT)
    return work(job)
working.work = stopping
signal.signal(signal.SIGINT, signal.default_int_handler)  # tests begun in the background have interrupts ignored
sys.argv = ["geoecon", "risk", "dunmarrow", "--draws", "20000"]
main()
"""


TOO_LATE = """
import os, signal, sys
from geoecon.cli import main
from geoecon.report import risk
told_by = risk.told_by
def interrupted(*all_):
    os.kill(os.getpid(), signal.SIGINT)
    return told_by(*all_)
risk.told_by = interrupted
signal.signal(signal.SIGINT, signal.default_int_handler)
sys.argv = ["geoecon", "risk", "dunmarrow", "--draws", "100"]
main()
"""


@pytest.mark.skipif(os.name == "nt", reason="signals as on Unix")
def test_an_interrupt_after_the_last_draw_is_too_late_and_loses_nothing():
    done = subprocess.run([sys.executable, "-c", TOO_LATE], capture_output=True, text=True, check=False)
    assert (done.returncode, done.stderr) == (0, "")
    assert "What the figures reach" in done.stdout


def stopped_at(part):
    return subprocess.run([sys.executable, "-c", STOPS, str(part)], capture_output=True, text=True, check=False)


@pytest.mark.skipif(os.name == "nt", reason="signals as on Unix")
def test_an_interrupt_prints_what_is_done_or_that_it_stopped():
    done = stopped_at(3)
    assert done.returncode == 0, done.stderr
    kept = f"{2 * CHUNK:,}"
    assert f"{kept} draws (stopped after {kept} of 20,000 draws)" in " ".join(done.stdout.split())
    nothing = stopped_at(1)
    assert (nothing.returncode, nothing.stdout, nothing.stderr) == (130, "", "stopped\n")

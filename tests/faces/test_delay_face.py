"""`geoecon delay`, the prices that `geoecon run` reads in other words, and their blocks of pages, as a person meets them."""

import pytest
from streamlit.testing.v1 import AppTest

import geoecon
from geoecon import evaluate
from geoecon.case import load_case
from geoecon.report.delay import heads, rows, verdict
from geoecon.report.price_readings import price_readings
from geoecon.report.words import plain_text
from geoecon.studies.delay import delay_cost
from tests.faces.command import run_command
from tests.faces.shown_tables import tables


def page(name, which):
    at = AppTest.from_file(str(geoecon.shipped_app()), default_timeout=60)
    at.query_params["case"] = name
    at.run().switch_page(f"geoecon/ui/pages/{which}.py").run()
    assert [error.message for error in at.exception] == []
    return at


def test_lines_of_a_late_start():
    done = run_command("delay", "ambry-wells", "--months", "24")
    assert done.returncode == 0, done.stderr
    assert done.stdout.startswith("Starting 24 months late costs")
    assert "24 months" in done.stdout
    for cause in ("energy not sold", "prices that do not wait", "tax less credits", "cost of the delay"):
        assert f"\n{cause}" in done.stdout


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("--months", "40"), "0 to 36 months late, not 40"),
        (("--months", "x"), "'x' is not a valid float"),
        (("--out", "late.txt"), "a table ends in .csv, .parquet"),
    ],
)
def test_what_cannot_be_is_said_once(arguments, words):
    done = run_command("delay", "ambry-wells", *arguments)
    assert done.returncode == 2
    assert words in done.stderr
    assert "Traceback" not in done.stderr


@pytest.mark.parametrize("name", geoecon.shipped_cases())
def test_the_page_says_what_a_late_start_costs(name):
    at, found = page(name, "stress"), delay_cost(load_case(geoecon.shipped_case(name)))
    words = "\n".join(element.value for element in at.markdown)
    assert plain_text(verdict(found)) in words
    shown = next(table for table in tables(at) if list(table) == list(heads(found)))
    assert list(shown.iloc[:, 0]) == [row[0] for row in rows(found)]


@pytest.mark.parametrize("name", geoecon.shipped_cases())
def test_prices_in_other_words(name):
    at, result = page(name, "years"), evaluate(load_case(geoecon.shipped_case(name)))
    words = "\n".join(element.value for element in at.markdown)
    for group in price_readings(result):
        for line in group.lines:
            assert plain_text(line.value) in words
    stated = run_command("run", name, "--statement").stdout
    assert ("These prices in other words" in stated) == bool(price_readings(result))

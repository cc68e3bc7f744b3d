"""`geoecon explain` as a person meets it."""

import json
from functools import partial

import pytest

import geoecon
from geoecon.result import METRICS
from tests.faces.command import run_command

call = partial(run_command, "explain", columns=118)


@pytest.mark.parametrize("name", geoecon.shipped_cases())
def test_it_explains_from_words_to_inputs(name):
    done = call("lcoe_real", name)
    assert done.returncode == 0, done.stderr
    for words in (
        "lcoe_real: ", "real 20", "Value of all cost over discounted energy", "With the numbers of this case",
        "  discounted energy", "USD/MWh\n", "Inputs it rests on", "  money.price_year = 20", "stated)",
        "Metrics it rests on", f"(geoecon explain capital_cost {name})",
    ):  # fmt: skip
        assert words in done.stdout
    assert "\x1b" not in done.stdout


def test_a_metric_without_a_value_says_why():
    done = call("llcr", "tessel-ridge")
    assert done.returncode == 0
    assert done.stdout.startswith("llcr: the case has no debt")


def test_set_changes_the_numbers_and_the_way_on():
    done = call("wacc", "sorrel-basin", "--set", "finance.debt_share=0 %")
    assert done.returncode == 0, done.stderr
    assert "= 0.1 = 0.1 1/yr" in done.stdout
    done = call("npv_at_decision", "tessel-ridge", "--set", "market.price=90 USD/MWh")
    assert "set for this run" in call("npv", "tessel-ridge", "--set", "market.price=90 USD/MWh").stdout
    assert "(geoecon explain npv tessel-ridge --set 'market.price=90 USD/MWh')" in done.stdout.replace("\n", " ")


def test_json_is_one_object_with_the_tree():
    shown = json.loads(call("homes_low", "ambry-wells", "--json").stdout)
    assert shown["metric"] == "homes_low"
    assert shown["meaning"] == METRICS["homes_low"].meaning
    assert shown["line"].endswith(f" = {shown['value']} homes")
    assert {"path", "value", "unit", "source", "evidence"} == set(shown["inputs"][0])
    assert [other["metric"] for other in shown["below"]] == ["lifetime_energy"]
    assert shown["below"][0]["inputs"]


def test_a_narrow_terminal_gets_every_word():
    wide, narrow = (call("npv", "dunmarrow", columns=columns).stdout.split() for columns in ("118", "50"))
    assert "".join(wide) == "".join(narrow)


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("lcoe_reel", "dunmarrow"), "did you mean 'lcoe_real'?"),
        (("npv", "dunmarow"), "neither a file nor an example"),
        (("npv", "dunmarrow", "--set", "market.price=cheap"), "market.price"),
        (("npv",), "Missing argument 'CASE'"),
    ],
)
def test_faults_of_the_input_end_with_two(arguments, words):
    done = call(*arguments)
    assert (done.returncode, done.stdout) == (2, "")
    assert words in done.stderr
    assert "Traceback" not in done.stderr

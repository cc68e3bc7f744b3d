"""`geoecon screen` and the page that screens a site, as a person meets them."""

import json
import re
from functools import partial

import pytest
from streamlit.testing.v1 import AppTest

import geoecon
from geoecon.case import load_site
from geoecon.case.site import SITE_TABLES
from geoecon.report import screen as words
from geoecon.report.screen_json import as_json
from geoecon.report.words import plain_text
from geoecon.studies.screen import screen
from geoecon.studies.screen.written import write_case
from tests.faces.command import run_command
from tests.faces.shown_tables import tables

pytestmark = pytest.mark.filterwarnings("ignore:Implicitly cleaning up:ResourceWarning")
SITES = tuple(geoecon.shipped_sites())
LEAST = '[place]\nname = "Nowhere"\n'
call = partial(run_command, "screen", columns=118)


def said_by(done):
    return " ".join(done.stdout.split())


@pytest.mark.parametrize("name", SITES)
def test_every_example_is_answered(name):
    done = call(name, "--draws", 500)
    assert (done.returncode, done.stderr) == (0, "")
    found = screen(load_site(geoecon.shipped_sites()[name]), 500)
    assert words.verdict(found) in said_by(done)
    assert done.stdout.splitlines()[0] == found.site.place.name
    for sheet in words.sheets(found):
        assert sheet.title in done.stdout


def test_long_words_are_wrapped_and_not_cut():
    done = call("larkspur-springs", "--draws", 300)
    assert "…" not in done.stdout
    narrow = call("larkspur-springs", "--draws", 300, columns=60)
    assert "…" not in narrow.stdout
    assert "what it rests on: " in narrow.stdout


def test_json_is_the_screen():
    done = call("fennel-cove", "--draws", 300, "--seed", 4, "--json")
    found = screen(load_site(geoecon.shipped_sites()["fennel-cove"]), 300, 4)
    assert json.loads(done.stdout) == json.loads(json.dumps(as_json(found)))


def test_a_name_alone_is_answered_with_what_to_measure_first(tmp_path):
    file = tmp_path / "nowhere.toml"
    file.write_text(LEAST, encoding="utf-8")
    done = call(file, "--draws", 500)
    assert done.returncode == 0
    assert "Cannot be said yet; not known: heat, water, permeability, depth, access, market." in said_by(done)
    assert "Full water analysis" in done.stdout


@pytest.mark.parametrize("name", ["larkspur-springs", "ostler-bench"])
def test_a_case_is_written_that_check_and_run_accept(tmp_path, name):
    file = tmp_path / "cases" / "new.toml"
    done = call(name, "--draws", 500, "--write", file)
    assert done.returncode == 0
    assert f"written: {file}" in done.stdout.replace("\n", "")
    assert "inputs are assumed, and marked so in its notes:" in said_by(done)
    assert run_command("check", file, "--deep").returncode == 0
    ran = run_command("run", file, "--json")
    assert ran.returncode == 0
    assert json.loads(ran.stdout)["metrics"]["lcoe_real"]["value"] > 0
    assert file.read_text(encoding="utf-8").count("[uncertainty.") >= 5


def test_nothing_is_written_where_there_is_no_plant_to_write(tmp_path):
    file = tmp_path / "cold.toml"
    told = ["--set", "ground.gradient=9 K/km", "--set", "ground.gradient_depth=1 km", "--set", "ground.heat_flow="]
    done = call("marl-plain", *told, "--write", file)
    assert done.returncode == 2
    assert "no plant to write a case for; measure first" in done.stderr
    assert not file.exists()


def test_a_chart_is_drawn(tmp_path):
    file = tmp_path / "depth.svg"
    assert call("marl-plain", "--draws", 300, "--chart", file).returncode == 0
    assert file.read_text(encoding="utf-8").startswith("<svg")
    refused = call("marl-plain", "--chart", tmp_path / "depth.gif")
    assert (refused.returncode, "a chart ends in .svg, .png, .html" in refused.stderr) == (2, True)


def test_what_a_site_may_state_is_listed():
    done = call("--fields")
    assert done.returncode == 0
    for table, model in SITE_TABLES.items():
        for leaf in model.model_fields:
            assert f"\n{table}.{leaf}\n" in f"\n{done.stdout}"
    assert "K/km, degC/km, degC/100m, degF/100ft" in done.stdout
    assert len(json.loads(call("--fields", "--json").stdout)) == done.stdout.count("default") + done.stdout.count(
        "required"
    )


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        ([], "name a site: a TOML file, or an example"),
        (["nowhere"], "'nowhere' is neither a file nor an example of a site; examples are: fennel-cove"),
        (["nowhere.toml"], "nowhere.toml: no such file"),
        (["marl-plain", "--set", "water.magnesium=0 mg/L"], "is zero, and every geothermometer takes a logarithm"),
        (["marl-plain", "--set", "water.silica=2000 mg/L"], "is above any saturation"),
        (["marl-plain", "--set", "reservoir.depth=9 km"], "is outside 0.05 km to 7 km"),
        (["marl-plain", "--set", "flow_test.flow=900 gpm"], "say at which temperature"),
        (["marl-plain", "--set", "ground.gradiant=30 K/km"], "did you mean 'gradient'?"),
        (["marl-plain", "--set", "ground"], "has no '='"),
        (["marl-plain", "--draws", "3"], "--draws: 3 is outside 100 to 1,000,000"),
        (["marl-plain", "--write", " "], "--write names no file"),
    ],
)
def test_bad_input_is_one_clear_message(arguments, message):
    done = call(*arguments)
    assert (done.returncode, done.stdout) == (2, "")
    assert message in done.stderr
    assert "Traceback" not in done.stderr


# The page


def visit(**address):
    at = AppTest.from_file(str(geoecon.shipped_app()), default_timeout=60)
    for key, value in address.items():
        at.query_params[key] = value
    return sound(sound(at.run()).switch_page("geoecon/ui/pages/screen.py").run())


def sound(at):
    assert [error.message for error in at.exception] == []
    return at


def said(at):
    return "\n".join(element.value for element in (*at.markdown, *at.subheader, *at.caption))


def choose(at, name):
    return sound(at.selectbox(key="site:name").set_value(name).run())


def found_of(name, **told):
    return screen(load_site(geoecon.shipped_sites()[name], told))


@pytest.mark.parametrize("name", SITES)
def test_the_page_shows_the_screen(name):
    at, found = choose(visit(), name), found_of(name)
    assert at.title[0].value == plain_text(found.site.place.name)
    assert f"#### {plain_text(words.verdict(found))}" in said(at)
    titles = [header.value for header in at.subheader]
    assert {"Does it qualify", "What to measure next", "In figures", "Temperature at depth", "To go on with"} <= set(
        titles
    )
    assert "licensed practice under local codes" in said(at)
    assert [*at.error, *at.warning] == []


def test_the_page_says_what_a_written_case_costs_and_what_in_it_is_assumed():
    at, made = choose(visit(), "ostler-bench"), write_case(found_of("ostler-bench"))
    assert f"As first written it costs {made.result.value('lcoe_real'):,.0f} USD" in re.sub(r"\\(.)", r"\1", said(at))
    (listed,) = [caption.value for caption in at.caption if made.assumed[0].path in caption.value.replace("\\", "")]
    assert all(item.path in listed.replace("\\", "") for item in made.assumed)


def test_the_page_names_the_plant_of_the_written_case():
    at = choose(visit(), "ostler-bench")
    assert plain_text("The plant is binary: water of 1") in said(at)
    sound(at.text_input(key="site:ostler-bench:ground.measured_temperature").set_value("235 to 245 degC").run())
    assert plain_text("The plant is single-flash: water of 2") in said(at)


def test_a_field_changes_the_answer_and_an_empty_one_is_not_known():
    at = choose(visit(), "ostler-bench")
    sound(at.text_input(key="site:ostler-bench:ground.measured_temperature").set_value("120 to 130 degC").run())
    changed = found_of("ostler-bench", **{"ground.measured_temperature": "120 to 130 degC"})
    assert plain_text(words.verdict(changed)) in said(at)
    sound(at.text_input(key="site:ostler-bench:reservoir.area").set_value("").run())
    less = found_of("ostler-bench", **{"ground.measured_temperature": "120 to 130 degC", "reservoir.area": ""})
    assert plain_text(words.verdict(less)) in said(at)
    assert plain_text(words.verdict(less)) != plain_text(words.verdict(changed))


def test_a_choice_changes_the_answer():
    at = choose(visit(), "ostler-bench")
    sound(at.selectbox(key="site:ostler-bench:access.land").set_value("protected").run())
    assert plain_text("what stands in the way: access") in said(at)


def test_what_is_typed_in_vain_is_said_and_the_fields_stay():
    at = choose(visit(), "marl-plain")
    sound(at.text_input(key="site:marl-plain:ground.heat_flow").set_value("70").run())
    assert any("has no unit" in error.value for error in at.error)
    sound(at.text_input(key="site:marl-plain:ground.heat_flow").set_value("70 mW/m2").run())
    assert [*at.error] == []


def test_units_follow_the_choice():
    at = choose(visit(units="US"), "ostler-bench")
    shown = next(
        table.set_index(table.columns[0])
        for table in tables(at)
        if "Temperature of the reservoir" in set(table.iloc[:, 0])
    )
    assert shown.loc["Temperature of the reservoir"].str.endswith("degF").all()


def test_a_file_of_ones_own_begins_with_a_name_alone():
    at = choose(visit(), "a file of mine")
    assert "a name alone is enough" in said(at)
    assert "Cannot be said yet" in said(at)

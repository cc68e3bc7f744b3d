"""The pages as a visitor meets them, without a browser: every page for every case, edits, addresses, units, refusals."""

import re

import pytest
from streamlit.testing.v1 import AppTest

import geoecon
from geoecon.case import Case, load_case, load_site
from geoecon.report.answer import homes_worked
from geoecon.report.verdict import verdict
from geoecon.report.words import homes, plain_text
from geoecon.ui import state
from geoecon.ui.frame import ENTRIES
from tests.faces.framed import framed

APP = str(geoecon.shipped_app())
CASES = tuple(geoecon.shipped_cases())
PAGES = tuple(ENTRIES)
OF_A_SITE = {"screen"}  # these know no case
ON_THEIR_OWN = {
    "breakeven",
    "size",
    "stress",
    "tornado",
    "wells",
}  # their own tests look at every case, the frame included
FIRST_SITE = load_site(next(iter(geoecon.shipped_sites().values()))).place.name
ODD = "[red]x[/red] **b** $a$ :smile: <b> a -> b -- &lt; :material/home:"
# AppTest makes a folder for its runs and leaves it to the collector of garbage, which says so.
pytestmark = pytest.mark.filterwarnings("ignore:Implicitly cleaning up:ResourceWarning")


def visit(**address):
    at = AppTest.from_file(APP, default_timeout=60)
    for key, value in address.items():
        at.query_params[key] = value
    return sound(at.run())


def sound(at):
    assert [error.message for error in at.exception] == []
    return at


def go(at, page):
    return sound(at.switch_page(f"geoecon/ui/pages/{page}.py").run())


def type_in(at, path, text):
    return sound(at.text_input(key=f"field:{path}").set_value(text).run())


def result_of(name, **told):
    return geoecon.evaluate(load_case(geoecon.shipped_case(name), told))


def title(at):
    assert len(at.title) == 1
    return unmarked(at.title[0].value)


def headed(page, name):
    """What stands at the top of a page: the name of the case, or of the site where a page is about one."""
    return FIRST_SITE if page in OF_A_SITE else name


def said(at):
    """All words of a page's body."""
    return "\n".join(unmarked(element.value) for element in (*at.markdown, *at.subheader, *at.caption))


def listed(at):
    """Edits that the side bar lists."""
    return [words for caption in at.sidebar.caption if " = " in (words := unmarked(caption.value))]


def unmarked(markdown):
    """What a page shows of Markdown made of a plain text."""
    return re.sub(r"\\(.)", r"\1", re.sub(r":color\[\\?(.)\]", r"\1", markdown))


def table(at):
    assert len(at.dataframe) == 1
    return at.dataframe[0].value


@pytest.mark.parametrize("page", [page for page in PAGES if page not in ON_THEIR_OWN | OF_A_SITE])
@pytest.mark.parametrize("name", CASES)
def test_every_page_of_every_case(name, page):
    framed(go(visit(case=name), page), page, name)


@pytest.mark.parametrize("page", sorted(OF_A_SITE))
def test_a_page_of_a_site(page):
    framed(go(visit(case="dunmarrow"), page), page, "dunmarrow", FIRST_SITE)


@pytest.mark.parametrize("name", CASES)
def test_the_answer_page_shows_the_answer(name):
    at = go(visit(case=name), "answer")
    result = result_of(name)
    assert f"#### {verdict(result)}" in said(at)
    assert f"{result.value('required_price'):,.2f} {result.currency}/MWh" in said(at)


def test_an_edit_changes_the_answer_and_stays_over_pages():
    at = type_in(visit(case="ambry-wells"), "market.price", "140 USD/MWh")
    assert listed(at) == ["market.price = 140 USD/MWh"]
    assert at.query_params["set"] in ("market.price=140 USD/MWh", ["market.price=140 USD/MWh"])
    result = result_of("ambry-wells", **{"market.price": "140 USD/MWh"})
    for page in (*PAGES[1:], PAGES[0]):
        go(at, page)
        assert listed(at) == ["market.price = 140 USD/MWh"]
        if page == "answer":
            assert verdict(result) in said(at)
            assert verdict(result) != verdict(result_of("ambry-wells"))
    assert at.text_input(key="field:market.price").value == "140 USD/MWh"


def test_what_stood_there_before_is_no_edit():
    at = type_in(visit(), "wells.depth", "900 m")
    type_in(at, "wells.depth", " 2800 ft ")
    assert listed(at) == []
    assert at.text_input(key="field:wells.depth").value == "2800 ft"


@pytest.mark.parametrize(
    ("path", "text", "words"),
    [
        ("wells.depth", "12 bananas", "'bananas' is not a unit for this; write it in m, ft"),
        ("wells.depth", "-5 m", "-5 m is outside 1 m to 7000 m"),
        ("plant.net_capacity", "0,5 MW", "write a decimal point, as in 4.5"),
        ("wells.depth", "900", "has no unit"),
        ("wells.depth", "", "is missing"),
        ("finance.debt_share", "120 %", "is outside"),
        ("timeline.operating_years", "30.5", "takes a whole number"),
    ],
)
def test_a_refused_text_stays_with_its_reason_and_changes_nothing(path, text, words):
    at = type_in(visit(), path, text)
    assert [unmarked(error.value).startswith("Not taken over: ") for error in at.error] == [True]
    assert words in unmarked(at.error[0].value)
    assert at.text_input(key=f"field:{path}").value == text
    assert listed(at) == []
    assert "set" not in at.query_params
    go(at, "answer")
    assert verdict(result_of("sorrel-basin")) in said(at)
    go(at, "inputs")
    assert at.text_input(key=f"field:{path}").value == text


def test_fields_that_only_go_together_wait_for_each_other():
    at = visit(case="sorrel-basin")
    way = "resource.temperature_path"
    at = sound(at.selectbox(key=f"field:{way}").set_value("doublet").run())
    assert any("needs it" in unmarked(error.value) for error in at.error)
    at = sound(at.selectbox(key="table").set_value("resource").run())
    for path, text in {
        "resource.temperature_decline": "0 K/yr", "resource.decline_start_years": "0", "resource.well_spacing": "900 m",
        "resource.aquifer_thickness": "60 m",
    }.items():  # fmt: skip
        at = type_in(at, path, text)
    assert [e.value for e in at.error] == []
    assert at.session_state.edits[way] == "doublet"
    at = go(at, "years")
    assert "as a doublet: cold water arrives after" in said(at)


TOGETHER = {
    "resource.temperature_path": "doublet", "resource.temperature_decline": "", "resource.decline_start_years": "",
    "resource.well_spacing": "900 m", "resource.aquifer_thickness": "60 m",
}  # fmt: skip


@pytest.mark.parametrize("first", range(len(TOGETHER)))
def test_in_whichever_order_they_are_written_with_a_slip_among_them(first):
    """Taken over once all of it stands; a text that is wrong by itself waits alone; emptied fields are taken out."""
    at = sound(visit(case="sorrel-basin").selectbox(key="table").set_value("resource").run())
    at = type_in(at, "wells.depth", "12 bananas")
    order = list(TOGETHER)[first:] + list(TOGETHER)[:first]
    for path in order:
        if path == "resource.temperature_path":
            at = sound(at.selectbox(key=f"field:{path}").set_value(TOGETHER[path]).run())
        else:
            at = type_in(at, path, TOGETHER[path])
    assert dict(at.session_state.edits) == TOGETHER
    assert [unmarked(error.value) for error in at.error] == [
        "Not taken over: '12 bananas': 'bananas' is not a unit for this; write it in m, ft, km, mi, mm, in"
    ]
    assert at.text_input(key="field:resource.temperature_decline").value == ""
    assert "as a doublet: cold water arrives after" in said(go(at, "years"))


def test_a_refusal_names_the_field_that_it_is_about():
    at = visit(case="sorrel-basin")
    at = sound(at.selectbox(key="field:resource.temperature_path").set_value("doublet").run())
    words = unmarked(at.error[0].value)
    for name in ("temperature_decline", "well_spacing", "aquifer_thickness"):
        assert f"resource.{name}" in words


def test_a_field_can_be_emptied_and_filled_again():
    at = type_in(visit(case="kettle-sound"), "capital.grant", "")
    assert listed(at) == ["capital.grant = nothing"]
    assert verdict(result_of("kettle-sound", **{"capital.grant": ""})) in said(go(at, "answer"))
    at = type_in(go(at, "inputs"), "capital.grant", "6 MUSD")
    assert listed(at) == []


def test_a_refused_text_leaves_the_edit_before_it():
    at = type_in(visit(), "wells.depth", "900 m")
    type_in(at, "wells.depth", "-5 m")
    assert listed(at) == ["wells.depth = 900 m"]
    assert type_in(at, "wells.depth", "950 m").error.len == 0
    assert listed(at) == ["wells.depth = 950 m"]


def test_all_can_be_taken_back():
    at = type_in(type_in(visit(), "wells.depth", "900 m"), "market.price", "140 USD/MWh")
    assert len(listed(at)) == 2
    sound(next(button for button in at.button if button.label == "Take all back").click().run())
    assert listed(at) == []
    assert "set" not in at.query_params
    assert at.text_input(key="field:wells.depth").value == "2800 ft"
    assert at.text_input(key="field:market.price").value == "104 USD/MWh"


def test_another_case_begins_anew():
    at = type_in(visit(), "wells.depth", "900 m")
    sound(at.selectbox(key="picked").set_value("dunmarrow").run())
    assert title(at) == "Dunmarrow"
    assert listed(at) == []
    assert at.query_params["case"] in ("dunmarrow", ["dunmarrow"])
    assert "set" not in at.query_params


def test_a_choice_and_any_other_input_can_be_changed():
    at = visit(case="dunmarrow")
    sound(at.selectbox(key="other").set_value("operation.royalty").run())
    assert at.text_input(key="field:operation.royalty").value
    sound(at.selectbox(key="field:market.price_basis").set_value("real").run())
    assert listed(at)[0] == "market.price_basis = real"
    assert verdict(result_of("dunmarrow", **{"market.price_basis": "real"})) in said(go(at, "answer"))


def test_an_address_is_taken_over():
    pairs = ["market.price=140 USD/MWh", "capital.contingency.all=20 %"]
    at = visit(case="ambry-wells", set=pairs, units="US")
    assert title(at) == "Ambry Wells"
    assert listed(at) == [pair.replace("=", " = ") for pair in pairs]
    assert at.radio(key="units").value == "US"
    assert at.warning.len == 0
    told = dict(pair.split("=") for pair in pairs)
    assert verdict(result_of("ambry-wells", **told)) in said(go(at, "answer"))


@pytest.mark.parametrize(
    ("pair", "words"),
    [
        ("a.b=3", "is not a path; known are: project, money"),
        ("wells.dept=3 m", "did you mean 'depth'?"),
        ("wells", "'wells': has no '='"),
        ("=", "is not a path"),
        ("wells=3", "is a table; name a field of it"),
        ("notes.x=3", "is not a path"),
        ("wells.depth.deeper=3 m", "holds one value"),
        ("finance.discount_rate=650", "has no unit"),
        ("market.price=\x00\x1b[31m 9", "is not a number with a unit"),
        ("project.name=a\u202eb", "holds control characters"),
        ("project.name=[1, 2]", "takes text"),
        ("market.price=" + "9" * 50_000, "is not a number with a unit"),
        ("x" * 50_000 + "=1", "is not a path"),
        ("y" * 50_000, "has no '='"),
        ("\x1b[2J.\x00=1", "is not a path"),
        ("timeline.operating_years=" + "9" * 5_000, ""),
    ],
)
def test_a_bad_pair_is_said_and_dropped(pair, words):
    at = visit(case="dunmarrow", set=["tax.rate=30 %", pair])
    assert listed(at) == ["tax.rate = 30 %"]
    assert at.warning.len == 1
    told = unmarked(at.warning[0].value)
    assert told.startswith("Not taken over from the address: ")
    assert words in told
    assert len(told) < 600
    assert told.isprintable()
    assert verdict(result_of("dunmarrow", **{"tax.rate": "30 %"})) in said(go(at, "answer"))


@pytest.mark.parametrize(
    "name", ["nowhere", "", "../../secret", "\x00", "z" * 5_000, "dunmarrow.toml", "uploaded-gone"]
)
def test_an_unknown_case_falls_back_with_words(name):
    at = visit(case=name)
    assert title(at) == "Sorrel Basin"
    assert at.warning.len == 1
    told = unmarked(at.warning[0].value)
    assert "is not known here any more; upload its file again" in told
    assert len(told) < 300


def test_edits_of_a_case_that_is_gone_wait_for_its_file():
    pairs = ["market.price=90 USD/MWh", "wells.dept=3 m"]
    at = visit(case="uploaded-gone", set=pairs)
    assert title(at) == "Sorrel Basin"
    assert listed(at) == []
    assert "the changes in the address (2) will be made to it" in unmarked(at.warning[0].value)
    assert at.text_input(key="field:market.price").value == "104 USD/MWh"
    go(at, "answer")
    assert verdict(result_of("sorrel-basin")) in said(at)
    assert at.selectbox(key="picked").value == "a file of mine"
    text = geoecon.shipped_case("tessel-ridge").read_text(encoding="utf-8")
    sound(at.file_uploader(key="file").set_value([("mine.toml", text.encode(), "application/toml")]).run())
    assert title(at) == "Tessel Ridge"
    assert listed(at) == ["market.price = 90 USD/MWh"]
    assert [unmarked(words.value).partition(":")[2] for words in at.warning] == [
        " 'wells.dept': is not a known field; did you mean 'depth'?"
    ]
    assert "uploaded-" in str(at.query_params["case"])
    assert verdict(result_of("tessel-ridge", **{"market.price": "90 USD/MWh"})) in said(at)


def test_a_case_that_is_gone_leaves_the_example_usable():
    at = type_in(visit(case="uploaded-gone", set=["market.price=90 USD/MWh"]), "wells.depth", "900 m")
    assert listed(at) == ["wells.depth = 900 m"]
    sound(at.selectbox(key="picked").set_value("dunmarrow").run())
    assert (title(at), listed(at), at.warning.len, at.get("file_uploader")) == ("Dunmarrow", [], 0, [])


def test_unknown_units_fall_back_with_words():
    at = visit(units="furlongs")
    assert at.radio(key="units").value == "as written"
    assert "units 'furlongs' are not known" in unmarked(at.warning[0].value)


@pytest.mark.parametrize(
    ("system", "temperature", "depth", "flow"),
    [
        ("US", "316.4 degF", "2800 ft", "1450 gpm @ 155 degC"),
        ("SI", "158 degC", "853.44 m", "91.4808 L/s @ 155 degC"),
        ("as written", "158 degC", "2800 ft", "1450 gpm @ 155 degC"),
    ],
)
def test_units_change_what_is_shown_and_not_the_answer(system, temperature, depth, flow):
    at = sound(visit().radio(key="units").set_value(system).run())
    shown = [
        at.text_input(key=f"field:{p}").value
        for p in ("resource.temperature", "wells.depth", "wells.flow_per_producer")
    ]
    assert shown == [temperature, depth, flow]
    assert listed(at) == []
    type_in(at, "wells.depth", "900 m")
    assert at.text_input(key="field:wells.depth").value == "900 m"
    told = result_of("sorrel-basin", **{"wells.depth": "900 m"})
    assert verdict(told) in said(go(at, "answer"))


def test_the_side_bar_follows_the_address():
    at = sound(visit().radio(key="units").set_value("US").run())
    sound(at.selectbox(key="picked").set_value("dunmarrow").run())
    sound(at.run())
    at.query_params.clear()
    sound(at.run())
    assert (title(at), at.selectbox(key="picked").value) == ("Sorrel Basin", "sorrel-basin")
    assert at.radio(key="units").value == "as written"
    assert at.text_input(key="field:wells.depth").value == "2800 ft"
    sound(at.radio(key="units").set_value("US").run())
    assert at.radio(key="units").value == "as written"  # at once it is a widget that the browser has not redrawn yet
    at.session_state.took_at = 0.0  # as a person chooses, a while later
    sound(at.radio(key="units").set_value("US").run())
    assert at.text_input(key="field:resource.temperature").value == "316.4 degF"


@pytest.mark.parametrize("name", CASES)
def test_the_sweep_goes_through_the_case_itself(name):
    at = go(visit(case=name), "sweep")
    result = result_of(name)
    for metric in ("required_price", "lcoe_real", "first_year_energy"):
        sound(at.selectbox(key="sweep:metric").set_value(metric).run())
        data, own = table(at), float(_own(name))
        assert float(data.loc[data["input"] == own, "metric"].iloc[0]) == result.value(metric)
    assert len(data) in {21, 22}


def _own(name):
    """The number that the case file writes: the page shows it in the unit in which it is written."""
    return load_case(geoecon.shipped_case(name)).text("operation.fixed_cost").split()[0]


@pytest.mark.parametrize(
    ("low", "high", "words"),
    [
        ("12 bananas", None, "'bananas' is not a unit for this"),
        (None, "", "is not a number with a unit"),
        ("90", None, "has no unit"),
        ("150 USD/kW/yr", "90 USD/kW/yr", "a sweep runs from low to high"),
        ("-9 USD/kW/yr", None, "is outside"),
    ],
)
def test_a_bad_range_gets_a_message(low, high, words):
    at = go(visit(), "sweep")
    for label, text in (("From", low), ("To", high)):
        if text is not None:
            sound(next(box for box in at.text_input if box.label == label).set_value(text).run())
    assert words in unmarked(at.error[0].value)
    assert at.dataframe.len == 0


def test_a_sweep_can_hold_the_design():
    at = go(visit(case="pell-crossing"), "sweep")
    sound(at.selectbox(key="sweep:path").set_value("resource.temperature").run())
    afresh = table(at)
    sound(at.toggle(key="sweep:hold").set_value(True).run())
    assert "the design held" in said(at)
    assert not table(at)["metric"].equals(afresh["metric"])


@pytest.mark.parametrize("name", CASES)
def test_homes_come_from_the_result(name):
    at = go(visit(case=name), "homes")
    result = result_of(name)
    assert homes(result.value("homes_low"), result.value("homes_high")) in said(at)
    for line in homes_worked(result).lines:
        assert line.label in said(at)
        assert f"**{line.value}**" in said(at)


@pytest.mark.parametrize("page", PAGES)
def test_a_case_without_a_price_shows_no_figure_that_is_none(page):
    text = geoecon.shipped_case("sorrel-basin").read_text(encoding="utf-8")
    text = re.sub("^(price|price_growth|term_years|price_after_term) = .*$", "", text, flags=re.MULTILINE)
    at = go(visit(case=state.keep_upload(text)), page)
    assert title(at) == headed(page, "Sorrel Basin")
    assert not re.search(r"\bnan\b", said(at))
    if page == "years":
        assert said(at).count("There is none: ") == 2
        assert len(at.expander) == 4  # the numbers of the charts that there are


def test_entries_of_a_list_hold_no_markup():
    at = go(visit(), "sweep")
    assert not [option for box in at.selectbox for option in box.options if "`" in option]
    at = visit()
    assert not [option for box in at.selectbox for option in box.options if "`" in option]


@pytest.mark.parametrize("page", PAGES)
def test_an_uploaded_case_and_its_name_letter_by_letter(page):
    text = geoecon.shipped_case("tessel-ridge").read_text(encoding="utf-8").replace('"Tessel Ridge"', f'"{ODD}"')
    at = go(visit(case=state.keep_upload(text), set=["market.price=90 USD/MWh"]), page)
    assert title(at) == headed(page, ODD)
    assert at.title[0].value == plain_text(headed(page, ODD))
    assert at.selectbox(key="picked").value == "a file of mine"
    assert listed(at) == ["market.price = 90 USD/MWh"]
    assert at.warning.len == 0
    if page == "answer":
        told = geoecon.evaluate(Case.read(text, told={"market.price": "90 USD/MWh"}))
        assert verdict(told) in said(at)


def test_markup_in_a_summary_or_an_edit_stays_letters():
    at = visit(set=[f"project.summary={ODD}", "project.name=*x*"])
    assert plain_text(ODD) in [words.value for words in at.markdown]
    assert title(at) == "*x*"
    assert "project.name = *x*" in listed(at)


def test_a_file_of_mine_asks_for_the_file():
    at = sound(visit().selectbox(key="picked").set_value("a file of mine").run())
    assert at.selectbox(key="picked").value == "a file of mine"
    assert len(at.get("file_uploader")) == 1
    assert title(at) == "Sorrel Basin"
    sound(at.selectbox(key="picked").set_value("dunmarrow").run())
    assert at.get("file_uploader") == []


def test_only_the_latest_uploads_are_kept():
    first = state.keep_upload(geoecon.shipped_case("tessel-ridge").read_text(encoding="utf-8"))
    for _ in range(state.MOST_UPLOADS):
        last = state.keep_upload(geoecon.shipped_case("dunmarrow").read_text(encoding="utf-8"))
    gone = visit(case=first)
    assert title(gone) == "Sorrel Basin"
    assert "upload its file again" in unmarked(gone.warning[0].value)
    assert title(visit(case=last)) == "Dunmarrow"


def test_a_case_that_cannot_be_worked_out_says_why_on_every_page():
    at = visit(set=["resource.temperature=20 degC"])
    for page in PAGES[1:]:
        go(at, page)
        if page in OF_A_SITE:
            assert (at.error.len, title(at)) == (0, FIRST_SITE)
        else:
            assert "resource.temperature" in unmarked(at.error[0].value)
            assert at.title.len == 0


def test_years_tell_who_is_paid_what():
    words = said(go(visit(case="kettle-sound"), "years"))
    for name in ("Paid out", "Lenders", "Paid in", "Buyer"):
        assert name in words


def test_a_case_comes_with_the_tables_that_it_names():
    """Its table may come with it, or after it; without a case nothing is taken over."""
    shipped = geoecon.shipped_case("pell-crossing")
    case = ("mine.toml", shipped.read_bytes(), "application/toml")
    beside = ("pell-crossing.csv", shipped.with_suffix(".csv").read_bytes(), "text/csv")
    at = sound(visit().selectbox(key="picked").set_value("a file of mine").run())
    at = sound(at.file_uploader(key="file").set_value([beside]).run())
    assert any("choose one case file" in unmarked(error.value) for error in at.error)
    at = sound(at.file_uploader(key="file").set_value([case, beside]).run())
    assert title(at) == "Pell Crossing"
    assert verdict(result_of("pell-crossing")) in said(go(at, "answer"))

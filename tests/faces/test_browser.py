"""The paths of a person through the pages, in a real browser: one server, one Chromium, every number from the library."""

import json
import re
import shutil
import socket
import subprocess
import sys
import threading
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import expect, sync_playwright

import geoecon
from geoecon.case import Case, load_site
from geoecon.report.verdict import verdict
from geoecon.ui.frame import ENTRIES

ROOT = Path(__file__).parents[2]
CHROMIUM = shutil.which("chromium") or "/usr/bin/chromium"
ARGUMENTS = ["--no-sandbox", "--disable-gpu", "--disable-background-networking"]
PATIENCE_MS = 20_000
TEMPERATURE, DEPTH = "Temperature below ground", "Depth of a well"
# Longer than the time in which the pages take an address that differs for one that lags behind a quick edit.
SETTLED = "() => performance.now() - window.editedAt > 1200"
BEYOND_THE_EDGE = """[document.scrollingElement, document.querySelector('[data-testid=stMain]')]
    .map(part => part.scrollWidth - part.clientWidth)"""
# Tables of few columns that would have to be moved sideways, and names of rows that do not stay where years move past.
SIDEWAYS = """[...document.querySelectorAll('.ruled')].filter(table => table.classList.contains('few')
    ? table.scrollWidth > table.clientWidth + 1
    : getComputedStyle(table.querySelector('tbody th')).position !== 'sticky').map(table => table.ariaLabel)"""

expect.set_options(timeout=PATIENCE_MS)


class Server:
    """One process of the pages on a port of its own, ended by its own id."""

    def __init__(self):
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            self.port = probe.getsockname()[1]
        self.start()

    @property
    def url(self):
        return f"http://127.0.0.1:{self.port}"

    def start(self):
        options = {"headless": "true", "address": "127.0.0.1", "port": str(self.port), "fileWatcherType": "none"}
        settings = [word for name, value in options.items() for word in (f"--server.{name}", value)]
        self.process = subprocess.Popen(
            [sys.executable, "-m", "streamlit", "run", "app.py", *settings],
            cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True,
        )  # fmt: skip
        said = []
        for line in self.process.stdout:
            said.append(line)
            if "URL:" in line:
                break
        else:
            pytest.fail(f"the pages did not start: {''.join(said)}")
        self.rest = threading.Thread(
            target=self.process.stdout.read
        )  # or its output fills the pipe and it stands still
        self.rest.start()

    def stop(self):
        self.process.terminate()
        try:
            self.process.wait(timeout=10)
        except subprocess.TimeoutExpired:
            self.process.kill()
            self.process.wait()
        self.rest.join()
        self.process.stdout.close()


@pytest.fixture(scope="module")
def server():
    running = Server()
    yield running
    running.stop()


@pytest.fixture(scope="module")
def browser():
    if not Path(CHROMIUM).exists():
        pytest.fail("there is no Chromium to drive; install it: apt-get install chromium")
    with sync_playwright() as playwright:
        started = playwright.chromium.launch(executable_path=CHROMIUM, args=ARGUMENTS)
        yield started
        started.close()


@pytest.fixture
def opened(browser):
    """Opens a fresh context with one page; afterwards no page may have said an error or asked another machine."""
    contexts, said, asked = [], [], []

    def open_page(url, width=1280):
        context = browser.new_context(viewport={"width": width, "height": 900})
        context.set_default_timeout(PATIENCE_MS)
        page = context.new_page()
        page.on("console", lambda m: said.append((m.text, m.location.get("url", ""))) if m.type == "error" else None)
        page.on("pageerror", lambda error: said.append((str(error), "")))
        page.on("request", lambda request: asked.append(request.url))
        page.on("websocket", lambda socket: asked.append(socket.url))
        contexts.append(context)
        page.goto(url)
        expect(main(page)).to_contain_text("A screening calculation, not tax")  # what every page ends with
        return page

    yield open_page
    for context in contexts:
        context.close()
    assert [text for text, url in said if not _probe(url)] == []
    assert {urlsplit(url).hostname for url in asked if urlsplit(url).scheme not in {"data", "blob"}} == {"127.0.0.1"}


def _probe(url):
    """At a deep link the framework asks for its own addresses below the page's path first, and gets 404 there."""
    return re.fullmatch(r"/\w+/_stcore/[\w-]+", urlsplit(url).path) is not None


def result_of(case="sorrel-basin", **told):
    return geoecon.evaluate(geoecon.load_case(geoecon.shipped_case(case), told))


def required(result):
    return f"{result.value('required_price'):,.2f} {result.currency}/MWh"


def main(page):
    return page.get_by_test_id("stMain")


def go(page, name):
    page.get_by_test_id("stSidebar").get_by_role("link", name=name, exact=True).click()
    page.wait_for_url(re.compile(rf"/{name.lower()}\b"))


def type_in(page, label, text):
    box = page.get_by_label(label, exact=True)
    box.fill(text)
    box.press("Enter")


def changed(page, *edits):
    """The side bar lists exactly these edits."""
    side = page.get_by_test_id("stSidebar")
    for edit in edits:
        expect(side).to_contain_text(edit)
    if edits:
        expect(side).to_contain_text(f"Changed: {len(edits)}")
    else:
        expect(side).not_to_contain_text("Changed:")


def test_an_edit_moves_the_answer_and_outlives_a_reload(server, opened):
    page = opened(server.url)
    expect(page.get_by_role("heading", level=1)).to_have_text("Sorrel Basin")
    go(page, "Answer")
    expect(main(page)).to_contain_text(required(result_of()))
    go(page, "Inputs")
    type_in(page, TEMPERATURE, "170 degC")
    changed(page, "resource.temperature = 170 degC")
    go(page, "Answer")
    warmer = required(result_of(**{"resource.temperature": "170 degC"}))
    assert warmer != required(result_of())
    expect(main(page)).to_contain_text(warmer)
    expect(main(page)).to_contain_text("set for this run: resource.temperature")
    page.reload()
    expect(main(page)).to_contain_text(warmer)
    changed(page, "resource.temperature = 170 degC")


def test_back_takes_the_last_edit_back(server, opened):
    page = opened(server.url)
    type_in(page, TEMPERATURE, "165 degC")
    changed(page, "resource.temperature = 165 degC")
    type_in(page, DEPTH, "3000 ft")
    changed(page, "resource.temperature = 165 degC", "wells.depth = 3000 ft")
    page.wait_for_url(re.compile("3000"))
    page.evaluate("window.editedAt = performance.now()")
    page.wait_for_function(SETTLED)
    page.go_back()
    changed(page, "resource.temperature = 165 degC")
    expect(page.get_by_label(DEPTH, exact=True)).to_have_value("2800 ft")
    expect(page.get_by_label(TEMPERATURE, exact=True)).to_have_value("165 degC")
    page.go_forward()
    changed(page, "resource.temperature = 165 degC", "wells.depth = 3000 ft")
    expect(page.get_by_label(DEPTH, exact=True)).to_have_value("3000 ft")


def test_two_quick_edits_both_count(server, opened):
    page = opened(server.url)
    page.get_by_label(TEMPERATURE, exact=True).fill("166 degC")
    page.get_by_label(DEPTH, exact=True).fill("900 m")
    page.get_by_label("Net capacity", exact=True).fill("4 MW")
    page.get_by_label("Net capacity", exact=True).press("Enter")
    edits = {"resource.temperature": "166 degC", "wells.depth": "900 m", "plant.net_capacity": "4 MW"}
    changed(page, *(f"{path} = {text}" for path, text in edits.items()))
    page.wait_for_url(re.compile(r"166.*900.*net_capacity"))
    go(page, "Answer")
    expect(main(page)).to_contain_text(required(result_of(**edits)))
    expect(main(page)).to_contain_text("4.00 MW")


def test_an_edit_and_a_choice_at_once_both_count(server, opened):
    page = opened(server.url)
    page.get_by_label(DEPTH, exact=True).fill("900 m")
    page.get_by_test_id("stSidebar").get_by_text("SI", exact=True).click()
    page.get_by_test_id("stSidebar").get_by_text("US", exact=True).click()
    page.wait_for_url(re.compile(r"900.*units=US"))
    changed(page, "wells.depth = 900 m")
    expect(page.get_by_label(TEMPERATURE, exact=True)).to_have_value("316.4 degF")
    expect(page.get_by_role("radio", name="US")).to_be_checked()
    page.evaluate("window.editedAt = performance.now()")
    page.wait_for_function(SETTLED)
    while "units" in page.url:
        page.go_back()
    expect(page.get_by_label(TEMPERATURE, exact=True)).to_have_value("158 degC")
    expect(page.get_by_role("radio", name="as written")).to_be_checked()


def test_a_refused_text_stays_with_its_reason(server, opened):
    page = opened(server.url)
    type_in(page, DEPTH, "12 bananas")
    expect(main(page)).to_contain_text(
        "Not taken over: '12 bananas': 'bananas' is not a unit for this; write it in m, ft"
    )
    expect(page.get_by_label(DEPTH, exact=True)).to_have_value("12 bananas")
    changed(page)
    type_in(page, DEPTH, "800 m")
    changed(page, "wells.depth = 800 m")
    expect(main(page)).not_to_contain_text("Not taken over")


def test_a_link_shows_the_same_numbers_to_another_and_after_a_restart(server, opened):
    page = opened(server.url)
    type_in(page, "Price in year 1", "140 USD/MWh")
    changed(page, "market.price = 140 USD/MWh")
    go(page, "Answer")
    told = result_of(**{"market.price": "140 USD/MWh"})
    expect(main(page)).to_contain_text(verdict(told))
    page.wait_for_url(re.compile(r"answer.*market\.price"))
    link = page.url
    page.context.close()
    other = opened(link)
    expect(main(other)).to_contain_text(verdict(told))
    changed(other, "market.price = 140 USD/MWh")
    other.context.close()
    server.stop()
    server.start()
    after = opened(link)
    expect(main(after)).to_contain_text(verdict(told))
    changed(after, "market.price = 140 USD/MWh")


def test_a_sweep_draws_and_can_be_taken_along(server, opened):
    page = opened(f"{server.url}/sweep?case=dunmarrow")
    expect(main(page)).to_contain_text("as operation.fixed_cost goes from")
    expect(main(page).get_by_test_id("stVegaLiteChart").locator("canvas, svg").first).to_be_visible()
    box = page.get_by_label("To", exact=True)
    box.fill("7 bananas")
    box.press("Enter")
    expect(main(page)).to_contain_text("'bananas' is not a unit for this")
    expect(main(page).get_by_test_id("stVegaLiteChart")).to_have_count(0)
    page.get_by_label("To", exact=True).fill("900 kUSD/yr")
    page.get_by_label("To", exact=True).press("Enter")
    expect(main(page)).to_contain_text("to 900 kUSD/yr")
    with page.expect_download() as taken:
        page.get_by_role("button", name="Sweep (CSV)").click()
    first = Path(taken.value.path()).read_text(encoding="utf-8").splitlines()[0]
    assert first.startswith("operation.fixed_cost [kUSD/yr],gross_capacity [MW],")


def test_case_and_result_can_be_taken_along(server, opened):
    page = opened(f"{server.url}/answer?case=ambry-wells&set=market.price%3D175+USD/MWh")
    told = result_of("ambry-wells", **{"market.price": "175 USD/MWh"})
    expect(main(page)).to_contain_text(verdict(told))
    with page.expect_download() as taken:
        page.get_by_role("button", name="Case (TOML)").click()
    case = Case.read(Path(taken.value.path()).read_text(encoding="utf-8"))
    assert case.text("market.price") == "175 USD/MWh"
    assert geoecon.evaluate(case).value("npv") == told.value("npv")
    with page.expect_download() as taken:
        page.get_by_role("button", name="Result (JSON)").click()
    assert taken.value.suggested_filename == "result.json"
    shown = json.loads(Path(taken.value.path()).read_text(encoding="utf-8"))
    assert shown["metrics"] == json.loads(told.to_json())["metrics"]


def test_an_uploaded_case_answers_and_a_name_is_letters(server, opened, tmp_path):
    name = "[red]x[/red] **b** $a$ :smile: <b> a -> b -- &lt; :material/home:"
    summary = "1. -> :streamlit: https://x.example, www.x.example and me@x.example"
    text = geoecon.shipped_case("tessel-ridge").read_text(encoding="utf-8").replace('"Tessel Ridge"', f"'{name}'")
    text = re.sub('summary = ".*"', f"summary = '{summary}'", text)
    (tmp_path / "mine.toml").write_text(text, encoding="utf-8")
    page = opened(server.url)
    page.get_by_label("Case", exact=True).click()
    page.get_by_role("option", name="a file of mine").click()
    page.locator("input[type=file]").set_input_files(tmp_path / "mine.toml")
    expect(page.get_by_role("heading", level=1)).to_have_text(name)
    expect(main(page).get_by_text(summary, exact=True)).to_be_visible()
    expect(main(page).get_by_role("link")).to_have_text([re.compile("All .* checks")])  # and none of the name's
    page.wait_for_url(re.compile("case=uploaded-"))
    go(page, "Answer")
    expect(page.get_by_role("heading", level=1)).to_have_text(name)
    expect(main(page)).to_contain_text(required(result_of("tessel-ridge")))
    page.reload()
    expect(page.get_by_role("heading", level=1)).to_have_text(name)


def test_edits_of_an_upload_that_is_gone_wait_for_its_file(server, opened):
    page = opened(f"{server.url}/?case=uploaded-gone&set=market.price%3D90+USD/MWh")
    expect(main(page)).to_contain_text("upload its file again")
    changed(page)
    go(page, "Answer")
    expect(main(page)).to_contain_text(required(result_of()))
    page.reload()
    expect(main(page)).to_contain_text("upload its file again")
    page.locator("input[type=file]").set_input_files(geoecon.shipped_case("tessel-ridge"))
    expect(main(page)).to_contain_text(verdict(result_of("tessel-ridge", **{"market.price": "90 USD/MWh"})))
    changed(page, "market.price = 90 USD/MWh")
    expect(main(page)).not_to_contain_text("upload its file again")


@pytest.mark.parametrize("width", [390, 1280])
def test_every_page_fits_its_screen(server, opened, width):
    page = opened(f"{server.url}/answer?case=kettle-sound", width)
    told = result_of("kettle-sound")
    heading = page.get_by_role("heading", level=1)
    expect(heading).to_have_text("Kettle Sound")
    expect(heading).to_be_in_viewport()
    words = page.get_by_role("heading", level=4)
    expect(words).to_have_text(verdict(told))
    expect(words).to_be_in_viewport()
    site = load_site(next(iter(geoecon.shipped_sites().values()))).place.name
    if width < 1000:  # the list of pages does not stand beside the page, but opens over it
        page.get_by_test_id("stExpandSidebarButton").click()
    for name, title in ENTRIES.items():
        page.get_by_test_id("stSidebar").get_by_role("link", name=title, exact=True).click()
        expect(main(page)).to_contain_text(title)
        expect(heading).to_have_text(site if name == "screen" else "Kettle Sound")
        expect(main(page)).to_contain_text("A screening calculation, not tax")
        expect(page.get_by_role("dialog")).to_have_count(0)  # or the framework says that there is no such page
        assert page.evaluate(BEYOND_THE_EDGE) == [0, 0], name
        assert page.evaluate(SIDEWAYS) == [], name
        box = heading.bounding_box()
        assert box["x"] >= 0
        assert box["x"] + box["width"] <= width

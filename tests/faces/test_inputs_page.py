"""The page of inputs: which fields stand on it for a case, and changes of kind, whatever is written first."""

import pytest

from tests.faces.test_pages import sound, unmarked, visit

# AppTest makes a folder for its runs and leaves it to the collector of garbage, which says so.
pytestmark = pytest.mark.filterwarnings("ignore:Implicitly cleaning up:ResourceWarning")

OF_BINARY = {"plant.fluid", "plant.layout"}
OF_FLASH = {"plant.separator_temperature", "resource.silica", "resource.gas"}
OF_STATED = {"plant.gross_capacity", "plant.stated_brine_flow", "plant.stated_capacity_factor"}
COOLED = {"plant.cooling", "site.relative_humidity"}
EVERY = OF_BINARY | OF_FLASH | OF_STATED | COOLED


def fields(at):
    keys = [box.key or "" for box in (*at.text_input, *at.selectbox)]
    return {key.removeprefix("field:") for key in keys if key.startswith("field:")}


def write(at, path, text):
    """Write into a field where it stands; one that is not on the page is found by its words first."""
    if path not in fields(at):
        at = sound(at.selectbox(key="other").set_value(path).run())
    chooses = any(box.key == f"field:{path}" for box in at.selectbox)
    box = (at.selectbox if chooses else at.text_input)(key=f"field:{path}")
    return sound(box.set_value(text).run())


@pytest.mark.parametrize(
    ("name", "shown"),
    [("sorrel-basin", OF_BINARY | COOLED), ("cinder-saddle", OF_FLASH | COOLED), ("tessel-ridge", OF_STATED)],
)
def test_only_what_has_a_part_is_shown(name, shown):
    at = visit(case=name)
    assert fields(at) & EVERY == shown
    assert {"wells.depth", "wells.cost_method", "wells.slim_holes", "wells.success_first"} <= fields(at)
    left, right = (len(column.text_input) + len(column.selectbox) for column in at.columns[:2])
    assert left + right >= len(fields(at)) > 30
    assert abs(left - right) <= 2


CHANGES = {
    "cinder-saddle": {"plant.kind": "binary", "plant.fluid": "isopentane", "plant.tower_range": ""},
    "sorrel-basin": {"plant.kind": "single-flash", "plant.fluid": "", "plant.cooling": "air"},
}


@pytest.mark.parametrize("name", CHANGES)
@pytest.mark.parametrize("first", range(3))
def test_a_kind_can_be_changed_in_whichever_order(name, first):
    at, change = visit(case=name), list(CHANGES[name].items())
    for path, text in change[first:] + change[:first]:
        at = write(at, path, text)
    assert [unmarked(error.value) for error in at.error] == []
    assert dict(at.session_state.edits) == CHANGES[name]
    now = OF_BINARY if CHANGES[name]["plant.kind"] == "binary" else OF_FLASH
    assert fields(at) & EVERY - COOLED == now


def test_a_stated_plant_becomes_one_that_is_worked_out():
    at = write(visit(case="tessel-ridge"), "plant.kind", "binary")
    assert fields(at) >= OF_BINARY | OF_STATED
    assert "plant.fluid" in unmarked(at.error[0].value)
    at = write(at, "plant.kind", "stated")
    assert fields(at) & EVERY == OF_STATED
    assert [*at.error] == []


def test_a_field_found_by_its_words_moves_to_its_group_when_it_gets_a_part():
    at = sound(visit(case="cinder-saddle").selectbox(key="other").set_value("plant.fluid").run())
    at = write(at, "plant.kind", "binary")
    assert "plant.fluid" in fields(at)
    at = write(write(at, "plant.fluid", "isobutane"), "plant.tower_range", "")
    assert at.session_state.edits["plant.kind"] == "binary"


def test_the_way_a_well_is_costed_brings_its_field():
    at = write(visit(case="sorrel-basin"), "wells.cost_method", "built-up")
    assert "wells.rig_rate" in fields(at)

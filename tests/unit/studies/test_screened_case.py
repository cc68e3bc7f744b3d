"""The case that a screen is written as: one that runs, with the ranges of the screen and the origin of every value."""

import re

import numpy as np
import pytest

import geoecon
from geoecon.case import Site, load_site
from geoecon.errors import CaseError
from geoecon.report.explain import explain
from geoecon.report.plant import plant_lines
from geoecon.studies.breakeven import breakeven
from geoecon.studies.risk import risk
from geoecon.studies.screen import screen
from geoecon.studies.screen.written import write_case
from geoecon.studies.targets import AT_LEAST, Target
from geoecon.studies.uncertain import uncertain_inputs
from geoecon.tables import table

SITES = tuple(geoecon.shipped_sites())
BARE = '[place]\nname = "Nowhere"\n'


def looked_at(text, draws=2_000, **more):
    return screen(Site.read(f"{BARE}{text}"), draws, **more)


@pytest.fixture(scope="module")
def screened():
    return {name: screen(load_site(file), 2_000) for name, file in geoecon.shipped_sites().items()}


@pytest.mark.parametrize("name", SITES)
def test_a_written_case_is_one(screened, name):
    made = write_case(screened[name])
    case = geoecon.Case.read(made.text)
    assert case == made.case
    result = geoecon.evaluate(case, unsolved="raise")
    assert np.isfinite(result.value("lcoe_real"))
    told = uncertain_inputs(case)
    assert told["resource.temperature"].origin == "as the case says"
    assert risk(case, 60).failed.mean() < 0.2


@pytest.mark.parametrize("name", SITES)
def test_every_value_of_a_written_case_says_where_it_comes_from(screened, name):
    made = write_case(screened[name])
    quiet = {item.path for item in made.items if not item.basis}
    assert all(item.origin in {"stated", "found"} for item in made.items if item.path in quiet)
    assert set(made.case.notes) == {item.path for item in made.items} - quiet
    assert {item.path for item in made.assumed} >= {"plant.cost_per_kw", "finance.discount_rate"}
    assert all(note.source.startswith(("found: ", "stated: ", "assumed: ")) for note in made.case.notes.values())


def test_ranges_of_a_written_case_are_those_of_the_screen(screened):
    found = screened["ostler-bench"]
    told = uncertain_inputs(write_case(found).case)["resource.temperature"]
    hot = found.warmth.values[found.power.enough]
    assert told.quantile(1e-9) == pytest.approx(np.quantile(hot, 0.05), abs=0.1)
    assert told.quantile(1 - 1e-9) == pytest.approx(np.quantile(hot, 0.95), abs=0.1)


def test_a_site_without_heat_is_not_written_as_a_case():
    cold = looked_at('[ground]\ngradient = "10 K/km"\ngradient_depth = "900 m"\n')
    with pytest.raises(CaseError, match="there is no plant to write a case for; measure first"):
        write_case(cold)


HOT = """
[ground]
measured_temperature = "238 degC"
measured_depth = "1500 m"
[reservoir]
depth = "1450 m"
thickness = "100 m"
"""
CLIMATE = 'air_temperature = "14 degC"\n'


def notes_of(made):
    return {path: note.source for path, note in made.case.notes.items()}


@pytest.fixture(scope="module")
def hot():
    return write_case(looked_at(f'{CLIMATE}{HOT}[water]\nsilica = "410 mg/kg"\n'))


def test_water_too_hot_for_pumps_is_written_as_a_flash_plant(hot):
    case, notes = hot.case, notes_of(hot)
    assert (case.plant.kind, case.wells.pump, case.plant.cooling) == ("single-flash", "none", None)
    assert (case.plant.fluid, case.operation.pump_cost, case.operation.pump_life_years) == (None, None, None)
    assert float(case.resource.silica[0]) == 410
    assert "at rest with quartz at 238 degC it would be 4" in notes["resource.silica"]
    assert set(case.site.relative_humidity) == {0.65}
    assert float(case.resource.gas[0]) == 0.01
    assert "at the edge" not in notes["plant.kind"]
    told = uncertain_inputs(case)
    assert told["plant.cost_per_kw"].origin == told["resource.temperature"].origin == "as the case says"


def test_studies_take_a_written_flash_plant(hot):
    assert risk(hot.case, 60).failed.sum() == 0
    (price,) = [need for need in breakeven(hot.case, Target("npv", 0.0, AT_LEAST)).needs if need.path == "market.price"]
    assert price.value > hot.case.market.price[0]
    assert {"Each kg/s of water", "Silica", "Goes back"} <= {line.label for line in plant_lines(hot.result)}
    said = float(explain(hot.result, "lcoe_real").line.rpartition("= ")[2].split()[0])
    assert said == pytest.approx(hot.result.value("lcoe_real"), rel=1e-5)


def test_what_drives_a_steam_plant_costs_what_its_source_says_in_money_of_the_case(hot):
    """Stefansson 2002, abstract: 1,000 USD/kW in 2000, give or take 10 %; US consumer prices 172.2 to 313.7 (BLS)."""
    moved = 1000 * 313.689 / 172.2
    r = next(r for r in table("screened_case") if r["path"] == "plant.cost_per_kw" and r["when"] == "flash")
    value, low = (float(r[key].split()[0]) for key in ("value", "low"))
    assert (value, low) == (pytest.approx(moved, rel=0.005), pytest.approx(0.9 * moved, rel=0.005))
    assert float(hot.case.plant.cost_reference_capacity[0]) == 40_000
    assert "Stefansson" in notes_of(hot)["plant.cost_per_kw"]


def test_air_cools_a_flash_plant_where_nothing_of_the_climate_is_stated():
    case = write_case(looked_at(HOT)).case
    assert (case.plant.kind, case.plant.cooling, case.site.relative_humidity) == ("single-flash", "air", None)


def test_humidity_of_the_site_is_taken_over():
    case = write_case(looked_at(f'relative_humidity = "20 to 40 %"\n{HOT}')).case
    assert case.site.relative_humidity == pytest.approx([0.3] * 12)


@pytest.mark.parametrize("degrees", ["238", "290", "375"])
def test_silica_is_left_to_the_case_which_finds_that_of_quartz(degrees):
    made = write_case(looked_at(HOT.replace("238", degrees)))
    assert made.case.resource.silica is None
    assert any(row.path == "resource.silica" and "quartz" in row.source for row in made.result.assumptions)


@pytest.mark.parametrize(("degrees", "kind"), [(182, "binary"), (200, "single-flash"), (225, "single-flash")])
def test_at_the_edge_both_kinds_are_named(degrees, kind):
    made = write_case(looked_at(HOT.replace("238", str(degrees))))
    assert made.case.plant.kind == kind
    assert re.search(r"at the edge: .* fit a binary plant .* a flash plant", notes_of(made)["plant.kind"])


@pytest.mark.parametrize("degrees", [130, 160, 245])
def test_far_from_the_edge_one_kind_is_named(degrees):
    made = write_case(looked_at(HOT.replace("238", str(degrees))))
    assert made.case.plant.kind == ("single-flash" if degrees > 190 else "binary")
    assert "at the edge" not in notes_of(made)["plant.kind"]


def test_a_binary_plant_is_written_without_what_steam_asks_for(screened):
    made = write_case(screened["ostler-bench"])
    assert (made.case.plant.kind, made.case.wells.pump) == ("binary", "lineshaft")
    written = {item.path for item in made.items}
    assert {"plant.fluid", "operation.pump_cost"} <= written
    assert written.isdisjoint({"resource.gas", "site.relative_humidity", "plant.cost_reference_capacity", "wells.pump"})


@pytest.mark.parametrize(("degrees", "kind"), [(165, "binary"), (187, "single-flash")])
def test_wells_flow_by_themselves_where_pumps_cannot_reach(degrees, kind):
    low = HOT.replace("238", str(degrees)) + '[flow_test]\nflow = "30 kg/s"\nstatic_level = "1495 m"\n'
    case = write_case(looked_at(low)).case
    assert (case.plant.kind, case.wells.pump) == (kind, "none")


def test_names_and_words_of_a_person_come_through():
    odd = 'A "quoted" \\\\ näme # [x]'
    found = screen(
        Site.read('[place]\nname = "A \\"quoted\\" \\\\\\\\ näme # [x]"\n[ground]\ngradient = "150 K/km"\n'), 300
    )
    assert found.site.place.name == odd
    assert write_case(found).case.project.name == odd


@pytest.mark.parametrize(
    "text",
    [
        "[buyer]\nislanded = true\n",
        '[reservoir]\ndepth = "120 m"\n[ground]\nmeasured_temperature = "98 degC"\nmeasured_depth = "120 m"\n',
        '[flow_test]\nflow = "6 kg/s"\n[ground]\ngradient = "90 K/km"\ngradient_depth = "1 km"\n',
        '[springs]\ntemperature = "140 degC"\n[access]\ngrid_distance = "80 km"\n[buyer]\nload = "40 GWh/yr"\n',
    ],
)  # fmt: skip
def test_odd_places_are_written_too(text):
    case = write_case(looked_at(text)).case
    assert np.isfinite(geoecon.evaluate(case, unsolved="raise").value("capital_cost"))


def test_a_well_that_gives_next_to_nothing_is_refused_with_the_reason():
    tiny = looked_at('[flow_test]\nflow = "0.2 kg/s"\n[ground]\ngradient = "60 K/km"\ngradient_depth = "1 km"\n')
    with pytest.raises(CaseError, match=r"wells\.flow_per_producer|producers do not give"):
        write_case(tiny)

"""The case that a screen is written as: one that runs, with the ranges of the screen and the origin of every value."""

import numpy as np
import pytest

import geoecon
from geoecon.case import Site, load_site
from geoecon.errors import CaseError
from geoecon.studies.risk import risk
from geoecon.studies.screen import screen
from geoecon.studies.screen.written import write_case
from geoecon.studies.uncertain import uncertain_inputs

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


def test_water_too_hot_for_pumps_is_written_as_a_stated_plant():
    found = looked_at('[ground]\ngradient = "150 K/km"\ngradient_depth = "1200 m"\n[reservoir]\ndepth = "1500 m"\n')
    case = write_case(found).case
    assert case.plant.kind == "stated"
    assert case.wells.productivity_index is None
    assert case.operation.pump_cost is None


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

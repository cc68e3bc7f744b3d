"""Laws of plants that steam drives: what goes in comes out, no plant passes its exergy, and what helps never harms."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from geoecon.plant.flash import SteamPlant, Water, ordered
from geoecon.plant.steam import SteamTerms, flashed, saturated, steam_power
from geoecon.resource.silica import silica_floor
from geoecon.resource.water import KELVIN

PLANT = SteamTerms(0.85, 0.96, 20.0, 35.0, 0.009, 0.015, 4.0, 0.6, 1.0, 0.75)
KINDS = ("single-flash", "double-flash", "dry-steam")
BRINE = np.arange(150.0, 300.0, 13.0)
degrees = {"inlet": st.floats(100.0, 300.0), "sink": st.floats(-10.0, 35.0), "gas": st.floats(0.0, 0.12)}


GAS = 0.002  # of what comes


def best(kind, brine, sink, terms=PLANT, silica=350.0, gas=GAS, wellhead=np.inf):
    brine, sink = np.broadcast_arrays(np.atleast_1d(brine), np.atleast_1d(sink))
    water = Water(np.full(brine.shape, silica), gas=np.array([gas]), wellhead_degC=np.array([wellhead]))
    plant = ordered(kind, terms, water, (None, None), brine, sink)
    return plant, plant.at(brine, sink)


@given(**degrees, jets=st.booleans())
@settings(max_examples=60, deadline=None)
def test_mass_and_energy_of_steam_close(inlet, sink, gas, jets):
    terms = replace(PLANT, ejector_steam=4.0 if jets else None)
    made = steam_power(terms, 1 - gas, gas, np.array(inlet), np.array(sink))
    assert made.to_turbine + made.to_ejector + gas == pytest.approx(1.0)
    steam = made.to_turbine + made.to_ejector
    liquid = saturated(terms.condensing(np.array(sink))).liquid
    assert steam * saturated(np.array(inlet)).steam == pytest.approx(made.turbine + made.heat_out + steam * liquid)
    assert made.net == pytest.approx(made.gross - made.cooling - made.auxiliaries - made.compressor)


@given(inlet=degrees["inlet"], first=st.floats(80.0, 290.0), second=st.floats(80.0, 290.0))
@settings(max_examples=60, deadline=None)
def test_mass_and_energy_of_separators_close(inlet, first, second):
    plant = SteamPlant("double-flash", PLANT, np.array([[first], [second]]), Water(np.zeros(1)))
    brine = np.array([inlet])
    parts = list(plant.streams(brine))
    left = plant.brine_left(brine)
    assert sum(part.steam for part in parts) + left == pytest.approx(1.0)
    coolest = min(inlet, first, second)
    out = (
        sum(part.steam * saturated(part.boiling_degC).steam for part in parts)
        + left * saturated(np.array(coolest)).liquid
    )
    assert out == pytest.approx(saturated(brine).liquid, rel=1e-9)


@pytest.mark.parametrize("kind", KINDS)
def test_no_plant_passes_the_exergy_of_what_comes(kind):
    perfect = SteamTerms(1.0, 1.0, 0.0, 0.0, 0.0, 0.0, None, 1.0, 1.0, 0.0)
    sink = 25.0
    _, (gross, net, _) = best(kind, BRINE, sink, perfect, silica=0.0, gas=0.0)
    top, dead = saturated(BRINE), saturated(np.array(sink))
    h, s = (top.steam, top.steam_entropy) if kind == "dry-steam" else (top.liquid, top.liquid_entropy)
    exergy = h - dead.liquid - (sink + KELVIN) * (s - dead.liquid_entropy)
    assert (net <= gross).all()
    assert (gross < exergy).all()


@pytest.mark.parametrize("kind", KINDS)
def test_hot_water_cold_air_and_little_gas_do_no_harm(kind):
    _, (_, net, _) = best(kind, BRINE, 15.0)
    assert (np.diff(net) >= 0).all()
    by_air = best(kind, 235.0, np.arange(-10.0, 40.0, 5.0))[1][1]
    assert (np.diff(by_air) <= 0).all()


@pytest.mark.parametrize("kind", KINDS[:2])
def test_brine_keeps_its_silica_and_less_of_it_never_harms(kind):
    before = None
    for silica in (0.0, 300.0, 500.0, 700.0):
        plant, (_, net, leaves) = best(kind, BRINE, 15.0, silica=silica)
        runs = net > 0
        steam = 1 - plant.brine_left(BRINE)
        assert (leaves >= silica_floor(silica, steam))[runs].all()
        assert before is None or (net <= before).all()
        before = net


@pytest.mark.parametrize("kind", KINDS[:2])
def test_held_separators_are_never_better_than_the_best(kind):
    """Without silica, of which hotter water leaves more in its brine than the separators were chosen for."""
    held, _ = best(kind, 235.0, 15.0, silica=0.0)
    for brine, sink in ((235.0, 15.0), (215.0, 15.0), (250.0, 5.0), (225.0, 30.0)):
        again = held.at(np.array([brine]), np.array([sink]))[1][0]
        assert again <= best(kind, brine, sink, silica=0.0)[1][1][0] * (1 + 1e-12)


def test_two_flashes_beat_one_where_silica_lets_them():
    one, two = (best(kind, BRINE, 15.0, silica=0.0)[1][1] for kind in KINDS[:2])
    assert (two > one).all()
    assert flashed(saturated(np.array(240.0)).liquid, np.array(250.0)) == 0


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize(("jets", "silica"), [(4.0, 0.0), (4.0, 350.0), (None, 0.0)])
def test_more_gas_never_gives_more_power_nor_a_hotter_first_separator(kind, jets, silica):
    """Jets take steam of the first separator, the more costly the hotter it is; to a compressor its temperature is nothing."""
    terms = replace(PLANT, ejector_steam=jets)
    tried = [best(kind, 235.0, 15.0, terms, silica, g) for g in (0.0, 0.002, 0.01, 0.02, 0.03, 0.05)]
    net = np.array([made[1][0] for _, made in tried])
    assert (np.diff(net) <= 0).all()
    assert (np.diff(net)[net[1:] > 0] < 0).all()
    if kind != "dry-steam":
        first = np.array([plant.separators[0, 0] for plant, _ in tried])
        assert (np.diff(first[np.isfinite(first)]) <= 0).all()


@pytest.mark.parametrize("kind", KINDS[:2])
def test_a_separator_at_another_pressure_has_the_same_gas(kind):
    """Whatever is tried, what goes into the air and the brine add up to what comes, with all gas in the first steam."""
    for first in (120.0, 160.0, 200.0):
        stages = np.array([[first], [105.0]])[: 2 if kind == "double-flash" else 1]
        plant = SteamPlant(kind, PLANT, stages, Water(np.zeros(1), gas=np.array([0.01])))
        parts = list(plant.streams(np.array([235.0])))
        assert parts[0].gas == 0.01
        assert sum(part.steam + part.gas for part in parts) + plant.brine_left(np.array([235.0])) == pytest.approx(1.0)
        assert all(part.gas == 0 for part in parts[1:])


@pytest.mark.parametrize("kind", KINDS)
def test_a_lower_wellhead_pressure_never_gives_more(kind):
    """It bounds separators, and throttles dry steam."""
    net = [best(kind, 235.0, 15.0, silica=0.0, wellhead=degc)[1][1][0] for degc in (120.0, 140.0, 175.0, 220.0, np.inf)]
    assert (np.diff(net) >= 0).all()
    assert net[0] < net[-1]
    for degc in (120.0, 140.0, 175.0):
        assert (best(kind, 235.0, 15.0, wellhead=degc, silica=0.0)[0].separators <= degc).all()

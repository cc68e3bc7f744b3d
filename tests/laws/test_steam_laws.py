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


def best(kind, brine, sink, terms=PLANT, silica=350.0):
    brine, sink = np.broadcast_arrays(np.atleast_1d(brine), np.atleast_1d(sink))
    plant = ordered(kind, terms, Water(np.full(brine.shape, silica)), (None, None), brine, sink)
    return plant, plant.at(brine, sink)


@given(**degrees, jets=st.booleans())
@settings(max_examples=60, deadline=None)
def test_mass_and_energy_of_steam_close(inlet, sink, gas, jets):
    terms = replace(PLANT, gas=gas, ejector_steam=4.0 if jets else None)
    made = steam_power(terms, np.array(inlet), np.array(sink))
    assert made.to_turbine + made.to_ejector + made.gas == pytest.approx(1.0)
    steam = made.to_turbine + made.to_ejector
    liquid = saturated(terms.condensing(np.array(sink))).liquid
    assert steam * saturated(np.array(inlet)).steam == pytest.approx(made.turbine + made.heat_out + steam * liquid)
    assert made.net == pytest.approx(made.gross - made.cooling - made.auxiliaries - made.compressor)


@given(inlet=degrees["inlet"], first=st.floats(80.0, 290.0), second=st.floats(80.0, 290.0))
@settings(max_examples=60, deadline=None)
def test_mass_and_energy_of_separators_close(inlet, first, second):
    plant = SteamPlant("double-flash", PLANT, np.array([[first], [second]]))
    brine = np.array([inlet])
    parts = list(plant.streams(brine))
    left = plant.brine_left(brine)
    assert sum(share for share, _, _ in parts) + left == pytest.approx(1.0)
    coolest = min(inlet, first, second)
    out = sum(share * saturated(at).steam for share, at, _ in parts) + left * saturated(np.array(coolest)).liquid
    assert out == pytest.approx(saturated(brine).liquid, rel=1e-9)


@pytest.mark.parametrize("kind", KINDS)
def test_no_plant_passes_the_exergy_of_what_comes(kind):
    perfect = SteamTerms(1.0, 1.0, 0.0, 0.0, 0.0, 0.0, None, 1.0, 1.0, 0.0)
    sink = 25.0
    _, (gross, net, _) = best(kind, BRINE, sink, perfect, silica=0.0)
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
    for jets in (4.0, None):
        by_gas = [
            best(kind, 235.0, 15.0, replace(PLANT, gas=g, ejector_steam=jets))[1][1][0] for g in (0, 0.01, 0.05, 0.12)
        ]
        assert (np.diff(by_gas) < 0).all()


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

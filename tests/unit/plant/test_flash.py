"""Plants that steam drives: separators as ordered, months, many scenarios, and the binary unit below."""

from dataclasses import replace

import numpy as np
import pytest
from iapws import IAPWS97

from geoecon.plant.binary import CycleTerms
from geoecon.plant.bottoming import ToBottom
from geoecon.plant.built import Keeping
from geoecon.plant.designed import BuiltPlant
from geoecon.plant.flash import Water, ordered
from geoecon.plant.mapped import BinaryPlant
from geoecon.plant.steam import SteamTerms, compression, entropy_of_steam, saturated, steam_power
from geoecon.resource.water import saturation_temperature

PLANT = SteamTerms(0.82, 0.95, 20.0, 35.0, 0.009, 0.015, 4.0, 0.6, 1.0, 0.75)
CYCLE = CycleTerms(0.82, 0.72, 0.95, 5.0, 18.0, 0.011, 0.015)
HOT, COOL = np.array([234.0]), np.array([12.0])
GAS = np.array([0.002])
SOME = Water(np.array([390.0]), gas=GAS)


def order(kind="single-flash", brine=HOT, sink=COOL, water=SOME, stated=(None, None), below=None, terms=PLANT):
    return ordered(kind, terms, water, stated, brine, sink, below)


@pytest.mark.parametrize("temperature", [20.0, 60.0, 151.83, 230.0, 300.0])
def test_water_is_that_of_a_second_library(temperature):
    """IAPWS-IF97 as the `iapws` package has it, made for industry, within some 0.2 kJ/kg of the equation tabulated here."""
    found = saturated(np.array(temperature))
    for quality, heat, entropy in ((0, found.liquid, found.liquid_entropy), (1, found.steam, found.steam_entropy)):
        other = IAPWS97(T=temperature + 273.15, x=quality)
        assert float(heat) == pytest.approx(other.h, abs=0.4)
        assert float(entropy) == pytest.approx(other.s, abs=1e-3)


def test_gas_by_hand():
    """1 % of gas: 4 % of the steam drives jets, 95 % the turbine. A compressor takes power for gas and the steam with it."""
    at = (np.array(150.0), np.array(25.0))
    clean, jets = steam_power(PLANT, 1.0, 0.0, *at), steam_power(PLANT, 0.99, 0.01, *at)
    assert jets.gross == pytest.approx(0.95 * clean.gross)
    assert jets.heat_out > 0.95 * clean.heat_out
    # At 45 degC 9.59 kPa, 7.38 kPa of it steam at 40 degC: 4.34 moles of both to one of gas;
    # 4.34 x 0.1889 x 313.15 / 0.2248 x ((100 / 9.59)^0.2248 - 1) / 0.6 = 1,318 kJ/kg.
    assert float(compression(np.array(45.0), 1.0, 0.6)) == pytest.approx(1318, rel=0.01)
    pressed = steam_power(replace(PLANT, ejector_steam=None), 0.99, 0.01, *at)
    assert pressed.gross == pytest.approx(0.99 * clean.gross)
    assert pressed.compressor == pytest.approx(0.01 * 1318, rel=0.01)
    assert np.isnan(steam_power(PLANT, 0.03, 0.01, *at).net), "jets that ask for more steam than there is"


@pytest.mark.parametrize(("comes", "kept"), [(234.0, 9.0), (234.0, 2.0), (280.0, 40.0), (300.0, 60.0), (200.0, 1.2)])
def test_throttled_steam_is_that_of_a_second_library(comes, kept):
    """Entropy of steam that keeps its enthalpy when it is throttled, wet or superheated, by the `iapws` package."""
    enthalpy = saturated(np.array(comes)).steam
    other = IAPWS97(P=kept / 10, h=float(enthalpy))
    assert float(entropy_of_steam(enthalpy, saturation_temperature(kept))) == pytest.approx(other.s, abs=4e-3)
    assert float(saturation_temperature(kept)) == pytest.approx(IAPWS97(P=kept / 10, x=0).T - 273.15, abs=0.02)


def test_throttled_steam_of_a_reviewer():
    """512 kW gross for each kg/s of steam of 234 degC at 9 bar, 1.2 % of it gas, as a geothermal engineer worked it out."""
    water = Water(np.zeros(1), gas=np.array([0.012]), wellhead_degC=saturation_temperature(np.array([9.0])))
    assert order("dry-steam", water=water).at(HOT, COOL)[0] == pytest.approx(512, abs=0.5)


def test_the_best_separator_is_found_and_held():
    plant = order()
    found = float(plant.separators[0, 0])
    around = [order(stated=(found + off, None)).at(HOT, COOL)[1][0] for off in (-3.0, -1.0, 0.0, 1.0, 3.0)]
    assert max(around[2:]) == around[2]
    warm = plant.at(np.array([220.0]), np.array([25.0]))
    assert warm[2] == found
    assert warm[1] == pytest.approx(order(stated=(found, None)).at(np.array([220.0]), np.array([25.0]))[1])


def test_silica_raises_the_separator_and_a_stated_one_stands():
    free, bound = order(water=Water(np.zeros(1))), order(water=Water(np.array([480.0])))
    assert bound.separators[0, 0] > free.separators[0, 0]
    assert order(stated=(105.0, None)).separators[0, 0] == 105
    assert order(water=Water(np.zeros(1), floor_degC=150.0)).separators[0, 0] >= 150


def test_no_machine_makes_no_power():
    for plant in (order(brine=np.array([90.0])), order(stated=(240.0, None)), order(water=Water(np.array([1500.0])))):
        gross, net, leaves = plant.at(HOT, COOL)
        assert np.isnan(plant.separators).all()
        assert (gross, net, leaves) == (0, 0, HOT)
        assert plant.returned(HOT) == 1


@pytest.mark.parametrize("kind", ["single-flash", "double-flash", "dry-steam"])
def test_months_are_those_of_the_point_and_scenarios_do_not_meddle(kind):
    brine, sink = np.array([234.0, 221.0, 246.0]), np.array([12.0, 4.0, 19.0])
    water = Water(np.array([390.0, 330.0, 470.0]))
    many = order(kind, brine, sink, water)
    years, months = brine - np.linspace(0, 12, 5)[:, None], sink + np.array([[-6.0], [0.0], [9.0]])
    found = list(many.monthly(years, months, np.ones_like(years)))
    for n in range(3):
        one = order(kind, brine[n : n + 1], sink[n : n + 1], Water(water.silica[n : n + 1]))
        assert (one.separators == many.separators[:, n : n + 1]).all()
        alone = list(one.monthly(years[:, n : n + 1], months[:, n : n + 1]))
        for month, (gross, net) in enumerate(found):
            assert (gross[:, n] == alone[month][0][:, 0]).all()
            assert (net[:, n] == alone[month][1][:, 0]).all()
            assert net[:, n] == pytest.approx(one.at(years[:, n], months[month, n : n + 1])[1], rel=1e-12)


def test_what_goes_back():
    plant = order()
    steam = float(1 - plant.brine_left(HOT)[0])
    assert plant.returned(HOT) == pytest.approx(1 - 0.002 - (steam - 0.002) * 0.75)
    assert order(terms=replace(PLANT, lost=0.0), water=Water(np.array([390.0]))).returned(HOT) == 1


@pytest.fixture(scope="module")
def with_unit_below():
    built = ToBottom(BinaryPlant("isopentane", CYCLE), lambda plant, brine: BuiltPlant(plant, Keeping(), brine, COOL))
    return order("flash-binary", below=built, terms=replace(PLANT, lost=0.0))


def test_a_binary_unit_below_gives_more_and_keeps_silica(with_unit_below):
    alone, (_, net, leaves) = order(terms=replace(PLANT, lost=0.0)), with_unit_below.at(HOT, COOL)
    assert net > 1.1 * alone.at(HOT, COOL)[1]
    assert leaves < with_unit_below.separators[0]
    assert leaves >= 731 / (4.52 - np.log10(390 / with_unit_below.brine_left(HOT))) - 273.15 - 1e-6
    held = order(stated=(float(with_unit_below.separators[0, 0]), None), terms=replace(PLANT, lost=0.0))
    below = with_unit_below.bottoming.at(HOT, COOL)[1]
    assert net == pytest.approx(held.at(HOT, COOL)[1] + with_unit_below.brine_left(HOT) * below)


def test_water_that_no_longer_flashes_heats_the_unit_below_no_more_than_it_can(with_unit_below):
    cold = np.array([175.0])
    assert cold < with_unit_below.separators[0]
    gross, net, leaves = with_unit_below.at(cold, COOL)
    assert 0 < net < gross < saturated(cold).liquid - saturated(leaves).liquid
    assert leaves < cold
    assert net < 0.9 * with_unit_below.bottoming.at(HOT, COOL)[1]


def test_months_of_a_binary_unit_below(with_unit_below):
    years, air = HOT - np.array([[0.0], [6.0]]), COOL + np.array([[0.0], [8.0]])
    at_design, warm = list(with_unit_below.monthly(years, air, np.ones_like(years)))
    assert at_design[1][0] == pytest.approx(with_unit_below.at(HOT, COOL)[1], rel=1e-9)
    assert (warm[1] < at_design[1]).all()
    assert (at_design[1][1] < at_design[1][0]).all()

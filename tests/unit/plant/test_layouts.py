"""Layouts of a binary plant: books close, brine stays hotter than fluid all along, states are those of the library."""

from dataclasses import replace

import numpy as np
import pytest
from CoolProp import CoolProp

from geoecon.plant import layouts, supercritical, vapour
from geoecon.plant.binary import CycleTerms, condensing
from geoecon.plant.layouts import LAYOUTS
from geoecon.plant.properties import fluid_table
from geoecon.resource.water import KELVIN, temperature_of_enthalpy, water_enthalpy
from geoecon.tables import row

TERMS = CycleTerms(0.82, 0.72, 0.95, 5.0, 18.0, 0.011, 0.015)
BRINE = np.arange(90.0, 241.0, 10.0)
OTHERS = ("recuperated", "dual-pressure", "supercritical")
LEAST = {"recuperated": 8.0}


def terms_of(layout, **changes):
    return replace(TERMS, layout=layout, **({"recuperator_K": LEAST.get(layout)} | changes))


def run(fluid, layout, brine=BRINE, air=10.0, **changes):
    return LAYOUTS[layout](fluid, terms_of(layout, **changes))(np.asarray(brine), air)


class Library:
    """Real states of a fluid  [kJ/kg], [degC], [bar]."""

    def __init__(self, fluid):
        self.state = CoolProp.AbstractState("HEOS", row("fluids", fluid=fluid)["library_name"])

    def enthalpy(self, inputs, first, second):
        self.state.update(inputs, first, second)
        return self.state.hmass() / 1e3

    def at(self, bar, degc):
        return self.enthalpy(CoolProp.PT_INPUTS, bar * 1e5, degc + KELVIN)

    def saturated(self, quality, degc):
        return self.enthalpy(CoolProp.QT_INPUTS, quality, degc + KELVIN)

    def temperature(self, bar, enthalpy):
        self.state.update(CoolProp.HmassP_INPUTS, enthalpy * 1e3, bar * 1e5)
        return self.state.T() - KELVIN

    def pumped(self, bar, cold):
        """Liquid behind the pump, and the pressure it condenses at."""
        liquid = self.saturated(0.0, cold)
        condensing_bar, volume = self.state.p() / 1e5, 1 / self.state.rhomass()
        return liquid + volume * (bar - condensing_bar) * 100 / TERMS.pump_efficiency, condensing_bar

    def expanded(self, top, bar, condensing_bar):
        """Behind the turbine."""
        self.state.update(CoolProp.HmassP_INPUTS, top * 1e3, bar * 1e5)
        ideal = self.enthalpy(CoolProp.PSmass_INPUTS, condensing_bar * 1e5, self.state.smass())
        return top - TERMS.turbine_efficiency * (top - ideal)


@pytest.mark.parametrize("layout", OTHERS)
@pytest.mark.parametrize("fluid", ["isobutane", "n-pentane", "R134a", "R1234ze(E)"])
def test_books_close(fluid, layout):
    for air in (-10.0, 30.0):
        made = run(fluid, layout, air=air)
        on = made.net > 0
        assert on.any()
        assert (made.heat_in + made.pump)[on] == pytest.approx((made.turbine + made.heat_out)[on], rel=1e-9)
        fall = water_enthalpy(BRINE) - water_enthalpy(made.injection)
        assert fall[on] == pytest.approx(made.heat_in[on], rel=1e-5)
        assert made.net == pytest.approx(made.gross - made.pump - made.fans - made.auxiliaries, rel=1e-12, abs=1e-12)
        assert (made.injection[on] >= TERMS.floor(BRINE)[on] - 1e-3).all()
        assert (made.low_ratio <= made.fluid_ratio).all()
        assert (made.low_evaporating > 0).any() == (layout == "dual-pressure")


def brine_along(made, at, heat):
    """Brine where so much heat has still to be given, from the cold end on  [degC]."""
    return temperature_of_enthalpy(water_enthalpy(made.injection[at]) + heat)


@pytest.mark.parametrize("fluid", ["isobutane", "isopentane", "n-butane", "R245fa"])
def test_pinch_holds_along_both_levels(fluid):
    """By the library: heat that both streams draw below each temperature, against brine. These fluids are dry: no superheat."""
    real, air = Library(fluid), 10.0
    hottest = fluid_table(fluid).temperature[-1]
    brine = np.array([95.0, 130.0, hottest, hottest + 25])
    made = run(fluid, "dual-pressure", brine, air, floor_degC=30.0)
    for at in np.flatnonzero(made.low_ratio > 0.01):
        streams = []
        for boils, ratio in (
            (made.evaporating[at], made.fluid_ratio[at] - made.low_ratio[at]),
            (made.low_evaporating[at], made.low_ratio[at]),
        ):
            top = real.saturated(1.0, boils)
            bar = real.state.p() / 1e5
            cold, _ = real.pumped(bar, air + TERMS.approach_K)
            streams.append((boils, ratio, bar, cold, top))

        def drawn(degc, streams=streams):
            """Below a temperature; at an evaporation all but its latent heat."""
            heat = 0.0
            for boils, ratio, bar, cold, top in streams:
                liquid = real.saturated(0.0, boils) if abs(degc - boils) < 0.01 else None
                at_it = liquid if liquid is not None else real.at(bar, degc) if degc < boils else top
                heat += ratio * max(at_it - cold, 0.0)
            return heat

        cold_end = max(real.temperature(bar, cold) for _, _, bar, cold, _ in streams)
        upper, lower = streams[0][0], streams[1][0]
        points = [*np.linspace(cold_end, upper - 0.02, 60), upper, lower]
        gaps = [float(brine_along(made, at, drawn(t))) - t for t in points]
        assert min(gaps) > TERMS.pinch_K - 0.4, f"brine {brine[at]:.0f}: {min(gaps):.2f} K"
        assert min(gaps) < TERMS.pinch_K + 0.5


@pytest.mark.parametrize(("fluid", "hot"), [("isobutane", 190.0), ("n-butane", 210.0), ("R134a", 160.0)])
def test_supercritical_states_are_those_of_the_library(fluid, hot):
    real, air = Library(fluid), 10.0
    made = run(fluid, "supercritical", [hot], air)
    bar, inlet = made.pressure[0], made.evaporating[0] + made.superheat[0]
    assert bar > 1.03 * real.state.p_critical() / 1e5
    cold, condensing_bar = real.pumped(bar, air + TERMS.approach_K)
    top = real.at(bar, inlet)
    exhaust = real.expanded(top, bar, condensing_bar)
    assert made.turbine[0] / made.fluid_ratio[0] == pytest.approx(top - exhaust, rel=0.01)
    assert made.heat_in[0] / made.fluid_ratio[0] == pytest.approx(top - cold, rel=0.005)
    real.state.update(CoolProp.PQ_INPUTS, condensing_bar * 1e5, 1.0)
    assert exhaust > 0.98 * real.state.hmass() / 1e3 - 10, "no wetter than blades stand"
    enthalpy = np.linspace(cold, top, 200)
    along = brine_along(made, 0, made.fluid_ratio[0] * (enthalpy - cold))
    gaps = along - np.array([real.temperature(bar, h) for h in enthalpy])
    assert gaps.min() > TERMS.pinch_K - 0.4


@pytest.mark.parametrize(("fluid", "layout", "hot"), [
    ("isopentane", "recuperated", 150.0), ("isobutane", "recuperated", 145.0), ("R245fa", "recuperated", 170.0),
    ("isobutane", "supercritical", 220.0), ("n-butane", "supercritical", 230.0),
])  # fmt: skip
def test_recuperator_is_hot_enough_all_along(fluid, layout, hot):
    """By the library: exhaust is at least as much warmer than the liquid as is asked, and that at its cold end."""
    real, air, least = Library(fluid), 10.0, 8.0
    made = run(fluid, layout, [hot], air, recuperator_K=least)
    bar, cold_degc = made.pressure[0], float(condensing(air, TERMS))
    pumped, condensing_bar = real.pumped(bar, cold_degc)
    inlet = made.evaporating[0] + made.superheat[0]
    top = real.at(bar, inlet) if layout == "supercritical" or made.superheat[0] else real.saturated(1.0, inlet)
    exhaust = real.expanded(top, bar, condensing_bar)
    heat = top - pumped - made.heat_in[0] / made.fluid_ratio[0]
    assert heat > 5.0, "there is something to recover"
    shares = np.linspace(0.0, 1.0, 40)
    liquid = np.array([real.temperature(bar, pumped + s * heat) for s in shares])
    vapour_side = np.array([real.temperature(condensing_bar, exhaust - (1 - s) * heat) for s in shares])
    assert vapour_side[0] - liquid[0] == pytest.approx(least, abs=0.4)
    assert (vapour_side - liquid).min() > least - 0.4


def test_a_finer_search_of_two_levels_finds_no_more(monkeypatch):
    from geoecon.plant import dual

    brine = np.arange(95.0, 231.0, 7.5)
    found = run("isobutane", "dual-pressure", brine).net
    monkeypatch.setattr(dual, "FIRST_STEP", 8)
    monkeypatch.setattr(dual, "REFINED", ((4, 6), (1, 9)))
    assert found == pytest.approx(run("isobutane", "dual-pressure", brine).net, rel=1e-3)


def test_finer_tables_above_the_critical_pressure_change_little(monkeypatch):
    """Every grid doubled, from 45 K above the critical temperature on: nearer to it a machine is worth little anyway."""
    brine = np.arange(180.0, 231.0, 5.0)
    coarse = run("isobutane", "supercritical", brine).net
    for name, value in {
        "PRESSURES": np.geomspace(1.04, 2.5, 91), "NEAR_STEP": 0.5, "FAR_STEP": 1.25, "ENTROPIES": 191,
    }.items():  # fmt: skip
        monkeypatch.setattr(vapour, name, value)
    made = vapour.tabulate_vapour("IsoButane", fluid_table("isobutane"))
    monkeypatch.setattr(layouts, "vapour_table", lambda fluid: made)
    monkeypatch.setattr(supercritical, "INLET_STEP", 0.625)
    assert coarse == pytest.approx(run("isobutane", "supercritical", brine).net, rel=1e-3)


def test_where_the_library_ends_there_is_no_machine():
    """Properties of R1233zd(E) are known to 177 degC, 11 K above its critical point; hotter brine runs it no hotter."""
    made = run("R1233zd(E)", "supercritical", [150.0, 185.0, 240.0])
    assert made.net[0] == 0
    assert ((made.evaporating + made.superheat)[1:] < 177.1).all()
    assert (made.net[1:] > 0).all()

"""The binary cycle: its books close, the brine stays hotter than the fluid everywhere, and more heat is never worse."""

from dataclasses import replace

import numpy as np
import pytest
from CoolProp import CoolProp

from geoecon.plant.binary import DRIEST_LOSS, CycleTerms, cycles, dry_evaporations
from geoecon.plant.properties import PARTS, POINTS, fluid_table, tabulate
from geoecon.resource.silica import amorphous_silica_temperature
from geoecon.resource.water import KELVIN, temperature_of_enthalpy, water_enthalpy
from geoecon.tables import row, table

TERMS = CycleTerms(0.82, 0.72, 0.95, 5.0, 18.0, 0.011, 0.015)
FREE = replace(TERMS, floor_degC=20.0)
FLUIDS = [r["fluid"] for r in table("fluids")]
BRINE = np.arange(80.0, 241.0, 5.0)
AIRS = (-10.0, 10.0, 35.0)


def ran(made):
    """Where there is a machine."""
    return made.net > 0


class Library:
    """Real states of a fluid, for walking along a cycle that the table chose."""

    def __init__(self, fluid):
        self.state = CoolProp.AbstractState("HEOS", row("fluids", fluid=fluid)["library_name"])

    def saturated(self, quality, degc):
        self.state.update(CoolProp.QT_INPUTS, quality, degc + KELVIN)
        return self.state.hmass() / 1e3, self.state.p(), 1 / self.state.rhomass()

    def turbine_inlet(self, pressure, degc, superheat):
        if superheat:
            self.state.update(CoolProp.PT_INPUTS, pressure, degc + superheat + KELVIN)
        else:
            self.state.update(CoolProp.QT_INPUTS, 1.0, degc + KELVIN)
        return self.state.hmass() / 1e3, self.state.smass()

    def temperature(self, enthalpy, pressure):
        self.state.update(CoolProp.HmassP_INPUTS, enthalpy * 1e3, pressure)
        return self.state.T() - KELVIN

    def quality(self, enthalpy, pressure):
        """Share of vapour, above 1 where it is superheated."""
        ends = []
        for quality in (0.0, 1.0):
            self.state.update(CoolProp.PQ_INPUTS, pressure, quality)
            ends.append(self.state.hmass() / 1e3)
        return (enthalpy - ends[0]) / (ends[1] - ends[0])

    def isentropic(self, entropy, pressure):
        self.state.update(CoolProp.PSmass_INPUTS, pressure, entropy)
        return self.state.hmass() / 1e3


@pytest.mark.parametrize("air", AIRS)
@pytest.mark.parametrize("fluid", FLUIDS)
def test_books_close(fluid, air):
    made = cycles(fluid_table(fluid), TERMS, BRINE, air)
    on = ran(made)
    assert on.sum() > BRINE.size / 2
    size = made.heat_in[on]
    # All of the pump's power is taken to end up in the fluid.
    gap = made.heat_in + made.pump - made.turbine - made.heat_out
    assert np.abs(gap[on] / size).max() < 1e-6
    fall = water_enthalpy(BRINE) - water_enthalpy(made.injection)
    assert np.abs(fall[on] / size - 1).max() < 1e-6
    assert made.gross == pytest.approx(made.turbine * TERMS.generator_efficiency, rel=1e-12)
    assert made.fans == pytest.approx(made.heat_out * TERMS.fan_share, rel=1e-12)
    assert made.net == pytest.approx(made.gross - made.pump - made.fans - made.auxiliaries, rel=1e-12, abs=1e-12)


def least_gap(fluid, made, at, air, points=300):
    """Least difference between brine and fluid along the exchanger of one cycle, by the library  [K]."""
    real = Library(fluid)
    _, pressure, _ = real.saturated(0.0, made.evaporating[at])
    liquid, condensing, volume = real.saturated(0.0, air + TERMS.approach_K)
    cold = liquid + volume * (pressure - condensing) / 1e3 / TERMS.pump_efficiency
    top, _ = real.turbine_inlet(pressure, made.evaporating[at], made.superheat[at])
    enthalpy = np.linspace(cold, top, points)
    brine = temperature_of_enthalpy(water_enthalpy(made.injection[at]) + made.fluid_ratio[at] * (enthalpy - cold))
    return (brine - [real.temperature(h, pressure) for h in enthalpy]).min()


@pytest.mark.parametrize("fluid", FLUIDS)
def test_pinch_holds_all_along(fluid):
    """From cool brine, where it is tight at the bubble point, to hot brine, where it is tight near the critical point."""
    hottest = fluid_table(fluid).temperature[-1]
    brine = np.array([100.0, hottest, hottest + 15, hottest + 30])
    for air in (0.0, 25.0):
        made = cycles(fluid_table(fluid), FREE, brine, air)
        for at in np.flatnonzero(ran(made)):
            assert least_gap(fluid, made, at, air) > TERMS.pinch_K - 0.3, f"brine {brine[at]:.0f}, air {air:.0f}"


@pytest.mark.parametrize(("fluid", "evaporating"), [("isobutane", 133.0), ("isopentane", 185.0), ("R245fa", 152.0)])
def test_pinch_holds_close_to_the_critical_point(fluid, evaporating):
    """A stated evaporation close below it: the liquid's heat capacity runs away and the tight spot moves inward."""
    at_node = fluid_table(fluid).temperature
    evaporating = float(at_node[np.abs(at_node - evaporating).argmin()])
    terms = replace(FREE, evaporating_degC=evaporating)
    brine = np.array([evaporating + 10.0, evaporating + 25.0])
    made = cycles(fluid_table(fluid), terms, brine, 10.0)
    assert ran(made).all()
    for at in range(brine.size):
        assert TERMS.pinch_K - 0.3 < least_gap(fluid, made, at, 10.0) < TERMS.pinch_K + 0.3


@pytest.mark.parametrize("fluid", FLUIDS)
def test_expansion_stays_dry(fluid):
    real, air = Library(fluid), 10.0
    made = cycles(fluid_table(fluid), FREE, BRINE, air)
    for at in np.flatnonzero(ran(made))[::4]:
        _, pressure, _ = real.saturated(0.0, made.evaporating[at])
        _, condensing, _ = real.saturated(0.0, air + TERMS.approach_K)
        top, entropy = real.turbine_inlet(pressure, made.evaporating[at], made.superheat[at])
        for low in np.geomspace(0.999 * pressure, condensing, 40):
            state = top - TERMS.turbine_efficiency * (top - real.isentropic(entropy, low))
            assert real.quality(state, low) > DRIEST_LOSS - 0.005, f"brine {BRINE[at]:.0f}"


def test_wet_fluids_are_superheated_and_dry_ones_are_not():
    """R134a from saturated vapour would end below the quality that is kept; isopentane ends dry by itself."""
    brine = np.array([115.0, 120.0, 140.0])
    wet, dry = (cycles(fluid_table(name), FREE, brine, 10.0) for name in ("R134a", "isopentane"))
    assert (wet.superheat > 0).all()
    assert (dry.superheat == 0).all()
    assert dry_evaporations(fluid_table("R134a"), FREE, 10.0).size
    real = Library("R134a")
    _, condensing, _ = real.saturated(0.0, 10.0 + TERMS.approach_K)
    for evaporating in wet.evaporating:
        top, _, _ = real.saturated(1.0, evaporating)
        entropy = real.state.smass()
        end = top - TERMS.turbine_efficiency * (top - real.isentropic(entropy, condensing))
        assert real.quality(end, condensing) < DRIEST_LOSS


@pytest.mark.parametrize("terms", [TERMS, FREE, replace(TERMS, floor_degC=65.0)], ids=["assumed", "free", "stated"])
@pytest.mark.parametrize("fluid", FLUIDS)
def test_hotter_brine_and_colder_air_never_cost_power(fluid, terms):
    brine = np.arange(50.0, 300.0, 1.5)
    if terms.floor_degC is None:  # then the floor rises with the brine, which is no gift
        brine = np.array([90.0, 120.0, 150.0])
    net = np.array([cycles(fluid_table(fluid), terms, brine, air).net for air in np.arange(-40.0, 45.0, 5.0)])
    least = 1 - 1e-3  # powers within a thousandth count as equal when a machine is chosen
    assert (net[:, 1:] >= net[:, :-1] * least).all()
    assert (net[1:] <= net[:-1] / least + 1e-12).all()


def test_floors_are_kept():
    brine = np.arange(90.0, 200.0, 5.0)
    silica = float(amorphous_silica_temperature(364.0))
    assert 99 < silica < 101
    for terms, floor in (
        (replace(TERMS, floor_degC=72.0), np.full(brine.size, 72.0)),
        (TERMS, 0.43 * brine),
        (replace(TERMS, floor_degC=60.0, silica_degC=silica), np.full(brine.size, silica)),
        (replace(TERMS, silica_degC=silica), np.maximum(0.43 * brine, silica)),
    ):
        assert terms.floor(brine) == pytest.approx(floor)
        made = cycles(fluid_table("isopentane"), terms, brine, 5.0)
        assert (made.injection >= np.minimum(floor, brine) - 1e-3).all()
    assert not ran(made)[brine < silica].any(), "brine that comes cooler than it may leave gives nothing"
    assert ran(made)[brine > silica + 15].all()


def test_a_stated_evaporation_is_kept():
    brine = np.array([150.0, 170.0, 190.0])
    best = cycles(fluid_table("isopentane"), FREE, brine, 10.0)
    for evaporating in (80.0, 95.5, 110.0, 123.4):
        made = cycles(fluid_table("isopentane"), replace(FREE, evaporating_degC=evaporating), brine, 10.0)
        assert made.evaporating == pytest.approx(evaporating, abs=1e-9)
        assert (made.net <= best.net * (1 + 1e-3)).all()
        assert (made.net > 0).all()


@pytest.mark.parametrize("fluid", FLUIDS)
def test_brine_barely_hotter_than_air_gives_nothing(fluid):
    brine = np.array([12.0, 20.0, 27.0, 33.0])
    made = cycles(fluid_table(fluid), FREE, brine, 10.0)
    assert (made.injection == brine).all()
    for name in ("net", "gross", "turbine", "heat_in", "heat_out", "pump", "fans", "fluid_ratio"):
        assert (getattr(made, name) == 0).all(), name


def test_unknown_brine_leaves_the_rest_alone():
    alone = cycles(fluid_table("isopentane"), TERMS, np.array([150.0]), 10.0)
    both = cycles(fluid_table("isopentane"), TERMS, np.array([np.nan, 150.0]), 10.0)
    assert both.net[1] == alone.net[0]
    assert np.isnan(both.injection[0])


def test_equal_power_goes_to_the_machine_that_leaves_brine_hottest():
    """Its output is within a thousandth of the best of all stated evaporations, and no hotter brine does as well."""
    held, brine = fluid_table("isobutane"), np.array([160.0])
    best = cycles(held, FREE, brine, 10.0)
    each = [cycles(held, replace(FREE, evaporating_degC=float(t)), brine, 10.0) for t in held.temperature]
    most = max(float(one.net[0]) for one in each)
    assert best.net[0] >= most * (1 - 1e-3)
    close = [float(one.injection[0]) for one in each if one.net[0] >= most * (1 - 1e-3)]
    assert best.injection[0] == pytest.approx(max(close), abs=1e-6)


@pytest.mark.parametrize("fluid", ["isopentane", "isobutane"])
def test_a_grid_twice_as_fine_gives_the_same_power(fluid):
    """Worst within 0.1 % at the default floor; building the fine table takes about two seconds."""
    fine = tabulate(row("fluids", fluid=fluid)["library_name"], 2 * POINTS - 1).refined(PARTS)
    brine = np.arange(110.0, 181.0, 2.5)
    for air in (-10.0, 0.0, 10.0, 20.0, 30.0):
        ours = cycles(fluid_table(fluid).refined(PARTS), TERMS, brine, air).net
        assert ours == pytest.approx(cycles(fine, TERMS, brine, air).net, rel=1e-3)

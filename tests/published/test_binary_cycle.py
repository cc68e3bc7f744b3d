"""Binary cycles against a textbook's plant, a published table of utilization, and how output moves with the weather.

Sources
- Y. A. Cengel and M. A. Boles, Thermodynamics, 8th ed., problem 10-25, an air-cooled isobutane plant: inputs, states and
  answers seen in a copy. Its data do not close the heat balance (the brine gives 10 % more than the isobutane takes), so
  only the works of turbine and pump are compared, never heat. Its isobutane is an older equation.
- R. DiPippo, Geothermal Power Plants, table 8.5 (p. 166), basic cycle with condensing and dead state at 38 degC (100 degF):
  the printed values seen in a copy; turbine 0.85, pump 0.80 and a pinch of 10 K are our assumption, the page names none.
- Loss of output with the condensing temperature: computed here before, with an independent program (turbine 0.80, pump
  0.75, pinch 5 K, before fans).
"""

import numpy as np
import pytest
from CoolProp import CoolProp

from geoecon.plant.binary import CycleTerms, cycles
from geoecon.plant.properties import SUPERHEATS, fluid_table
from geoecon.resource.water import KELVIN
from tests.published.brine import celsius, exergy

NEARLY_AIR = 1e-6  # the cycle wants its condenser a little above the air


def plain_terms(turbine, pump, pinch, floor=0.1):
    """A cycle without generator loss, fans and other use, whose condenser is as cold as the air."""
    return CycleTerms(turbine, pump, 1.0, pinch, NEARLY_AIR, 0.0, 0.0, floor_degC=floor)


@pytest.fixture(scope="module")
def isentropic_drop():
    """Turbine from 3.25 MPa, 147 degC to 410 kPa between the points of the isobutane table  [kJ/kg]."""
    held = fluid_table("isobutane")
    log_p = np.log(held.pressure)
    boiling = np.interp(np.log(32.5), log_p, held.temperature)
    top, outlet = [], []
    for i, _ in enumerate(log_p):
        top.append(np.interp(147 - boiling, SUPERHEATS, held.top[i]))
        low = [np.interp(147 - boiling, SUPERHEATS, held.outlet[i, :, j]) for j in range(len(log_p))]
        outlet.append(np.interp(np.log(4.1), log_p, low))
    return np.interp(np.log(32.5), log_p, top) - np.interp(np.log(32.5), log_p, outlet)


def test_textbook_plant_turbine_and_pump(agree, isentropic_drop):
    """Printed: h3 761.54, h4s 670.40, h4 689.74, pump work 5.81 kJ/kg, 305.6 kg/s, net 20,165 kW."""
    agree(isentropic_drop, 761.54 - 670.40, within=0.01, what="isentropic drop, kJ/kg")
    turbine = (761.54 - 689.74) / (761.54 - 670.40)
    agree(turbine * isentropic_drop, 71.80, within=0.01, what="turbine, kJ/kg")
    held = fluid_table("isobutane")
    volume = np.interp(np.log(4.1), np.log(held.pressure), held.volume)
    agree(volume, 0.001842, within=0.01, what="liquid, m3/kg")
    pump = volume * (32.5 - 4.1) * 100 / 0.90
    agree(pump, 5.81, within=0.01, what="pump, kJ/kg")
    agree(305.6 * (turbine * isentropic_drop - pump), 20_165, within=0.01, what="net of turbine and pump, kW")


def test_textbook_plant_turbine_efficiency(agree, isentropic_drop):
    """Printed 0.788, from the state at the turbine's outlet (410 kPa, 79.5 degC)."""

    def at(kpa, degc):
        return CoolProp.PropsSI("H", "P", kpa * 1e3, "T", degc + KELVIN, "IsoButane") / 1e3

    agree((at(3250, 147) - at(410, 79.5)) / isentropic_drop, 0.788, within=0.01, what="turbine efficiency")


TABLE = [
    ("isobutane", 200, 5.5, 31.9),
    ("isopentane", 200, 5.2, 30.5),
    ("isobutane", 300, 10.3, 48.8),
]


@pytest.mark.parametrize(("fluid", "fahrenheit", "thermal", "utilization"), TABLE)
def test_basic_cycle_utilization(agree, fluid, fahrenheit, thermal, utilization):
    """Within two points of the printed utilization and half a point of the printed thermal efficiency."""
    brine, dead = celsius(fahrenheit), celsius(100.0)
    made = cycles(fluid_table(fluid), plain_terms(0.85, 0.80, 10.0), np.array([brine]), dead - NEARLY_AIR)
    ours = 100 * made.net[0] / exergy(brine, dead)
    agree(ours, utilization, within=2.0 / utilization, what=f"{fluid} {fahrenheit} degF, utilization, %")
    ours = 100 * made.net[0] / made.heat_in[0]
    agree(ours, thermal, within=0.5 / thermal, what=f"{fluid} {fahrenheit} degF, thermal efficiency, %")


SENSITIVITY = {100.0: 3.7, 120.0: 2.8, 150.0: 2.1, 180.0: 1.7}  # %/K around a condensing temperature of 35 degC


def test_output_falls_with_the_condensing_temperature(agree):
    brine = np.array(list(SENSITIVITY))
    terms = plain_terms(0.80, 0.75, 5.0)
    cold, middle, warm = (cycles(fluid_table("isopentane"), terms, brine, t).net for t in (30.0, 35.0, 40.0))
    loss = 100 * (cold - warm) / middle / 10
    assert (loss > 0).all()
    assert (np.diff(loss) < 0).all(), "hot brine cares less for warm air"
    for degc, ours in zip(brine, loss, strict=True):
        agree(ours, SENSITIVITY[degc], within=0.05, what=f"%/K with brine at {degc:.0f} degC")


@pytest.mark.parametrize("fluid", ["isobutane", "n-pentane", "R245fa", "R1234ze(E)"])
def test_every_fluid_loses_less_by_warm_air_from_hotter_brine(fluid):
    brine = np.array([100.0, 120.0, 150.0])
    terms = plain_terms(0.80, 0.75, 5.0)
    cold, warm = (cycles(fluid_table(fluid), terms, brine, t).net for t in (30.0, 40.0))
    loss = cold / warm - 1
    assert (loss > 0).all()
    assert (np.diff(loss) < 0).all()

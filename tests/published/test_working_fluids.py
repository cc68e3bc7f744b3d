"""Working fluids: what the table of a fluid holds, and the library behind it, against the equations as published.

Sources
- Isobutane: D. Bucker and W. Wagner, J. Phys. Chem. Ref. Data 35 (2006), p. 929, tables 46 and 47. Values seen in a copy
  (the test file of an open property library that quotes pages 996 and 1003). Its reference state is not the library's, so
  that only differences of enthalpy can be compared.
- Isopentane: E. W. Lemmon and R. Span, J. Chem. Eng. Data 51 (2006), p. 785, table 10. Seen in the same copy.
- Saturation at round temperatures and critical temperatures: computed here with CoolProp. They show that the table holds
  what the library says between its own points, where it is looked up linearly.
"""

import numpy as np
import pytest
from CoolProp import CoolProp

from geoecon.plant.properties import BELOW_CRITICAL, fluid_table
from geoecon.resource.water import KELVIN
from geoecon.tables import row, table

# degC: isobutane bar, kg/m3, kJ/kg of evaporation; isopentane the same
SATURATION = {
    20: (3.0222, 556.86, 334.33, 0.7666, 620.03, 349.23),
    40: (5.3121, 531.19, 311.52, 1.5151, 599.39, 333.63),
    60: (8.6916, 502.71, 284.87, 2.7313, 577.48, 316.41),
    80: (13.4379, 469.92, 252.58, 4.5748, 553.87, 297.04),
    100: (19.8652, 429.64, 211.03, 7.2214, 527.93, 274.78),
    120: (28.3664, 371.96, 150.20, 10.8638, 498.63, 248.48),
    140: (None, None, None, 15.7190, 464.10, 216.19),
    160: (None, None, None, 22.0493, 420.16, 173.54),
}


def pressure(fluid, degc):
    """Saturation pressure between the points of a table, straight in log p against 1/T  [bar]."""
    held = fluid_table(fluid)
    inverse = -1 / (held.temperature + KELVIN)
    return np.exp(np.interp(-1 / (degc + KELVIN), inverse, np.log(held.pressure)))


def held(fluid, name, degc):
    """A column of a table between its points."""
    return np.interp(degc, fluid_table(fluid).temperature, getattr(fluid_table(fluid), name))


def evaporation(fluid, degc):
    """Enthalpy of evaporation  [kJ/kg]."""
    return held(fluid, "vapour", degc) - held(fluid, "liquid", degc)


def state(fluid, inputs, first, second):
    found = CoolProp.AbstractState("HEOS", row("fluids", fluid=fluid)["library_name"])
    found.update(inputs, first, second)
    return found


def enthalpy(fluid, kelvin, mpa):
    return state(fluid, CoolProp.PT_INPUTS, mpa * 1e6, kelvin).hmass() / 1e3


@pytest.mark.parametrize(("kelvin", "mpa", "liquid", "vapour", "heat"), [
    (300, 0.37000, 548.32, 9.6096, -11.29 + 338.17),
    (400, 3.1856, 341.03, 118.39, 81.59 + 36.27),
])  # fmt: skip
def test_isobutane_saturation(agree, kelvin, mpa, liquid, vapour, heat):
    degc = kelvin - KELVIN
    agree(pressure("isobutane", degc) / 10, mpa, digits=4.4, what=f"table, MPa at {kelvin} K")
    agree(1 / held("isobutane", "volume", degc), liquid, digits=3, what=f"table, kg/m3 at {kelvin} K")
    agree(evaporation("isobutane", degc), heat, digits=3, what=f"table, kJ/kg at {kelvin} K")
    boiling = state("isobutane", CoolProp.QT_INPUTS, 0, kelvin)
    agree(boiling.p() / 1e6, mpa, digits=4.8, what=f"library, MPa at {kelvin} K")
    agree(boiling.rhomass(), liquid, digits=4.8, what=f"library, liquid kg/m3 at {kelvin} K")
    steam = state("isobutane", CoolProp.QT_INPUTS, 1, kelvin)
    agree(steam.rhomass(), vapour, digits=4.4, what=f"library, vapour kg/m3 at {kelvin} K")
    agree((steam.hmass() - boiling.hmass()) / 1e3, heat, digits=4, what=f"library, kJ/kg at {kelvin} K")


def test_isobutane_off_the_saturation_line(agree):
    """Table 47: h 20.563, -261.48 and 614.72 kJ/kg, as differences."""
    hot, warm, cool = enthalpy("isobutane", 575, 2), enthalpy("isobutane", 320, 0.5), enthalpy("isobutane", 330, 1)
    agree(hot - cool, 614.72 + 261.48, digits=5, what="575 K, 2 MPa less 330 K, 1 MPa")
    agree(warm - cool, 20.563 + 261.48, digits=4.7, what="320 K, 0.5 MPa less 330 K, 1 MPa")
    for kelvin, mpa, density, heat in ((320, 0.5, 12.322, 1.9171), (330, 1, 508.12, 2.6701), (575, 2, 25.769, 2.9159)):
        found = state("isobutane", CoolProp.PT_INPUTS, mpa * 1e6, kelvin)
        agree(found.rhomass(), density, digits=4.4, what=f"kg/m3 at {kelvin} K")
        agree(found.cpmass() / 1e3, heat, digits=4.4, what=f"kJ/kg/K at {kelvin} K")


def test_isopentane_reference_point(agree):
    """Table 10: 462 K and 3 mol/dm3."""
    found = state("isopentane", CoolProp.DmolarT_INPUTS, 3000.0, 462.0)
    agree(found.p() / 1e3, 3458.617, digits=6, what="kPa")
    agree(found.hmolar(), 37318.534, digits=7, what="J/mol")
    agree(found.smolar(), 94.634, digits=5, what="J/mol/K")
    agree(found.cvmolar(), 190.631, digits=5.7, what="cv, J/mol/K")
    agree(found.cpmolar(), 4660.943, digits=6.5, what="cp, J/mol/K")
    agree(found.speed_sound(), 96.324, digits=5, what="m/s")


@pytest.mark.parametrize("degc", SATURATION)
def test_saturation_between_the_points_of_the_table(agree, degc):
    values = SATURATION[degc]
    for fluid, (bar, density, heat) in (("isobutane", values[:3]), ("isopentane", values[3:])):
        if bar is None:
            continue
        agree(pressure(fluid, degc), bar, within=1.0e-4, what=f"{fluid}, bar at {degc} degC")
        agree(1 / held(fluid, "volume", degc), density, within=5e-4, what=f"{fluid}, kg/m3 at {degc} degC")
        agree(evaporation(fluid, degc), heat, within=5e-4, what=f"{fluid}, kJ/kg at {degc} degC")


CRITICAL = {"isobutane": 134.66, "isopentane": 187.2, "n-pentane": 196.55, "n-butane": 151.98, "R134a": 101.06}


@pytest.mark.parametrize("fluid", CRITICAL)
def test_critical_temperatures(agree, fluid):
    agree(
        float(row("fluids", fluid=fluid)["critical_temperature"]), CRITICAL[fluid], within=1e-4, what=f"{fluid}, degC"
    )


@pytest.mark.parametrize("fluid", [r["fluid"] for r in table("fluids")])
def test_table_ends_below_the_critical_point(fluid):
    critical = float(row("fluids", fluid=fluid)["critical_temperature"])
    assert fluid_table(fluid).temperature[-1] == pytest.approx(critical - BELOW_CRITICAL, abs=0.01)

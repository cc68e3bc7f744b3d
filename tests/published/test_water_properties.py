"""Hot water and air: the formulas used against published points and two property libraries.

Sources
- Revised release on the IAPWS Industrial Formulation 1997 (IAPWS R7-97), tables 5, 15, 35 and 36: points of the liquid and
  saturation temperatures seen in a copy (open property libraries quote them); saturation pressures and the point of steam
  from memory. They are what the second library, `iapws`, is checked with here before it is believed.
- IAPWS SR1-86(1992), verification table of the equations used (W. Wagner and A. Pruss, J. Phys. Chem. Ref. Data 22, 1993,
  p. 783): from memory.
- Standard atmosphere (ISO 2533): 12.23 psi at 5,000 ft, from memory, common in handbooks.
Everything over a range of temperatures is computed here with `iapws` (R7-97) and CoolProp (IAPWS-95).

The three formulations are different equations for the same water. Between 5 and 250 degC ours stays within 1.2e-4 of both
in density, 1.5e-4 (CoolProp) and 2.8e-4 (`iapws`) in enthalpy, 0.8e-4 (CoolProp) and 1.8e-4 (`iapws`) in pressure.
"""

import numpy as np
import pytest
from CoolProp import CoolProp
from iapws import IAPWS97

from geoecon.resource.water import (
    KELVIN,
    air_pressure,
    saturation_pressure,
    temperature_of_enthalpy,
    water_density,
    water_enthalpy,
    water_viscosity,
)

TEMPERATURES = np.arange(5.0, 251.0, 5.0)
BAR_PER_MPA = 10.0
PSI_PER_BAR = 14.503774


@pytest.fixture(scope="module")
def industrial():
    """Saturated liquid by the industrial formulation: density, enthalpy, pressure, viscosity."""
    states = [IAPWS97(T=t + KELVIN, x=0) for t in TEMPERATURES]
    return {
        "density": np.array([s.rho for s in states]),
        "enthalpy": np.array([s.h for s in states]),
        "pressure": np.array([s.P for s in states]) * BAR_PER_MPA,
        "viscosity": np.array([s.mu for s in states]),
    }


@pytest.fixture(scope="module")
def scientific():
    """Saturated liquid by the scientific formulation: density, enthalpy, pressure."""
    state = CoolProp.AbstractState("HEOS", "Water")
    rows = []
    for t in TEMPERATURES:
        state.update(CoolProp.QT_INPUTS, 0.0, t + KELVIN)
        rows.append((state.rhomass(), state.hmass() / 1e3, state.p() / 1e5))
    return dict(zip(("density", "enthalpy", "pressure"), np.array(rows).T, strict=True))


OURS = {"density": water_density, "enthalpy": water_enthalpy, "pressure": saturation_pressure}


def worst(ours, theirs):
    """The pair that differs most."""
    at = int(np.abs(ours / theirs - 1).argmax())
    return ours[at], theirs[at], f"worst, at {TEMPERATURES[at]:.0f} degC"


@pytest.mark.parametrize(("kelvin", "mpa", "volume", "enthalpy"), [
    (300, 3, 0.00100215168, 115.331273),
    (300, 80, 0.000971180894, 184.142828),
    (500, 3, 0.001202418, 975.542239),
    (300, 0.0035, 39.4913866, 2549.91145),
])  # fmt: skip
def test_second_library_gives_the_points_of_the_release(agree, kelvin, mpa, volume, enthalpy):
    state = IAPWS97(T=kelvin, P=mpa)
    agree(state.v, volume, digits=8, what=f"v at {kelvin} K, {mpa} MPa")
    agree(state.h, enthalpy, digits=8, what=f"h at {kelvin} K, {mpa} MPa")


@pytest.mark.parametrize(("kelvin", "mpa"), [(300, 0.00353658941), (500, 2.63889776), (600, 12.3443146)])
def test_saturation_pressures_of_the_release(agree, kelvin, mpa):
    agree(saturation_pressure(kelvin - KELVIN) / BAR_PER_MPA, mpa, within=1.5e-4, what=f"MPa at {kelvin} K")
    agree(IAPWS97(T=kelvin, x=0).P, mpa, digits=8, what=f"iapws, MPa at {kelvin} K")


@pytest.mark.parametrize(("mpa", "kelvin"), [(0.1, 372.755919), (1.0, 453.035632), (10.0, 584.149488)])
def test_saturation_temperatures_of_the_release(agree, mpa, kelvin):
    agree(saturation_pressure(kelvin - KELVIN) / BAR_PER_MPA, mpa, within=2e-4, what=f"MPa at {kelvin} K")


def test_verification_table_of_the_equations_used(agree):
    """At the triple point and at 373.1243 K."""
    agree(saturation_pressure(0.01) * 1e5, 611.657, digits=6, what="Pa at the triple point")
    agree(saturation_pressure(373.1243 - KELVIN) / BAR_PER_MPA, 0.101325, digits=6, what="MPa at 373.1243 K")
    agree(water_density(0.01), 999.789, digits=6, what="kg/m3 at the triple point")
    agree(water_density(373.1243 - KELVIN), 958.365, digits=6, what="kg/m3 at 373.1243 K")
    agree(water_enthalpy(0.01) * 1e3, 0.611786, within=1e-4, what="J/kg at the triple point")
    agree(water_enthalpy(373.1243 - KELVIN), 419.05, digits=4, what="kJ/kg at 373.1243 K")


@pytest.mark.parametrize(("name", "within"), [("density", 1.3e-4), ("enthalpy", 2.8e-4), ("pressure", 1.9e-4)])
def test_saturated_water_against_iapws(agree, industrial, name, within):
    ours, theirs, where = worst(OURS[name](TEMPERATURES), industrial[name])
    agree(ours, theirs, within=within, what=f"{name}, {where}")


@pytest.mark.parametrize(("name", "within"), [("density", 1.2e-4), ("enthalpy", 1.5e-4), ("pressure", 0.8e-4)])
def test_saturated_water_against_coolprop(agree, scientific, name, within):
    ours, theirs, where = worst(OURS[name](TEMPERATURES), scientific[name])
    agree(ours, theirs, within=within, what=f"{name}, {where}")


def test_viscosity_within_what_its_docstring_says(agree, industrial):
    ours, theirs, where = worst(water_viscosity(TEMPERATURES), industrial["viscosity"])
    agree(ours, theirs, within=0.03, what=f"viscosity, {where}")


def test_temperature_of_enthalpy_goes_back():
    there = np.linspace(0.5, 300.0, 4001)  # as hot as a plant's map goes
    assert np.abs(temperature_of_enthalpy(water_enthalpy(there)) - there).max() < 1e-4


def test_outside_the_equations_there_is_no_number():
    beyond = np.array([-0.1, 370.1, np.nan])
    for formula in OURS.values():
        assert np.isnan(formula(beyond)).all()


def test_air_at_height(agree):
    agree(air_pressure(5000 * 0.3048) * PSI_PER_BAR, 12.23, digits=3.5, what="psi at 5,000 ft")
    agree(air_pressure(0.0), 1.01325, digits=15, what="bar at the sea")

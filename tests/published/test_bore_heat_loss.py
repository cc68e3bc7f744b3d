"""Heat that a bore loses to rock.

Sources
- H. J. Ramey, Wellbore Heat Transmission, J. Pet. Tech. 14 (1962), p. 427: formula and time function from memory, confirmed
  in a copy. No worked answer was found: the rows below were computed here before, with an independent program.
- A. R. Hasan and C. S. Kabir's time function, seen in a page of an oil trade library: ln(e^(-0.2 t) + (1.5 - 0.3719 e^-t)
  sqrt(t)). It is derived in another way, so that it checks the one used.
- scipy: the profile of the same well, integrated step by step.
"""

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from geoecon.wells.heat_loss import SECONDS_PER_YEAR, bore_drop, bore_time, time_function

LENGTH, GROUND, HEAT, CONDUCTIVITY, DIFFUSIVITY, RADIUS = 2000.0, 145.0, 4300.0, 2.5, 1.1e-6, 0.11
AT = {0.1: 3.233, 1: 4.384, 10: 5.535}
DROPS = {50: (3.23, 2.39, 1.90), 20: (7.89, 5.88, 4.68), 80: (2.03, 1.50, 1.19)}


def function_after(years):
    return time_function(bore_time(years, CONDUCTIVITY, CONDUCTIVITY / DIFFUSIVITY, RADIUS))


@pytest.mark.parametrize("years", AT)
def test_time_function(agree, years):
    agree(function_after(years), AT[years], within=0.0005, what=f"after {years} years (computed)")


@pytest.mark.parametrize("flow", DROPS)
def test_drop_at_the_wellhead(agree, flow):
    """2,000 m, 160 degC, 0.0725 K/m, 4,300 J/kg/K, 2.5 W/m/K, 1.1e-6 m2/s, radius 0.11 m."""
    for years, drop in zip(AT, DROPS[flow], strict=True):
        ours = bore_drop(flow, HEAT, LENGTH, GROUND, CONDUCTIVITY, function_after(years))
        agree(ours, drop, within=0.006, what=f"K at {flow} kg/s after {years} years (computed)")


def test_heat_lost_hardly_depends_on_flow(agree):
    """Close to 500 kW after a year at any flow (computed)."""
    for flow in DROPS:
        lost = flow * HEAT * bore_drop(flow, HEAT, LENGTH, GROUND, CONDUCTIVITY, function_after(1)) / 1e3
        agree(lost, 510, within=0.03, what=f"kW at {flow} kg/s")


def test_time_function_beside_another_one():
    """Hasan and Kabir's, for dimensionless times of 287 to 28,700, a tenth of a year to ten: within 0.0025."""
    time = np.geomspace(287, 28_700, 200)
    other = np.log(np.exp(-0.2 * time) + (1.5 - 0.3719 * np.exp(-time)) * np.sqrt(time))
    assert np.abs(time_function(time) - other).max() < 0.0025


@pytest.mark.parametrize("flow", [2.0, 20.0, 80.0])
def test_drop_beside_the_profile_step_by_step(agree, flow):
    """Heat into rock at each metre by the temperature there, integrated by scipy."""
    function = float(function_after(1))

    def slope(z, temperature):
        rock = 160 - GROUND / LENGTH * z
        return -2 * np.pi * CONDUCTIVITY / function * (temperature - rock) / (flow * HEAT)

    top = solve_ivp(slope, (0, LENGTH), [160.0], rtol=1e-10, atol=1e-10).y[0, -1]
    ours = bore_drop(flow, HEAT, LENGTH, GROUND, CONDUCTIVITY, function)
    agree(ours, 160 - top, digits=7, what=f"K at {flow} kg/s")
    assert SECONDS_PER_YEAR == 31_557_600

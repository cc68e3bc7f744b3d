"""Temperature at depth by conduction against teaching values and against the equation itself.

M. Sandiford (Melbourne, an applet's page, seen): heat production that falls off over 11.7 km from 2.6 uW/m3, 30 mW/m2 from
below, so that what the crust makes is 30.4 mW/m2; conductivity 3 W/m/K, crust of 35 km. The boiling point under water: J. L. Haas,
Economic Geology 66 (1971), about 250 degC at 460 m (from memory).
"""

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from geoecon.resource.gradient import (
    boiling_temperature,
    conductive_constant,
    conductive_exponential,
    conductive_linear,
)

SURFACE, FLOW, CONDUCTIVITY, MADE, SCALE = (np.array(value) for value in (15.0, 70.0, 2.5, 1.0, 10_000.0))


def integrated(depth_m, made):
    """T at a depth from k T'' = -A(z), T(0) and k T'(0) given, by a solver of differential equations."""
    found = solve_ivp(
        lambda z, y: [y[1], -made(z) * 1e-6 / 2.5], (0.0, depth_m), [15.0, 70e-3 / 2.5], rtol=1e-11, atol=1e-11
    )
    return found.y[0, -1]


@pytest.mark.parametrize("depth", [1_000.0, 3_000.0, 6_000.0])
def test_curves_solve_the_equation_of_conduction(agree, depth):
    at = np.array(depth), SURFACE, FLOW, CONDUCTIVITY
    agree(conductive_linear(*at), integrated(depth, lambda z: 0.0), digits=8, what=f"linear at {depth:,.0f} m")
    agree(
        conductive_constant(*at, MADE), integrated(depth, lambda z: 1.0), digits=8, what=f"constant at {depth:,.0f} m"
    )
    ours = conductive_exponential(*at, MADE, SCALE)
    agree(ours, integrated(depth, lambda z: np.exp(-z / 10_000.0)), digits=8, what=f"exponential at {depth:,.0f} m")


def test_the_teaching_crust(agree):
    """By hand, with 60 mW/m2 at the surface: (60 - 30.42) x 35 / 3 = 345.1 K and 30.42 x 11.7 / 3 x (1 - e^-2.991) = 112.7 K."""
    made = 2.6 * 11.7
    agree(made, 30.4, digits=3, what="what the crust makes, mW/m2")
    crust = np.array(60.0), np.array(3.0), np.array(2.6), np.array(11.7e3)
    agree(conductive_exponential(np.array(35e3), np.array(0.0), *crust), 345.1 + 112.7, digits=3, what="at 35 km")


def test_heat_production_that_would_use_up_the_heat_flow_gives_nothing():
    found = conductive_constant(np.array([4_000.0, 6_000.0]), SURFACE, np.array(25.0), CONDUCTIVITY, np.array(5.0))
    assert np.isfinite(found).tolist() == [True, False]


def test_water_boils_hotter_below(agree):
    agree(boiling_temperature(np.array(0.0)), 100.0, digits=3, what="at the surface")
    agree(boiling_temperature(np.array(460.0)), 250.0, within=0.02, what="at 460 m")
    assert boiling_temperature(np.array(0.0), 1500.0) == pytest.approx(95.0, abs=0.2)

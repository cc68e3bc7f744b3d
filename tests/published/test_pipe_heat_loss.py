"""Heat that an insulated pipe loses.

Sources
- A national examination in mechanical engineering (GATE 2001): inputs seen in a copy, answers computed here before.
- Y. A. Cengel, Heat Transfer, example 3-8 (steam pipe with glass wool): inputs and the answer 121 W/m from memory.
- A. F. Mills, Heat Transfer, insulated pipe: inputs seen, answer computed, radiation left out.
- M. Prats, Thermal Recovery, SPE Monograph 7 (1982), surface steam line: inputs seen in the class notes of a university,
  with its outside film; that insulation cuts the loss by 98 % was computed.
"""

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from geoecon.wells.heat_loss import pipe_conductance, pipe_drop

EXAM = ((0.050, 0.057, 0.157), (43.0, 0.1), 570.0, 12.0)
GLASS_WOOL = ((0.025, 0.0275, 0.0575), (80.0, 0.05), 60.0, 18.0)
MILLS = ((0.16, 0.20, 0.32), (40.0, 0.092), np.inf, 11.0)


def test_pipe_of_an_examination(agree):
    lost = (500 - 30) * pipe_conductance(*EXAM)
    agree(lost, 276.0, digits=3.5, what="W/m (computed)")
    agree(30 + lost / (2 * np.pi * 0.157 * 12), 53.3, digits=3, what="degC of the outer face (computed)")


def test_steam_pipe_of_the_textbook(agree):
    lost = (320 - 5) * pipe_conductance(*GLASS_WOOL)
    agree(lost, 121, within=0.004, what="W/m, printed")
    agree(lost, 120.8, within=0.0005, what="W/m (computed)")


def test_hot_pipe_without_a_film_inside(agree):
    lost = (565 - 26) * pipe_conductance(*MILLS)
    agree(lost, 627, digits=3, what="W/m (computed)")
    agree(26 + lost / (2 * np.pi * 0.32 * 11), 54.4, digits=3, what="degC of the lagging (computed)")


def prats(outer_ft, layers):
    """Film outside 18 v^0.6 r^0.6 / r with wind of 20 mph and 110 for radiation of the bare pipe, Btu/(ft2 day degF)."""
    radii = (0.1478, 0.1667, *([outer_ft] if outer_ft > 0.1667 else []))
    forced = 18 * 20**0.6 * outer_ft**0.6 / outer_ft
    film = forced + (110 if outer_ft <= 0.1667 else 0)
    return (550 - 60) * pipe_conductance(radii, layers, 48_000.0, film)


def test_insulation_of_a_steam_line(agree):
    """550 and 60 degF; in feet, days and Btu throughout, which the formula allows as no unit is built into it."""
    bare, lagged = prats(0.1667, (600.0,)), prats(0.4167, (600.0, 0.96))
    agree(lagged, 3.17e3, within=0.01, what="Btu/ft/day, insulated (computed)")
    agree(bare, 1.674e5, within=0.01, what="Btu/ft/day, bare (computed)")
    agree(1 - lagged / bare, 0.98, within=0.005, what="share of the loss that insulation saves (computed)")


@pytest.mark.parametrize("flow", [2.0, 50.0])
def test_drop_beside_the_profile_step_by_step(agree, flow):
    """Loss of each metre by the temperature there, integrated by scipy."""
    conductance = float(pipe_conductance((0.11, 0.16), (0.045,), np.inf, 10.0))
    end = solve_ivp(
        lambda _, above: -conductance * above / (flow * 4300.0), (0, 5000), [130.0], rtol=1e-10, atol=1e-10
    ).y[0, -1]
    agree(pipe_drop(130.0, conductance, 5000.0, flow, 4300.0), 130 - end, digits=7, what=f"K at {flow} kg/s")

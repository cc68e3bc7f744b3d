"""Single and double flash against problems of a textbook.

Source: Y. A. Cengel and M. A. Boles, Thermodynamics, 8th edition, problems 10-26, 10-27 and 5-186 (the flash-pressure sweep).
Inputs of 10-26 and its 38.20 kg/s and 15,410 kW were seen in copies of solutions, the turbine efficiency of 0.686 and 7.6 % are
from memory and recompute; the answers of 10-27 (111.35 degC, 5,191 kW more, 10.1 %) are from memory with low trust; of 5-186
states were seen and the powers computed with a property library. Every problem states the moisture at the exit, the same for
both steams, which fixes the exit enthalpy: so work is taken between states of our table, not from our turbine. Tolerances are
half a unit of the last digit, and for the powers of 5-186 a whole one, because temperatures of saturation stand here to 0.01 K.
"""

import numpy as np
import pytest

from geoecon.plant.steam import flashed, saturated

BRINE, FLOW = 230.0, 230.0
T_SATURATED = {
    1000: 179.88,
    500: 151.83,
    150: 111.35,
    100: 99.61,
    50: 81.32,
    20: 60.06,
    10: 45.81,
}  # kPa, degC, any handbook


def water(kpa):
    return saturated(np.array(T_SATURATED[kpa]))


def wet(kpa, moisture):
    return water(kpa).liquid + (1 - moisture) * water(kpa).heat


@pytest.fixture(scope="module")
def first():
    """Share of steam, and power of the first turbine  [kW]."""
    enthalpy = saturated(np.array(BRINE)).liquid
    steam = FLOW * flashed(enthalpy, np.array(T_SATURATED[500]))
    return float(steam), float(steam * (water(500).steam - wet(10, 0.10)))


def heat_in():
    return FLOW * float(saturated(np.array(BRINE)).liquid - saturated(np.array(25.0)).liquid)


def test_single_flash(agree, first):
    steam, power = first
    agree(steam, 38.20, within=0.005 / 38.20, what="steam, kg/s")
    agree(power, 15_410, within=5 / 15_410, what="turbine, kW")
    agree(100 * power / heat_in(), 7.6, within=0.05 / 7.6, what="efficiency above 25 degC, %")
    inlet = water(500)
    quality = (inlet.steam_entropy - water(10).liquid_entropy) / (water(10).steam_entropy - water(10).liquid_entropy)
    ideal = inlet.steam - (water(10).liquid + quality * water(10).heat)
    agree(float((inlet.steam - wet(10, 0.10)) / ideal), 0.686, within=0.0005 / 0.686, what="turbine efficiency")


def test_double_flash(agree, first):
    steam, power = first
    again = (FLOW - steam) * float(flashed(water(500).liquid, np.array(T_SATURATED[150])))
    more = again * float(water(150).steam - wet(10, 0.10))
    agree(more, 5_191, within=5 / 5_191, what="second turbine, kW")
    agree(100 * (power + more) / heat_in(), 10.1, within=0.05 / 10.1, what="efficiency above 25 degC, %")


@pytest.mark.parametrize(
    ("kpa", "steam", "power"), [(1000, 5.651, 1616), (500, 8.304, 2135), (100, 12.684, 2333), (50, 14.094, 2173)]
)
def test_pressure_of_the_flash(agree, kpa, steam, power):
    share = flashed(saturated(np.array(230.0)).liquid, np.array(T_SATURATED[kpa]))
    agree(float(50 * share), steam, within=0.001 / steam, what=f"steam at {kpa} kPa, kg/s")
    agree(
        float(50 * share * (water(kpa).steam - wet(20, 0.05))), power, within=1 / power, what=f"power at {kpa} kPa, kW"
    )

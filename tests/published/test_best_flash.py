"""The best flash with an isentropic turbine.

Source: homework of a course on thermodynamics (Auburn, MECH 3020): 10 kg/s of water at 200 degC and 10 MPa flash and expand to
100 kPa without loss; h1 = 855.9 kJ/kg was seen in a copy. The best pressure of 465 kPa (149.1 degC) and 280.9 kW were computed
with another program on a property library; tolerances are their digits.
"""

import numpy as np

from geoecon.plant.steam import flashed, saturated


def test_best_pressure(agree):
    tried, end = np.arange(110.0, 199.0, 0.1), saturated(np.array(99.606))
    top = saturated(tried)
    quality = (top.steam_entropy - end.liquid_entropy) / (end.steam_entropy - end.liquid_entropy)
    power = 10 * flashed(np.array(855.80), tried) * (top.steam - end.liquid - quality * end.heat)
    agree(float(power.max()), 280.9, within=0.05 / 280.9, what="most power, kW")
    agree(float(tried[power.argmax()]), 149.1, within=0.5 / 149.1, what="best flash, degC")

"""Silica in hot water: where it comes out when the water cools."""

import numpy as np

from geoecon.arrays import Floats
from geoecon.resource.water import KELVIN


def amorphous_silica_temperature(silica_mg_kg: Floats | float) -> Floats:
    """Temperature below which a content of dissolved silica is more than amorphous silica lets stay in the water.

    silica_mg_kg : any shape, above 0  [mg/kg];  returns  [degC]; sound between 0 and 250 degC
    Source: R. O. Fournier, Geothermics 5 (1977), p. 41: log S = 4.52 - 731 / T; seen in lecture notes of the author, the
    digit 7 of 731 is from memory.

    >>> round(float(amorphous_silica_temperature(363.9)))
    100
    """
    return np.asarray(731 / (4.52 - np.log10(silica_mg_kg)) - KELVIN)

"""Silica in hot water: how much the rock gives it, and where it comes out when the water boils and cools."""

import numpy as np

from geoecon.arrays import Floats
from geoecon.resource.geothermometers import geothermometer
from geoecon.resource.water import KELVIN

NO_SILICA = 1e-9  # mg/kg


def amorphous_silica_temperature(silica_mg_kg: Floats | float) -> Floats:
    """Temperature below which a content of dissolved silica is more than amorphous silica lets stay in the water.

    silica_mg_kg : any shape, above 0  [mg/kg];  returns  [degC]; sound between 0 and 250 degC
    Source: R. O. Fournier, Geothermics 5 (1977), p. 41: log S = 4.52 - 731 / T; seen in lecture notes of the author, the
    digit 7 of 731 is from memory.

    >>> round(float(amorphous_silica_temperature(363.9)))
    100
    """
    return np.asarray(731 / (4.52 - np.log10(silica_mg_kg)) - KELVIN)


def quartz_silica(temperature_degC: Floats | float) -> Floats:
    """Silica of water at rest with quartz, as deep hot water mostly is.

    temperature_degC : any shape  [degC];  returns  [mg/kg]; NaN above 330 degC, where no relation was made for
    Source: as `geothermometers`: to 250 degC quartz (1977), above it the polynomial to 330 degC (1982). That is 4 % lower at
    250 degC; what the first gives there is kept until the second is more, so that hotter water never holds less.

    >>> quartz_silica(np.array([150.0, 230.0, 252.0, 300.0, 331.0])).round(0)
    array([125., 388., 487., 673.,  nan])
    """
    quartz, hot = geothermometer("quartz"), geothermometer("quartz-hot")
    at = np.asarray(temperature_degC, dtype=np.float64)
    above = np.maximum(hot.content(at), quartz.content(np.array(quartz.high)))
    return np.where(quartz.covers(at), quartz.content(at), np.where(hot.covers(at), above, np.nan))


def silica_floor(silica_mg_kg: Floats | float, steam_taken: Floats | float = 0.0) -> Floats:
    """Coolest water that keeps its silica when part of it has become steam, which takes none along.

    silica_mg_kg : of the water as it comes, 0 or more  [mg/kg];  steam_taken : share of it  [1];  broadcast  -> [degC]
    returns 0 where nothing limits it, as the curve begins there
    Source: balance of mass, S / (1 - x), and `amorphous_silica_temperature`.

    >>> silica_floor(388.0, np.array([0.0, 0.15])).round(0)
    array([105., 120.])
    """
    left = np.maximum(1 - np.asarray(steam_taken), NO_SILICA)
    limit = amorphous_silica_temperature(np.maximum(silica_mg_kg, NO_SILICA) / left)
    return np.maximum(limit, geothermometer("amorphous").low)


def coolest_by_quartz(temperature_degC: Floats | float) -> Floats:
    """Temperature below which water that was at rest with quartz gives silica off when it cools without boiling.

    temperature_degC : of the rock, any shape  [degC];  returns  [degC]; above 250 degC what it is there, as the least
    Source: `quartz_silica`, then `amorphous_silica_temperature`.

    >>> coolest_by_quartz(np.array([160.0, 200.0, 250.0, 290.0])).round(1)
    array([ 37.6,  75.5, 125.8, 125.8])
    """
    hot = np.minimum(np.asarray(temperature_degC, dtype=np.float64), geothermometer("quartz").high)
    return amorphous_silica_temperature(quartz_silica(hot))

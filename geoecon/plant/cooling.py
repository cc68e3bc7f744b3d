"""What a plant is cooled by: air, or water that a wet tower cools toward the wet bulb."""

import numpy as np

from geoecon.arrays import Floats
from geoecon.resource.water import saturation_pressure

COLDEST_DEGC, HOTTEST_DEGC = -20.0, 50.0
DRIEST, DAMPEST = 5.0, 99.0  # percent


def wet_bulb(air_degC: Floats, humidity: Floats) -> Floats:
    """Temperature that air takes when water evaporates into it.

    air_degC : any shape  [degC];  humidity : relative, broadcast  [1];  returns  [degC]
    Holds from -20 to 50 degC and 5 to 99 %, at the pressure of sea level, within 1 K; at 2,000 m it reads some half a kelvin
    high. Drier or damper air is taken as at the end of the range; colder air falls degree by degree from there.
    Source: R. Stull, J. Appl. Meteorol. Climatol. 50 (2011), p. 2267, equation 1; from memory, the worked point with it
    (20 degC and 50 %: 13.7 degC).

    >>> wet_bulb(np.array([20.0, 20.0]), np.array([0.5, 1.0])).round(1)
    array([13.7, 19.9])
    """
    air = np.clip(air_degC, COLDEST_DEGC, HOTTEST_DEGC)
    rh = np.clip(np.asarray(humidity) * 100, DRIEST, DAMPEST)
    found = (
        air * np.arctan(0.151977 * np.sqrt(rh + 8.313659))
        + np.arctan(air + rh)
        - np.arctan(rh - 1.676331)
        + 0.00391838 * rh**1.5 * np.arctan(0.023101 * rh)
        - 4.686035
    )
    return np.asarray(np.minimum(found, air) + (air_degC - air))


def humidity_at(air_degC: Floats, mean_degC: Floats, mean_humidity: Floats) -> Floats:
    """Relative humidity of warmer or cooler air that holds as much water as air of a mean temperature and humidity, <= 1.

    All broadcast  [degC], [1]; colder than freezing, both are taken as over water just above it.

    >>> humidity_at(np.array([10.0, 25.0]), np.array(15.0), np.array(0.6)).round(2)
    array([0.83, 0.32])
    """
    held = saturation_pressure(np.clip(mean_degC, 0.01, None)) * mean_humidity
    return np.minimum(held / saturation_pressure(np.clip(air_degC, 0.01, None)), 1.0)

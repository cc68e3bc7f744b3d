"""What checks of plants share: degrees of the trade, and the work that hot water could do at most."""

import numpy as np
from CoolProp import CoolProp

from geoecon.resource.water import KELVIN, water_enthalpy

WARMEST_ICE = 0.01  # degC; water is no colder


def celsius(fahrenheit):
    return (fahrenheit - 32) / 1.8


def fahrenheit(celsius):
    return celsius * 1.8 + 32


def entropy(degc):
    """Of saturated water  [kJ/kg/K]."""
    kelvin = np.ravel(degc) + KELVIN
    return np.reshape(CoolProp.PropsSI("S", "T", kelvin, "Q", 0, "Water"), np.shape(degc)) / 1e3


def exergy(degc, air):
    """Of saturated water above water as cold as the air, which takes up the heat  [kJ/kg]."""
    dead = np.maximum(air, WARMEST_ICE)
    return water_enthalpy(degc) - water_enthalpy(dead) - (air + KELVIN) * (entropy(degc) - entropy(dead))

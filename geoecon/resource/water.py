"""Water and air as far as units need them: density of hot water, saturation pressure, pressure of the air by height."""

import numpy as np

from geoecon.arrays import Floats

CRITICAL_TEMPERATURE_K = 647.096
CRITICAL_PRESSURE_BAR = 220.64
CRITICAL_DENSITY = 322.0
KELVIN = 273.15
HOTTEST_DEGC = 370.0


def water_density(temperature_degC: Floats | float) -> Floats:
    """Density of liquid water on the saturation line.

    temperature_degC : any shape, 0 to 370; NaN outside  [degC];  returns  [kg/m3]
    Source: IAPWS SR1-86(1992), equation for the saturated liquid (W. Wagner and A. Pruss, J. Phys. Chem. Ref. Data 22,
    1993, p. 783). At the pressures of a pumped brine line the liquid is up to 0.5 % denser.

    >>> float(water_density(150.0).round(2))
    917.01
    """
    tau = _tau(temperature_degC)
    third = np.cbrt(tau)
    return CRITICAL_DENSITY * (
        1
        + 1.99274064 * third
        + 1.09965342 * third**2
        - 0.510839303 * third**5
        - 1.75493479 * third**16
        - 45.5170352 * third**43
        - 6.74694450e5 * third**110
    )


def saturation_pressure(temperature_degC: Floats | float) -> Floats:
    """Pressure at which water boils.

    temperature_degC : any shape, 0 to 370; NaN outside  [degC];  returns  [bar absolute]
    Source: as `water_density`.

    >>> float(saturation_pressure(100.0).round(3))
    1.014
    """
    tau = _tau(temperature_degC)
    terms = (
        -7.85951783 * tau
        + 1.84408259 * tau**1.5
        - 11.7866497 * tau**3
        + 22.6807411 * tau**3.5
        - 15.9618719 * tau**4
        + 1.80122502 * tau**7.5
    )
    return np.asarray(CRITICAL_PRESSURE_BAR * np.exp(terms / (1 - tau)))


PRESSURE_GRID = np.linspace(0.0, HOTTEST_DEGC, 1481)


def saturation_temperature(pressure_bar: Floats | float) -> Floats:
    """Temperature at which water boils, within 0.001 K.

    pressure_bar : any shape, from that at 0 degC up; beyond 0 to 370 degC the end is taken  [bar absolute];  returns  [degC]
    Source: `saturation_pressure`, turned round.

    >>> float(saturation_temperature(9.0).round(2))
    175.35
    """
    return np.asarray(np.interp(np.log(pressure_bar), np.log(saturation_pressure(PRESSURE_GRID)), PRESSURE_GRID))


def water_enthalpy(temperature_degC: Floats | float) -> Floats:
    """Specific enthalpy of liquid water on the saturation line, zero at the triple point.

    temperature_degC : any shape, 0 to 370; NaN outside  [degC];  returns  [kJ/kg]
    Source: as `water_density`; h' = alpha + (T / rho') dp/dT with the auxiliary equation for alpha.

    >>> float(water_enthalpy(150.0).round(2))
    632.15
    """
    tau = _tau(temperature_degC)
    theta = 1 - tau
    alpha = (
        -1135.905627715
        - 5.65134998e-8 * theta**-19
        + 2690.66631 * theta
        + 127.287297 * theta**4.5
        - 135.003439 * theta**5
        + 0.981825814 * theta**54.5
    )
    kelvin = theta * CRITICAL_TEMPERATURE_K
    return np.asarray(alpha + kelvin * _saturation_slope(temperature_degC) * 100 / water_density(temperature_degC))


def water_entropy(temperature_degC: Floats | float) -> Floats:
    """Specific entropy of liquid water on the saturation line, zero at the triple point.

    temperature_degC : any shape, 0 to 370; NaN outside  [degC];  returns  [kJ/kg/K]
    Source: as `water_density`; s' = phi + (1 / rho') dp/dT with the auxiliary equation for phi.

    >>> float(water_entropy(150.0).round(4))
    1.8417
    """
    theta = 1 - _tau(temperature_degC)
    phi = (
        2319.5246
        - 19 / 20 * 5.65134998e-8 * theta**-20
        + 2690.66631 * np.log(theta)
        + 9 / 7 * 127.287297 * theta**3.5
        - 5 / 4 * 135.003439 * theta**4
        + 109 / 107 * 0.981825814 * theta**53.5
    ) / CRITICAL_TEMPERATURE_K
    return np.asarray(phi + _saturation_slope(temperature_degC) * 100 / water_density(temperature_degC))


def _saturation_slope(temperature_degC: Floats | float) -> Floats:
    """dp/dT of the saturation equation, -(p / T) (ln(p / pc) + sum of a_n n tau^(n - 1))  [bar/K]."""
    tau = _tau(temperature_degC)
    slope_terms = (
        -7.85951783
        + 1.5 * 1.84408259 * tau**0.5
        - 3 * 11.7866497 * tau**2
        + 3.5 * 22.6807411 * tau**2.5
        - 4 * 15.9618719 * tau**3
        + 7.5 * 1.80122502 * tau**6.5
    )
    pressure, kelvin = saturation_pressure(temperature_degC), (1 - tau) * CRITICAL_TEMPERATURE_K
    return np.asarray(-(pressure / kelvin) * (np.log(pressure / CRITICAL_PRESSURE_BAR) + slope_terms))


ENTHALPY_GRID = np.linspace(0.0, 350.0, 1401)


def temperature_of_enthalpy(enthalpy: Floats) -> Floats:
    """Temperature at which liquid water on the saturation line has an enthalpy, within 1e-4 K.

    enthalpy : any shape  [kJ/kg];  returns  [degC]
    """
    return np.interp(enthalpy, water_enthalpy(ENTHALPY_GRID), ENTHALPY_GRID)


def water_viscosity(temperature_degC: Floats | float) -> Floats:
    """Viscosity of liquid water, within 3 % between 0 and 250 degC.

    temperature_degC : any shape  [degC];  returns  [Pa s]
    Source: Vogel's form with the constants common in handbooks (recalled).

    >>> float(water_viscosity(20.0).round(6))
    0.001002
    """
    return np.asarray(2.414e-5 * 10 ** (247.8 / (np.asarray(temperature_degC) + KELVIN - 140)))


def air_pressure(elevation_m: Floats | float) -> Floats:
    """Mean pressure of the air at a height above sea level, in the standard atmosphere.

    elevation_m : any shape, up to 11,000  [m];  returns  [bar absolute]
    Source: ISO 2533 (1975), troposphere; common in handbooks (5,000 ft: 12.23 psi).

    >>> float(air_pressure(1524.0).round(4))
    0.8431
    """
    return np.asarray(1.01325 * (1 - 2.25577e-5 * np.asarray(elevation_m)) ** 5.25588)


def _tau(temperature_degC: Floats | float) -> Floats:
    temperature = np.asarray(temperature_degC, dtype=np.float64)
    inside = np.where((temperature >= 0) & (temperature <= HOTTEST_DEGC), temperature, np.nan)
    return 1 - (inside + KELVIN) / CRITICAL_TEMPERATURE_K

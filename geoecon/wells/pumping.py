"""Pumping brine up and back: drawdown, friction, the height of the water, and the power it takes."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from geoecon.arrays import Floats, narrow
from geoecon.resource.water import saturation_pressure, water_density, water_viscosity

GRAVITY = 9.80665
PASCAL = 1e5  # in a bar
ROUGHNESS_M = 4.5e-5  # commercial steel, common in handbooks
LAMINAR = 2300.0


@dataclass(frozen=True)
class Pumping:
    """Wells as pumps see them, (scenario,) each.

    productivity, injectivity : [kg/s/bar];  static_m : water of a shut well below the wellhead  [m]
    depth_m : vertical, of the feed zone  [m];  bore_m : inside diameter of what the water rises in  [m]
    temperature : of the produced water  [degC];  wellhead_bar, air_bar : absolute  [bar]
    plant_drop_bar : lost by the brine in the plant  [bar];  efficiency : wire to water  [1];  margin_bar : kept above
        saturation at the pump's intake  [bar]
    """

    productivity: Floats
    injectivity: Floats
    static_m: Floats
    depth_m: Floats
    bore_m: Floats
    temperature: Floats
    wellhead_bar: Floats
    air_bar: Floats
    plant_drop_bar: Floats
    efficiency: Floats
    margin_bar: Floats

    # What no flow changes, worked out once, because flows are tried again and again.

    @cached_property
    def density(self) -> Floats:
        """Density of the produced water  [kg/m3]."""
        return np.asarray(water_density(self.temperature))

    @cached_property
    def viscosity(self) -> Floats:
        """Viscosity of the produced water  [Pa s]."""
        return np.asarray(water_viscosity(self.temperature))

    @cached_property
    def column_bar_per_m(self) -> Floats:
        """Pressure of a metre of the produced water  [bar/m]."""
        return self.density * GRAVITY / PASCAL

    def drawdown_m(self, flow: Floats) -> Floats:
        """How far the water sinks at a flow of one well, any shape  [kg/s] -> [m]."""
        return flow / self.productivity / self.column_bar_per_m

    def setting_m(self, flow: Floats) -> Floats:
        """Depth of a pump whose intake stays above saturation at a flow of one well  [m]."""
        above = (saturation_pressure(self.temperature) + self.margin_bar - self.air_bar) / self.column_bar_per_m
        return self.static_m + self.drawdown_m(flow) + np.maximum(above, 0.0)

    def production_kw(self, flow: Floats) -> Floats:
        """Power of the pump of one producer at a flow  [kg/s] -> [kW]; none where the well flows by itself."""
        lift = self.static_m * self.column_bar_per_m + flow / self.productivity
        friction = friction_bar(flow, narrow(self.bore_m), self.depth_m, self.density, self.viscosity)
        head = self.wellhead_bar - self.air_bar + lift + friction
        return hydraulic_kw(flow, np.maximum(head, 0.0), self.density) / self.efficiency

    def injection_kw(self, flow: Floats, temperature: Floats) -> Floats:
        """Power to put a flow back down one injector  [kg/s] -> [kW]; none where its own weight suffices.

        temperature : of the brine going down  [degC]. Cool brine is heavy, which helps.
        """
        density = water_density(temperature)
        below = self.air_bar + (self.depth_m - self.static_m) * self.column_bar_per_m + flow / self.injectivity
        friction = friction_bar(flow, narrow(self.bore_m), self.depth_m, density, water_viscosity(temperature))
        at_wellhead = below + friction - density * GRAVITY * self.depth_m / PASCAL
        head = at_wellhead - (self.wellhead_bar - self.plant_drop_bar)
        return hydraulic_kw(flow, np.maximum(head, 0.0), density) / self.efficiency


def hydraulic_kw(flow: Floats, head_bar: Floats, density: Floats) -> Floats:
    """Power that a flow gains with a rise of pressure, m dp / rho  [kg/s], [bar], [kg/m3] -> [kW].

    >>> round(hydraulic_kw(80.0, 300 * 917 * 9.80665 / 1e5, 917.0), 4)
    235.3596
    """
    return flow * head_bar * PASCAL / density / 1000


def friction_bar(flow: Floats, bore_m: Floats, length_m: Floats, density: Floats, viscosity: Floats) -> Floats:
    """Pressure lost in a straight pipe, f (L / D) rho v^2 / 2  [bar].

    flow : [kg/s];  bore_m, length_m : [m];  density : [kg/m3];  viscosity : [Pa s]; all broadcast
    Source: Darcy-Weisbach with the friction factor of S. E. Haaland, J. Fluids Eng. 105 (1983), p. 89, within 2 % of
    Colebrook for turbulent flow; below a Reynolds number of 2,300, 64 / Re.

    >>> round(float(friction_bar(80.0, 0.2205, 1000.0, 917.0, 1.82e-4)), 2)
    1.54
    """
    speed = flow / density / (np.pi * bore_m**2 / 4)
    reynolds = np.maximum(density * speed * bore_m / viscosity, 1.0)
    root = -1.8 * np.log10((ROUGHNESS_M / bore_m / 3.7) ** 1.11 + 6.9 / np.maximum(reynolds, LAMINAR))
    factor = np.where(reynolds < LAMINAR, 64 / reynolds, 1 / root**2)
    return np.asarray(factor * length_m / bore_m * density * speed**2 / 2 / PASCAL)

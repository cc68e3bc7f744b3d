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
        saturation at the pump's intake, for gas and for the head that the pump needs  [bar]
    pumped : False where wells flow by themselves; static_m is negative where a shut well stands under pressure
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
    pumped: bool = True

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

    def friction(self, flow: Floats) -> Floats:
        """Lost to friction on the way up one producer  [kg/s] -> [bar]."""
        return friction_bar(flow, narrow(self.bore_m), self.depth_m, self.density, self.viscosity)

    def missing_bar(self, flow: Floats) -> Floats:
        """Pressure that a producer lacks to bring a flow to the wellhead at the pressure kept there  [kg/s] -> [bar].

        Negative where a column of liquid rises by itself: the pressure of the reservoir is more than the weight of the
        column, what the flow draws down, friction and the pressure of the wellhead.
        """
        lift = self.static_m * self.column_bar_per_m + flow / self.productivity
        return self.wellhead_bar - self.air_bar + lift + self.friction(flow)

    def production_kw(self, flow: Floats) -> Floats:
        """Power of the pump of one producer at a flow  [kg/s] -> [kW]; none where the well flows by itself."""
        if not self.pumped:
            return np.zeros_like(flow * self.density)
        return hydraulic_kw(flow, np.maximum(self.missing_bar(flow), 0.0), self.density) / self.efficiency

    def feed_zone_bar(self, flow: Floats) -> Floats:
        """Absolute pressure at the feed zone of an injector that takes a flow  [kg/s] -> [bar]."""
        return self.air_bar + (self.depth_m - self.static_m) * self.column_bar_per_m + flow / self.injectivity

    def injection_bar(self, flow: Floats, temperature: Floats) -> Floats:
        """Absolute pressure at the wellhead of an injector that takes a flow  [kg/s], [degC] -> [bar].

        temperature : of the brine going down. Cool brine is heavy, which helps; below the pressure of the air the water
        of the well stands lower than its head.
        """
        return self._down_bar(flow, water_density(temperature), water_viscosity(temperature))

    def _down_bar(self, flow: Floats, density: Floats, viscosity: Floats) -> Floats:
        friction = friction_bar(flow, narrow(self.bore_m), self.depth_m, density, viscosity)
        return self.feed_zone_bar(flow) + friction - density * GRAVITY * self.depth_m / PASCAL

    def injection_kw(self, flow: Floats, temperature: Floats) -> Floats:
        """Power to put a flow back down one injector  [kg/s], [degC] -> [kW]; none where its own weight suffices."""
        density = water_density(temperature)
        at_wellhead = self._down_bar(flow, density, water_viscosity(temperature))
        head = at_wellhead - (self.wellhead_bar - self.plant_drop_bar)
        return hydraulic_kw(flow, np.maximum(head, 0.0), density) / self.efficiency


def hydraulic_kw(flow: Floats, head_bar: Floats, density: Floats) -> Floats:
    """Power that a flow gains with a rise of pressure, m dp / rho  [kg/s], [bar], [kg/m3] -> [kW].

    >>> round(hydraulic_kw(80.0, 300 * 917 * 9.80665 / 1e5, 917.0), 4)
    235.3596
    """
    return flow * head_bar * PASCAL / density / 1000


def friction_bar(flow: Floats, bore_m: Floats, length_m: Floats, density: Floats, viscosity: Floats) -> Floats:
    """Pressure lost in a straight pipe of commercial steel, f (L / D) rho v^2 / 2  [bar].

    flow : [kg/s];  bore_m, length_m : [m];  density : [kg/m3];  viscosity : [Pa s]; all broadcast
    Source: Darcy-Weisbach, any textbook.

    >>> round(float(friction_bar(80.0, 0.2205, 1000.0, 917.0, 1.82e-4)), 2)
    1.54
    """
    speed = mean_speed(flow, bore_m, density)
    factor = friction_factor(density * speed * bore_m / viscosity, ROUGHNESS_M / bore_m)
    return np.asarray(factor * length_m / bore_m * density * speed**2 / 2 / PASCAL)


def mean_speed(flow: Floats, bore_m: Floats, density: Floats) -> Floats:
    """Mean speed in a full pipe  [kg/s], [m], [kg/m3] -> [m/s]."""
    return flow / density / (np.pi * bore_m**2 / 4)


def friction_factor(reynolds: Floats, roughness: Floats) -> Floats:
    """Friction factor of Darcy and Weisbach, four times that of Fanning, all broadcast  [1].

    reynolds : any, at least 1 is taken;  roughness : height over bore, 0 to 0.05
    Source: S. E. Haaland, J. Fluids Eng. 105 (1983), p. 89, within 2 % of Colebrook for turbulent flow; it needs no search,
    and pumps are asked for again and again. Below a Reynolds number of 2,300, 64 / Re.

    >>> round(float(friction_factor(126_400.0, 0.000042)), 4)
    0.0172
    """
    reynolds = np.maximum(reynolds, 1.0)
    root = -1.8 * np.log10((roughness / 3.7) ** 1.11 + 6.9 / np.maximum(reynolds, LAMINAR))
    return np.where(reynolds < LAMINAR, 64 / reynolds, 1 / root**2)

"""A plant known by a quote or a record: its net output, and how that moves with air, brine temperature and flow."""

from dataclasses import dataclass

import numpy as np

from geoecon.arrays import Floats


@dataclass(frozen=True)
class StatedPlant:
    """Net output as stated.

    net_kw, gross_kw : (scenario,) at the design point  [kW]
    monthly_kw : twelve net outputs with everything in service, or None for net_kw in every month  [kW]
    air_slope, brine_slope : (scenario,) share of net_kw lost per kelvin  [1/K]
    factor : (scenario,) multiplies the output  [1];  design_flow : (scenario,) brine, NaN where not stated  [kg/s]
    """

    net_kw: Floats
    gross_kw: Floats
    monthly_kw: tuple[float, ...] | None
    air_slope: Floats
    brine_slope: Floats
    factor: Floats
    design_flow: Floats

    def in_weather(self, month: int, warmer_K: Floats) -> Floats:
        """Net output of a month at design brine, (scenario,), given the air above the design (or stated) air  [kW]."""
        base = self.net_kw if self.monthly_kw is None else np.full_like(self.net_kw, self.monthly_kw[month])
        return np.maximum((base - self.net_kw * self.air_slope * warmer_K) * self.factor, 0.0)

    def share_left(self, cooler_K: Floats, flow: Floats, flow_limit: Floats) -> Floats:
        """Share of design output that a cooler and weaker field leaves, any shape; flow counts up to the limit.

        Output is taken as proportional to flow and linear in brine temperature: what a quote can support.
        """
        of_flow = np.where(np.isnan(self.design_flow), 1.0, np.minimum(flow, flow_limit) / self.design_flow)
        return np.maximum(of_flow * (1 - self.brine_slope * cooler_K), 0.0)

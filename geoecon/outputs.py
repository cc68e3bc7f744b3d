"""What a plant gives over temperatures of air and brine: in the months of year 1, and as its field cools.

Where a wet tower cools the plant, air stands for its wet bulb.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np

from geoecon.arrays import Floats
from geoecon.case import Case
from geoecon.later import LaterMapping
from geoecon.plant.chosen import ChosenMap
from geoecon.plant.designed import BuiltMap, BuiltPlant
from geoecon.plant.flash import SteamPlant
from geoecon.plant.stated import StatedPlant
from geoecon.preparing.basics import wide
from geoecon.preparing.climate import design_sink, monthly_sink, sink_in_parts
from geoecon.preparing.plants import MappedPlant, PlantMap, beyond_map, in_map, plant_map
from geoecon.result import Output
from geoecon.sizing import Design, FieldYears, plant_and_pumps

POINTS = 41  # of a line
COOLER_K = 15.0  # below the design point that a line over brine goes at least
MONTHS, AIR, YEARS, BRINE, HOTTEST = "months", "air", "years", "brine", "hottest"


@dataclass(frozen=True)
class _Unit:
    """A unit as ordered and its field over the years; `limit_kw` (scenario,) is the most it may run at."""

    case: Case
    design: Design
    field: FieldYears
    limit_kw: Floats

    @property
    def plant(self) -> MappedPlant:
        """The plant, which is known by a map."""
        assert not isinstance(self.design.plant, StatedPlant)
        return self.design.plant

    @property
    def pumps_kw(self) -> Floats:
        """What well pumps take in each year, (year, scenario)  [kW]."""
        assert self.field.plan is not None
        pumping = plant_and_pumps(self.case, self.plant, self.design.inlet)
        return np.add(*pumping.pump_kw(self.field.plan.producers, self.field.flow))

    def map_over(self, brine: Floats, plant: MappedPlant | None = None) -> PlantMap:
        """The map of the plant, or of another, over brine temperatures, (n, scenario)."""
        return plant_map(self.case, plant or self.plant, self.design.inlet, brine)

    def net(self, powers: PlantMap, brine: Floats, air: Floats, flow: Floats, pumps_kw: Floats) -> Floats:
        """Unit net that it may run at, (air, year, scenario)  [kW].

        brine, flow, pumps_kw : (year, scenario);  air : (air, scenario)
        """
        each = powers.monthly(brine, air, flow / self.design.brine_flow)
        made = np.array([net for _, net in each]) * self.case.plant.performance_factor * flow - pumps_kw
        return np.clip(made, 0.0, self.limit_kw)

    def output(self, at: Floats, life: Floats, power: Callable[[PlantMap], Floats]) -> Output:
        """Power by the map of the plant over brine of the `life`, and by that of the best cycle where it is another."""
        ideal = self.plant.ideal if isinstance(self.plant, BuiltPlant) else None
        best = None if ideal is None else power(self.map_over(life, ideal))
        return Output(at, power(self.map_over(life)), best, self.limit_kw)

    def over_air(self, air: Floats) -> Output:
        """In year 1, over air temperatures of any shape (..., scenario)."""
        field, rows = self.field, air.reshape(-1, air.shape[-1])
        brine = in_map(self.case, self.plant, field.brine, field.brine)[:1]

        def power(powers: PlantMap) -> Floats:
            return self.net(powers, brine, rows, field.flow[:1], self.pumps_kw[:1])[:, 0].reshape(air.shape)

        return self.output(air, field.brine, power)

    def over_brine(self, brine: Floats, flow: Floats, pumps_kw: Floats) -> Output:
        """At design air, over brine temperatures, flows and what pumps take, (n, scenario)."""
        air, held = design_sink(self.case).reshape(1, -1), in_map(self.case, self.plant, brine, brine)
        return self.output(brine, brine, lambda powers: self.net(powers, held, air, flow, pumps_kw)[0])

    def months(self) -> Output:
        """In equal parts of the months of year 1, (month, part, scenario)."""
        return self.over_air(sink_in_parts(self.case))

    def air(self) -> Output:
        """A line from the coolest to the warmest part of year 1 and the design point, (point, scenario)."""
        every = np.vstack([*sink_in_parts(self.case), design_sink(self.case)])
        return self.over_air(np.linspace(every.min(axis=0), every.max(axis=0), POINTS))

    def years(self) -> Output:
        """The operating years at design air, with the flow and the wells of each, (year, scenario)."""
        return self.over_brine(self.field.brine, self.field.flow, self.pumps_kw)

    def brine(self) -> Output:
        """A line of the design flow at design air, from cool brine to the hottest of the life, (point, scenario)."""
        design, life = self.design, self.field.brine
        own, cool = life.min(axis=0), np.minimum(life.min(axis=0), design.inlet - COOLER_K)
        cool = np.where(
            beyond_map(self.case, self.plant, cool[None]), own, cool
        )  # a vendor's table need not reach so far
        line = np.linspace(cool, np.maximum(life.max(axis=0), design.inlet), POINTS)
        pumps = wide(self.case, design.production_kw + design.injection_kw)
        return self.over_brine(line, np.broadcast_to(design.brine_flow, line.shape), np.broadcast_to(pumps, line.shape))

    def hottest(self) -> Output:
        """Plant net of the design flow and brine in the air of the hottest month and in that of the map on either side of it.

        (3, scenario): below, at and above it; three times the same where nothing is read off a map.
        """
        powers, design, air = self.map_over(self.field.brine), self.design, monthly_sink(self.case).max(axis=0)
        sides = np.stack([air, air, air])
        if (grid := _air_of(powers)) is not None:
            above = np.clip(np.searchsorted(grid, air, side="right"), 1, len(grid) - 1)
            sides[0], sides[2] = grid[above - 1], grid[above]
        return Output(sides, powers.at(design.inlet, sides)[1] * self.case.plant.performance_factor * design.brine_flow)


def _air_of(powers: PlantMap) -> Floats | None:
    """Air temperatures on which a map stands, None where a plant is worked out at each."""
    if isinstance(powers, SteamPlant):
        return None
    one = powers.maps[0] if isinstance(powers, ChosenMap) else powers
    return one.whole.air if isinstance(one, BuiltMap) else one.air


def outputs(case: Case, design: Design, field: FieldYears, limit_kw: Floats) -> Mapping[str, Output]:
    """Power of the unit over temperatures by name, each made at the first look; none of a stated plant.

    `months` and `air` are unit net in year 1 over air, `years` and `brine` unit net at design air over brine; all at most
    `limit_kw`, (scenario,).  `hottest` is plant net in the hottest month and at the air of the map around it.
    """
    if isinstance(design.plant, StatedPlant):
        return {}
    unit = _Unit(case, design, field, limit_kw)
    made = {MONTHS: unit.months, AIR: unit.air, YEARS: unit.years, BRINE: unit.brine, HOTTEST: unit.hottest}
    return LaterMapping(made, lambda name: made[name]())

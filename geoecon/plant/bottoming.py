"""A binary unit that takes the brine of a separator, cooled by air."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from geoecon.arrays import Floats
from geoecon.plant.designed import BuiltMap, BuiltPlant
from geoecon.plant.mapped import AIR_STEP, BRINE_STEP, BinaryPlant
from geoecon.plant.maps import PerformanceMap, binary_map

FLOOR_STEP = 5.0  # limits of silica are taken up to the next multiple, so that a few cycles serve for many
AnyBinary = BinaryPlant | BuiltPlant


@dataclass(frozen=True)
class Bottoming:
    """The unit as ordered: a plant for each limit of the brine, and which of them each scenario has.

    plants : each with where it holds, (scenario,);  brine : (scenario,) at its inlet, that of the separator  [degC]
    left : (scenario,) share of what the wells bring that reaches it at the design point  [1]
    """

    plants: tuple[tuple[AnyBinary, np.ndarray], ...]
    brine: Floats
    left: Floats

    def at(self, brine: Floats, air: Floats) -> tuple[Floats, Floats, Floats]:
        """Gross, net and injection temperature per kg of its brine, (..., scenario)  [kW per kg/s], [kW per kg/s], [degC].

        brine : of what comes to the separator, which leaves it no hotter  [degC]
        """
        each = [(powers.at(inlet, air), here) for powers, inlet, here in self._maps(brine, air)]
        gross, net, leaves = (_joined([(values[n], here) for values, here in each]) for n in range(3))
        return gross, net, leaves

    def monthly(self, brine: Floats, air: Floats, left: Floats, flow: Floats | None) -> Iterator[tuple[Floats, Floats]]:
        """Gross and net of one month after another, per kg of its brine, (year, scenario)  [kW per kg/s].

        brine : (year, scenario) as for `at`;  left : (year, scenario) share of what comes that is brine  [1]
        flow : of the wells over that of the design
        """
        width = np.broadcast_shapes(brine.shape[1:], air.shape[1:], self.brine.shape)
        years, months = (np.broadcast_to(values, (len(values), *width)) for values in (brine, air))
        share = np.broadcast_to(left / self.left * (1.0 if flow is None else flow), years.shape)
        each = [(powers.monthly(inlet, months, share), here) for powers, inlet, here in self._maps(years, months)]
        for _ in range(len(air)):
            of_month = [(next(values), here) for values, here in each]
            gross, net = (_joined([(values[n], here) for values, here in of_month]) for n in range(2))
            yield gross, net

    def _maps(self, brine: Floats, air: Floats) -> Iterator[tuple[PerformanceMap | BuiltMap, Floats, np.ndarray]]:
        """The map of each plant, its brine, NaN where it does not hold, and where it holds."""
        for plant, here in self.plants:
            inlet = np.where(here, np.minimum(self.brine, brine), np.nan)
            yield plant.over(inlet, air), inlet, here


def _joined(parts: list[tuple[Floats, np.ndarray]]) -> Floats:
    """Values of each scenario from the plant that it has; 0 where it has none."""
    found: Floats = np.zeros(())
    for values, here in parts:
        found = np.where(here, values, found)
    return found


@dataclass(frozen=True)
class ToBottom:
    """A binary unit that is to be ordered.

    plant : without a limit by silica;  as_built : from a plant and its brine, (scenario,), to that ordered
    """

    plant: BinaryPlant
    as_built: Callable[[BinaryPlant, Floats], AnyBinary]

    def net(self, brine: Floats, floor: Floats, air: Floats) -> Floats:
        """Net power per kg of brine that may leave no cooler than a floor, broadcast  [degC] -> [kW per kg/s]; 0 or more."""
        brine, floor, air = np.broadcast_arrays(brine, _up(floor), air)
        found = np.zeros(brine.shape)
        for limit in np.unique(floor[np.isfinite(floor) & (floor < brine)]):
            here = (floor == limit) & (floor < brine)
            powers = _small_map(
                self._limited(limit), *(_around(t[here], s) for t, s in ((brine, BRINE_STEP), (air, AIR_STEP)))
            )
            found[here] = powers.at(brine[here], air[here])[1]
        return np.maximum(found, 0.0)

    def ordered(self, brine: Floats, floor: Floats, left: Floats) -> Bottoming:
        """The unit for the brine of a separator, its floor and its share of what comes, (scenario,)."""
        limits = np.where(np.isfinite(brine), _up(floor), np.nan)
        plants = []
        for limit in np.unique(limits[np.isfinite(limits)]):
            here = limits == limit
            plants.append((self.as_built(self._limited(limit), np.where(here, brine, np.nan)), here))
        return Bottoming(tuple(plants), brine, left)

    def _limited(self, limit: float) -> BinaryPlant:
        return BinaryPlant(self.plant.fluid, replace(self.plant.terms, silica_degC=float(limit)))


@lru_cache(maxsize=64)
def _small_map(plant: BinaryPlant, brine: tuple[int, int], air: tuple[int, int]) -> PerformanceMap:
    """A map on the points of the grid of all maps, no larger than is asked: many limits are tried."""
    grid, grid_air = (
        np.arange(low, high + 1, dtype=np.float64) * step
        for (low, high), step in ((brine, BRINE_STEP), (air, AIR_STEP))
    )
    return binary_map(plant.fluid, plant.terms, grid, grid_air)


def _around(values: Floats, step: float) -> tuple[int, int]:
    """The points of a grid around values."""
    low = int(np.floor(values.min() / step))
    return low, max(int(np.ceil(values.max() / step)), low + 1)


def _up(floor: Floats) -> Floats:
    return np.ceil(np.asarray(floor) / FLOOR_STEP) * FLOOR_STEP

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

    def at(self, air: Floats) -> tuple[Floats, Floats, Floats]:
        """Gross, net and injection temperature, (..., scenario), per kg of its brine  [kW per kg/s], [kW per kg/s], [degC]."""
        parts = [(powers.at(*self._of(here, air)), here) for powers, here in self._maps(air)]
        return tuple(_joined([(values[n], here) for values, here in parts]) for n in range(3))  # type: ignore[return-value]

    def monthly(
        self, shape: tuple[int, ...], air: Floats, left: Floats, flow: Floats | None
    ) -> Iterator[tuple[Floats, Floats]]:
        """Gross and net of one month after another, per kg of its brine, (year, scenario)  [kW per kg/s].

        left : (year, scenario) share of what comes that is brine  [1];  flow : of the wells over that of the design
        """
        share = left / self.left * (1.0 if flow is None else flow)
        months = [
            (powers.monthly(*self._of(here, np.broadcast_to(air, (len(air), shape[1])), shape), share), here)
            for powers, here in self._maps(air)
        ]
        for _ in range(len(air)):
            of_month = [(next(each), here) for each, here in months]
            yield (
                _joined([(values[0], here) for values, here in of_month]),
                _joined([(values[1], here) for values, here in of_month]),
            )

    def _maps(self, air: Floats) -> Iterator[tuple[PerformanceMap | BuiltMap, np.ndarray]]:
        for plant, here in self.plants:
            yield plant.over(np.where(here, self.brine, np.nan), np.asarray(air).ravel()), here

    def _of(self, here: np.ndarray, air: Floats, shape: tuple[int, ...] | None = None) -> tuple[Floats, Floats]:
        brine = np.where(here, self.brine, np.nan)
        return (brine if shape is None else np.broadcast_to(brine, shape)), air


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

"""Several plants known by maps, one of them in each scenario."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, fields, replace
from typing import Any, TypeVar

import numpy as np

from geoecon.arrays import Bools, Floats
from geoecon.plant.binary import CycleTerms
from geoecon.plant.designed import BuiltMap, BuiltPlant
from geoecon.plant.mapped import BinaryPlant
from geoecon.plant.maps import PerformanceMap

T = TypeVar("T")


@dataclass(frozen=True)
class ChosenMap:
    """Maps of several plants, and which of them is that of each scenario; `which` is (scenario,)."""

    maps: tuple[PerformanceMap | BuiltMap, ...]
    which: np.ndarray

    def at(self, brine: Floats, air: Floats) -> tuple[Floats, Floats, Floats]:
        """As of any map; the last axis is that of scenarios."""
        brine, air = (self._wide(values) for values in np.broadcast_arrays(brine, air))
        each = (powers.at(brine[..., here], air[..., here]) for powers, here in self._parts())
        gross, net, injection = (self._joined(values) for values in zip(*each, strict=True))
        return gross, net, injection

    def monthly(self, brine: Floats, air: Floats, flow: Floats | None = None) -> Iterator[tuple[Floats, Floats]]:
        """As of any map."""
        brine, air = self._wide(brine), self._wide(air)
        flow = None if flow is None else self._wide(flow)
        each = (
            powers.monthly(brine[:, here], air[:, here], None if flow is None else flow[:, here])
            for powers, here in self._parts()
        )
        for month in zip(*each, strict=True):
            gross, net = (self._joined(values) for values in zip(*month, strict=True))
            yield gross, net

    def _parts(self) -> Iterator[tuple[PerformanceMap | BuiltMap, Bools]]:
        return ((powers, self.which == k) for k, powers in enumerate(self.maps))

    def _wide(self, values: Floats) -> Floats:
        return np.broadcast_to(values, (*np.shape(values)[:-1], self.which.size))

    def _joined(self, values: Sequence[Floats]) -> Floats:
        """Values of the scenarios of each map in the order of the scenarios."""
        found = np.empty((*values[0].shape[:-1], self.which.size))
        for k, of_map in enumerate(values):
            found[..., self.which == k] = of_map
        return found


@dataclass(frozen=True)
class ChosenPlant:
    """Binary plants, and which of them is that of each scenario, (scenario,); every one is that of some scenario.

    A plant as built is one for the scenarios that it is that of, in their order.
    """

    plants: tuple[BinaryPlant | BuiltPlant, ...]
    which: np.ndarray

    @property
    def terms(self) -> CycleTerms:
        """Parts of the plants, which differ in the fluid alone."""
        return self.plants[0].terms

    def covers(self, brine: Floats, air: Floats) -> Bools:
        """Whether maps can be made for temperatures."""
        return self.plants[0].covers(brine, air)

    def range_in_words(self) -> str:
        """What maps can be made for."""
        return self.plants[0].range_in_words()

    def over(self, brine: Floats, air: Floats) -> ChosenMap:
        """The maps that cover brine and air temperatures, NaN passed over."""
        wide = np.broadcast_to(brine, (*np.shape(brine)[:-1], self.which.size))
        each = (plant.over(wide[..., self.which == k], air) for k, plant in enumerate(self.plants))
        return ChosenMap(tuple(each), self.which)


def chosen_plant(plants: Sequence[Any], which: np.ndarray) -> Any:
    """The plant of each scenario, of several that are each known for all scenarios; one plant where all take the same."""
    taken = np.unique(which)
    if taken.size == 1:
        return plants[taken[0]]
    return ChosenPlant(tuple(_for_some(plants[k], which == k) for k in taken), np.searchsorted(taken, which))


def of_one(plant: object) -> object:
    """One of the plants where there are several, which differ in the fluid alone; otherwise the plant."""
    return plant.plants[0] if isinstance(plant, ChosenPlant) else plant


def _for_some(plant: BinaryPlant | BuiltPlant, here: Bools) -> BinaryPlant | BuiltPlant:
    """A plant for some of the scenarios."""
    if isinstance(plant, BinaryPlant):
        return plant
    return replace(plant, brine=plant.brine[here], air=plant.air[here])


def of_each(parts: Sequence[T], which: np.ndarray) -> T:
    """One thing of what several give: arrays (scenario,) from the part that `which` names, dataclasses field by field.

    What is the same thing in all parts stays as it is.
    """
    first: Any = parts[0]
    if all(part is first for part in parts):
        return parts[0]
    if isinstance(first, np.ndarray):
        wide: Any = np.stack([np.broadcast_to(np.asarray(part), which.shape) for part in parts])
        return wide[which, np.arange(which.size)]  # type: ignore[no-any-return]
    columns = {f.name: of_each([getattr(part, f.name) for part in parts], which) for f in fields(first)}
    return replace(first, **columns)  # type: ignore[no-any-return]

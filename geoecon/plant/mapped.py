"""Plants known by a map: a binary cycle worked out, or a vendor's table."""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from geoecon.arrays import Bools, Floats
from geoecon.plant.binary import CycleTerms
from geoecon.plant.maps import MapRangeError, PerformanceMap, binary_map

BRINE_STEP, AIR_STEP = 2.5, 3.0
BRINE_BLOCK, AIR_BLOCK = 30.0, 6.0  # in which maps are made, so that one serves again for what is asked nearly the same
BRINE_LIMITS, AIR_LIMITS = (30.0, 300.0), (-60.0, 60.0)
Range = tuple[float, float]


@dataclass(frozen=True)
class BinaryPlant:
    """A binary cycle with a working fluid; its map is made for the temperatures that are asked."""

    fluid: str
    terms: CycleTerms

    def over(self, brine: Floats, air: Floats) -> PerformanceMap:
        """The map that covers brine and air temperatures, NaN passed over.

        The grid stands on whole multiples of its steps, so that what is read off it does not depend on what else was
        asked. Raises `MapRangeError` beyond the temperatures that a map is made for.
        """
        return _grid_map(self.fluid, self.terms, *ranges(brine, air))

    def covers(self, brine: Floats, air: Floats) -> Bools:
        """Whether a map can be made for temperatures."""
        return np.asarray(
            (brine >= BRINE_LIMITS[0]) & (brine <= BRINE_LIMITS[1]) & (air >= AIR_LIMITS[0]) & (air <= AIR_LIMITS[1])
        )

    def range_in_words(self) -> str:
        """What a map can be made for."""
        return _range(BRINE_LIMITS, AIR_LIMITS)


@dataclass(frozen=True)
class VendorPlant:
    """A plant known by a vendor's table, which covers what it covers."""

    powers: PerformanceMap

    def over(self, brine: Floats, air: Floats) -> PerformanceMap:
        """The table; looking it up outside its range raises `MapRangeError`."""
        return self.powers

    def covers(self, brine: Floats, air: Floats) -> Bools:
        """Whether the table holds temperatures."""
        return self.powers.covers(brine, air)

    def range_in_words(self) -> str:
        """What the table holds."""
        brine, air = self.powers.brine, self.powers.air
        return _range((float(brine[0]), float(brine[-1])), (float(air[0]), float(air[-1])))


def _range(brine: Range, air: Range) -> str:
    return f"brine {brine[0]:.0f} to {brine[1]:.0f} degC, air {air[0]:.0f} to {air[1]:.0f} degC"


def ranges(brine: Floats, air: Floats) -> tuple[Range, Range]:
    """The ranges of whole blocks around brine and air temperatures, NaN passed over."""
    return _blocks(brine, BRINE_LIMITS, BRINE_BLOCK, "brine"), _blocks(air, AIR_LIMITS, AIR_BLOCK, "air")


def _blocks(values: Floats, limits: Range, block: float, what: str) -> Range:
    known = values[np.isfinite(values)]
    if not known.size:  # nothing will be read off it
        return limits[0], limits[0] + block
    low, high = float(known.min()), float(known.max())
    if low < limits[0] or high > limits[1]:
        raise MapRangeError(
            f"{what} from {low:.1f} to {high:.1f} degC is outside what a plant's map is made for, {limits[0]:.0f} to "
            f"{limits[1]:.0f} degC"
        )
    return float(np.floor(low / block) * block), float(np.floor(high / block) * block + block)


@lru_cache(maxsize=64)
def _grid_map(fluid: str, terms: CycleTerms, brine: Range, air: Range) -> PerformanceMap:
    grids = (np.arange(low, high + step / 2, step) for (low, high), step in ((brine, BRINE_STEP), (air, AIR_STEP)))
    return binary_map(fluid, terms, *grids)

"""A binary cycle with two pressures: fluid boils at two temperatures, so that the brine cools along it in two steps.

Both streams are of one fluid, come from one condenser by pumps of their own and expand in turbines of their own. The brine
meets them in the order of their temperatures, so that what counts is the heat that both ask above each temperature.
"""

from dataclasses import dataclass, replace

import numpy as np

from geoecon.arrays import Floats
from geoecon.plant.binary import (
    FAR,
    Candidates,
    Cycle,
    CycleTerms,
    best_of,
    brine_heat,
    candidates,
    condensing,
    idle,
    power,
)
from geoecon.plant.properties import FluidTable
from geoecon.resource.water import temperature_of_enthalpy, water_enthalpy

FIRST_STEP = 20  # evaporations between those that are tried first
REFINED = ((5, 4), (1, 5))  # then: how far apart, and how many on each side of the best
NEAR_K = 1.0  # of an evaporation that is fixed


@dataclass(frozen=True)
class _Levels:
    """Machines of either level, and what they ask of the brine.

    grid : (j)  [degC];  asked : (j)  brine enthalpy that the pinch asks at them
    drawn : (machine, j)  heat from a grid temperature to the hot end, all of it where the fluid is never so cold  [kJ/kg]
    total, at_bubble, at_end : (machine)  all heat; brine enthalpy asked at the bubble point and at the cold end  [kJ/kg]
    below : (machine)  grid temperature below the evaporation;  share : of the way from there to the next
    """

    made: Candidates
    grid: Floats
    asked: Floats
    drawn: Floats
    total: Floats
    at_bubble: Floats
    at_end: Floats
    below: np.ndarray
    share: Floats

    def drawn_at_bubble_of(self, high: np.ndarray, low: np.ndarray) -> Floats:
        """Heat that the upper level takes above the temperature at which the lower one boils."""
        at, share = self.below[low], self.share[low]
        return np.asarray(self.drawn[high, at] * (1 - share) + self.drawn[high, at + 1] * share)

    def apart(self, high: np.ndarray, low: np.ndarray) -> np.ndarray:
        """Whether a pair is far enough apart to be two levels."""
        lower = np.maximum(self.grid[self.below + 1], self.made.boiling + self.made.superheat)
        return np.asarray(self.made.boiling[high] > lower[low])


@dataclass(frozen=True)
class _Brine:
    """Brine, (n, 1) each.

    hottest : at the inlet  [degC];  heat, least : there, and as cool as it may leave  [kJ/kg]
    """

    hottest: Floats
    heat: Floats
    least: Floats


def dual_cycles(table: FluidTable, terms: CycleTerms, brine_degC: Floats, air_degC: float, dry: Floats) -> Cycle:
    """The best cycle with two evaporations for each brine temperature, (n,), at one air temperature.

    dry : `least_quality(table, terms)`;  an evaporation that the terms fix is that of the upper level, the nearest of the table
    The upper level takes all the brine's heat that its pinch lets it; what is left serves the lower one. The pair is searched
    among the evaporations of the table, coarsely over all and then around the best for each brine. One level alone is among
    what is tried.
    """
    brine = np.asarray(brine_degC)
    made = candidates(table, replace(terms, evaporating_degC=None), float(condensing(air_degC, terms)), dry)
    made = made.that(made.can)  # whatever the brine, so that a pair does not depend on what else is asked
    upper = _upper_levels(made, terms.evaporating_degC)
    if not upper.size:
        return idle(brine)
    side = _Brine(brine[:, None], water_enthalpy(brine)[:, None], water_enthalpy(terms.floor(brine))[:, None])
    levels, last = _levels(table, made, terms), len(made.can) - 1
    high, low = _every(upper[::FIRST_STEP], np.arange(0, last + 1, FIRST_STEP))
    high, low = high[:, high[0] >= low[0]], low[:, high[0] >= low[0]]
    for step, sides in REFINED:
        best = _columns(levels, terms, side, high, low)["net"].argmax(axis=1)
        around = np.arange(-sides, sides + 1) * step
        up, down = _every(around, around)
        high = np.clip(_of_each(high, best) + up, upper[0], upper[-1])
        low = np.clip(_of_each(low, best) + down, 0, last)
    return best_of(brine, _columns(levels, terms, side, high, low))


def _upper_levels(made: Candidates, fixed_degC: float | None) -> np.ndarray:
    """Machines that the upper level may be: all, or the one nearest to an evaporation that is fixed."""
    if fixed_degC is None:
        return np.arange(len(made.can))
    off = np.abs(made.boiling - fixed_degC)
    return np.flatnonzero((off == off.min(initial=np.inf)) & (off <= NEAR_K))


def _every(up: np.ndarray, down: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Every one with every other, (1, pair) each."""
    first, second = np.meshgrid(up, down, indexing="ij")
    return first.ravel()[None, :], second.ravel()[None, :]


def _of_each(rows: np.ndarray, best: np.ndarray) -> np.ndarray:
    """The best of the rows tried for each brine, (n, 1); rows are (n or 1, pair)."""
    return np.asarray(np.take_along_axis(np.broadcast_to(rows, (len(best), rows.shape[1])), best[:, None], axis=1))


def _levels(table: FluidTable, made: Candidates, terms: CycleTerms) -> _Levels:
    grid = table.temperature
    total = made.top - made.cold
    own, asked = made.gap[:, : len(grid)], made.wanted[:, : len(grid)]
    superheating = grid < (made.boiling + made.superheat)[:, None]
    superheat = np.where(superheating, made.gap[:, len(grid) + 1, None], 0.0)  # all of it at once
    drawn = np.where(asked > -FAR, own, np.where(grid <= made.entering[:, None], total[:, None], superheat))
    below = np.clip(np.searchsorted(grid, made.boiling, side="right") - 1, 0, len(grid) - 2)
    share = (made.boiling - grid[below]) / (grid[below + 1] - grid[below])
    return _Levels(
        made, grid, brine_heat(grid + terms.pinch_K), drawn, total, brine_heat(made.boiling + terms.pinch_K),
        brine_heat(made.entering + terms.pinch_K), below, share,
    )  # fmt: skip


def _columns(levels: _Levels, terms: CycleTerms, side: _Brine, high: np.ndarray, low: np.ndarray) -> dict[str, Floats]:
    """Columns of a `Cycle`, (n, pair), for pairs of machines, (n or 1, pair); one level alone where they are not apart."""
    made = levels.made
    ratio = _upper(levels, terms, side, high)
    second = _lower(levels, side, high, low, ratio)
    flows = (ratio * values[high] + second * values[low] for values in (made.work, made.pump, made.heat_out))
    heat_in = ratio * levels.total[high] + second * levels.total[low]
    rest = {name: np.broadcast_to(getattr(made, name)[high], ratio.shape) for name in ("superheat", "pressure")}
    return (
        power(terms, *flows)
        | rest
        | {
            "evaporating": np.broadcast_to(made.boiling[high], ratio.shape),
            "low_evaporating": np.where(second > 0, made.boiling[low], 0.0),
            "low_ratio": second,
            "injection": temperature_of_enthalpy(side.heat - heat_in),
            "fluid_ratio": ratio + second,
            "heat_in": heat_in,
        }
    )


def _upper(levels: _Levels, terms: CycleTerms, side: _Brine, high: np.ndarray) -> Floats:
    """Fluid of the upper level, (n, pair): as much as it could have alone."""
    made = levels.made
    most = ((side.heat[:, :, None] - made.wanted[high]) / made.gap[high]).min(axis=2)
    most = np.minimum(most, (side.heat - side.least) / levels.total[high])
    hot_enough = (made.boiling + made.superheat)[high] + terms.pinch_K <= side.hottest
    return np.asarray(np.where(hot_enough, np.maximum(most, 0.0), 0.0))


def _lower(levels: _Levels, side: _Brine, high: np.ndarray, low: np.ndarray, ratio: Floats) -> Floats:
    """Fluid of the lower level, (n, pair): what the upper one leaves at every temperature down to the cold end."""
    made, total = levels.made, levels.total
    left = side.heat[:, :, None] - levels.asked - ratio[:, :, None] * levels.drawn[high]
    own = levels.drawn[low]
    between = (own > 0) & (levels.grid > made.entering[low][..., None])
    most = np.where(between, left / np.where(own > 0, own, 1.0), np.inf).min(axis=2)
    at_bubble = side.heat - levels.at_bubble[low] - ratio * levels.drawn_at_bubble_of(high, low)
    at_end = side.heat - np.maximum(levels.at_end[high], side.least) - ratio * total[high]
    most = np.minimum(most, np.minimum(at_bubble / made.gap[low, len(levels.grid)], at_end / total[low]))
    fits = levels.apart(high, low) & (ratio > 0)
    return np.asarray(np.where(fits, np.maximum(most, 0.0), 0.0))

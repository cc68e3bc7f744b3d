"""Plants as built for design points: each solved on a lattice of design points, a scenario's read between its neighbours.

So ten thousand scenarios that are each sized for themselves need a few plants, and one scenario gives the same bits alone as
among others.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from functools import lru_cache

import numpy as np

from geoecon.arrays import Bools, Floats, narrow
from geoecon.plant.binary import Cycle, CycleTerms, cycles, least_quality
from geoecon.plant.built import Fluid, Keeping, bought
from geoecon.plant.in_service import Plant, in_service
from geoecon.plant.mapped import AIR_STEP, BRINE_STEP, BinaryPlant, Range, ranges
from geoecon.plant.maps import PerformanceMap
from geoecon.plant.properties import fine_table, fluid_table

FINE_AIR_STEP = 1.5  # a limit that begins to bind bends the power between two points of the grid
PART_FLOW = 0.85  # of the brine of the design, for which plants are solved too: about where make-up wells enter
ROWS_BLOCK = 10.0  # kelvin of brine in which a plant is solved: it meets a few of the temperatures that others meet
NAMES = ("gross", "net", "injection")


@dataclass(frozen=True)
class Grid:
    """Temperatures for which plants are solved, on whole multiples of the steps: ranges of brine and air  [degC]."""

    brine: Range
    air: Range

    @property
    def every_brine(self) -> Floats:
        """(b,)  [degC]."""
        return np.arange(self.brine[0], self.brine[1] + BRINE_STEP / 2, BRINE_STEP)

    @property
    def every_air(self) -> Floats:
        """(a,)  [degC]."""
        return np.arange(self.air[0], self.air[1] + FINE_AIR_STEP / 2, FINE_AIR_STEP)

    def met_by(self, brine: Floats) -> Floats:
        """Coolest and hottest point of the grid that scenarios look at, (2, scenario), in whole blocks.

        brine : (n, scenario), NaN passed over  [degC]. A point more at the hot end, because rounding may look beyond it.
        """
        low, high = np.fmin.reduce(brine), np.fmax.reduce(brine)
        low, high = np.nan_to_num([low, high], nan=self.brine[0])
        high = np.floor(high / ROWS_BLOCK) * ROWS_BLOCK + ROWS_BLOCK + BRINE_STEP
        return np.stack([np.floor(low / ROWS_BLOCK) * ROWS_BLOCK, high])


@dataclass(frozen=True)
class DesignedMap(PerformanceMap):
    """Maps of several plants on one grid, (b, plant, a), and the shares of them that make that of each scenario.

    corners : (corner, scenario) which plants;  shares : of gross, net and injection, (3, corner, scenario)
    """

    corners: np.ndarray
    shares: Floats

    def _point(self, which: str, i: np.ndarray, j: np.ndarray) -> Floats:
        values = getattr(self, which)
        return self._shared(which, (values[i, corner, j] for corner in self.corners))

    def _column(self, which: str, j: np.ndarray) -> Floats:
        values = getattr(self, which)
        return self._shared(which, (values[:, corner, j] for corner in self.corners))

    def _shared(self, which: str, values: Iterator[Floats]) -> Floats:
        parts = (part * share for part, share in zip(values, self.shares[NAMES.index(which)], strict=True))
        return np.asarray(sum(parts, start=np.zeros(())))


@dataclass(frozen=True)
class BuiltMap:
    """What plants as built give at their design flow, `whole`, and at 0.85 of it, `part`, per kg/s that flows.

    Between the two it is linear in the flow; less or more brine gives for each kg/s what the nearer of the two does.
    """

    whole: PerformanceMap
    part: PerformanceMap

    def at(self, brine: Floats, air: Floats) -> tuple[Floats, Floats, Floats]:
        """As of any map, at design flow."""
        return self.whole.at(brine, air)

    def monthly(self, brine: Floats, air: Floats, flow: Floats | None = None) -> Iterator[tuple[Floats, Floats]]:
        """As of any map; `flow`, of the shape of brine, is over that of the design, which it is where none is given."""
        if flow is None:
            yield from self.whole.monthly(brine, air)
            return
        share = share_of_part(flow)
        months = zip(self.whole.monthly(brine, air), self.part.monthly(brine, air), strict=True)
        for (gross, net), (part_gross, part_net) in months:
            yield gross + (part_gross - gross) * share, net + (part_net - net) * share


@dataclass(frozen=True)
class BuiltPlant:
    """A binary plant as built for a design point in each scenario.

    ideal : the same with the best cycle at every temperature;  brine, air : (scenario,) of the design point  [degC]
    """

    ideal: BinaryPlant
    keeping: Keeping
    brine: Floats
    air: Floats
    _made: dict[tuple[Grid, bytes], BuiltMap] = field(default_factory=dict, init=False, repr=False, compare=False)

    @property
    def fluid(self) -> str:
        """Its working fluid."""
        return self.ideal.fluid

    @property
    def terms(self) -> CycleTerms:
        """Parts of the plant."""
        return self.ideal.terms

    def covers(self, brine: Floats, air: Floats) -> Bools:
        """Whether a map can be made for temperatures."""
        return self.ideal.covers(brine, air)

    def range_in_words(self) -> str:
        """What a map can be made for."""
        return self.ideal.range_in_words()

    def over(self, brine: Floats, air: Floats) -> BuiltMap:
        """The map that covers brine and air temperatures and the design point, NaN passed over.

        brine : (..., scenario) where scenarios have design points of their own, each then covered for its own; any  [degC]
        At the design point it gives what the best cycle gives. Raises `MapRangeError` beyond what a map is made for.
        """
        brine_at, air_at = narrow(np.stack(np.broadcast_arrays(self.brine, self.air)))
        grid = Grid(*ranges(np.append(brine, brine_at), np.append(air, air_at)))
        if brine_at.size == 1:
            met = grid.met_by(np.append(brine, brine_at)[:, None])
            return _of_one(self.ideal, self.keeping, float(brine_at[0]), float(air_at[0]), grid, tuple(met[:, 0]))
        met = grid.met_by(np.vstack(np.broadcast_arrays(*np.atleast_2d(brine), brine_at)))
        asked = grid, met.tobytes()
        if asked not in self._made:  # a pass asks several times
            self._made[asked] = _of_many(self.ideal, self.keeping, brine_at, air_at, grid, met)
        return self._made[asked]


@lru_cache(maxsize=64)
def _of_one(ideal: BinaryPlant, keeping: Keeping, brine: float, air: float, grid: Grid, met: Range) -> BuiltMap:
    """The maps of one design point, its neighbours on the lattice already taken together."""
    made = _of_many(ideal, keeping, np.array([brine]), np.array([air]), grid, np.array(met)[:, None])
    return BuiltMap(_together(made.whole), _together(made.part))


def share_of_part(flow: Floats) -> Floats:
    """Share that the map at part flow has at a flow over that of the design, any shape."""
    return np.asarray((1 - np.clip(flow, PART_FLOW, 1.0)) / (1 - PART_FLOW))


def _together(made: PerformanceMap) -> PerformanceMap:
    every = np.arange(len(made.air))
    return PerformanceMap(made.brine, made.air, *(made._column(name, every) for name in NAMES))


def _of_many(ideal: BinaryPlant, keeping: Keeping, brine: Floats, air: Floats, grid: Grid, met: Floats) -> BuiltMap:
    """The maps of design points, (scenario,), solved for the brine that each meets, (2, scenario)."""
    (low_brine, u), (low_air, v) = _lattice(brine, BRINE_STEP), _lattice(air, AIR_STEP)
    around = [(low_brine + p, low_air + q) for p in (0, 1) for q in (0, 1)]
    shares = [(u if p else 1 - u) * (v if q else 1 - v) for p in (0, 1) for q in (0, 1)]
    pairs = np.stack([np.stack(point) for point in around], axis=1)
    nodes, corners = np.unique(pairs.reshape(2, -1), axis=1, return_inverse=True)
    corners = corners.reshape(pairs.shape[1:])
    points = [(float(row * BRINE_STEP), float(at * AIR_STEP)) for row, at in nodes.T]
    coolest, hottest = np.full(len(points), np.inf), np.full(len(points), -np.inf)
    every = np.tile(met, len(corners))  # as long as the corners: `at` reads past the end of what it has to broadcast
    np.minimum.at(coolest, corners.ravel(), every[0])
    np.maximum.at(hottest, corners.ravel(), every[1])
    whole, part = (
        [
            _node(ideal, keeping, *at, flow, grid, of)
            for at, of in zip(points, zip(coolest, hottest, strict=True), strict=True)
        ]
        for flow in (1.0, PART_FLOW)
    )
    runs = np.array([_best(ideal, *at).net[0] > 0 for at in points])[corners]
    weights = np.array(shares) * runs
    with np.errstate(invalid="ignore", divide="ignore"):
        weights = np.where(weights.sum(axis=0) > 0, weights / weights.sum(axis=0), np.array(shares))
    found = _stacked(whole, corners, np.stack([weights] * len(NAMES)))
    exact = found.shares * _hair(found, ideal, brine, air)[:, None]
    return BuiltMap(replace(found, shares=exact), _stacked(part, corners, exact))


def _stacked(maps: list[PerformanceMap], corners: np.ndarray, shares: Floats) -> DesignedMap:
    gross, net, injection = (np.stack([getattr(made, name) for made in maps], axis=1) for name in NAMES)
    return DesignedMap(maps[0].brine, maps[0].air, gross, net, injection, corners, shares)


def _hair(found: DesignedMap, ideal: BinaryPlant, brine: Floats, air: Floats) -> Floats:
    """By how much to multiply for what the best cycle gives at each design point, (3, scenario)."""
    wanted, given = np.stack(ideal.over(brine, air).at(brine, air)), np.stack(found.at(brine, air))
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.where(given > 0, wanted / given, 1.0)


def _lattice(values: Floats, step: float) -> tuple[np.ndarray, Floats]:
    """Index of the lattice point below each value, and the share of the way to the next; NaN has a share of NaN."""
    below = np.floor(np.nan_to_num(values) / step)
    return below.astype(np.intp), values / step - below


@lru_cache(maxsize=4)
def _dry(fluid: str, terms: CycleTerms) -> Floats:
    """Least quality along every expansion, which many design points share."""
    return least_quality(fine_table(fluid), terms)


@lru_cache(maxsize=512)
def _best(ideal: BinaryPlant, brine: float, air: float) -> Cycle:
    """The best cycle at a point of the lattice."""
    table = fine_table(ideal.fluid)
    return cycles(table, ideal.terms, np.array([brine]), air, _dry(ideal.fluid, ideal.terms))


@lru_cache(maxsize=512)
def _node(
    ideal: BinaryPlant, keeping: Keeping, brine: float, air: float, flow: float, grid: Grid, met: Range
) -> PerformanceMap:
    """The map of the plant that is the best one at a point of the lattice; all zero where none makes power there.

    It is solved for the brine that it meets, and NaN on the rest of the grid.
    """
    best, every = _best(ideal, brine, air), grid.every_brine
    rows = (every >= met[0]) & (every <= met[1])
    points = np.meshgrid(every[rows], grid.every_air, indexing="ij")
    gross, net, injection = np.full((3, len(every), len(grid.every_air)), np.nan)
    if best.net[0] <= 0:
        gross[rows], net[rows], injection[rows] = 0.0, 0.0, points[0]
        return PerformanceMap(every, grid.every_air, gross, net, injection)
    fluid = Fluid(fluid_table(ideal.fluid), float(best.superheat[0]))
    plant = Plant(fluid, ideal.terms, bought(fluid, ideal.terms, best, brine, air), keeping)
    state = in_service(plant, points[0].ravel(), points[1].ravel(), flow)
    solved = (getattr(state, name).reshape(points[0].shape) for name in NAMES)
    gross[rows], net[rows], injection[rows] = next(solved) / flow, next(solved) / flow, next(solved)
    return PerformanceMap(every, grid.every_air, gross, net, injection)

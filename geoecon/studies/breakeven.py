"""What each input alone would have to be for a case to meet a target, how far that is, and how likely."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from geoecon.arrays import Bools, Floats
from geoecon.case import Case
from geoecon.errors import CaseError, Fault
from geoecon.passed import PUBLIC_OWNERS
from geoecon.studies.edges import Edges, Ints, Rays, edges
from geoecon.studies.inputs import Input, inputs
from geoecon.studies.targets import AT_LEAST, Target
from geoecon.studies.trials import Trials
from geoecon.studies.uncertain import UncertainInput

PRICE = "market.price"


@dataclass(frozen=True)
class Chances:
    """How an uncertain input stands to a need, cumulative chances in [0, 1].

    at : of meeting the target by this input alone, or of losing it where it is met now, wherever in what was tried and
    further out as at its end; None where no value was found
    now, needed : of the input being at or below the case's own value and the needed one
    p10, p90 : the input with 1 and 9 chances in 10 of being at or below
    """

    at: float | None
    now: float
    needed: float | None
    p10: float
    p90: float


@dataclass(frozen=True)
class Need:
    """What one input alone would have to be, everything else as the case has it; values in the unit used inside.

    value : nearest to the case's own at which the target is met; where it is met now, the last on the way to the nearest
    loss; NaN where nothing between `low` and `high` changes that
    way : 1 upward, -1 downward, 0 neither;  until : how far beyond `value` that surely stays so, infinite where to the end
    low, high : where it was looked for, up to the first change or the last value of the metric
    best, best_at : best value of the metric that was reached, and where
    broken : (value, why the metric has none beyond), where that ended the search;  still : whether it moves nothing
    """

    input: Input
    value: float
    way: int
    until: float
    low: float
    high: float
    best: float
    best_at: float
    broken: tuple[tuple[float, str], ...]
    still: bool
    chances: Chances | None

    @property
    def path(self) -> str:
        """Path of the input."""
        return self.input.path

    @property
    def found(self) -> bool:
        """Whether there is such a value."""
        return bool(np.isfinite(self.value))

    @property
    def shift(self) -> float:
        """From the case's own value: a share of it, kelvin for a temperature, plain where the case's own is 0."""
        moved = self.value - self.input.value
        return moved if self.additive else moved / abs(self.input.value)

    @property
    def additive(self) -> bool:
        """Whether the shift is a difference and no share."""
        return self.input.kind == "temperature" or self.input.value == 0


@dataclass(frozen=True)
class Breakeven:
    """Needs of all inputs for one target, in the order of the inputs.

    base : the metric now, NaN with `reason` where it has no value;  held : whether the plant stays as ordered
    price_basis : whether the stated price is nominal, money of operating year 1, or real, money of `price_year`
    """

    target: Target
    base: float
    met: bool
    reason: str
    needs: tuple[Need, ...]
    held: bool
    name: str
    currency: str
    price_basis: str
    price_year: int


def usual_target(case: Case) -> Target:
    """What the owner of a case asks: the return on equity, or cover of the debt, or value above zero.

    Raises `CaseError` where the case states no price, on which all of these rest.
    """
    trials = Trials(case, Target("npv", 0.0, AT_LEAST), hold=False)
    has_price = np.isfinite(trials.base.annual["price"][trials.base.build_years :]).any()
    if not has_price:
        words = 'is not stated, and return, cover and value rest on it; state it, or a target such as "lcoe_real <= 95 '
        raise CaseError([Fault(PRICE, f'{words}{case.money.currency}/MWh"')], case.source)
    asked = {name: float(values[0]) for name, values in trials.base.asked.items()}
    if case.project.owner not in PUBLIC_OWNERS:
        return Target("irr_equity", asked["equity_return"], AT_LEAST)
    if trials.base.metrics["debt"].values[0] > 0:
        return Target("dscr_min", asked["target_dscr"], AT_LEAST)
    return trials.target


def breakeven(case: Case, target: Target, paths: Sequence[str] | None = None, *, hold: bool = False) -> Breakeven:
    """What each input alone would have to be: the uncertain ones, the price where one is stated, and those of `paths`.

    All inputs are tried together, each on both sides of the case's own value, in one pass for each grid (see `edges`).
    With `hold` the plant stays as ordered (`drawn.order`), otherwise it is sized for every trial.
    Raises `CaseError`: a path that states no number that may vary, or a case that cannot be worked out.
    """
    trials = Trials(case, target, hold)
    base = trials.base.metrics[target.metric]
    chosen = _chosen(trials, paths or ())
    ranges = [trials.reach(input_) for input_ in chosen]
    found = edges(lambda ray, values: trials.margins(_alone(chosen, ray, values)), _both_ways(chosen, ranges))
    needs = tuple(_need(trials, found, n, input_) for n, input_ in enumerate(chosen))
    met = bool(target.met(base.values)[0])
    value, name = float(base.values[0]), trials.base.name
    return Breakeven(
        target, value, met, base.reason, needs, hold, name, case.money.currency, case.market.price_basis,
        case.money.price_year,
    )  # fmt: skip


def _chosen(trials: Trials, paths: Sequence[str]) -> list[Input]:
    """The inputs to try, each once."""
    known = inputs(trials.case)
    usual = [*trials.uncertain, *([PRICE] if PRICE in known else [])]
    return [trials.movable(path) for path in dict.fromkeys([*usual, *paths])]


def _both_ways(chosen: Sequence[Input], ranges: Sequence[tuple[float, float, bool]]) -> Rays:
    """Two rays for each input, from the case's own value to the low and the high end."""
    start = np.repeat([input_.value for input_ in chosen], 2)
    end = np.array([limit for low, high, _ in ranges for limit in (low, high)])
    return Rays(start, end, np.repeat([by_factor for *_, by_factor in ranges], 2))


def _alone(chosen: Sequence[Input], ray: Ints, values: Floats) -> dict[str, Floats]:
    """Trials in which each row moves the one input of its ray."""
    return {input_.path: np.where(ray // 2 == n, values, input_.value) for n, input_ in enumerate(chosen)}


def nearest(found: Edges, rays: Sequence[int], start: float) -> int | None:
    """The ray whose change is nearest to the start; None where none has one."""
    having = [ray for ray in rays if found.found[ray]]
    return min(having, key=lambda ray: _distance(float(found.edge[ray]), start), default=None)


def _distance(value: float, start: float) -> float:
    """By factors where both are above zero, so that half and twice are equally far."""
    return abs(float(np.log(value / start))) if value > 0 and start > 0 else abs(value - start)


def _need(trials: Trials, found: Edges, n: int, chosen: Input) -> Need:
    down, up = 2 * n, 2 * n + 1
    ray = nearest(found, (down, up), chosen.value)
    value, until, way = np.nan, np.nan, 0
    if ray is not None:
        value, until, way = float(found.edge[ray]), float(found.until[ray]), -1 if ray == down else 1
    broken = tuple(
        (float(found.inner[side]), trials.why_none({chosen.path: float(found.outer[side])}))
        for side in (down, up)
        if found.broken[side] and ray is None
    )
    best = max((down, up), key=lambda side: np.nan_to_num(found.best[side], nan=-np.inf))
    known = trials.uncertain.get(chosen.path)
    return Need(
        chosen, value, way, until, float(found.inner[down]), float(found.inner[up]),
        trials.target.reached(float(found.best[best])), float(found.best_at[best]), broken,
        bool(found.still[[down, up]].all()), _chances(known, found, ray, (down, up)) if known else None,
    )  # fmt: skip


def _chances(known: UncertainInput, found: Edges, ray: int | None, sides: tuple[int, int]) -> Chances:
    now, p10, p90 = known.chance_below(known.input.value), known.quantile(0.1), known.quantile(0.9)
    if ray is None:
        return Chances(None, now, None, p10, p90)
    at = sum(_share(known, found, side, upward=side == sides[1]) for side in sides)
    return Chances(min(max(at, 0.0), 1.0), now, known.chance_below(float(found.edge[ray])), p10, p90)


def _share(known: UncertainInput, found: Edges, ray: int, *, upward: bool) -> float:
    """Chance of the input being, on one side of the case's own value, where the target is met, or lost if it is met now.

    The first change is where it was found, those beyond it in the middle of their step. A value that does not exist meets
    no target; it loses one only beyond values that do.
    """
    margins, values = found.margins[ray], found.grid[ray]
    hits = margins < 0 if found.met[ray] else margins >= 0
    if found.met[ray]:
        hits = _carried(hits, np.isnan(margins))
    middle = (values[:-1] + values[1:]) / 2
    if found.found[ray]:
        middle[int(hits.argmax()) - 1] = found.outer[ray]
    beyond, halfway = (_beyond(known, at, upward=upward) for at in (values, middle))
    inner, outer = hits[:-1], hits[1:]
    steps = np.where(inner, beyond[:-1] - halfway, 0.0) + np.where(outer, halfway - beyond[1:], 0.0)
    return float(steps.sum() + (beyond[-1] if hits[-1] else 0.0))


def _carried(hits: Bools, none: Bools) -> Bools:
    """Truths with those that are unknown taken from the step before."""
    last = np.maximum.accumulate(np.where(none, 0, np.arange(hits.size)))
    return hits[last]


def _beyond(known: UncertainInput, values: Floats, *, upward: bool) -> Floats:
    """Chance of an input being at values or beyond them."""
    if upward:
        return 1 - known.distribution.chance_below(np.nextafter(values, -np.inf))
    return known.distribution.chance_below(values)

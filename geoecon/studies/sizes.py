"""How large a unit to install on one field: the case over its net capacity, every size with wells of its own.

Wells come whole, so cost per MWh has a step wherever another producer is needed; the sizes at which whole wells are used
to the full are always among those looked at.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace

import numpy as np

from geoecon.arrays import Bools, Floats
from geoecon.case import Case
from geoecon.case.fields import Stated
from geoecon.engine import evaluate
from geoecon.errors import CaseError, Fault
from geoecon.reservoir import supported_gross_kw
from geoecon.result import Result
from geoecon.sizing import MOST_PRODUCERS, full_capacity, size
from geoecon.studies.admitted import Admitted, work_out
from geoecon.studies.inputs import check_bounds, input_of
from geoecon.studies.sweep import ends

CAPACITY = "plant.net_capacity"
MOST_STEPS = 501
USUAL = (0.3, 2.5)  # shares of the case's own capacity between which a field is looked at unless asked otherwise
LEAST_COST, MOST_VALUE, COMMITTED = "lcoe_real", "npv", "total_commitment"
AS_GOOD = 0.02  # sizes whose levelized cost is within this share of the least are as good as it
STEP = 1 + 1e-6
PASSES, FINE = 4, 100  # how often, and into how many parts, what stored heat supports is narrowed down
BETTER = 1 - 1e-6  # of a cost that is truly lower, rounding apart
FURTHER, FURTHER_STEPS = (
    2.0,
    16,
)  # how far beyond the range asked for, and in how many steps, a better size is looked for
FIELD, CAP, LARGER, SMALLER = "field", "cap", "larger", "smaller"
FULL = 1 - 1e-12  # a hair below what wells give, so that rounding never asks for one more


@dataclass(frozen=True)
class Better:
    """A size that would do better and is not among those that a verdict may choose.

    metric : `LEAST_COST` or `MOST_VALUE`, and `value` of it;  why : beyond what the field supports, above what the owner may
    be committed to, larger or smaller than what was asked for
    """

    metric: str
    capacity_kw: float
    value: float
    why: str


@dataclass(frozen=True)
class Sizes:
    """Metrics over the net capacity of a unit.

    capacity : (n,) rising  [kW];  at : index of the case's own, which may lie outside the range asked for
    low, high : that range  [kW];  full : where all producers but spare ones give their whole flow
    metrics : key -> (n,);  reasons : key -> why there is no value, per size
    supported_kw : what the field supports, as stated or by stored heat, NaN where nothing says so;  by_heat : by that
    cap : the most that the owner may be committed to, NaN where nothing says so  [money]
    better : sizes that would do better and may not be chosen, or were not asked for
    fixed_cost : that of a case that states it for the unit, the same at every size, NaN where it grows with size  [money/yr]
    """

    capacity: Floats
    at: int
    low: float
    high: float
    full: Bools
    metrics: Mapping[str, Floats]
    units: Mapping[str, str]
    bases: Mapping[str, str]
    reasons: Mapping[str, tuple[str, ...]]
    supported_kw: float
    by_heat: bool
    cap: float
    better: tuple[Better, ...]
    exponent: float
    staff_floor: float
    fixed_cost: float
    name: str
    currency: str

    @property
    def supported(self) -> Bools:
        """Sizes that the field supports, (n,); all of them where nothing is said."""
        return ~(self.capacity > self.supported_kw)

    @property
    def within_cap(self) -> Bools:
        """Sizes that commit the owner to no more than is allowed, (n,); all of them where nothing is said."""
        return ~(self.metrics[COMMITTED] > self.cap)

    @property
    def inside(self) -> Bools:
        """Sizes in the range asked for, (n,): all but the case's own, which may lie outside."""
        return (self.capacity >= self.low) & (self.capacity <= self.high)

    @property
    def open(self) -> Bools:
        """Sizes that a verdict may choose, (n,)."""
        return self.inside & self.supported & self.within_cap

    @property
    def cheapest(self) -> int | None:
        """Place of the least levelized cost of sizes that may be chosen; None where there is none."""
        return _least(np.where(self.open, self.metrics[LEAST_COST], np.nan))

    @property
    def best(self) -> int | None:
        """Place of the most value of sizes that may be chosen; None where there is none."""
        return _least(np.where(self.open, -self.metrics[MOST_VALUE], np.nan))

    @property
    def as_good(self) -> tuple[float, float] | None:
        """The range of sizes around the cheapest one, unbroken, whose levelized cost is nearly as low  [kW]."""
        least = self.cheapest
        if least is None:
            return None
        cost = self.metrics[LEAST_COST]
        near = (cost <= (1 + AS_GOOD) * cost[least]) & self.open
        low = high = least
        while low > 0 and near[low - 1]:
            low -= 1
        while high < near.size - 1 and near[high + 1]:
            high += 1
        return float(self.capacity[low]), float(self.capacity[high])


def sizes(case: Case, low: str | None = None, high: str | None = None, steps: int = 45) -> Sizes:
    """Every metric over the capacity of the unit, from `low` to `high`, texts with units.

    Every size has wells, make-up wells and decline of its own; a stated plant takes brine and makes gross power in
    proportion. The plant's cost grows with its size by `plant.cost_exponent`, from the size it was quoted for or, where none
    is stated, from the case's own. Everything else that the case states, such as the line and the surveys, stays. Sizes
    beyond both ends are worked out too, and told only where one of them would do better.
    Raises `CaseError` where the case's cost per kW does not vary with size, or its plant cannot be made larger or smaller.
    """
    _check(case, steps)
    own = _one(case.plant.net_capacity)
    start, stop = _between(case, own, low, high)
    quoted = _quoted(case)

    def sized(values: Mapping[str, Floats]) -> Case:
        return quoted.with_values(_in_proportion(quoted, values[CAPACITY], own))

    most = min(FURTHER * stop, input_of(case, CAPACITY).about.limits("power")[1])
    supported = _supported(case, lambda kw: size(sized({CAPACITY: kw})).gross_kw, most)
    full = _full_sizes(case, start / FURTHER, most)
    field = [supported] if start / FURTHER < supported < most else []
    behind = full[full * STEP < stop] * STEP  # the other side of each step
    even = np.concatenate([np.linspace(start, stop, steps), _further(case, start, stop, most)])
    even = even[~np.isclose(even[:, None], full, rtol=1e-6).any(axis=1)]  # the same size twice would tell nothing
    capacity = np.unique(np.concatenate([even, full, behind, field, [own]]))

    def work(values: Mapping[str, Floats]) -> Result:
        return evaluate(sized(values))

    passed = work_out(case, {CAPACITY: capacity}, sized, work)
    whole = _all_sizes(case, (start, stop), capacity, full, passed, supported)
    return replace(_kept(whole, whole.inside | (capacity == own)), better=tuple(_better(whole)))


def _all_sizes(
    case: Case, ends: tuple[float, float], capacity: Floats, full: Floats, passed: Admitted, supported: float
) -> Sizes:
    """Everything worked out, sizes beyond the range asked for among it."""
    why, fixed = [passed.refused.get(n, "") for n in range(capacity.size)], case.operation.fixed_cost
    return Sizes(
        capacity=capacity,
        at=int(np.flatnonzero(capacity == _one(case.plant.net_capacity))[0]),
        low=ends[0],
        high=ends[1],
        full=np.isin(capacity, full),
        metrics={key: metric.values for key, metric in passed.metrics.items()},
        units={key: metric.unit for key, metric in passed.metrics.items()},
        bases={key: metric.basis for key, metric in passed.metrics.items()},
        reasons={key: tuple(w or m.reason_at(n) for n, w in enumerate(why)) for key, m in passed.metrics.items()},
        supported_kw=supported,
        by_heat=case.resource.reservoir_area is not None,
        cap=_one(case.finance.commitment_cap),
        better=(),
        exponent=float(case.plant.cost_exponent[0]),
        staff_floor=_one(case.operation.staff_floor),
        fixed_cost=_one(fixed.values) if fixed is not None and fixed.kind == "money a year" else np.nan,
        name=case.project.name,
        currency=case.money.currency,
    )


EVERY_KW_ALIKE = (
    "is 1: a kW costs the same at every size, and the answer would rest on whole wells alone; state how the plant's cost grows "
    "with its size, such as plant.cost_exponent = 0.85, and the size that plant.cost_per_kw was quoted for, "
    "plant.cost_reference_capacity"
)


def _check(case: Case, steps: int) -> None:
    """Refuse cases that say nothing of size. Raises `CaseError`."""
    plant = case.plant
    refused = (
        ("--steps", f"{steps:,} sizes; 2 to {MOST_STEPS} can be looked at", not 2 <= steps <= MOST_STEPS),
        (
            "plant.size_from",
            "the wells that exist set the size; only 'capacity' leaves it open",
            plant.size_from == "wells",
        ),
        (
            "plant.stated_output",
            "outputs stated by month are those of one size; state how output moves with plant.air_slope",
            plant.stated_output is not None,
        ),
        ("plant.cost_per_kw", "is missing, so no size costs anything; state it", plant.cost_per_kw is None),
        ("plant.cost_exponent", EVERY_KW_ALIKE, bool((plant.cost_exponent == 1).any())),
    )
    if wrong := [Fault(path, words, case.line(path)) for path, words, holds in refused if holds]:
        raise CaseError(wrong, case.source)


def _between(case: Case, own: float, low: str | None, high: str | None) -> tuple[float, float]:
    """The range of sizes that is asked for, around the case's own where an end is left out  [kW]."""
    chosen = input_of(case, CAPACITY)
    start, stop = ends(case, chosen, low, high)
    start, stop = USUAL[0] * own if low is None else start, USUAL[1] * own if high is None else stop
    if not start < stop:
        words = f"sizes run from low to high, not from {start:,.6g} kW to {stop:,.6g} kW"
        raise CaseError([Fault(CAPACITY, words)], case.source)
    check_bounds(case, chosen, np.array([start, stop]))
    return start, stop


def _kept(found: Sizes, here: Bools) -> Sizes:
    """The same with some of its sizes alone, the case's own among them."""
    return replace(
        found,
        capacity=found.capacity[here],
        at=int(here[: found.at].sum()),
        full=found.full[here],
        metrics={key: values[here] for key, values in found.metrics.items()},
        reasons={
            key: tuple(why for why, kept in zip(reasons, here, strict=True) if kept)
            for key, reasons in found.reasons.items()
        },
    )


def _better(found: Sizes) -> Iterator[Better]:
    """Sizes that may not be chosen, or were not asked for, and do better than the best of those that were."""
    allowed = found.supported & found.within_cap
    for metric, index, sign in ((LEAST_COST, found.cheapest, 1.0), (MOST_VALUE, found.best, -1.0)):
        if index is None:
            continue
        cost = sign * found.metrics[metric]
        within = cost[index] - (1 - BETTER) * abs(cost[index])
        for why, here in (
            (FIELD, found.inside & ~found.supported),
            (CAP, found.inside & found.supported & ~found.within_cap),
            (LARGER, allowed & (found.capacity > found.high)),
            (SMALLER, allowed & (found.capacity < found.low)),
        ):
            at = _least(np.where(here, cost, np.nan))
            if at is not None and cost[at] < within:
                yield Better(metric, float(found.capacity[at]), float(found.metrics[metric][at]), why)


def _further(case: Case, low: float, high: float, most: float) -> Floats:
    """Even sizes beyond both ends of the range asked for, (n,)  [kW]."""
    least = max(low / FURTHER, input_of(case, CAPACITY).about.limits("power")[0])
    below, above = (np.linspace(*between, FURTHER_STEPS) for between in ((least, low), (high, most)))
    return np.concatenate([below[:-1], above[1:]])


def _supported(case: Case, gross_of: Callable[[Floats], Floats], most: float) -> float:
    """The largest net capacity that the field supports, as stated or by its stored heat  [kW]; NaN where nothing says so.

    gross_of : net -> gross capacity, (n,) -> (n,)  [kW];  most : the largest that is looked at  [kW]
    """
    stored = supported_gross_kw(case)
    if stored is None:
        return _one(case.resource.supported_power)
    low, high = 0.0, most
    for _ in range(PASSES):  # gross power all but rises with net power; the first size that is too large counts
        tried = np.linspace(low, high, FINE + 1)[1:]
        beyond = gross_of(tried) > stored[0]
        if not beyond.any():
            return np.nan
        at = int(beyond.argmax())
        low, high = (float(tried[at - 1]) if at else low), float(tried[at])
    return low


def _full_sizes(case: Case, low: float, high: float) -> Floats:
    """Sizes between two at which producers give their whole flow, spare ones left out, (n,)  [kW]."""
    counts = np.arange(max(case.wells.existing_producers, 1), MOST_PRODUCERS + 1, dtype=np.float64)
    with np.errstate(invalid="ignore"):
        full = full_capacity(case, counts) * FULL
        return np.asarray(full[(full >= low) & (full <= high)])


def _quoted(case: Case) -> Case:
    """The case with the size that its cost per kW holds for, which is its own where it states none."""
    if case.plant.cost_reference_capacity is not None:
        return case
    return case.with_values({"plant.cost_reference_capacity": size(case).capacity_on(case.plant.cost_basis)})


def _in_proportion(case: Case, capacity: Floats, own: float) -> dict[str, Floats]:
    """What a size changes, path -> (n,); a stated plant takes brine and makes gross power in proportion."""
    plant = case.plant
    scaled: dict[str, Floats | Stated | None] = {
        "plant.gross_capacity": plant.gross_capacity,
        "plant.stated_brine_flow": plant.stated_brine_flow,
    }
    values = {path: v.values if isinstance(v, Stated) else v for path, v in scaled.items()}
    return {CAPACITY: capacity} | {path: v * capacity / own for path, v in values.items() if v is not None}


def _one(values: Floats | None) -> float:
    """The number of a case of one scenario; NaN where it states none."""
    return np.nan if values is None else float(values[0])


def _least(values: Floats) -> int | None:
    """Place of the least value; None where there is none."""
    return int(np.nanargmin(values)) if np.isfinite(values).any() else None

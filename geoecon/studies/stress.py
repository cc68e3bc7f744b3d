"""A lender's named stresses, with the plant as it was ordered, and the size at which each of them breaks the case.

A stress moves some inputs in a straight line: size 0 is the case as it is, 1 the stress as named in `tables/stresses.csv`.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from geoecon.arrays import Floats
from geoecon.case import Case
from geoecon.engine import evaluate
from geoecon.result import Result
from geoecon.studies.drawn import Order, order
from geoecon.studies.draws import of_the_field, producers_of
from geoecon.studies.inputs import Input, inputs
from geoecon.studies.uncertain import UncertainInput, uncertain_inputs
from geoecon.tables import Row, table

MOST = 5  # times a stress as named: further no break is looked for
SIZES = np.linspace(0.0, MOST, 4 * MOST + 1)
AS_NAMED = int(np.flatnonzero(SIZES == 1.0)[0])
REFINED = 4
BASE, TOGETHER = "base", "all together"
LEAST_COVER = 1.0
OWNERS = ("npv_equity", "npv")

BROKEN_BEFORE, BREAKS, HOLDS, UNKNOWN = "broken before", "breaks", "holds", "unknown"


@dataclass(frozen=True)
class Stress:
    """A stress as named: how much of which unit, and what it comes to in this case.

    reach : path -> change at size 1, in the unit used inside;  values : path -> (before, after), within the field's bounds
    without : why it does not apply; empty where it does
    """

    name: str
    what: str
    change: float
    unit: str
    reach: Mapping[str, float]
    values: Mapping[str, tuple[float, float]]
    without: str = ""


@dataclass(frozen=True)
class Break:
    """Whether and at which size a stress breaks the case.

    state : broken before, breaks, holds (to `MOST` times the stress), unknown (beyond `size` nothing can be worked out)
    """

    state: str
    size: float = np.nan


@dataclass(frozen=True)
class Stressed:
    """A stress with what it does: every metric at its size as named, reasons for those without a value, and its break.

    All are empty where the stress does not apply; `breaks` is None where there is nothing to break.
    """

    stress: Stress
    metrics: Mapping[str, float]
    reasons: Mapping[str, str]
    breaks: Break | None


@dataclass(frozen=True)
class StressSet:
    """The case as it is, every stress, and all of them together.

    criterion : the metric that must not fall below `least`; empty where the case has no price that could fail
    inputs : path -> every input that is moved
    """

    name: str
    currency: str
    rows: tuple[Stressed, ...]
    criterion: str
    least: float
    units: Mapping[str, str]
    bases: Mapping[str, str]
    inputs: Mapping[str, Input]

    @property
    def base(self) -> Stressed:
        """The case as it is."""
        return self.rows[0]

    @property
    def value(self) -> str:
        """The metric of the owner's value: of the equity where there is some, else of the project."""
        return next((key for key in OWNERS if np.isfinite(self.base.metrics[key])), OWNERS[0])


def stress_set(case: Case) -> StressSet:
    """Every stress of a case in one pass, then four more that close in on the breaks.

    A break is looked for in steps of a quarter of the stress; a failure between two steps that both hold is not seen.
    Raises `CaseError` where the case itself cannot be worked out.
    """
    evaluate(case, unsolved="raise")
    known, uncertain = inputs(case), of_the_field(uncertain_inputs(case), producers_of(case))
    named = [_stress(case, rows, known, uncertain) for rows in _by_name()]
    apply = [stress for stress in named if not stress.without]
    apply.append(_together(apply, known))
    moved = _Moved(order(case, {}), known, apply)  # as bought: nothing is known before
    first = moved.at(np.tile(SIZES, (len(apply), 1)))
    criterion, least = _criterion(first)
    breaks = moved.breaks(first, criterion, least) if criterion else [None] * len(apply)
    told = {s.name: _told(s, first, at, breaks[at]) for at, s in enumerate(apply)}
    nothing = Stress(BASE, "the case as it is", 0.0, "", {}, {})
    base = Stressed(nothing, _values(first, 0), _reasons(first, 0), None)
    rows = (base, *(told.get(s.name) or Stressed(s, {}, {}, None) for s in named), told[TOGETHER])
    paths = sorted({path for stress in apply for path in stress.reach})
    return StressSet(
        first.name, first.currency, rows, criterion, least,
        {key: metric.unit for key, metric in first.metrics.items()},
        {key: metric.basis for key, metric in first.metrics.items()},
        {path: known[path] for path in paths},
    )  # fmt: skip


@dataclass(frozen=True)
class _Moved:
    """A case moved by stresses of any size."""

    ordered: Order
    known: Mapping[str, Input]
    stresses: Sequence[Stress]

    def at(self, sizes: Floats) -> Result:
        """One pass: every stress in each of its sizes, (stress, n), row after row in one scenario axis."""
        values = {}
        for path in dict.fromkeys(path for stress in self.stresses for path in stress.reach):
            reach = np.array([[stress.reach.get(path, 0.0)] for stress in self.stresses])
            moved = self.known[path].value + sizes * reach
            values[path] = np.clip(moved, *_limits(self.known[path])).ravel()
        return self.ordered.evaluate(values)

    def breaks(self, first: Result, criterion: str, least: float) -> list[Break]:
        """Where each stress first fails, between two neighbours of a grid that is laid ever finer between them."""
        shape = len(self.stresses), len(SIZES)
        sizes, found = np.tile(SIZES, (shape[0], 1)), first.metrics[criterion].values.reshape(shape)
        if not found[0, 0] >= least:
            return [Break(BROKEN_BEFORE)] * shape[0]
        holds = np.asarray((found >= least).all(axis=1))
        for _ in range(REFINED):
            at = np.where(holds, shape[1] - 1, np.argmin(found >= least, axis=1))
            rows = np.arange(shape[0])
            low, high = sizes[rows, at - 1], sizes[rows, at]
            sizes = np.linspace(low, high, shape[1], axis=1)
            found = self.at(sizes).metrics[criterion].values.reshape(shape)
        at = np.argmin(found >= least, axis=1)
        return [
            Break(HOLDS)
            if holds[n]
            else Break(UNKNOWN if np.isnan(found[n, at[n]]) else BREAKS, float(sizes[n, at[n]]))
            for n in range(shape[0])
        ]


def _by_name() -> list[list[Row]]:
    rows = table("stresses")
    return [[row for row in rows if row["name"] == name] for name in dict.fromkeys(row["name"] for row in rows)]


def _stress(
    case: Case, rows: Sequence[Row], known: Mapping[str, Input], uncertain: Mapping[str, UncertainInput]
) -> Stress:
    """A stress of the table in this case: what it reaches of what the case states."""
    head = rows[0]
    reach = {r["path"]: _change(r, known[r["path"]], uncertain) for r in rows if r["path"] in known}
    reach = {path: change for path, change in reach.items() if change and not _follows(case, path)}
    without = "" if reach else "the case states nothing above zero that it would change"
    if head["needs"] and not (head["needs"] in known and known[head["needs"]].value > 0):
        without = head["without"]
    if without:
        reach = {}
    return Stress(head["name"], head["what"], float(head["change"]), head["unit"], reach, _ends(reach, known), without)


def _change(row: Row, input_: Input, uncertain: Mapping[str, UncertainInput]) -> float:
    """What a row of the table adds to an input at size 1, in the unit used inside."""
    change = float(row["change"])
    if row["unit"] == "% of the value":
        return input_.value * change / 100
    if row["unit"] == "months":
        return change / 12
    if row["unit"] == "percentage points":
        return change / 100
    if input_.path not in uncertain:
        return 0.0
    away = uncertain[input_.path].quantile(change / 100) - input_.value
    return min(away, 0.0) if change < 50 else max(away, 0.0)  # a weak value is never better than the case's own


def _follows(case: Case, path: str) -> bool:
    """Whether an input is a share of what the same stress moves already, as the owner's cost may be."""
    table_, _, leaf = path.partition(".")
    return getattr(getattr(getattr(case, table_), leaf), "kind", "") == "share"


def _limits(input_: Input) -> tuple[float, float]:
    return input_.about.limits(input_.kind)


def _ends(reach: Mapping[str, float], known: Mapping[str, Input]) -> dict[str, tuple[float, float]]:
    before = {path: known[path].value for path in reach}
    return {path: (b, float(np.clip(b + reach[path], *_limits(known[path])))) for path, b in before.items()}


def _together(stresses: Sequence[Stress], known: Mapping[str, Input]) -> Stress:
    """Every stress that applies at once; where two move one input their changes add."""
    reach: dict[str, float] = {}
    for stress in stresses:
        for path, change in stress.reach.items():
            reach[path] = reach.get(path, 0.0) + change
    return Stress(TOGETHER, "every stress that applies, at once", 1.0, "times", reach, _ends(reach, known))


def _criterion(first: Result) -> tuple[str, float]:
    """The metric that must not fall below a value: cover where there is debt, else the owner's value."""
    for key, least in (("dscr_min", LEAST_COVER), *((key, 0.0) for key in OWNERS)):
        if np.isfinite(first.metrics[key].values[0]):
            return key, least
    return "", np.nan


def _told(stress: Stress, first: Result, at: int, found: Break | None) -> Stressed:
    scenario = at * len(SIZES) + AS_NAMED
    return Stressed(stress, _values(first, scenario), _reasons(first, scenario), found)


def _values(result: Result, scenario: int) -> dict[str, float]:
    return {key: float(metric.values[scenario]) for key, metric in result.metrics.items()}


def _reasons(result: Result, scenario: int) -> dict[str, str]:
    return {key: metric.reason_at(scenario) for key, metric in result.metrics.items() if metric.codes[scenario]}

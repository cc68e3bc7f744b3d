"""Every figure of a case over many draws of what is unsure, with the plant held as it was ordered."""

from collections.abc import Callable, Collection, Mapping, Sequence
from concurrent.futures import BrokenExecutor
from dataclasses import dataclass, replace

import numpy as np

from geoecon.arrays import Bools, Codes, Floats
from geoecon.case import Case
from geoecon.engine import evaluate
from geoecon.errors import CaseError, Fault, GeoeconError
from geoecon.finance.reasons import Reason
from geoecon.result import METRICS, Metric, Result
from geoecon.studies.drawn import order
from geoecon.studies.draws import Draws, draw
from geoecon.studies.events import Event, events
from geoecon.studies.rollup import RollUp, roll_up
from geoecon.studies.uncertain import UncertainInput, uncertain_inputs
from geoecon.studies.working import YEARLY, Part, crew

MOST_YEARLY = 100_000  # scenarios whose yearly columns are kept for the fans
MOST_WORKERS = 64
QUANTILES = (0.05, 0.1, 0.25, 0.5, 0.75, 0.9, 0.95)
WELL_FLOW = "wells.flow_per_producer"
DRILLED = "wells_drilled"
NEEDED = ("net_capacity", "npv", "lcoe_real", DRILLED)  # whether a draw can be worked out, how good it is, and why
HOW = 'say how sure a number is, as in [uncertainty."plant.cost_per_kw"] shape = "triangular" low = ... mode = ... high = ...'

Progress = Callable[[int, int], bool | None]


@dataclass(frozen=True)
class Fan:
    """A yearly column over draws: years (year,), quantiles (year, 7) at `QUANTILES`; only years that have values."""

    column: str
    unit: str
    years: Floats
    quantiles: Floats
    draws: int


@dataclass(frozen=True)
class Risk:
    """Every figure of a case over draws; arrays are (scenario,), all in the same order.

    values : path -> drawn values, in the unit used inside;  metrics : key -> values, codes, unit, basis, of those kept
    failed : draws that could not be worked out;  faults : (count, path, message of one of them), the commonest first
    overpaid : draws in which grant and debt are scaled down to the uses of money
    base : the case as it is, every input at its own value;  wanted : draws asked for, more than kept where it was stopped
    """

    uncertain: Mapping[str, UncertainInput]
    values: Mapping[str, Floats]
    metrics: Mapping[str, Metric]
    failed: Bools
    faults: tuple[tuple[int, str, str], ...]
    overpaid: int
    events: tuple[Event, ...]
    fans: Mapping[str, Fan]
    rolled: tuple[RollUp, ...]
    base: Result
    seed: int
    sampler: str
    resize: bool
    wanted: int

    @property
    def draws(self) -> int:
        """Number of draws that were kept."""
        return int(self.failed.size)

    @property
    def stopped(self) -> str:
        """That not all draws were worked out, in words; empty where all were."""
        return f"stopped after {self.draws:,} of {self.wanted:,} draws" if self.draws < self.wanted else ""

    @property
    def moved(self) -> Mapping[str, Floats]:
        """What moves the figures, path -> (scenario,): the inputs, and wells drilled where they vary."""
        drilled = self.metrics[DRILLED].values
        if not varies(drilled):
            return self.values
        return {**self.values, DRILLED: np.where(np.isfinite(drilled), drilled, np.nanmedian(drilled))}


def risk(
    case: Case, draws: int = 10_000, *, seed: int = 1, sampler: str = "latin", resize: bool = False, workers: int = 1,
    progress: Progress | None = None, keep: Collection[str] = (), fans: bool = True,
) -> Risk:  # fmt: skip
    """The case over draws of its uncertain inputs. The same seed gives the same bits on any number of workers.

    resize : size every scenario for itself, as if all were known when the plant is ordered
    keep : metrics to work out beside `NEEDED`, all of them where none is named: a few take half the time, and little memory
    fans : whether yearly columns are kept, of the first `MOST_YEARLY` draws;  workers : processes that work
    progress : called with draws done and wanted; False stops, as a keyboard interrupt does

    What is finished when it is stopped is kept. Raises `CaseError`: nothing is uncertain, or an argument that cannot be.
    """
    _check(case, draws, seed, workers)
    uncertain = uncertain_inputs(case)
    if not uncertain:
        raise CaseError([Fault("uncertainty", f"nothing in this case is unsure; {HOW}")], case.source)
    _check_correlations(case, uncertain)
    keys = tuple(key for key in METRICS if not keep or key in keep or key in NEEDED)
    with crew(order(case, uncertain, resize=resize), workers, keys) as work_out:
        base = evaluate(case)
        producers = base.metrics["producers"].values[0]
        wells = int(producers) if np.isfinite(producers) else 1
        drawn = draw(uncertain, draws, seed, sampler, case.uncertainty.correlation, wells)
        drawn = replace(drawn, chances={})  # a million draws have to fit: values tell the same
        yearly = min(draws, MOST_YEARLY) if fans else 0
        sheet = _Sheet(draws, base, keys, yearly)
        try:
            for parts in work_out(drawn, yearly):
                for part in parts:
                    sheet.put(part)
                if progress and progress(sheet.done, draws) is False:
                    break
        except (KeyboardInterrupt, BrokenExecutor) as error:
            if not sheet.done:
                raise _nothing(error) from None
    rolled = _rolled(uncertain, wells, draws, seed)
    whole = sheet.risk(uncertain, drawn, rolled, resize)
    moves = any(varies(metric.values) for metric in whole.metrics.values())
    if whole.draws > 1 and not moves and not whole.failed.any():
        figures = f"none of the figures asked for ({', '.join(keys)})" if keep else "no figure of this case"
        words = f"what is unsure ({', '.join(uncertain)}) moves {figures}; {HOW}"
        raise CaseError([Fault("uncertainty", words)], case.source)
    return whole


def varies(values: Floats) -> bool:
    """Whether values differ, those that do not exist left out."""
    known = values[np.isfinite(values)]
    return bool(known.size) and bool(known.min() < known.max())


def _check(case: Case, draws: int, seed: int, workers: int) -> None:
    """Refuse arguments that cannot be; the number of draws and the sampler are checked where they are used."""
    wrong = [Fault(f"--{name}", f"{value!r} is not a whole number") for name, value in
             (("draws", draws), ("seed", seed), ("workers", workers))
             if isinstance(value, bool) or not isinstance(value, int | np.integer)]  # fmt: skip
    if not wrong and seed < 0:
        wrong = [Fault("--seed", f"{seed:,} is below zero; any whole number from 0 on will do")]
    if not wrong and not 1 <= workers <= MOST_WORKERS:
        wrong = [
            Fault("--workers", f"{workers:,} is outside 1 to {MOST_WORKERS}; take as many as the machine has cores")
        ]
    if wrong:
        raise CaseError(wrong, "risk")


def _check_correlations(case: Case, uncertain: Mapping[str, UncertainInput]) -> None:
    """Refuse a correlation with an input that is sure, which would have no effect. Raises `CaseError`."""
    words = "has no part in it, because nothing says how sure it is; state that, or leave the correlation out"
    here, paths = "uncertainty.correlation", {path for pair in case.uncertainty.correlation for path in pair.paths}
    if alone := sorted(paths - set(uncertain)):
        raise CaseError([Fault(here, f"{path} {words}", case.line(here)) for path in alone], case.source)


def _nothing(error: BaseException) -> BaseException:
    if isinstance(error, KeyboardInterrupt):
        return error
    return GeoeconError(
        "a process that worked was ended from outside, perhaps for want of memory; take fewer --workers"
    )


def _rolled(uncertain: Mapping[str, UncertainInput], wells: int, draws: int, seed: int) -> tuple[RollUp, ...]:
    """The wells of the field together: as the case has them, and each for itself where it has them all alike."""
    flow = uncertain.get(WELL_FLOW)
    if flow is None or wells < 2:
        return ()
    cases = dict.fromkeys((flow.common, 0.0)) if flow.common == 1 else (flow.common,)
    size = min(draws, MOST_YEARLY)
    return tuple(roll_up(flow.distribution, wells, common, size, seed, WELL_FLOW) for common in cases)


def _some(columns: Floats, wanted: Bools) -> Floats:
    """Columns that are wanted, (year, scenario); not copied where all are."""
    return columns if wanted.all() else columns[:, wanted]


class _Sheet:
    """Arrays of a whole study, filled part by part, and kept as far as they are filled."""

    def __init__(self, size: int, base: Result, keys: Sequence[str], yearly: int) -> None:
        self.base = base
        self.done = 0
        self.filled = np.zeros(size, dtype=bool)
        self.values = {key: np.full(size, np.nan) for key in keys}
        self.codes = {key: np.full(size, Reason.NOT_FEASIBLE, dtype=np.uint8) for key in keys}
        self.events: dict[str, tuple[Bools, Codes]] = {}
        self.faults: dict[str, tuple[int, int, str]] = {}  # path -> draws, place and words of the first part with it
        self.overpaid = 0
        rows = len(base.annual["year"])
        self.yearly = {name: np.full((rows, yearly), np.nan) for name in YEARLY}

    def put(self, part: Part) -> None:
        """Take in one part."""
        here = slice(part.start, part.stop)
        for key, (values, codes) in part.metrics.items():
            self.values[key][here], self.codes[key][here] = values, codes
        for key, (happens, codes) in part.events.items():
            if key not in self.events:
                nowhere = np.full(self.filled.size, Reason.NOT_FEASIBLE, dtype=np.uint8)
                self.events[key] = (np.zeros(self.filled.size, dtype=bool), nowhere)
            self.events[key][0][here], self.events[key][1][here] = happens, codes
        for name, column in part.yearly.items():
            self.yearly[name][:, here] = column[:, : self.yearly[name].shape[1] - part.start]
        for path, (count, message) in part.faults.items():
            before, start, first = self.faults.get(path, (0, part.start, message))
            start, first = min((start, first), (part.start, message))  # parts come in any order
            self.faults[path] = (before + count, start, first)
        self.overpaid += part.overpaid
        self.filled[here] = True
        self.done += part.stop - part.start

    def risk(
        self, uncertain: Mapping[str, UncertainInput], drawn: Draws, rolled: tuple[RollUp, ...], resize: bool
    ) -> Risk:
        """What the sheet holds, in the order of the draws; those not reached are left out."""
        kept: slice | Bools = slice(None) if self.filled.all() else self.filled
        codes = {key: column[kept] for key, column in self.codes.items()}
        failed = np.asarray(codes["net_capacity"] == Reason.NOT_FEASIBLE)
        found = {key: (happens[kept], code[kept]) for key, (happens, code) in self.events.items()}
        return Risk(
            uncertain=uncertain,
            values={path: values[kept] for path, values in drawn.values.items()},
            metrics={
                key: replace(self.base.metrics[key], values=self.values[key][kept], codes=codes[key])
                for key in self.values
            },
            failed=failed,
            faults=tuple(sorted(((n, path, words) for path, (n, _, words) in self.faults.items()), reverse=True)),
            overpaid=self.overpaid,
            events=tuple(events(self.base, found, failed)),
            fans={name: fan for name in YEARLY if (fan := self._fan(name)) is not None},
            rolled=rolled,
            base=self.base,
            seed=drawn.seed,
            sampler=drawn.sampler,
            resize=resize,
            wanted=self.filled.size,
        )

    def _fan(self, name: str) -> Fan | None:
        """Quantiles of a column over the draws that have it, in years in which all do and not all are zero (build years)."""
        table = _some(self.yearly[name], self.filled[: self.yearly[name].shape[1]])
        known = _some(table, np.asarray(~np.isnan(table).all(axis=0)))
        rows = ~np.isnan(known).any(axis=1) & (known != 0).any(axis=1)
        if not known.size or not rows.any():
            return None
        spread = np.quantile(known[rows], QUANTILES, axis=1).T
        years = self.base.annual["year"][rows, 0]
        return Fan(name, self.base.units[name], years, np.asarray(spread), known.shape[1])

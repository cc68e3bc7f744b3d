"""Scenarios worked out part by part, here or by several processes; what comes back is only what a study keeps.

The parts are those of a fixed grid, so that no bit depends on how many work.
"""

import multiprocessing
import signal
from collections.abc import Callable, Iterator, Mapping
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from contextlib import contextmanager
from dataclasses import dataclass, replace
from typing import TypeVar

import numpy as np

from geoecon.arrays import Bools, Codes, Floats, chunks, keep_memory
from geoecon.case import Case
from geoecon.engine import evaluate, plan_years
from geoecon.errors import CaseError
from geoecon.obstacles import obstacles
from geoecon.preparing.basics import calendar
from geoecon.result import Result
from geoecon.sizing import Design, cooled_beyond_map, too_small_a_field
from geoecon.studies.drawn import Order
from geoecon.studies.draws import Draws
from geoecon.studies.events import happenings
from geoecon.studies.why import infeasible

Values = TypeVar("Values", Floats, Codes)
AHEAD = 3  # parts given out for each process, so that none waits and few wait to be taken in
YEARLY = ("delivered_energy", "brine_temperature", "cash_flow_equity", "dscr")


@dataclass(frozen=True)
class Part:
    """Some scenarios worked out: places `start` up to `stop` of a study.

    metrics : key -> values and codes, (scenario,), or (1,) where all are the same
    events : key -> where, and code where it cannot exist
    yearly : column -> (year, scenario), NaN in scenarios that failed;  faults : path -> count, message of the first
    overpaid : scenarios in which grant and debt are scaled down to the uses of money
    """

    start: int
    stop: int
    metrics: Mapping[str, tuple[Floats, Codes]]
    events: Mapping[str, tuple[Bools, Codes]]
    yearly: Mapping[str, Floats]
    faults: Mapping[str, tuple[int, str]]
    overpaid: int = 0


@dataclass(frozen=True)
class Job:
    """What one part needs to be worked out; keys : the metrics that are kept."""

    order: Order
    keys: tuple[str, ...]
    values: Mapping[str, Floats]
    drilling: Floats
    start: int
    yearly: bool

    def cut(self, low: int, high: int) -> "Job":
        """The same for some of its scenarios."""
        values = {path: column[low:high] for path, column in self.values.items()}
        return replace(self, values=values, drilling=self.drilling[low:high], start=self.start + low)


def work(job: Job) -> list[Part]:
    """One part worked out; where the case refuses some of its values, halves are tried until the refused are found."""
    size = job.drilling.size
    try:
        case, design = job.order.drawn(job.values, job.drilling)
        result = evaluate(case, design)
    except CaseError as error:
        if size > 1:
            return [*work(job.cut(0, size // 2)), *work(job.cut(size // 2, size))]
        fault = error.faults[0]
        return [Part(job.start, job.start + 1, {}, {}, {}, {fault.path: (1, fault.message)})]
    failed = infeasible(result.metrics)
    return [Part(
        job.start, job.start + size, _kept(result, job.keys), happenings(result),
        _yearly(result, failed) if job.yearly else {}, _faults(case, design, failed), int((result.overpaid & ~failed).sum()),
    )]  # fmt: skip


def _faults(case: Case, design: Design, failed: Bools) -> dict[str, tuple[int, str]]:
    """Why scenarios cannot be worked out: path -> count and message; each counts once, for the first that stands in its way."""
    faults: dict[str, tuple[int, str]] = {}
    if not failed.any():
        return faults
    cooled = cooled_beyond_map(case, design.plant, plan_years(case, design, calendar(case)))
    left = failed
    for one in (*obstacles(case), *too_small_a_field(case, design), *cooled):
        if count := int(np.count_nonzero(left & one.where)):
            faults[one.path] = (faults.get(one.path, (0, one.message))[0] + count, one.message)
            left = left & ~one.where
    return faults


def _kept(result: Result, keys: tuple[str, ...]) -> dict[str, tuple[Floats, Codes]]:
    """Metrics of a part; the others are never worked out."""
    return {key: (_once(result.metrics[key].values), _once(result.metrics[key].codes)) for key in keys}


def _once(values: Values) -> Values:
    """Values that are all the same as one of them: half of the figures do not vary, and all have to be sent."""
    return values[:1] if (values == values[0]).all() or (values != values).all() else values


def _yearly(result: Result, failed: Bools) -> dict[str, Floats]:
    """Yearly columns for fans, the owner's cash added up."""
    columns = {name: result.annual[name] for name in YEARLY}
    columns["cash_flow_equity"] = np.cumsum(columns["cash_flow_equity"], axis=0)
    return {name: np.where(failed, np.nan, column) for name, column in columns.items()}


Found = Iterator[list[Part]]


@contextmanager
def crew(order: Order, workers: int, keys: tuple[str, ...]) -> Iterator[Callable[[Draws, int], Found]]:
    """Something that works draws out, here or by processes, which get ready while the draws are made.

    keys : the metrics that are kept

    What it yields takes draws and how many scenarios at most keep their yearly columns, and gives parts as they come, in
    any order. At the end of the context, parts that are not begun are given up.
    """
    keep_memory()
    if workers == 1:
        yield lambda drawn, yearly: map(work, _jobs(order, keys, drawn, yearly))
        return
    pool = ProcessPoolExecutor(workers, multiprocessing.get_context("spawn"), _begin)
    try:
        with _interrupts_wait():
            for _ in range(workers):
                pool.submit(_get_ready, order, keys)
        yield lambda drawn, yearly: _given_out(pool, workers, _jobs(order, keys, drawn, yearly))
    finally:
        pool.shutdown(cancel_futures=True)


def _jobs(order: Order, keys: tuple[str, ...], drawn: Draws, yearly: int) -> Iterator[Job]:
    for p in chunks(drawn.size):
        yield Job(order, keys, drawn.part(p.start, p.stop).values, drawn.drilling[p], p.start, p.start < yearly)


def _given_out(pool: ProcessPoolExecutor, workers: int, jobs: Iterator[Job]) -> Found:
    waiting: set[Future[list[Part]]] = set()
    for job in jobs:
        with _interrupts_wait():
            waiting.add(pool.submit(work, job))
        if len(waiting) >= AHEAD * workers:
            done, waiting = wait(waiting, return_when=FIRST_COMPLETED)
            yield from (future.result() for future in done)
    while waiting:
        done, waiting = wait(waiting, return_when=FIRST_COMPLETED)
        yield from (future.result() for future in done)


def _get_ready(order: Order, keys: tuple[str, ...]) -> None:
    """What every part needs, the plant's map and the modules of a pass: the case at its own values has need of them."""
    work(Job(order, keys, {}, np.array([0.5]), 0, yearly=False))


@contextmanager
def _interrupts_wait() -> Iterator[None]:
    """An interrupt that comes now waits, and never reaches processes begun here: each of them would print a trace."""
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def _begin() -> None:
    """What a process that works does first: it leaves stopping to the parent, and keeps its memory."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    keep_memory()

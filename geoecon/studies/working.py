"""Scenarios worked out part by part, here or by several processes; what comes back is only what a study keeps.

The parts are those of a fixed grid, so that no bit depends on how many work.
"""

import multiprocessing
import signal
from collections.abc import Generator, Iterator, Mapping
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from contextlib import contextmanager
from dataclasses import dataclass

import numpy as np

from geoecon.arrays import Bools, Codes, Floats, chunks, keep_memory
from geoecon.engine import evaluate
from geoecon.errors import CaseError, Fault
from geoecon.obstacles import obstacles
from geoecon.result import Result
from geoecon.sizing import too_small_a_field
from geoecon.studies.drawn import Order
from geoecon.studies.draws import Draws
from geoecon.studies.events import happenings
from geoecon.studies.why import infeasible

AHEAD = 3  # parts given out for each process, so that none waits and few wait to be taken in
YEARLY = ("delivered_energy", "brine_temperature", "cash_flow_equity", "dscr")
OVERPAID = Fault("capital.grant", "the grant and the debt together are more than all uses of money")


@dataclass(frozen=True)
class Part:
    """Some scenarios worked out: places `start` up to `stop` of a study.

    metrics : key -> values and codes, (scenario,);  events : key -> where, and code where it cannot exist
    yearly : column -> (year, scenario), NaN in scenarios that failed;  faults : path -> count, message of the first
    """

    start: int
    stop: int
    metrics: Mapping[str, tuple[Floats, Codes]]
    events: Mapping[str, tuple[Bools, Codes]]
    yearly: Mapping[str, Floats]
    faults: Mapping[str, tuple[int, str]]


@dataclass(frozen=True)
class Job:
    """What one part needs to be worked out."""

    order: Order
    values: Mapping[str, Floats]
    drilling: Floats
    start: int
    yearly: bool

    def cut(self, low: int, high: int) -> "Job":
        """The same for some of its scenarios."""
        values = {path: column[low:high] for path, column in self.values.items()}
        return Job(self.order, values, self.drilling[low:high], self.start + low, self.yearly)


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
    where = [*obstacles(case), *too_small_a_field(case, design)] if failed.any() else []
    faults: dict[str, tuple[int, str]] = {}
    left = failed.copy()
    for path, message, here in [
        *((o.path, o.message, o.where) for o in where),
        (OVERPAID.path, OVERPAID.message, left),
    ]:
        if count := int(np.count_nonzero(left & here)):
            faults[path] = (faults.get(path, (0, message))[0] + count, message)
            left = left & ~here
    return [Part(
        job.start, job.start + size, {key: (m.values, m.codes) for key, m in result.metrics.items()},
        happenings(result), _yearly(result, failed) if job.yearly else {}, faults,
    )]  # fmt: skip


def _yearly(result: Result, failed: Bools) -> dict[str, Floats]:
    """Yearly columns for fans, the owner's cash added up."""
    columns = {name: result.annual[name] for name in YEARLY}
    columns["cash_flow_equity"] = np.cumsum(columns["cash_flow_equity"], axis=0)
    return {name: np.where(failed, np.nan, column) for name, column in columns.items()}


def worked(order: Order, drawn: Draws, workers: int, yearly: int) -> Generator[list[Part], None, None]:
    """All parts of the draws as they come, in any order; `yearly` scenarios at most with their yearly columns.

    Close it to stop: parts that are not begun are given up.
    """
    jobs = (
        Job(order, drawn.part(p.start, p.stop).values, drawn.drilling[p], p.start, p.start < yearly)
        for p in chunks(drawn.size)
    )
    if workers == 1:
        keep_memory()
        yield from map(work, jobs)
        return
    pool = ProcessPoolExecutor(workers, multiprocessing.get_context("spawn"), _begin)
    try:
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
    finally:
        pool.shutdown(cancel_futures=True)


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

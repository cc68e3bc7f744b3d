"""Microseconds per scenario, ours beside a loop and C, and of whole passes: `python -m tests.speed`."""

import resource
import sys
import tempfile
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from functools import cache
from itertools import repeat
from pathlib import Path
from statistics import median
from time import perf_counter

import numpy as np

from geoecon import evaluate, load_case, shipped_case, size
from geoecon.arrays import CHUNK, Floats, chunks, keep_memory
from geoecon.case import Case
from geoecon.sizing import Design
from tests.speed import loop, ours
from tests.speed.compiled import Program, compiler
from tests.speed.project import Scenarios, draw

SCENARIOS, LOOPED, REPEATS = 10_000, 200, 5
FEW, PASSES = 1_000, 8 * CHUNK  # scenarios of a statement at a time; of whole passes
TOLERANCE = 1e-9
CASES = ("ambry-wells", "sorrel-basin")
LOOP, OURS, CHUNKS = f"loop with numpy-financial ({LOOPED})", "geoecon, all at once", f"geoecon, {FEW:,} at a time"
C = "C"

Timer = Callable[[], float]


def say(text: str = "") -> None:
    """Print a line."""
    sys.stdout.write(text + "\n")
    sys.stdout.flush()


def per_scenario(work: Callable[[], object], count: int) -> Timer:
    """A clock for some work: microseconds per scenario of one run."""

    def run() -> float:
        start = perf_counter()
        work()
        return (perf_counter() - start) * 1e6 / count

    return run


def interleaved(timers: dict[str, Timer]) -> dict[str, list[float]]:
    """Times of each, one after another in every repeat, so that a slow moment strikes all; the first round is thrown away."""
    rounds = [{name: timer() for name, timer in timers.items()} for _ in range(1 + REPEATS)]
    return {name: [times[name] for times in rounds[1:]] for name in timers}


def in_chunks(scenarios: Scenarios, *, required: bool) -> None:
    """Ours, a chunk after the other."""
    for some in chunks(len(scenarios), FEW):
        ours.work_out(scenarios.part(some), required=required)


def compare(name: str, values: dict[str, Floats], reference: dict[str, Floats]) -> float:
    """Largest relative difference from ours; ends the run where it is not as small as it must be."""
    largest = 0.0
    for measure, expected in reference.items():
        found = values[measure]
        if not np.isfinite(expected).all() or not np.isfinite(found).all():
            sys.exit(f"{name}: {measure} is not a number in every scenario")
        off = np.abs(found - expected[: len(found)]) / np.abs(expected[: len(found)])
        if off.max() > TOLERANCE:
            at = int(off.argmax())
            sys.exit(f"{name} DISAGREES: {measure} of scenario {at} is {found[at]!r}, geoecon says {expected[at]!r}")
        largest = max(largest, float(off.max()))
    return largest


def row(name: str, figures: list[float], after: str = "") -> None:
    """A line of the table."""
    say(f"  {name:<40}{''.join(f'{figure:>10.2f}' for figure in figures)}{after}")


def ratio(over: list[float], under: list[float]) -> list[float]:
    """Ratio of the best and of the median."""
    return [min(over) / min(under), median(over) / median(under)]


def table(title: str, times: dict[str, list[float]]) -> None:
    """Best and median of each, and ratios."""
    say(f"\n{title}")
    for name, values in times.items():
        row(name, [min(values), median(values)])
    row(f"ratio loop / {CHUNKS}", ratio(times[LOOP], times[CHUNKS]), "   aim: at least 100")
    if C in times:
        row(f"ratio {CHUNKS} / C", ratio(times[CHUNKS], times[C]), "   aim: at most 3")
    else:
        say(f"  {C:<40}{'no compiler':>20}")


def statements(folder: Path) -> None:
    """The same statement by all, checked and timed."""
    scenarios, cc = draw(SCENARIOS), compiler()
    few = scenarios.part(slice(LOOPED))
    programs = {C: Program(cc, folder, scenarios)} if cc else {}
    reference = ours.work_out(scenarios, required=True)
    off = [compare(LOOP, loop.work_out(few, required=True), reference)]
    for name, program in programs.items():
        program.run(required=True)
        off.append(compare(name, program.measures(), reference))
    say(f"all agree: {', '.join(reference)} differ by at most {max(off):.1e}, relative")
    say(f"{'microseconds per scenario':<42}{'best':>10}{'median':>10}   of {REPEATS} interleaved repeats")
    for required, title in (
        (False, "statement, values, rate of return, least cover"),
        (True, "the same and the required price"),
    ):
        timers: dict[str, Timer] = {
            LOOP: per_scenario(lambda r=required: loop.work_out(few, required=r), LOOPED),
            OURS: per_scenario(lambda r=required: ours.work_out(scenarios, required=r), SCENARIOS),
            CHUNKS: per_scenario(lambda r=required: in_chunks(scenarios, required=r), SCENARIOS),
        }
        timers |= {name: lambda p=program, r=required: p.run(required=r) for name, program in programs.items()}
        table(title, interleaved(timers))


def varied(case: Case) -> dict[str, Floats]:
    """The inputs of a case that a study would vary, around what it states."""
    uniform = np.random.Generator(np.random.Philox(key=20261127)).uniform
    flow, temperature = case.wells.flow_per_producer, case.resource.temperature
    return {
        "market.price": case.market.price * uniform(0.8, 1.3, PASSES),
        "finance.debt_rate": uniform(0.03, 0.10, PASSES),
        "money.inflation": uniform(0.0, 0.04, PASSES),
        "plant.cost_per_kw": case.plant.cost_per_kw * uniform(0.8, 1.4, PASSES),
        "wells.flow_per_producer": flow.values * uniform(0.9, 1.1, PASSES),
        "resource.temperature": temperature + uniform(-4, 4, PASSES),
    }


@cache
def prepared(name: str) -> tuple[Case, Design, dict[str, Floats]]:
    """A shipped case, its design, and what varies."""
    case = load_case(shipped_case(name))
    return case, size(case), varied(case)


def one_chunk(name: str, some: slice, hold: bool = True) -> Floats:
    """`evaluate` of some scenarios of a shipped case, from changed values to every metric; its required prices."""
    case, design, values = prepared(name)
    result = evaluate(case.with_values({path: each[some] for path, each in values.items()}), design if hold else None)
    metrics = dict(result.metrics)  # every one of them, each worked out at the first look
    return metrics["required_price"].values


def whole_passes() -> None:
    """`evaluate` of shipped cases in chunks: sized afresh, with the design held, and that in two processes."""
    parts = list(chunks(PASSES))
    for name in CASES:  # before the processes are made, so that they need not
        prepared(name)
    with ProcessPoolExecutor(2, initializer=keep_memory) as pool:
        timers = {}
        for name in CASES:
            passes = {
                "sized afresh": lambda n=name: [one_chunk(n, some, hold=False) for some in parts],
                "design held": lambda n=name: [one_chunk(n, some) for some in parts],
                "design held, two processes": lambda n=name: list(pool.map(one_chunk, repeat(n), parts)),
            }
            timers |= {f"{name}, {how}": per_scenario(work, PASSES) for how, work in passes.items()}
        say(f"\nwhole pass, evaluate(case.with_values(...)), {CHUNK:,} of {PASSES:,} at a time")
        for name, times in interleaved(timers).items():
            row(name, [min(times), median(times)])
    most = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024
    say(f"  most memory of a process: {most:,.0f} MB")


if __name__ == "__main__":
    keep_memory()  # as a study of many scenarios does
    with tempfile.TemporaryDirectory() as temporary:
        statements(Path(temporary))
    whole_passes()

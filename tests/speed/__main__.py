"""Microseconds per scenario, ours beside a loop and C, and of whole passes: `python -m tests.speed`."""

import sys
import tempfile
from collections.abc import Callable
from pathlib import Path
from statistics import median
from time import perf_counter

import numpy as np

from geoecon import evaluate, load_case, shipped_case
from geoecon.arrays import Floats
from geoecon.case import Case
from tests.speed import loop, ours
from tests.speed.compiled import Program, compiler
from tests.speed.project import Scenarios, draw

SCENARIOS, LOOPED, CHUNK, REPEATS = 10_000, 200, 1_000, 5
TOLERANCE = 1e-9
CASES = ("ambry-wells", "sorrel-basin")
LOOP, OURS, CHUNKS = f"loop with numpy-financial ({LOOPED})", "geoecon, all at once", f"geoecon, {CHUNK:,} at a time"
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
    for start in range(0, len(scenarios), CHUNK):
        ours.work_out(scenarios.part(slice(start, start + CHUNK)), required=required)


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
    say(f"  {name:<36}{''.join(f'{figure:>10.2f}' for figure in figures)}{after}")


def ratio(over: list[float], under: list[float]) -> list[float]:
    """Ratio of the best and of the median."""
    return [min(over) / min(under), median(over) / median(under)]


def table(title: str, times: dict[str, list[float]]) -> None:
    """Best and median of each, and ratios."""
    say(f"\n{title}")
    for name, values in times.items():
        row(name, [min(values), median(values)])
    row("ratio loop / geoecon", ratio(times[LOOP], times[OURS]), "   aim: at least 100")
    if C in times:
        row("ratio geoecon / C", ratio(times[OURS], times[C]), "   aim: at most 4")
    else:
        say(f"  {C:<36}{'no compiler':>20}")


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
    say(f"{'microseconds per scenario':<38}{'best':>10}{'median':>10}   of {REPEATS} interleaved repeats")
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
        "market.price": case.market.price * uniform(0.8, 1.3, SCENARIOS),
        "finance.debt_rate": uniform(0.03, 0.10, SCENARIOS),
        "money.inflation": uniform(0.0, 0.04, SCENARIOS),
        "plant.cost_per_kw": case.plant.cost_per_kw * uniform(0.8, 1.4, SCENARIOS),
        "wells.flow_per_producer": flow.values * uniform(0.9, 1.1, SCENARIOS),
        "resource.temperature": temperature + uniform(-4, 4, SCENARIOS),
    }


def whole_passes() -> None:
    """`evaluate` of shipped cases from changed values to the result."""
    timers = {}
    for name in CASES:
        case = load_case(shipped_case(name))
        values = varied(case)
        for count in (SCENARIOS, CHUNK):
            some = [{p: v[at : at + count] for p, v in values.items()} for at in range(0, SCENARIOS, count)]
            title = f"{name}, {'all' if count == SCENARIOS else f'{count:,}'} at a time"
            timers[title] = per_scenario(
                lambda c=case, parts=some: [evaluate(c.with_values(part)) for part in parts], SCENARIOS
            )
    say("\nwhole pass, evaluate(case.with_values(...))")
    for name, times in interleaved(timers).items():
        row(name, [min(times), median(times)])


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as temporary:
        statements(Path(temporary))
    whole_passes()

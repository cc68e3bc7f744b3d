"""What the pages work out, kept while case and choices stay the same; what stands in the way comes back as words."""

from collections.abc import Callable
from types import FunctionType
from typing import Any, Concatenate, ParamSpec, TypeVar

import streamlit as st

from geoecon.audit import Check, checks
from geoecon.case import Case, Site
from geoecon.engine import evaluate
from geoecon.errors import CaseError
from geoecon.report.amounts import input_text
from geoecon.report.sweeps import figure
from geoecon.result import Result
from geoecon.studies.breakeven import Breakeven, breakeven, usual_target
from geoecon.studies.delay import DelayCost, delay_cost
from geoecon.studies.drilling import Drilling, drilling
from geoecon.studies.frontiers import Frontier, SuccessCurve, frontier, success_curve
from geoecon.studies.gates import Decision, decide
from geoecon.studies.grid import Grid, Range, grid
from geoecon.studies.indices import Explored, explore_case
from geoecon.studies.inputs import Input, inputs, usual_range
from geoecon.studies.risk import Risk, risk
from geoecon.studies.screen import Screen, screen
from geoecon.studies.screen.written import WrittenCase, write_case
from geoecon.studies.sizes import Sizes, sizes
from geoecon.studies.stress import StressSet, stress_set
from geoecon.studies.sweep import Sweep, sweep_texts
from geoecon.studies.targets import Target, target
from geoecon.studies.tornado import ENDS, POINTS, OneAtATime, one_at_a_time
from geoecon.studies.uncertain import uncertain_inputs
from geoecon.studies.well_costs import WellCosts, well_costs

T = TypeVar("T")
P = ParamSpec("P")
Ends = tuple[str, str, str, int]  # a path, the two ends as texts with units, and how many values
DECISION_DRAWS, DECISION_SEED = 2_000, 1

# Results are frozen and only shown, so they are kept as they are; distributions could not be copied.
_HASHES: dict[str | type[Any], Callable[[Any], Any]] = {
    Case: lambda case: (case.digest, case.told, case.source),  # tables stand beside the source
    FunctionType: lambda study: (study.__module__, study.__qualname__),
}


@st.cache_resource(max_entries=64, show_spinner="Working it out", hash_funcs=_HASHES)
def _kept(study: Callable[..., T], case: Case, *choices: Any) -> T:
    return study(case, *choices)


@st.cache_resource(max_entries=8, show_spinner="Working the draws out", hash_funcs=_HASHES)
def _kept_draws(study: Callable[..., T], case: Case, *choices: Any) -> T:
    return study(case, *choices)


def _or_words(keep: Callable[..., Any], study: Callable[Concatenate[Case, P], T], case: Case, *choices: Any) -> T | str:
    """What a study of a case finds, or the message of its first fault with the place where it is."""
    try:
        found: T = keep(study, case, *choices)
    except CaseError as error:
        return str(error.faults[0])
    return found


def _evaluated(case: Case) -> Result:
    return evaluate(case, unsolved="raise")


def result_of(case: Case) -> Result | CaseError:
    """The result of a case, or what stands in its way."""
    try:
        return _kept(_evaluated, case)
    except CaseError as error:
        return error


def checks_of(case: Case) -> list[Check]:
    """The checks of the figures of a case; none where it cannot be worked out."""
    try:
        return _kept(_checked, case)
    except CaseError:
        return []


def _checked(case: Case) -> list[Check]:
    return checks(_kept(_evaluated, case))


def sweep_between(case: Case, path: str, low: str, high: str, steps: int, hold: bool) -> Sweep | str:
    """A sweep between two texts with units, or why there is none."""
    return _or_words(_kept, _swept, case, path, low, high, steps, hold)


def _swept(case: Case, path: str, low: str, high: str, steps: int, hold: bool) -> Sweep:
    return sweep_texts(case, path, low, high, steps, hold=hold)


def grid_between(case: Case, across: Ends, down: Ends, hold: bool) -> Grid | str:
    """A grid over two inputs, or why there is none."""
    return _or_words(_kept, _gridded, case, across, down, hold)


def _gridded(case: Case, across: Ends, down: Ends, hold: bool) -> Grid:
    return grid(case, Range(*across), Range(*down), hold=hold)


def one_by_one(case: Case, resize: bool) -> tuple[OneAtATime, OneAtATime] | str:
    """Each uncertain input at its two ends, and through its whole range, or why there is nothing to show."""
    return _or_words(_kept, _moved, case, resize)


def _moved(case: Case, resize: bool) -> tuple[OneAtATime, OneAtATime]:
    return one_at_a_time(case, ENDS, resize=resize), one_at_a_time(case, POINTS, resize=resize)


def needs_of(case: Case, asked: str, paths: tuple[str, ...], hold: bool) -> Breakeven | str:
    """What each input alone would have to be for a target, or why that cannot be said."""
    return _or_words(_kept, _needs, case, asked, paths, hold)


def _needs(case: Case, asked: str, paths: tuple[str, ...], hold: bool) -> Breakeven:
    return breakeven(case, target(asked, case.money.currency), paths, hold=hold)


def pairs_of(case: Case, asked: str, first: str, second: str, hold: bool) -> Frontier | str:
    """Pairs of two inputs that just meet a target, or why there are none."""
    return _or_words(_kept, _pairs, case, asked, first, second, hold)


def _pairs(case: Case, asked: str, first: str, second: str, hold: bool) -> Frontier:
    return frontier(case, target(asked, case.money.currency), first, second, hold=hold)


def lines_of(case: Case, asked: str, across: str, up: str, wells: tuple[str, ...], hold: bool) -> SuccessCurve | str:
    """Lines of equal value over two inputs, or why there are none."""
    return _or_words(_kept, _lines, case, asked, across, up, wells, hold)


def _lines(case: Case, asked: str, across: str, up: str, wells: tuple[str, ...], hold: bool) -> SuccessCurve:
    return success_curve(case, target(asked, case.money.currency), across, up, wells, hold=hold)


def usual_target_of(case: Case) -> Target | None:
    """What the owner of a case asks; None where the case states no price for it to rest on."""
    try:
        return usual_target(case)
    except CaseError:
        return None


def sizes_between(case: Case, low: str | None, high: str | None) -> Sizes | str:
    """A case over the capacity of its unit, or why it says nothing of that."""
    return _or_words(_kept, sizes, case, low, high)


def drilling_of(case: Case) -> Drilling | str:
    """How many wells of a case are drilled and what they cost, or why none is."""
    return _or_words(_kept, drilling, case)


def well_costs_of(case: Case) -> WellCosts | str:
    """What one well of a case costs beside published curves, or why it cannot be compared."""
    return _or_words(_kept, well_costs, case)


def stresses_of(case: Case) -> StressSet:
    """Every stress of a case that has a result."""
    return _kept(stress_set, case)


def delays_of(case: Case) -> DelayCost | str:
    """A case at the usual delays of its start, or what stands in the way."""
    return _or_words(_kept, delay_cost, case)


def risk_of(case: Case, draws: int, seed: int, resize: bool) -> Risk | str:
    """A case over draws of what is unsure, or why there is none."""
    return _or_words(_kept_draws, _risked, case, draws, seed, resize)


def _risked(case: Case, draws: int, seed: int, resize: bool) -> Risk:
    return risk(case, draws, seed=seed, resize=resize)


def drivers_of(case: Case, draws: int, seed: int) -> Explored:
    """Every metric of a case over samples of its uncertain inputs."""
    return _kept_draws(_explored, case, draws, seed)


def _explored(case: Case, draws: int, seed: int) -> Explored:
    return explore_case(case, draws=draws, seed=seed)


def decision_on(case: Case) -> Decision | str:
    """Go, wait or stop, or why that cannot be said."""
    return _or_words(_kept_draws, _decided, case)


def _decided(case: Case) -> Decision:
    return decide(case, risk(case, DECISION_DRAWS, seed=DECISION_SEED))


@st.cache_resource(max_entries=32, show_spinner="Looking at the site")
def _screened(text: str, told: tuple[tuple[str, str], ...], draws: int, seed: int) -> Screen:
    return screen(Site.read(text, "site", dict(told)), draws, seed)


def screen_of(text: str, told: tuple[tuple[str, str], ...], draws: int, seed: int) -> Screen | CaseError:
    """A screen of the site that a text states with other texts at some paths, or what is wrong with it."""
    try:
        return _screened(text, told, draws, seed)
    except CaseError as error:
        return error


def site_of(text: str) -> Site | CaseError:
    """The site that a text states, or what is wrong with it."""
    try:
        return Site.read(text, "site")
    except CaseError as error:
        return error


@st.cache_resource(
    max_entries=32, show_spinner="Writing a case", hash_funcs={Screen: lambda s: (s.site.digest, s.draws, s.seed)}
)
def _written(found: Screen) -> WrittenCase:
    return write_case(found)


def case_of(found: Screen) -> WrittenCase | CaseError:
    """The case that a screen is written as, or why there is none."""
    try:
        return _written(found)
    except CaseError as error:
        return error


def as_text(chosen: Input, value: float, currency: str, system: str) -> str:
    """A value of an input as a person would write it."""
    if not chosen.kind:
        return figure(value, 6)
    return input_text(chosen, value, currency, system)


__all__ = [
    "as_text", "case_of", "checks_of", "decision_on", "drilling_of", "drivers_of", "grid_between", "inputs", "lines_of",
    "needs_of", "one_by_one", "pairs_of", "result_of", "risk_of", "screen_of", "site_of", "sizes_between", "stresses_of",
    "sweep_between", "uncertain_inputs", "usual_range", "usual_target_of", "well_costs_of",
]  # fmt: skip

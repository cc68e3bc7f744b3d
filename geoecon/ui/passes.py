"""Passes and sweeps for the pages, kept while their case stays the same."""

from collections.abc import Callable
from typing import Any, TypeVar

import streamlit as st

from geoecon.case import Case
from geoecon.engine import evaluate
from geoecon.errors import CaseError
from geoecon.report.amounts import input_text
from geoecon.report.sweeps import figure
from geoecon.result import Result
from geoecon.studies.breakeven import Breakeven, breakeven, usual_target
from geoecon.studies.frontiers import Frontier, SuccessCurve, frontier, success_curve
from geoecon.studies.grid import Grid, Range, grid
from geoecon.studies.indices import Explored, explore_case
from geoecon.studies.inputs import Input, inputs, usual_range
from geoecon.studies.risk import Risk, risk
from geoecon.studies.stress import StressSet, stress_set
from geoecon.studies.sweep import Sweep, sweep_texts
from geoecon.studies.targets import Target, target
from geoecon.studies.tornado import ENDS, POINTS, OneAtATime, one_at_a_time
from geoecon.studies.uncertain import uncertain_inputs

T = TypeVar("T")
_BY_DIGEST: dict[str | type[Any], Callable[[Any], Any]] = {Case: lambda case: (case.digest, case.told)}


@st.cache_data(max_entries=64, show_spinner="Working the case out", hash_funcs=_BY_DIGEST)
def _evaluated(case: Case) -> Result:
    return evaluate(case, unsolved="raise")


@st.cache_data(max_entries=64, show_spinner="Working the sweep out", hash_funcs=_BY_DIGEST)
def _swept(case: Case, path: str, low: str, high: str, steps: int, hold: bool) -> Sweep:
    return sweep_texts(case, path, low, high, steps, hold=hold)


@st.cache_data(max_entries=32, show_spinner="Looking for break-even values", hash_funcs=_BY_DIGEST)
def _needs(case: Case, asked: str, paths: tuple[str, ...], hold: bool) -> Breakeven:
    return breakeven(case, target(asked, case.money.currency), paths, hold=hold)


@st.cache_data(max_entries=32, show_spinner="Looking for pairs that just meet it", hash_funcs=_BY_DIGEST)
def _pairs(case: Case, asked: str, first: str, second: str, hold: bool) -> Frontier:
    return frontier(case, target(asked, case.money.currency), first, second, hold=hold)


@st.cache_data(max_entries=32, show_spinner="Drawing lines of equal value", hash_funcs=_BY_DIGEST)
def _lines(case: Case, asked: str, across: str, up: str, wells: tuple[str, ...], hold: bool) -> SuccessCurve:
    return success_curve(case, target(asked, case.money.currency), across, up, wells, hold=hold)


def needs_of(case: Case, asked: str, paths: tuple[str, ...], hold: bool) -> Breakeven | str:
    """What each input alone would have to be for a target, or why that cannot be said."""
    return _or_words(lambda: _needs(case, asked, paths, hold))


def pairs_of(case: Case, asked: str, first: str, second: str, hold: bool) -> Frontier | str:
    """Pairs of two inputs that just meet a target, or why there are none."""
    return _or_words(lambda: _pairs(case, asked, first, second, hold))


def lines_of(case: Case, asked: str, across: str, up: str, wells: tuple[str, ...], hold: bool) -> SuccessCurve | str:
    """Lines of equal value over two inputs, or why there are none."""
    return _or_words(lambda: _lines(case, asked, across, up, wells, hold))


def usual_target_of(case: Case) -> Target | None:
    """What the owner of a case asks; None where the case states no price for it to rest on."""
    try:
        return usual_target(case)
    except CaseError:
        return None


def _or_words(work: Callable[[], T]) -> T | str:
    """What some work finds, or the message of its first fault with the place where it is."""
    try:
        return work()
    except CaseError as error:
        return f"{error.faults[0].path}: {error.faults[0].message}"


def result_of(case: Case) -> Result | CaseError:
    """The result of a case, or what stands in its way."""
    try:
        return _evaluated(case)
    except CaseError as error:
        return error


def sweep_between(case: Case, path: str, low: str, high: str, steps: int, hold: bool) -> Sweep | str:
    """A sweep between two texts with units, or the reason why there is none."""
    try:
        return _swept(case, path, low, high, steps, hold)
    except CaseError as error:
        return error.faults[0].message


@st.cache_data(max_entries=64, show_spinner="Working the grid out", hash_funcs=_BY_DIGEST)
def _gridded(case: Case, across: tuple[str, str, str, int], down: tuple[str, str, str, int], hold: bool) -> Grid:
    return grid(case, Range(*across), Range(*down), hold=hold)


def grid_between(
    case: Case, across: tuple[str, str, str, int], down: tuple[str, str, str, int], hold: bool
) -> Grid | str:
    """A grid over two inputs, each (path, text, text, steps), or the reason why there is none."""
    try:
        return _gridded(case, across, down, hold)
    except CaseError as error:
        return error.faults[0].message


@st.cache_data(max_entries=64, show_spinner="Moving one input at a time", hash_funcs=_BY_DIGEST)
def _moved(case: Case, chances: tuple[float, ...], resize: bool) -> OneAtATime:
    return one_at_a_time(case, chances, resize=resize)


def one_by_one(case: Case, resize: bool) -> tuple[OneAtATime, OneAtATime] | str:
    """Each uncertain input at its two ends, and through its whole range, or the reason why there is nothing to show."""
    try:
        return _moved(case, ENDS, resize), _moved(case, POINTS, resize)
    except CaseError as error:
        return error.faults[0].message


@st.cache_resource(max_entries=8, show_spinner="Working the draws out", hash_funcs=_BY_DIGEST)
def _risked(case: Case, draws: int, seed: int, resize: bool) -> Risk:
    return risk(case, draws, seed=seed, resize=resize)


def risk_of(case: Case, draws: int, seed: int, resize: bool) -> Risk | str:
    """A case over draws of what is unsure, or the reason why there is none."""
    try:
        return _risked(case, draws, seed, resize)
    except CaseError as error:
        return str(error.faults[0])


@st.cache_data(max_entries=16, show_spinner="Working the stresses out", hash_funcs=_BY_DIGEST)
def stressed(case: Case) -> StressSet:
    """Every stress of a case that has a result."""
    return stress_set(case)


@st.cache_data(max_entries=4, show_spinner="Working the draws out", hash_funcs=_BY_DIGEST)
def explored(case: Case, draws: int, seed: int) -> Explored:
    """Every metric of a case over samples of its uncertain inputs."""
    return explore_case(case, draws=draws, seed=seed)


def as_text(chosen: Input, value: float, currency: str, system: str) -> str:
    """A value of an input as a person would write it."""
    if not chosen.kind:
        return figure(value, 6)
    return input_text(chosen, value, currency, system)


__all__ = [
    "as_text", "explored", "grid_between", "inputs", "lines_of", "needs_of", "one_by_one", "pairs_of", "result_of",
    "risk_of", "stressed", "sweep_between", "uncertain_inputs", "usual_range", "usual_target_of",
]  # fmt: skip

"""Passes and sweeps for the pages, kept while their case stays the same."""

from collections.abc import Callable
from typing import Any

import streamlit as st

from geoecon.case import Case
from geoecon.engine import evaluate
from geoecon.errors import CaseError
from geoecon.report.sweeps import figure
from geoecon.result import Result
from geoecon.studies.indices import Explored, explore_case
from geoecon.studies.inputs import Input, inputs, usual_range
from geoecon.studies.stress import StressSet, stress_set
from geoecon.studies.sweep import Sweep, sweep_texts
from geoecon.units import from_inside, unit_shown

_BY_DIGEST: dict[str | type[Any], Callable[[Any], Any]] = {Case: lambda case: (case.digest, case.told)}


@st.cache_data(max_entries=64, show_spinner="Working the case out", hash_funcs=_BY_DIGEST)
def _evaluated(case: Case) -> Result:
    return evaluate(case, unsolved="raise")


@st.cache_data(max_entries=64, show_spinner="Working the sweep out", hash_funcs=_BY_DIGEST)
def _swept(case: Case, path: str, low: str, high: str, steps: int, hold: bool) -> Sweep:
    return sweep_texts(case, path, low, high, steps, hold=hold)


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
    shown = unit_shown(chosen.kind, system, currency)
    at = "" if chosen.at_degC is None else f" @ {chosen.at_degC:.6g} degC"
    return f"{figure(from_inside(value, chosen.kind, shown, currency), 5)} {shown}{at}"


__all__ = ["as_text", "explored", "inputs", "result_of", "stressed", "sweep_between", "usual_range"]

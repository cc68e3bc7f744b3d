"""The checks of a result in words: the one sentence on all of them, the list, lines and columns."""

from collections.abc import Iterator, Mapping, Sequence

import numpy as np

from geoecon.audit import Check, checks, verdict
from geoecon.report.ruled import LINE, SUM, Ruled
from geoecon.report.tables import Column

HOLDS, FAILS = "holds", "FAILS"
MEANS = (
    "Each check is an identity that holds whatever the case, worked out from the figures that are shown. How far it is off is "
    "a share of what it is measured against, in the worst year; what is allowed is the rounding of the arithmetic. Checks "
    "show that figures agree with each other, not that the inputs are right."
)


def all_hold(found: Sequence[Check]) -> bool:
    """Whether every check holds."""
    return all(check.holds for check in found)


def sentence(found: Sequence[Check]) -> str:
    """What the checks say, as a sentence of its own."""
    said = verdict(list(found))
    return f"{said[0].upper()}{said[1:]}."


def alarm(found: Sequence[Check]) -> str:
    """What has to stand on a chart or in a table that leaves the house where a check fails; empty where all hold."""
    return "" if all_hold(found) else sentence(found)


def check_table(found: Sequence[Check]) -> Ruled:
    """Every check: whether it holds, what it is, how far it is off and may be; those that fail come first."""
    ordered = sorted(found, key=lambda check: check.holds)
    rows = tuple(
        (LINE if check.holds else SUM, (check.name, _state(check), _size(check.off), _size(check.allowed)))
        for check in ordered
    )
    return Ruled("What is checked", ("what holds", "", "off by [share]", "allowed [share]"), rows, (MEANS,))


def lines(found: Sequence[Check]) -> Iterator[str]:
    """A line for each check, and the sentence on all."""
    for check in found:
        yield f"{_state(check)}  off by {check.off:.0e} of {check.allowed:.0e}  {check.name}"
    yield verdict(list(found))


def check_columns(found: Sequence[Check]) -> Mapping[str, Column]:
    """The checks as columns, exact."""
    return {
        "what holds": [check.name for check in found],
        "state": [_state(check) for check in found],
        "off by [share]": np.array([check.off for check in found]),
        "allowed [share]": np.array([check.allowed for check in found]),
    }


def _size(part: float) -> str:
    return f"{part:.0e}" if part else "0"


def _state(check: Check) -> str:
    return HOLDS if check.holds else FAILS


__all__ = ["alarm", "all_hold", "check_columns", "check_table", "checks", "lines", "sentence"]

"""One line of an answer, and a group of lines: what they share."""

from dataclasses import dataclass

import numpy as np

from geoecon.finance.reasons import Reason
from geoecon.result import Result


@dataclass(frozen=True)
class Line:
    """One line of the answer: what, how much, and the words that make it exact."""

    label: str
    value: str
    basis: str = ""


@dataclass(frozen=True)
class Section:
    """A group of lines under a heading."""

    title: str
    lines: tuple[Line, ...]


def have(result: Result, *names: str) -> bool:
    """Whether metrics have a value."""
    return all(np.isfinite(result.value(name)) for name in names)


def or_reason(result: Result, name: str, label: str, value: str, basis: str) -> Line:
    """A line, or the reason why there is none."""
    metric = result.metrics[name]
    if have(result, name):
        return Line(label, value, basis)
    return Line(label, "very high" if metric.codes[0] == Reason.ABOVE_RATES else "none", metric.reason)


def asked(result: Result, name: str) -> float:
    """What the case asks, as a number of a single case."""
    return float(result.asked[name][0])


def first_price(result: Result) -> float:
    """The price of year 1, nominal  [money/MWh]."""
    return float(result.annual["price"][result.build_years, 0])


def price(value: float, currency: str) -> str:
    """A price in words."""
    return f"{value:,.2f} {currency}/MWh"

"""Figures of metrics and values of inputs with their units, as a column, an axis or a label shows them."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from geoecon.report.sweeps import figure
from geoecon.report.words import DASH
from geoecon.studies.inputs import Input
from geoecon.units import from_inside

SHARES = frozenset({"net_capacity_factor", "local_load_share"})
DIGITS = 4


@dataclass(frozen=True)
class Scale:
    """How the figures of a metric are shown together: multiplied by what, with how many decimals, in which unit."""

    factor: float
    places: int
    unit: str

    def number(self, value: float) -> str:
        """A figure without its unit; "none" where it does not exist."""
        return f"{value * self.factor:,.{self.places}f}" if np.isfinite(value) else DASH

    def text(self, value: float) -> str:
        """A figure with its unit."""
        return f"{self.number(value)} {self.unit}" if np.isfinite(value) else DASH


def scale_of(metric: str, unit: str, currency: str, values: ArrayLike) -> Scale:
    """How figures are shown together: the greatest with four digits; rates in percent, large money in thousands or millions.

    >>> scale_of("npv", "USD", "USD", [-8.5e6, 2e5]).text(-8501256.0)
    '-8.501 MUSD'
    >>> scale_of("irr_equity", "1/yr", "USD", [0.06]).text(0.0594720)
    '5.947 %/yr'
    """
    known = np.abs(np.asarray(values, dtype=np.float64))
    most = float(known[np.isfinite(known)].max(initial=0.0))
    factor, shown = _shown(metric, unit, currency, most)
    before = int(np.floor(np.log10(most * factor))) + 1 if most > 0 else 1
    return Scale(factor, min(max(DIGITS - before, 0), DIGITS), shown)


def metric_heading(metric: str, scale: Scale, basis: str) -> str:
    """A metric with the unit it is shown in and its basis, where that says something.

    >>> metric_heading("npv", Scale(1e-6, 2, "MUSD"), "money of year 0")
    'npv [MUSD], money of year 0'
    """
    return f"{metric} [{scale.unit}]" + (f", {basis}" if basis not in {"none", ""} else "")


def _shown(metric: str, unit: str, currency: str, most: float) -> tuple[float, str]:
    """Factor and unit for figures of which this is the greatest."""
    if unit == "1/yr":
        return 100.0, "%/yr"
    if unit == "1":
        return (100.0, "%") if metric in SHARES else (1.0, "times")
    if unit.removesuffix("/yr") == currency:
        for size, prefix in ((1e6, "M"), (1e3, "k")):
            if most >= size:
                return 1 / size, prefix + unit
    return 1.0, unit


def input_text(chosen: Input, value: float, currency: str, system: str, digits: int = 5, *, at: bool = True) -> str:
    """A value of an input as a person would write it.

    at : whether a volume flow says the temperature it is stated at
    """
    if not chosen.kind:
        return f"{figure(value, digits)} {chosen.unit}".strip()
    shown = chosen.shown_in(system, currency)
    stated = "" if chosen.at_degC is None or not at else f" @ {chosen.at_degC:.6g} degC"
    return f"{figure(from_inside(value, chosen.kind, shown, currency), digits)} {shown}{stated}"

"""Values of metrics as people read them."""

import numpy as np

from geoecon.report.sweeps import figure
from geoecon.report.words import DASH, money
from geoecon.result import METRICS, in_money


def metric_text(metric: str, value: float, currency: str) -> str:
    """One value of a metric with its unit, in three or four digits that count.

    >>> metric_text("irr_equity", 0.1234, "USD"), metric_text("npv", -6.853e6, "USD"), metric_text("dscr_min", 1.25, "USD")
    ('12.3 %/yr', '-6.853 MUSD', '1.25')
    """
    unit = METRICS[metric].unit
    if not np.isfinite(value):
        return DASH
    if unit == "1/yr":
        return f"{figure(value * 100, 3)} %/yr"
    if unit == "CUR":
        return money(value, currency)
    if unit == "1":
        return f"{value:.2f}"
    return f"{figure(value, 4)} {in_money(unit, currency)}"

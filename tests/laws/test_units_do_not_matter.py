"""The same quantity in another unit gives the same answers."""

import math
import re

import numpy as np
from hypothesis import given

from geoecon import evaluate
from tests.laws.strategies import cases, read, same

OTHERS = {
    "degC": lambda n: (n * 9 / 5 + 32, "degF"),
    "K/yr": lambda n: (n * 9 / 5, "degF/yr"),
    "%/K": lambda n: (n * 5 / 9, "%/degF"),
    "USD/MWh": lambda n: (n / 1000, "USD/kWh"),
    "USD/kW/yr": lambda n: (n * 1000, "USD/MW/yr"),
    "USD/kW": lambda n: (n / 1000, "MUSD/MW"),
    "kUSD/yr": lambda n: (n * 1000, "USD/yr"),
    "kUSD": lambda n: (n * 1000, "USD"),
    "MUSD": lambda n: (n * 1000, "kUSD"),
    "MW": lambda n: (n * 1000, "kW"),
    "kg/s": lambda n: (n * 3.6, "t/h"),
}
TEXT = re.compile(r'"([-\d.]+) ([^"@]+?)(?: @ ([-\d.]+) degC)?"')


def other(path, value):
    """A value as another person would write it."""

    def again(match):
        number, unit, at = float(match[1]), match[2], match[3]
        if path == "wells.flow_decline":
            return f'"{-100 * math.log1p(-number / 100)!r} %/yr nominal"'
        if path == "operation.planned_outage":
            return f'"{number * 87.6!r} h/yr"'
        if unit == "L/s":
            return f'"{number * 60 / 3.785411784!r} gpm @ {float(at) * 9 / 5 + 32!r} degF"'
        if unit not in OTHERS:
            return match[0]
        number, unit = OTHERS[unit](number)
        return f'"{number!r} {unit}"'

    return TEXT.sub(again, value)


@given(cases())
def test_another_unit_changes_nothing(values):
    if "wells.flow_per_producer" in values:
        values["wells.flow_per_producer"] = values["wells.flow_per_producer"].replace("kg/s", "L/s @ 150 degC")
    others = {path: other(path, value) for path, value in values.items()}
    changed = {path for path, value in values.items() if others[path] != value}
    assert {"market.price", "resource.temperature", "operation.planned_outage", "capital.permits"} <= changed
    ours, theirs = evaluate(read(values)), evaluate(read(others))
    for name, metric in ours.metrics.items():
        money = ours.value("capital_cost") if metric.unit == "USD" else 0.01 if metric.unit == "1/yr" else 0.0
        assert np.array_equal(metric.codes, theirs.metrics[name].codes), name
        assert same(metric.values, theirs.metrics[name].values, size=money), name
    for name, column in ours.annual.items():
        assert same(column, theirs.annual[name], size=np.nanmax(np.abs(column), initial=1.0)), name

"""What a late start costs as lines, JSON, columns, sections of a page, and in words."""

from collections.abc import Iterator
from typing import Any

import numpy as np

from geoecon.arrays import Floats
from geoecon.report.lines import Line, Section
from geoecon.report.tables import Column
from geoecon.report.words import DASH, money, share
from geoecon.studies.delay import CAUSES, DEADLINE, SERVICE, DelayCost

FIGURES = {
    "npv": "Value of the project", "npv_equity": "Value to the owner", "irr_equity": "Return on equity",
    "required_price": "Required price", "dscr_min": "Least cover of debt service",
}  # fmt: skip
OWNERS = {"npv_equity": "the owner's value", "npv": "the project's value", "": "no value, as the case states no price"}
SAYS = (
    "Against no delay, the plant as ordered, money of year 0; causes are taken in this order and sum to the cost. Debt "
    "service, fixed cost and prices keep the calendar that was planned."
)


def verdict(found: DelayCost) -> str:
    """What the longest delay costs, in a sentence."""
    if not found.value:
        return "The case states no price, so only the required price tells what a late start costs."
    last, cost = int(found.months.size - 1), float(found.cost[-1])
    if not np.isfinite(cost):
        return f"What {_late(found, last)} costs cannot be worked out: {found.reasons[found.value][last]}."
    if not found.months[last]:
        return "Nothing is late, and nothing is lost."
    largest = max(found.causes, key=lambda name: float(found.causes[name][last]))
    takes = f"{money(cost, found.currency)} of {OWNERS[found.value]}"
    per_month = money(cost / float(found.months[last]), found.currency)
    return f"Starting {_late(found, last)} late costs {takes}, {per_month} a month; most of it is {largest}."


def _late(found: DelayCost, at: int) -> str:
    months = float(found.months[at])
    return f"{months:g} month{'' if months == 1 else 's'}"


def heads(found: DelayCost) -> tuple[str, ...]:
    """The heading of a table: one column a delay."""
    return ("late by", *(_late(found, n) for n in range(found.months.size)))


def figure_rows(found: DelayCost) -> list[tuple[str, ...]]:
    """Figures of the case at every delay, with units."""
    kept = [key for key in FIGURES if np.isfinite(found.metrics[key]).any()]
    return [(FIGURES[key], *(_figure(found, key, float(value)) for value in found.metrics[key])) for key in kept]


def _figure(found: DelayCost, key: str, value: float) -> str:
    if not np.isfinite(value):
        return DASH
    if found.units[key] == "1/yr":
        return f"{share(value)}/yr"
    if found.units[key] == "1":
        return f"{value:.2f} times"
    return money(value, found.currency) if found.units[key] == found.currency else f"{value:.2f} {found.units[key]}"


def cause_rows(found: DelayCost) -> list[tuple[str, ...]]:
    """Causes that cost or save something, debt service always, and their sum, at every delay."""
    if not found.value:
        return []

    def row(name: str, values: Floats) -> tuple[str, ...]:
        return (name, *(money(float(v), found.currency) if np.isfinite(v) else DASH for v in values))

    least = 1e-9 * np.nanmax(np.abs(found.cost), initial=0.0)
    kept = [name for name, part in found.causes.items() if name == SERVICE or (np.abs(part) > least).any()]
    return [*(row(name, found.causes[name]) for name in kept), row("cost of the delay", found.cost)]


def burden_rows(found: DelayCost) -> list[tuple[str, ...]]:
    """What falls due while the unit does not run, nominal; it is no part of the cost, but somebody must have the money."""
    if not found.value:
        return []
    return [
        ("debt service due in the time missed", *(money(float(v), found.currency) for v in found.service)),
        ("cash the owner adds in those years", *(money(float(v), found.currency) for v in found.put_in)),
    ]


def rows(found: DelayCost) -> list[tuple[str, ...]]:
    """The whole table without its heading."""
    return [*figure_rows(found), *cause_rows(found), *burden_rows(found)]


def lines(found: DelayCost) -> Iterator[str]:
    """The sentence, then aligned tables, then what each cause is."""
    yield verdict(found)
    table = [heads(found), *rows(found)]
    widths = [max(len(row[k]) for row in table) for k in range(len(table[0]))]
    groups = (
        ([heads(found)], ""), (figure_rows(found), ""), (cause_rows(found), "What it costs, money of year 0"),
        (burden_rows(found), "What falls due meanwhile, nominal"),
    )  # fmt: skip
    for group, title in groups:
        if title and group:
            yield ""
            yield title
        for first, *rest in group:
            cells = (text.rjust(width) for text, width in zip(rest, widths[1:], strict=True))
            yield "  ".join([first.ljust(widths[0]), *cells]).rstrip()
    yield ""
    yield SAYS
    yield from (f"{line.label}: {line.basis}" for line in causes(found).lines)
    for key in FIGURES:
        if reason := next((why for why in found.reasons[key] if why), ""):
            yield f"none in {FIGURES[key].lower()}: {reason}"


def causes(found: DelayCost) -> Section:
    """The causes of the longest delay, each with what it is."""
    last = int(found.months.size - 1)
    shown = [row[0] for row in cause_rows(found)[:-1]]
    told = [Line(name, money(float(found.causes[name][last]), found.currency), _about(found, name)) for name in shown]
    return Section(f"Why {_late(found, last)} cost that", tuple(told))


def _about(found: DelayCost, name: str) -> str:
    left = f"; {share(float(found.credit_left[-1]), 0)} of it is left" if name == DEADLINE else ""
    return f"{CAUSES[name]}{left}"


def as_json(found: DelayCost) -> dict[str, Any]:
    """The study as plain objects; what does not exist is null."""

    def plain(values: Floats) -> list[float | None]:
        return [float(v) if np.isfinite(v) else None for v in values]

    return {
        "months": plain(found.months),
        "value": found.value or None,
        "currency": found.currency,
        "cost": plain(found.cost),
        "causes": {name: plain(values) for name, values in found.causes.items()},
        "debt_service_due": plain(found.service),
        "cash_added": plain(found.put_in),
        "credit_left": plain(found.credit_left),
        "metrics": {key: plain(values) for key, values in found.metrics.items()},
        "units": dict(found.units),
        "bases": dict(found.bases),
        "reasons": {key: list(why) for key, why in found.reasons.items() if any(why)},
    }


def delay_columns(found: DelayCost) -> dict[str, Column]:
    """The study as columns: a row per delay, every cause, then every metric with its unit."""
    return {
        "late [months]": found.months,
        f"cost [{found.currency}]": found.cost,
        **{f"{name} [{found.currency}]": values for name, values in found.causes.items()},
        f"debt service due [{found.currency}]": found.service,
        f"cash added [{found.currency}]": found.put_in,
        **{f"{key} [{found.units[key]}]": values for key, values in found.metrics.items()},
    }

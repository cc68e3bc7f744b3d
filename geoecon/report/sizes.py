"""How large a unit to install: as sentences, lines, JSON and columns."""

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from geoecon.report.aligned import aligned
from geoecon.report.amounts import Scale, scale_of
from geoecon.report.sweeps import figure
from geoecon.report.tables import Column, study_files
from geoecon.report.words import money, share, significant
from geoecon.studies.sizes import AS_GOOD, LEAST_COST, MOST_VALUE, Sizes

if TYPE_CHECKING:
    from geoecon.report.charts import Chart

FIGURES = (LEAST_COST, MOST_VALUE, "producers", "makeup_wells", "capital_cost", "capital_cost_per_kw")
WELLS = {"producers": 0, "makeup_wells": 1}  # decimals of counts, of which the second is an expectation
BETWEEN = 4  # of the sizes that nothing sets apart, one in so many is listed
STAYS = (
    "Each size has wells, make-up wells and decline of its own. What the case states as a sum, such as surveys, permits, "
    "pipes between wells and the line, stays as it is, and so does the price: where such a sum would grow, large sizes look "
    "better than they are."
)


def verdict(found: Sizes) -> str:
    """Which size costs least and which is worth most, in sentences."""
    if found.cheapest is None:
        return f"No size from {_size(found, 0)} to {_size(found, -1)} can be worked out: {_why(found)}."
    return " ".join((_least_cost(found), *_value(found), *_beyond(found)))


def _size(found: Sizes, index: int) -> str:
    return f"{figure(float(found.capacity[index]) / 1e3, 3)} MW"


def _why(found: Sizes) -> str:
    if not found.supported.any():
        return (
            f"the field is said to support {figure(found.supported_kw / 1e3, 3)} MW, less than the smallest asked for"
        )
    return next((why for why in found.reasons["net_capacity"] if why), "none has a levelized cost")


def _least_cost(found: Sizes) -> str:
    assert found.cheapest is not None
    assert found.as_good is not None
    cost, unit = found.metrics[LEAST_COST], found.units[LEAST_COST]
    least = float(cost[found.cheapest])
    low, high = (figure(end / 1e3, 3) for end in found.as_good)
    near = f"; from {low} to {high} MW it is within {share(AS_GOOD, 0)} of that" if low != high else ""
    own = float(cost[found.at])
    over = (
        ""
        if found.at == found.cheapest
        else f" The case's own {_size(found, found.at)} costs {share(own / least - 1)} more."
    )
    return (
        f"Energy costs least from a unit of {_size(found, found.cheapest)}: {significant(least, 4)} {unit}, "
        f"{found.bases[LEAST_COST]}{near}.{over}"
    )


def _value(found: Sizes) -> Iterator[str]:
    if found.best is None:
        yield "The case states no price, so no size has a value."
        return
    worth = float(found.metrics[MOST_VALUE][found.best])
    yield f"At the case's price {_size(found, found.best)} is worth most, {money(worth, found.currency)}" + (
        "." if worth > 0 else ": no size pays at that price."
    )


def _beyond(found: Sizes) -> Iterator[str]:
    """What lies outside the sizes looked at."""
    ends = {n for n in (found.cheapest, found.best) if n is not None and found.at_end(n)}
    if not ends:
        return
    if 0 in ends:
        yield "That is at the lower end of the sizes looked at; a smaller one may do better."
    elif found.supported.all():
        yield "That is at the upper end of the sizes looked at; a larger one may do better, as far as the field carries it."
    else:
        supported = figure(found.supported_kw / 1e3, 3)
        yield f"What ends it is the field, which is said to support {supported} MW for the life."


def growth(found: Sizes) -> str:
    """How the cost of plant and staff goes with size, in words."""
    doubled = share(2 ** (found.exponent - 1) - 1, 0)
    said = [f"Plant cost grows with size to the power {found.exponent:g}: twice the size, {doubled} a kW."]
    if np.isfinite(found.fixed_cost):
        said.append(
            f"The case's fixed cost, {money(found.fixed_cost, found.currency)} a year, is the same at every size."
        )
    if np.isfinite(found.staff_floor):
        said.append(f"Fixed cost is at least {money(found.staff_floor, found.currency)} a year.")
    if not found.supported.all():
        said.append("Sizes beyond the field are more than it is said to support for the life.")
    return " ".join(said)


def listed(found: Sizes) -> list[int]:
    """Sizes that a table lists: those that something sets apart, and some between."""
    between = set(range(0, found.capacity.size, BETWEEN))
    apart = {found.at, found.capacity.size - 1, *np.flatnonzero(found.full)}
    return sorted(between | apart | {n for n in (found.cheapest, found.best) if n is not None})


def mark(found: Sizes, index: int) -> str:
    """What sets a size apart, in words; empty where nothing does."""
    said = {
        "the case": index == found.at,
        "least cost": index == found.cheapest,
        "most value": index == found.best,
        "wells at full flow": found.full[index],
        "beyond the field": not found.supported[index],
    }
    return ", ".join(words for words, holds in said.items() if holds)


def rows(found: Sizes) -> list[tuple[str, ...]]:
    """The table with its two lines of headings: sizes, what each takes, costs and is worth."""
    scales = {key: _scale(found, key) for key in FIGURES}
    megawatts = scale_of("net_capacity", "MW", found.currency, found.capacity / 1e3)
    body = [
        (
            mark(found, n),
            megawatts.number(float(found.capacity[n]) / 1e3),
            *(scales[key].number(float(found.metrics[key][n])) for key in FIGURES),
        )
        for n in listed(found)
    ]
    return [("", "net_capacity", *FIGURES), ("", "[MW]", *(f"[{scales[key].unit}]" for key in FIGURES)), *body]


def _scale(found: Sizes, key: str) -> Scale:
    if key in WELLS:
        return Scale(1.0, WELLS[key], found.units[key])
    return scale_of(key, found.units[key], found.currency, found.metrics[key])


def lines(found: Sizes, width: int | None = None) -> Iterator[str]:
    """The sentences, then the table, then what was varied and what was not."""
    yield verdict(found)
    yield ""
    heads, units, *body = rows(found)
    fits = list(aligned([heads, units, *body]))
    if width is None or max(map(len, fits)) <= width:
        yield from fits
    else:
        named = ("", *(f"{head} {unit}" for head, unit in zip(heads[2:], units[2:], strict=True)))
        yield from aligned(
            [named, *((f"{size} MW{f' ({words})' if words else ''}", *rest) for words, size, *rest in body)], width
        )
    yield ""
    yield growth(found)
    yield STAYS


def as_json(found: Sizes) -> dict[str, Any]:
    """The study as plain objects; what does not exist is null."""

    def plain(value: float) -> float | None:
        return value if np.isfinite(value) else None

    return {
        "net_capacity": (found.capacity / 1e3).tolist(),
        "unit": "MW",
        "case": found.at,
        "least_cost": found.cheapest,
        "most_value": found.best,
        "as_good": None if found.as_good is None else [end / 1e3 for end in found.as_good],
        "wells_at_full_flow": found.full.tolist(),
        "supported": found.supported.tolist(),
        "supported_power": plain(found.supported_kw / 1e3),
        "cost_exponent": found.exponent,
        "currency": found.currency,
        "metrics": {key: [plain(v) for v in map(float, column)] for key, column in found.metrics.items()},
        "units": dict(found.units),
        "bases": dict(found.bases),
        "reasons": {key: list(why) for key, why in found.reasons.items() if any(why)},
    }


def size_columns(found: Sizes) -> dict[str, Column]:
    """The study as columns with units: a row per size, what sets it apart, then every metric."""
    return {
        "net capacity [MW]": found.capacity / 1e3,
        "what it is": [mark(found, n) for n in range(found.capacity.size)],
        **{f"{key} [{found.units[key]}]": values for key, values in found.metrics.items() if key != "net_capacity"},
    }


def size_files(found: Sizes, chart: str | None, out: str | None) -> list[Path]:
    """Write the chart of cost by size and the table, where they are asked for. Raises `OutputError`."""

    def draw() -> "Chart":
        from geoecon.report.charts.sizes import cost_by_size

        return cost_by_size(found)

    return study_files(chart, draw, out, lambda: size_columns(found))

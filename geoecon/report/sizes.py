"""How large a unit to install: as sentences, lines, JSON and columns."""

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from geoecon.report.aligned import aligned
from geoecon.report.amounts import Scale, scale_of
from geoecon.report.sweeps import figure
from geoecon.report.tables import Column, no_alarm, study_files
from geoecon.report.words import money, share, significant
from geoecon.studies.sizes import AS_GOOD, CAP, FIELD, LARGER, LEAST_COST, MOST_VALUE, Sizes

if TYPE_CHECKING:
    from geoecon.report.charts import Chart

CAPACITY_TITLE = "net capacity"
FIGURES = {
    LEAST_COST: "levelized cost", MOST_VALUE: "value", "producers": "producers", "makeup_wells": "make-up wells",
    "capital_cost": "capital", "capital_cost_per_kw": "capital per kW",
}  # fmt: skip
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
        return f"No size from {_mw(found.low)} to {_mw(found.high)} can be chosen: {_why(found)}."
    return " ".join((_least_cost(found), *_value(found), *_beyond(found)))


def _mw(kw: float) -> str:
    return f"{figure(kw / 1e3, 3)} MW"


def _size(found: Sizes, index: int) -> str:
    return _mw(float(found.capacity[index]))


def field(found: Sizes) -> str:
    """What the field supports, in words."""
    how = "supports by its stored heat" if found.by_heat else "is said to support"
    return f"the field {how} {_mw(found.supported_kw)} for the life"


def _why(found: Sizes) -> str:
    if not (found.inside & found.supported).any():
        return f"{field(found)}, less than the smallest asked for"
    if not found.open.any():
        return f"each commits the owner to more than {money(found.cap, found.currency)} (finance.commitment_cap)"
    return next((why for why in found.reasons["net_capacity"] if why), "none has a levelized cost")


def _least_cost(found: Sizes) -> str:
    assert found.cheapest is not None
    assert found.as_good is not None
    cost, unit = found.metrics[LEAST_COST], found.units[LEAST_COST]
    least = float(cost[found.cheapest])
    low, high = (figure(end / 1e3, 3) for end in found.as_good)
    near = f"; from {low} to {high} MW it is within {share(AS_GOOD, 0)} of that" if low != high else ""
    over = "" if found.at == found.cheapest else f" {_own(found, float(cost[found.at]) / least - 1)}"
    return (
        f"Energy costs least from a unit of {_size(found, found.cheapest)}: {significant(least, 4)} {unit}, "
        f"{found.bases[LEAST_COST]}{near}.{over}"
    )


def _own(found: Sizes, more: float) -> str:
    """The case's own size beside the cheapest, and why it was not chosen where it costs less."""
    own = f"The case's own {_size(found, found.at)}"
    if not np.isfinite(more):
        return f"{own} has no levelized cost."
    if more >= 0:
        return f"{own} costs {share(more)} more."
    why = (
        "was not asked for" if not found.inside[found.at]
        else "is beyond the field" if not found.supported[found.at] else "asks more than the owner may be committed to"
    )  # fmt: skip
    return f"{own}, which {why}, costs {share(-more)} less."


def _value(found: Sizes) -> Iterator[str]:
    if found.best is None:
        yield "The case states no price, so no size has a value."
        return
    worth = float(found.metrics[MOST_VALUE][found.best])
    yield f"At the case's price {_size(found, found.best)} is worth most, {money(worth, found.currency)}" + (
        "." if worth > 0 else ": no size pays at that price."
    )


def _beyond(found: Sizes) -> Iterator[str]:
    """Sizes that would do better: what rules them out, or that they were not asked for."""
    for why, one in {one.why: one for one in reversed(found.better)}.items():
        worth = figure_text(found, one.metric, one.value)
        does = f"costs less, {worth}" if one.metric == LEAST_COST else f"is worth more, {worth}"
        if why == FIELD:
            yield f"What ends it is the field: {_mw(one.capacity_kw)} {does}, but {field(found)}."
        elif why == CAP:
            yield (
                f"What ends it is what the owner may be committed to, {money(found.cap, found.currency)} "
                f"(finance.commitment_cap): {_mw(one.capacity_kw)} {does}, but asks more."
            )
        else:
            end = "upper" if why == LARGER else "lower"
            yield f"Beyond the {end} end of the sizes asked for a {why} one does better: {_mw(one.capacity_kw)} {does}."


def figure_text(found: Sizes, metric: str, value: float) -> str:
    """A cost or a value of a size with its unit."""
    return money(value, found.currency) if metric == MOST_VALUE else f"{significant(value, 4)} {found.units[metric]}"


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
        said.append(f"Sizes beyond the field are more than it carries: {field(found)}.")
    if not found.within_cap.all():
        said.append(f"Sizes above the cap commit the owner to more than {money(found.cap, found.currency)}.")
    return " ".join(said)


def listed(found: Sizes) -> list[int]:
    """Sizes that a table lists: those that something sets apart, and some between."""
    between = set(range(0, found.capacity.size, BETWEEN))
    apart = {found.at, found.capacity.size - 1, *np.flatnonzero(found.full)}
    return sorted(between | apart | {n for n in (found.cheapest, found.best) if n is not None})


def mark(found: Sizes, index: int) -> str:
    """What sets a size apart, in words; empty where nothing does."""
    said = {
        "the case": index == found.at and bool(found.inside[index]),
        "the case, not asked for": index == found.at and not found.inside[index],
        "least cost": index == found.cheapest,
        "most value": index == found.best,
        "wells at full flow": found.full[index],
        "beyond the field": not found.supported[index],
        "above the cap": not found.within_cap[index],
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
    return [("", CAPACITY_TITLE, *FIGURES.values()), ("", "[MW]", *(f"[{scales[key].unit}]" for key in FIGURES)), *body]


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
        "asked": [found.low / 1e3, found.high / 1e3],
        "case": found.at,
        "least_cost": found.cheapest,
        "most_value": found.best,
        "as_good": None if found.as_good is None else [end / 1e3 for end in found.as_good],
        "wells_at_full_flow": found.full.tolist(),
        "supported": found.supported.tolist(),
        "supported_power": plain(found.supported_kw / 1e3),
        "supported_by_stored_heat": found.by_heat,
        "within_cap": found.within_cap.tolist(),
        "commitment_cap": plain(found.cap),
        "better": [
            {"metric": one.metric, "net_capacity": one.capacity_kw / 1e3, "value": one.value, "why": one.why}
            for one in found.better
        ],
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


def size_files(found: Sizes, chart: str | None, out: str | None, alarm: Callable[[], str] = no_alarm) -> list[Path]:
    """Write the chart of cost by size and the table, where they are asked for. Raises `OutputError`."""

    def draw() -> "Chart":
        from geoecon.report.charts.sizes import cost_by_size

        return cost_by_size(found)

    return study_files(chart, draw, out, lambda: size_columns(found), alarm)

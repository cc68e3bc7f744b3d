"""Break-even values as a sentence, lines, JSON and a table."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np

from geoecon.report.aligned import LEFT, aligned
from geoecon.report.chances import chances
from geoecon.report.inputs import bare_text, in_unit, range_text, value_text
from geoecon.report.metrics import metric_text
from geoecon.report.sweeps import figure
from geoecon.report.tables import Column
from geoecon.report.told import Told
from geoecon.report.words import significant
from geoecon.result import METRICS, Result, in_money
from geoecon.studies.breakeven import PRICE, Breakeven, Need
from geoecon.studies.decisions import DECISIONS
from geoecon.studies.targets import LOWER_IS_BETTER, Target
from geoecon.units import SYSTEMS, from_inside

HEADINGS = ("input", "as it is", "would have to be", "change", "how likely")
HEADINGS_MET = ("input", "as it is", "may go to", "change", "how likely to lose it")
NO_CHANCE = "no distribution"
COVERS = ("dscr_min", "dscr_mean", "llcr", "plcr", "tier_min")


def breakeven_told(found: Breakeven) -> Told:
    """The needs of all inputs in every form."""

    def draw() -> Any:
        from geoecon.report.charts import breakeven_bars

        return breakeven_bars(found)

    return Told(lambda width: lines(found, width), as_json(found), columns(found), draw)


@dataclass(frozen=True)
class Row:
    """One input as it is listed: path, value now, value needed, change, chance; each a text with its unit."""

    path: str
    now: str
    needed: str
    change: str
    chance: str

    def cells(self) -> tuple[str, ...]:
        """The texts in the order of the headings."""
        return self.path, self.now, self.needed, self.change, self.chance


def ranked(found: Breakeven) -> list[Need]:
    """The most likely first, then those without a chance by how far they are, then those that change nothing."""
    return sorted(found.needs, key=_rank)


def _rank(need: Need) -> tuple[int, float]:
    if not need.found:
        return 2, 0.0
    if need.chances is None or need.chances.at is None:
        return 1, abs(need.shift)
    return 0, -need.chances.at


def rows(found: Breakeven, system: str = SYSTEMS[0]) -> list[Row]:
    """The list of inputs, most likely first."""
    return [_row(found, need, system) for need in ranked(found)]


def _row(found: Breakeven, need: Need, system: str) -> Row:
    now = value_text(need.input, need.input.value, system, found.currency)
    if not need.found:
        return Row(need.path, now, _nothing(found, need, system), "", "")
    chance = NO_CHANCE if need.chances is None or need.chances.at is None else chances(need.chances.at)
    return Row(need.path, now, _needed(found, need, system), change_text(need, found.currency, system), chance)


def _needed(found: Breakeven, need: Need, system: str) -> str:
    value = value_text(need.input, need.value, system, found.currency)
    if found.met:
        again = value_text(need.input, need.until, system, found.currency) if np.isfinite(need.until) else ""
        return f"{'up' if need.way > 0 else 'down'} to {value}{f', lost to about {again}' if again else ''}"
    if np.isfinite(need.until):
        return range_text(need.input, sorted((need.value, need.until)), system, found.currency)
    return f"at {'least' if need.way > 0 else 'most'} {value}"


def _nothing(found: Breakeven, need: Need, system: str) -> str:
    if need.still:
        return "moves nothing in this case"
    tried = range_text(need.input, (need.low, need.high), system, found.currency)
    if found.met:
        return f"stays met from {tried}"
    at = bare_text(need.input, need.best_at, system, found.currency)
    best = metric_text(found.target.metric, need.best, found.currency)
    if found.target.metric in COVERS and need.best < 0:  # of cash that is short, more debt leaves less short a part
        return f"nothing from {tried}; never above zero"
    return f"nothing from {tried}{f'; at best {best} at {at}' if np.isfinite(need.best) else ''}"


def change_text(need: Need, currency: str, system: str = SYSTEMS[0]) -> str:
    """How far a need is from the case's own value: +24.8 %, -6.2 K."""
    if not need.additive:
        return f"{_signed(need.shift * 100)} %"
    unit = need.input.shown_in(system, currency)
    if need.input.kind == "temperature":
        apart = "degF" if unit == "degF" else "K"
        return f"{_signed(from_inside(need.shift, 'difference', apart))} {apart}"
    ends = in_unit(need.input, np.array([need.input.value, need.value]), system, currency)
    return f"{_signed(float(ends[1] - ends[0]))} {unit}".strip()


def _signed(number: float) -> str:
    text = significant(number, 3)
    return f"+{text}" if number > 0 else text


def headline(found: Breakeven, system: str = SYSTEMS[0]) -> str:
    """What it comes to, in words."""
    metric, currency = found.target.metric, found.currency
    asked = found.target.in_words(currency).removeprefix(f"{metric} ")
    now = f"{metric} is {metric_text(metric, found.base, currency)}"
    if found.met:
        return f"{now}, and the target is met: {asked}. {likeliest(found, system)}"
    if np.isfinite(found.base):
        return f"{now}, and the target is missed: {asked}. {likeliest(found, system)}"
    none = f"{metric} has no value in this case: {found.reason}"
    return f"{none}. The target is {asked}. {likeliest(found, system)}"


def likeliest(found: Breakeven, system: str = SYSTEMS[0]) -> str:
    """How many inputs can meet the target, or lose it, alone; the likeliest of them and the price."""
    does = "lose it" if found.met else "meet it"
    changing = [need for need in ranked(found) if need.found]
    if not changing:
        return f"None of {len(found.needs)} inputs can {does} alone, within what was tried."
    shown = [changing[0], *(need for need in changing[1:] if need.path == PRICE)]
    first = "likeliest, " if changing[0].chances else ""
    words = "; ".join(_one(found, need, system) for need in shown)
    return f"{len(changing)} of {len(found.needs)} inputs can {does} alone: {first}{words}."


def _one(found: Breakeven, need: Need, system: str) -> str:
    chance = f", {chances(need.chances.at)}" if need.chances and need.chances.at is not None else ""
    beyond = "beyond " + value_text(need.input, need.value, system, found.currency)
    words = beyond if found.met else _needed(found, need, system)
    if need.path == PRICE:
        words += f" {price_money(found)}"
    return f"{need.path} {words} ({change_text(need, found.currency, system)}{chance})"


def price_money(found: Breakeven) -> str:
    """In which money a price of the case is stated."""
    return f"in money of {found.price_year}" if found.price_basis == "real" else "nominal, in money of operating year 1"


def money_of(found: Breakeven) -> str:
    """In which money the figure and the inputs are."""
    own = {"real": f"in money of {found.price_year}", "nominal": "nominal", "year 0": "in money of year 0"}
    figure, basis = found.target.metric, METRICS[found.target.metric].basis
    said = [f"{figure} is {own[basis]}"] if basis in own and "CUR" in METRICS[figure].unit else []
    said += [f"{PRICE} is {price_money(found)}"] if any(need.path == PRICE for need in found.needs) else []
    return f"Money: {'; '.join([*said, f'costs are in money of {found.price_year}'])}."


def first_value(result: Result, metric: str, usual: Target | None) -> str:
    """A value to reach, to begin with: what the owner asks, or where the answer turns, or a little better than now.

    As a text that reads back as the same target, to the last digit that a person would write; empty where there is none.
    """
    if usual is not None and usual.metric == metric:
        return exact_text(metric, usual.value, result.currency)
    if metric in DECISIONS and np.isfinite(limit := float(DECISIONS[metric].limit(result)[0])):
        return exact_text(metric, limit, result.currency)
    now = result.value(metric)
    if not np.isfinite(now) or now == 0:
        return exact_text(metric, 0.0, result.currency) if now == 0 else ""
    step = 10.0 ** (np.floor(np.log10(abs(now))) - 2)
    better = np.floor(now / step) if metric in LOWER_IS_BETTER else np.ceil(now / step)
    return exact_text(metric, float(better * step), result.currency)


def exact_text(metric: str, value: float, currency: str) -> str:
    """A value of a metric as a person writes it in a target, with all digits that count.

    >>> exact_text("irr_equity", 0.10256, "USD"), exact_text("lcoe_real", 1234.5, "USD"), exact_text("dscr_min", 1.3, "USD")
    ('10.256 %/yr', '1234.5 USD/MWh', '1.3')
    """
    unit = METRICS[metric].unit
    number = figure(value * (100 if unit == "1/yr" else 1), 12).replace(",", "")
    return f"{number} {'%/yr' if unit == '1/yr' else in_money(unit, currency)}".removesuffix(" 1")


def footnotes(found: Breakeven, system: str = SYSTEMS[0]) -> Iterator[str]:
    """Where values of the metric end, and what stays."""
    ends: dict[str, list[str]] = {}
    for need in ranked(found):
        for value, reason in need.broken:
            at = value_text(need.input, value, system, found.currency)
            ends.setdefault(reason, []).append(f"{need.path} {at}")
    for reason, where in ends.items():
        yield f"No value beyond {', '.join(where)}: {reason}."
    yield money_of(found)
    how = "the plant stays as ordered" if found.held else "wells and plant are sized afresh for every value"
    yield f"One input is moved at a time and all else stays; {how}. Chances are those of that input alone."


def lines(found: Breakeven, width: int | None = None) -> Iterator[str]:
    """The answer for a terminal: a sentence, the list in columns, where values end."""
    yield headline(found)
    table = [HEADINGS_MET if found.met else HEADINGS, *(row.cells() for row in rows(found))]
    yield from aligned(table, width, others=LEFT)
    yield from footnotes(found)


def as_json(found: Breakeven) -> dict[str, Any]:
    """The same as plain objects, in units used inside; what does not exist is null."""
    return {
        "target": {"metric": found.target.metric, "sense": found.target.sense, "value": found.target.value},
        "base": plain(found.base),
        "met": found.met,
        "design": "as ordered" if found.held else "sized afresh",
        "inputs": [_need_json(found, need) for need in ranked(found)],
    }


def _need_json(found: Breakeven, need: Need) -> dict[str, Any]:
    return {
        "path": need.path,
        "unit": need.input.unit,
        "base": need.input.value,
        "value": plain(need.value),
        "way": need.way,
        "until": plain(need.until),
        "shift": plain(need.shift),
        "shift_unit": ("K" if need.input.kind == "temperature" else need.input.unit) if need.additive else "1",
        "chance": need.chances.at if need.chances else None,
        "tried": [need.low, need.high],
        "best": plain(need.best),
        "no_value_beyond": [{"value": value, "reason": reason} for value, reason in need.broken],
    }


def plain(value: float) -> float | None:
    """A number as JSON knows it."""
    return float(value) if np.isfinite(value) else None


def columns(found: Breakeven) -> dict[str, Column]:
    """The list as columns, values in units used inside."""
    needs = ranked(found)
    told = [_need_json(found, need) for need in needs]

    def numbers(key: str) -> Column:
        return np.array([np.nan if item[key] is None else item[key] for item in told])

    return {
        "input": [need.path for need in needs],
        "unit": [need.input.unit for need in needs],
        "as it is": numbers("base"),
        HEADINGS_MET[2] if found.met else HEADINGS[2]: numbers("value"),
        "change": numbers("shift"),
        "change unit": [item["shift_unit"] for item in told],
        "chance [1]": numbers("chance"),
        "in words": [row.chance or row.needed for row in rows(found)],
    }

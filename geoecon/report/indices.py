"""What drives the spread of a figure: in words, as lines, JSON and a table."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from operator import attrgetter
from typing import Any

import numpy as np

from geoecon.arrays import Floats
from geoecon.report.lines import Line, Section
from geoecon.report.tables import Column
from geoecon.report.words import listed, money, share, significant
from geoecon.result import METRICS
from geoecon.studies.indices import Explored, Indices

LITTLE = 0.01  # smaller shares are told together
MANY = 0.05  # so many draws left out are worth a warning


@dataclass(frozen=True)
class Drivers:
    """The indices of one metric of an explored case, the input that takes part in most first."""

    explored: Explored
    metric: str
    indices: Indices
    order: Sequence[int]

    @property
    def names(self) -> list[str]:
        """Inputs in that order."""
        known = list(self.explored.inputs)
        return [known[n] for n in self.order]


def drivers(explored: Explored, metric: str) -> Drivers:
    """What drives one metric."""
    found = explored.indices(metric)
    return Drivers(explored, metric, found, [int(n) for n in np.argsort(-np.nan_to_num(found.total), kind="stable")])


def verdict(found: Drivers) -> str:
    """What drives the spread, in a sentence."""
    metric, indices = found.metric, found.indices
    if not indices.used:
        return f"There is no {metric} in any draw: {found.explored.reasons[metric]}."
    if not indices.varies:
        return f"{metric} is {_value(found, indices.mean)} in every draw: nothing here moves it."
    most = found.order[0]
    rest = 1 - float(np.clip(indices.first.sum(), 0, 1))
    unsure = float(np.sqrt(np.sum(np.square(np.diff(indices.first_range, axis=0) / 2))))
    together = f"; over all, {_percent(rest)} is of inputs acting together" if rest - unsure >= LITTLE else ""
    rivals = [n for n in found.order if indices.total_range[1, n] >= indices.total_range[0, most]]
    if len(rivals) > 1:
        names = listed(name for n, name in zip(found.order, found.names, strict=True) if n in rivals)
        shares = listed(_percent(indices.first[n]) for n in rivals)
        return (
            f"{names} drive the spread of {metric} most, and these draws do not tell which of them more: alone they explain "
            f"{shares} of it{together}."
        )
    alone, part = indices.first[most], indices.total[most]
    others = f", with all it takes part in {_percent(part)}" if part > alone else ""
    return f"{found.names[0]} drives the spread of {metric} most: alone it explains {_percent(alone)} of it{others}{together}."


def sentences(found: Drivers) -> Section:
    """Each input with its shares, as a section of a page: the input that takes part in most first."""
    if not found.indices.varies:
        return Section("Input by input", ())
    known = {name: help.replace("`", "") for name, help in found.explored.inputs.items()}
    total = found.indices.total
    lines = [Line(name, _share_words(found, n), known[name]) for n, name in zip(found.order, found.names, strict=True)
             if total[n] >= LITTLE]  # fmt: skip
    rest = [name for n, name in zip(found.order, found.names, strict=True) if total[n] < LITTLE]
    if rest:
        each = "each takes part" if len(rest) > 1 else "takes part"
        lines.append(Line(", ".join(rest), f"{each} in less than 1 % of the spread"))
    return Section("Input by input", tuple(lines))


def _share_words(found: Drivers, n: int) -> str:
    indices = found.indices
    alone = f"alone explains {_percent(indices.first[n])} ({_between(indices.first_range[:, n])}) of the spread"
    if indices.first[n] >= indices.total[n]:
        return f"{alone}; no part with others can be told"
    return f"{alone}; with all it takes part in {_percent(indices.total[n])} ({_between(indices.total_range[:, n])})"


def _percent(value: float) -> str:
    return "less than 1 %" if value < LITTLE else share(min(float(value), 1.0), 0)


def _between(ends: Floats) -> str:
    """A range of whole percents; sampling may put an end of it below none or above all."""
    low, high = (f"{np.clip(end, 0, 1) * 100:.0f}" for end in ends)
    return f"{low} to {high}"


def notes(found: Drivers) -> Iterator[str]:
    """What the shares are, what they rest on, and what was left out."""
    explored, indices = found.explored, found.indices
    if indices.varies:
        yield (
            f"Spread is the variance of {found.metric}: its standard deviation is {spread(found)} around a "
            f"mean of {_value(found, indices.mean)}. In brackets: between these lie 9 in 10 resamplings of the draws"
        )
    yield (
        f"{explored.passes:,} passes: {explored.draws:,} draws of all inputs, twice, and as many for each of "
        f"{len(explored.inputs)} inputs; seed {explored.seed}. Wells and plant stay as they were ordered"
    )
    if indices.left_out and indices.used:
        serious = indices.left_out > MANY * explored.draws
        beware = "; what is left is no fair sample, so read the shares with care" if serious else ""
        yield (
            f"{indices.left_out:,} of {explored.draws:,} draws are left out, because {found.metric} has no value in some "
            f"of their passes ({explored.reasons[found.metric]}){beware}"
        )
    if explored.coupled:
        yield (
            f"The case says that {', '.join(explored.coupled)} go together. These shares take every input as independent and "
            "were drawn so: they do not hold for inputs that move together"
        )


def spread(found: Drivers) -> str:
    """The standard deviation of the metric, with its unit."""
    return _value(found, found.indices.deviation)


def _value(found: Drivers, value: float) -> str:
    unit = found.explored.units[found.metric]
    if unit == found.explored.currency:
        return money(value, unit)
    if unit == "1/yr":
        return f"{share(value, 2)}/yr"
    return f"{significant(value, 4)} {unit}".removesuffix(" 1")


def lines(found: Drivers) -> Iterator[str]:
    """The drivers of one metric as lines."""
    yield verdict(found)
    for line in sentences(found).lines:
        yield f"{line.label} {line.value}"
    for note in notes(found):
        yield f"note: {note}."


def as_json(explored: Explored, metrics: Sequence[str]) -> dict[str, Any]:
    """Indices of metrics as plain objects; what does not exist is null."""
    return {
        "draws": explored.draws,
        "seed": explored.seed,
        "passes": explored.passes,
        "drawn_as_if_independent": list(explored.coupled),
        "metrics": {metric: _metric_json(drivers(explored, metric)) for metric in metrics},
    }


def _metric_json(found: Drivers) -> dict[str, Any]:
    indices, known = found.indices, list(found.explored.inputs)
    return {
        "unit": found.explored.units[found.metric],
        "mean": _plain(indices.mean),
        "deviation": _plain(indices.deviation),
        "used": indices.used,
        "left_out": indices.left_out,
        "words": verdict(found),
        "inputs": {
            known[n]: {
                "first": _plain(indices.first[n]),
                "first_range": [_plain(end) for end in indices.first_range[:, n]],
                "total": _plain(indices.total[n]),
                "total_range": [_plain(end) for end in indices.total_range[:, n]],
            }
            for n in found.order
        },
    }


def _plain(value: float) -> float | None:
    return float(value) if np.isfinite(value) else None


def indices_columns(found: Sequence[Drivers]) -> dict[str, Column]:
    """Indices as columns: a row per metric and input."""
    rows = [(one, n) for one in found for n in one.order]
    shares = {}
    for kind in ("first", "total"):
        value, span = attrgetter(kind), attrgetter(f"{kind}_range")
        shares[f"{kind} share [1]"] = np.array([value(one.indices)[n] for one, n in rows])
        shares[f"{kind} low [1]"] = np.array([span(one.indices)[0, n] for one, n in rows])
        shares[f"{kind} high [1]"] = np.array([span(one.indices)[1, n] for one, n in rows])
    return {
        "metric": [one.metric for one, _ in rows],
        "input": [name for one in found for name in one.names],
        **shares,
        "draws used": np.array([float(one.indices.used) for one, _ in rows]),
        "draws left out": np.array([float(one.indices.left_out) for one, _ in rows]),
    }


def meaning(metric: str) -> str:
    """A metric with what it is, for a person who chooses."""
    return f"{metric}: {METRICS[metric].meaning}"

"""What moves the answer most, one input at a time: lines, sentences, JSON and files."""

from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from geoecon.report.aligned import aligned
from geoecon.report.amounts import Scale, input_text, metric_heading, scale_of
from geoecon.report.sweeps import known_figures
from geoecon.report.tables import Column, no_alarm, study_files
from geoecon.result import METRICS
from geoecon.studies.tornado import Moved, OneAtATime
from geoecon.units import SYSTEMS

if TYPE_CHECKING:
    from geoecon.report.charts import Chart

MOST_BARS, MOST_LINES = 12, 7  # in one picture
ENDS_MEAN = "low and high have 1 chance in 10 below and 1 in 10 above, each by the input's own range"


def figure_scale(study: OneAtATime, metric: str) -> Scale:
    """How the figures of a metric are shown together."""
    return scale_of(metric, study.units[metric], study.currency, [*study.metrics[metric].ravel(), study.base[metric]])


def figure_heading(study: OneAtATime, metric: str) -> str:
    """A figure with the unit it is shown in and its basis."""
    return metric_heading(metric, figure_scale(study, metric), study.bases[metric])


def shown_value(study: OneAtATime, moved: Moved, point: int, system: str = SYSTEMS[0], *, at: bool = True) -> str:
    """A value of an input with its unit."""
    return input_text(moved.input, float(moved.values[point]), study.currency, system, 4, at=at)


def how_designed(study: OneAtATime) -> str:
    """How wells and plant were come by."""
    return "every scenario sized afresh" if study.resized else "wells and plant as ordered"


def lines(study: OneAtATime, metrics: Sequence[str], width: int | None = None) -> Iterator[str]:
    """Inputs by reach, each with its low and high and what the figure is there; then where the ranges come from."""
    for metric in known_figures(study.name, study.metrics, metrics):
        scale = figure_scale(study, metric)
        yield f"{figure_heading(study, metric)}: {METRICS[metric].meaning}"
        yield f"{scale.text(study.base[metric])} as the case is{_because(study.base_reasons[metric])}"
        yield from aligned([HEADS, *(_row(study, metric, n) for n in study.by_reach(metric))], width)
        yield from (f"none at {where}: {why}" for where, why in missing(study, metric))
        yield ""
    yield f"one at a time, all else as the case has it, {how_designed(study)}; {ENDS_MEAN}"
    yield from origins(study)


HEADS = ("input", "its low", "its high", "at low", "at high", "reach")


def _because(reason: str) -> str:
    return f": {reason}" if reason else ""


def _row(study: OneAtATime, metric: str, n: int) -> tuple[str, ...]:
    moved, scale = study.inputs[n], figure_scale(study, metric)
    values = [scale.number(float(value)) for value in study.metrics[metric][n]]
    ends = (shown_value(study, moved, point) for point in range(len(study.chances)))
    return (moved.input.path, *ends, *values, scale.number(float(study.reach(metric)[n])))


def missing(study: OneAtATime, metric: str, system: str = SYSTEMS[0]) -> Iterator[tuple[str, str]]:
    """Where a figure has no value, in words, and why."""
    for moved, reasons in zip(study.inputs, study.reasons[metric], strict=True):
        for point, why in enumerate(reasons):
            if why:
                yield f"{moved.input.path} = {shown_value(study, moved, point, system)}", why


def origins(study: OneAtATime) -> Iterator[str]:
    """Where the range of every input comes from and how good that evidence is; those of one origin together."""
    together: dict[tuple[str, str], list[str]] = {}
    for moved in study.inputs:
        together.setdefault((moved.origin, moved.evidence), []).append(moved.input.path)
    for (origin, evidence), paths in together.items():
        yield f"range of {', '.join(paths)}: {origin} [{evidence}]"


def spider_lines(study: OneAtATime, metric: str, width: int | None = None) -> Iterator[str]:
    """A figure as each input goes through its own chances, inputs by reach."""
    scale = figure_scale(study, metric)
    yield f"{figure_heading(study, metric)}, at the value of the input below which it lies with a chance of"
    heads = ["input", *(f"{100 * float(chance):.0f} %" for chance in study.chances)]
    rows = (
        [study.inputs[n].input.path, *(scale.number(float(v)) for v in study.metrics[metric][n])]
        for n in study.by_reach(metric)
    )
    yield from aligned([heads, *rows], width)
    yield from (f"none at {where}: {why}" for where, why in missing(study, metric))


def tornado_sentence(study: OneAtATime, metric: str, system: str = SYSTEMS[0]) -> str:
    """Which input moves a figure most and how far, which do not move it, where it has no value."""
    movers = study.movers(metric)
    still = [study.inputs[n].input.path for n in study.by_reach(metric) if n not in movers]
    none = [f"{where} ({why})" for where, why in missing(study, metric, system)]
    said = [
        _own_words(study, metric, "upright"),
        _widest(study, metric, movers[0], system) if movers else f"No uncertain input moves {metric} here.",
        f"Hardly moved, or not at all, by {', '.join(still)}." if still and movers else "",
        f"Not drawn: {counted(len(movers) - MOST_BARS, 'input')} of less reach." if len(movers) > MOST_BARS else "",
        f"No value at {'; '.join(none)}." if none and np.isfinite(study.base[metric]) else "",
        f"One input at a time, {how_designed(study)}; {ENDS_MEAN}.",
    ]
    return " ".join(words for words in said if words)


def spider_sentence(study: OneAtATime, metric: str, paths: Sequence[str], beyond: int) -> str:
    """What the lines are, and what is left out of the picture."""
    none = int(
        sum(np.isnan(study.metrics[metric][n]).sum() for n, m in enumerate(study.inputs) if m.input.path in paths)
    )
    left = len(study.inputs) - len(paths)
    said = [
        _own_words(study, metric, "dashed"),
        "Each line takes one input through its own range, from the value that it has 5 chances in 100 of lying below to "
        "the one that it has 95 in 100 of lying below; the dots are the case's own values. A steep line is an input whose "
        f"doubt matters. One input at a time, {how_designed(study)}.",
        f"Not drawn: {counted(left, 'input')} of less reach." if left else "",
        f"Beyond the picture: {counted(beyond, 'point')}." if beyond else "",
        f"Without a value, so that a line ends: {counted(none, 'point')}." if none else "",
    ]
    return " ".join(words for words in said if words)


def counted(number: int, what: str) -> str:
    """How many of something, one or several."""
    return f"{number} {what}" if number == 1 else f"{number} {what}s"


def _own_words(study: OneAtATime, metric: str, line: str) -> str:
    """What a figure is, and its value as the case is."""
    base, meaning = study.base[metric], METRICS[metric].meaning
    if not np.isfinite(base):
        return f"There is no {metric} as the case is: {study.base_reasons[metric]}."
    own = figure_scale(study, metric).text(base)
    return f"{meaning[0].upper()}{meaning[1:]}: {own} as the case is, the {line} line."


def _widest(study: OneAtATime, metric: str, n: int, system: str) -> str:
    scale, moved = figure_scale(study, metric), study.inputs[n]
    low, high = (
        f"{scale.text(float(study.metrics[metric][n, point]))} at {shown_value(study, moved, point, system)}"
        for point in (0, -1)
    )
    return f"{moved.input.path} moves it most: {low}, {high}."


def as_json(study: OneAtATime) -> dict[str, Any]:
    """The study as plain objects; values in the unit used inside, what does not exist is null."""
    return {
        "design": "sized afresh" if study.resized else "as ordered",
        "chances": study.chances.tolist(),
        "units": dict(study.units),
        "base": {key: _or_null(value) for key, value in study.base.items()},
        "inputs": [
            {
                "path": moved.input.path, "unit": moved.input.unit, "base": moved.input.value,
                "chance_at_base": moved.own, "values": moved.values.tolist(), "origin": moved.origin,
                "evidence": moved.evidence,
                "metrics": {key: [_or_null(v) for v in values[n]] for key, values in study.metrics.items()},
                "no_value": {key: list(why[n]) for key, why in study.reasons.items() if any(why[n])},
            }
            for n, moved in enumerate(study.inputs)
        ],
    }  # fmt: skip


def _or_null(value: float) -> float | None:
    return float(value) if np.isfinite(value) else None


def study_columns(study: OneAtATime) -> dict[str, Column]:
    """The study in long form: a row for the case, then one for each input and point, with units."""
    points, every = len(study.chances), range(len(study.inputs))
    inside = [f"{moved.input.unit}" for moved in study.inputs for _ in range(points)]
    figures = {
        f"{key} [{study.units[key]}]": np.array([study.base[key], *values.ravel()])
        for key, values in study.metrics.items()
    }
    return {
        "input": ["the case as it is", *(study.inputs[n].input.path for n in every for _ in range(points))],
        "chance below [%]": np.array([np.nan, *(100 * np.tile(study.chances, len(study.inputs)))]),
        "value": np.array([np.nan, *(value for moved in study.inputs for value in moved.values)]),
        "unit": ["", *inside],
        **figures,
    }


def tornado_files(
    study: OneAtATime, spider: OneAtATime | None, metric: str, chart: str | None, out: str | None,
    alarm: Callable[[], str] = no_alarm,
) -> list[Path]:  # fmt: skip
    """Write the chart of a figure and the table, of the spider where there is one. Raises `OutputError`."""

    def draw() -> "Chart":
        from geoecon.report.charts.tornado import spider_lines, tornado_bars

        return spider_lines(spider, metric) if spider else tornado_bars(study, metric)

    return study_files(chart, draw, out, lambda: study_columns(spider or study), alarm)

"""Two inputs and a target, as sentences, lines, JSON and tables: pairs that just meet it, and lines of equal value."""

from collections.abc import Iterator
from typing import Any

import numpy as np

from geoecon.report.aligned import LEFT, aligned
from geoecon.report.breakeven import plain
from geoecon.report.inputs import range_text, value_text
from geoecon.report.metrics import metric_text
from geoecon.report.tables import Column
from geoecon.report.told import Told
from geoecon.result import METRICS, in_money
from geoecon.studies.frontiers import Frontier, SuccessCurve, Well
from geoecon.studies.inputs import Input
from geoecon.units import SYSTEMS

HELD = "The plant stays as ordered."
AFRESH = "Wells and plant are sized afresh everywhere; where a line jumps, the number of wells does."


def frontier_told(found: Frontier) -> Told:
    """A frontier in every form."""

    def draw() -> Any:
        from geoecon.report.charts import frontier_line

        return frontier_line(found)

    return Told(lambda width: _frontier_lines(found, width), _frontier_json(found), _frontier_columns(found), draw)


def curve_told(found: SuccessCurve) -> Told:
    """Lines of equal value in every form."""

    def draw() -> Any:
        from geoecon.report.charts import success_lines

        return success_lines(found)

    return Told(lambda width: _curve_lines(found, width), _curve_json(found), _curve_columns(found), draw)


def frontier_sentence(found: Frontier, system: str = SYSTEMS[0]) -> str:
    """What a frontier says, in words: where the target is met and where the case stands."""
    target = found.target.in_words(found.currency)
    here = _at_base(found, (found.first, found.second), system)
    own = f"The case itself, {here}, {'meets' if found.target.met(np.array(found.base)) else 'misses'} it."
    known = np.isfinite(found.needed)
    how = HELD if found.held else AFRESH
    if not known.any():
        always = "is met" if found.met.all() else "is missed" if not found.met.any() else "is met or missed"
        reach = range_text(found.second, found.reach, system, found.currency)
        return f"{target} {always} whatever {found.second.path} is from {reach}. {own} {how}"
    sides = {int(side) for side in found.side[known]}
    if len(sides) > 1:
        nearest = f"the border nearest to the case's own {found.second.path}"
        return f"{target} is met on the side to which each mark points; a mark is {nearest}. {own} {how}"
    side, least = ("above", "at least") if sides == {1} else ("below", "at most")
    ends = [
        (_text(found, found.first, float(one), system), f"{least} {_text(found, found.second, float(other), system)}")
        for one, other in zip(found.values[known][[0, -1]], found.needed[known][[0, -1]], strict=True)
    ]
    needs = f"with {found.first.path} at {ends[0][0]} {found.second.path} has to be {ends[0][1]}"
    return f"{target} is met on and {side} the line: {needs}, at {ends[1][0]} {ends[1][1]}. {own} {how}"


def _text(found: Frontier | SuccessCurve, chosen: Input, value: float, system: str = SYSTEMS[0]) -> str:
    return value_text(chosen, value, system, found.currency)


def _at_base(found: Frontier | SuccessCurve, pair: tuple[Input, Input], system: str) -> str:
    return " and ".join(_text(found, chosen, chosen.value, system) for chosen in pair)


def frontier_rows(found: Frontier, system: str = SYSTEMS[0]) -> Iterator[tuple[str, str]]:
    """Value of the first input, and what the second has to be."""
    reach = range_text(found.second, found.reach, system, found.currency)
    for value, needed, side, met in zip(found.values, found.needed, found.side, found.met, strict=True):
        own = "> " if value == found.first.value else ""
        if np.isfinite(needed):
            words = f"at {'least' if side > 0 else 'most'} {_text(found, found.second, float(needed), system)}"
        else:
            words = f"anything from {reach}" if met else f"nothing from {reach}"
        yield f"{own}{_text(found, found.first, float(value), system)}", words


def _frontier_lines(found: Frontier, width: int | None) -> Iterator[str]:
    yield frontier_sentence(found)
    yield from aligned([(found.first.path, found.second.path), *frontier_rows(found)], width, others=LEFT)
    own = _text(found, found.second, found.second.value)
    yield f"> is the case's own {found.first.path}; its {found.second.path} is {own}"


def _frontier_json(found: Frontier) -> dict[str, Any]:
    return {
        **_common(found, (found.first, found.second)),
        "reach": list(found.reach),
        "points": [
            {found.first.path: float(value), found.second.path: plain(needed), "met": side_words(int(side), bool(met))}
            for value, needed, side, met in zip(found.values, found.needed, found.side, found.met, strict=True)
        ],
    }


def side_words(side: int, met: bool) -> str:
    """On which side of the second input's value a target is met."""
    return {1: "at or above", -1: "at or below"}.get(side, "everywhere" if met else "nowhere")


def _frontier_columns(found: Frontier) -> dict[str, Column]:
    sides = [side_words(int(side), bool(met)) for side, met in zip(found.side, found.met, strict=True)]
    return {_heading(found.first): found.values, _heading(found.second): found.needed, "target is met": sides}


def _heading(chosen: Input) -> str:
    return f"{chosen.path} [{chosen.unit}]" if chosen.unit else chosen.path


def _common(found: Frontier | SuccessCurve, pair: tuple[Input, Input]) -> dict[str, Any]:
    return {
        "target": {"metric": found.target.metric, "sense": found.target.sense, "value": found.target.value},
        "base": plain(found.base),
        "design": "as ordered" if found.held else "sized afresh",
        "inputs": {chosen.path: {"unit": chosen.unit, "base": chosen.value} for chosen in pair},
    }


def curve_sentence(found: SuccessCurve, system: str = SYSTEMS[0]) -> str:
    """What the lines of equal value say, in words."""
    target = found.target.in_words(found.currency)
    own = _at_base(found, (found.across, found.up), system)
    value = metric_text(found.target.metric, found.base, found.currency)
    pieces = found.lines[found.target.value]
    met, none = found.target.met(found.values), np.isnan(found.values)
    share = f"{met.mean() * 100:.0f} % of the area"
    gone = f" At {none.mean() * 100:.0f} % of the area there is no value." if none.any() else ""
    how = HELD if found.held else AFRESH
    case = f"The case itself, {own}, has {value}."
    if not len(pieces):
        nowhere = f"{target} is {'missed' if not met.any() else 'met'} everywhere in this area"
        return f"{nowhere}, {_area(found, system)}.{gone} {case} {how}"
    return f"The thick line is {target}; the shaded side, {share}, meets it: {_area(found, system)}.{gone} {case} {how}"


def _area(found: SuccessCurve, system: str) -> str:
    across = range_text(found.across, found.x[[0, -1]], system, found.currency)
    up = range_text(found.up, found.y[[0, -1]], system, found.currency)
    return f"{found.across.path} {across}, {found.up.path} {up}"


def well_words(found: SuccessCurve, well: Well, system: str = SYSTEMS[0]) -> str:
    """On which side of the target a well lies."""
    at = f"{_text(found, found.across, well.across, system)}, {_text(found, found.up, well.up, system)}"
    if not np.isfinite(well.value):
        return f"{well.name}: {at}: no value: {well.reason}"
    side = "meets it" if found.target.met(np.array(well.value)) else "misses it"
    return f"{well.name}: {at}: {metric_text(found.target.metric, well.value, found.currency)}, {side}"


def _curve_lines(found: SuccessCurve, width: int | None) -> Iterator[str]:
    yield curve_sentence(found)
    heading = [found.target.metric, *(_text(found, found.across, float(x)) for x in found.x[:: _each(found.x)])]
    table = [heading]
    for y, row in zip(found.y[::-1][:: _each(found.y)], found.values[::-1][:: _each(found.y)], strict=True):
        cells = (metric_text(found.target.metric, float(v), found.currency) for v in row[:: _each(found.x)])
        table.append([_text(found, found.up, float(y)), *cells])
    yield from aligned(table, width, others=LEFT)
    yield from (well_words(found, well) for well in found.wells)


def _each(axis: Any) -> int:
    """Every how many values of an axis stand in the table on a terminal: five in all."""
    return max(1, (len(axis) - 1) // 4)


def _curve_json(found: SuccessCurve) -> dict[str, Any]:
    return {
        **_common(found, (found.across, found.up)),
        found.across.path: found.x.tolist(),
        found.up.path: found.y.tolist(),
        "values": [[plain(value) for value in row] for row in found.values],
        "lines": [{"level": level, "pieces": pieces.tolist()} for level, pieces in found.lines.items()],
        "wells": [
            {
                "name": well.name,
                found.across.path: well.across,
                found.up.path: well.up,
                "value": plain(well.value),
                "met": bool(found.target.met(np.array(well.value))),
                "reason": well.reason,
            }
            for well in found.wells
        ],
    }


def _curve_columns(found: SuccessCurve) -> dict[str, Column]:
    """The grid, then the wells."""
    wells = found.wells
    return {
        _heading(found.across): np.append(np.tile(found.x, found.y.size), [well.across for well in wells]),
        _heading(found.up): np.append(np.repeat(found.y, found.x.size), [well.up for well in wells]),
        f"{found.target.metric} [{in_money(METRICS[found.target.metric].unit, found.currency)}]": np.append(
            found.values.ravel(), [well.value for well in wells]
        ),
        "well": [""] * found.values.size + [well.name for well in wells],
    }

"""What a plant gives by month, by air and by brine temperature, in words, small tables, columns and JSON."""

from typing import Any

import numpy as np

from geoecon.arrays import Floats
from geoecon.energy import KW_PER_MW
from geoecon.outputs import AIR, BRINE, MONTHS, YEARS
from geoecon.report.sheets import Sheet
from geoecon.report.tables import Column
from geoecon.report.words import share, significant
from geoecon.result import Output, Result
from geoecon.units import from_inside, unit_shown

NAMES = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
SYSTEM = "SI"
BY_AIR, BY_WET_BULB = "air", "wet bulb"  # what cools a plant
IDEAL = "re-optimised at every temperature"
SAME = 0.005  # of the capacity, between two powers that are told as one
NO_PLANT = "with pinch and approach as designed, which no plant has"
STEADY_K = 0.05
SHOWN_YEARS = 7


def degrees(values: Floats, system: str = SYSTEM) -> list[float]:
    """Temperatures in the unit of a system."""
    return [from_inside(float(value), "temperature", unit_shown("temperature", system)) for value in values.ravel()]


def in_degrees(value: float, system: str = SYSTEM) -> str:
    """A temperature with its unit, to a tenth."""
    return f"{degrees(np.array([value]), system)[0]:.1f} {unit_shown('temperature', system)}"


def megawatts(kw: Floats) -> list[float]:
    """Powers of a single case  [MW]."""
    return [float(value) / KW_PER_MW for value in kw.ravel()]


def in_mw(kw: float) -> str:
    """A power with its unit, to four digits."""
    return f"{significant(kw / KW_PER_MW, 4)} MW"


def sink(result: Result) -> str:
    """What the plant is cooled by, as the name of an axis."""
    wet = any(row.path == "plant.cooling" and row.value == "wet" for row in result.assumptions)
    return BY_WET_BULB if wet else BY_AIR


def design_sink(result: Result) -> str:
    """What cools the plant at its design point, in words."""
    return "design air" if sink(result) == BY_AIR else f"design {sink(result)}"


def kind(result: Result) -> str:
    """What stands behind the figures, as the name of a line."""
    if any(row.path == "plant.performance" for row in result.assumptions):
        return "by the vendor's table"
    return "as built" if result.outputs[AIR].ideal is not None else "as worked out"


def why_none(result: Result) -> str:
    """Why a plant has no figures over temperature, with what its quote says instead."""
    slopes = {row.path: float(row.value) for row in result.assumptions if row.path in _SLOPES and row.unit == "1/K"}
    said = [
        f"{share(slopes[path])} for each kelvin of {words} ({path})"
        for path, words in _SLOPES.items()
        if slopes.get(path)
    ]
    instead = f" Its quote takes from net capacity {' and '.join(said)}." if said else ""
    return (
        "There is none: the plant is stated, and has no map of what it gives by brine and air temperature. A vendor's table "
        f"(plant.performance) is one, and a cycle that is worked out (plant.kind) makes one.{instead}"
    )


_SLOPES = {
    "plant.air_slope": "air above the air that it is stated at", "plant.brine_slope": "brine that arrives cooler",
}  # fmt: skip


def month_means(found: Output) -> tuple[Floats, Floats]:
    """Air and power of each month of a single case, means over its equal parts, (month,)."""
    return found.temperature[:, :, 0].mean(axis=1), found.power[:, :, 0].mean(axis=1)


def air_sentence(result: Result, system: str = SYSTEM) -> str:
    """What the months of year 1 give, from the warmest to the coldest."""
    found = result.outputs[MONTHS]
    air, power = month_means(found)
    hot, cold = int(air.argmax()), int(air.argmin())
    said = " and ".join(f"{in_mw(power[at])} in {NAMES[at]} at {in_degrees(air[at], system)}" for at in (hot, cold))
    by = f"Unit net of year 1 by the {sink(result)}, {kind(result)}"
    sentence = f"{by}, with everything in service: {said}, means of the month."
    if (found.temperature.max(axis=1) - found.temperature.min(axis=1)).max() > STEADY_K:
        sentence += " A bar spans the cool and the warm part of a month's hours."
    sentence += _most(result)
    if found.ideal is None:
        return sentence
    more = float(found.ideal[hot, :, 0].mean()) - power[hot]
    return f"{sentence} {_beside_ideal(more, result, f'in {NAMES[hot]}')}"


def _most(result: Result) -> str:
    """What ends the rise of power as it gets colder, where something does."""
    line, warm_end = result.outputs[AIR], -1
    most = float(line.power.max())
    if int((line.power == most).sum()) <= 1:
        return ""
    assert line.limit is not None
    if most == line.limit[0]:
        return f" {in_mw(most)} is the most that it may run at (plant.output_limit, site.export_limit)."
    floor = next((row.path for row in result.assumptions if row.path in _FLOORS), "")
    held = "all of them" if line.power[warm_end, 0] == most else "the cold months"
    return f" In {held} the condenser is as cold as it is let become ({floor})." if floor else ""


_FLOORS = ("plant.least_condensing_temperature", "plant.least_condensing_pressure")


def _beside_ideal(more_kw: float, result: Result, where: str) -> str:
    """How a cycle that is re-optimised everywhere differs."""
    line = f"The thin line is the best cycle at every temperature, {NO_PLANT}"
    if abs(more_kw) < SAME * result.value("net_capacity") * KW_PER_MW:
        return f"{line}; {where} it gives the same."
    if more_kw > 0:
        return f"{line}; {where} it gives {in_mw(more_kw)} more."
    return (
        f"{line}; {where} it gives {in_mw(-more_kw)} less, because exchangers that are built are ample for less heat."
    )


def brine_sentence(result: Result, system: str = SYSTEM) -> str:
    """What cooler brine costs, and what the years come to."""
    line, years = result.outputs[BRINE], result.outputs[YEARS]
    cool, hot = float(line.temperature[0, 0]), float(line.temperature[-1, 0])
    sentence = (
        f"At {design_sink(result)} the design flow gives {in_mw(line.power[-1, 0])} from brine at "
        f"{in_degrees(hot, system)} and {in_mw(line.power[0, 0])} at {in_degrees(cool, system)}, {kind(result)}."
    )
    first, last = (float(years.temperature[at, 0]) for at in (0, -1))
    if abs(first - last) < STEADY_K:
        sentence += f" In this case brine stays at {in_degrees(first, system)}; what moves its dots is flow."
    else:
        sentence += (
            f" Dots are years, each with its flow and its wells: {in_mw(years.power[0, 0])} in year 1 at "
            f"{in_degrees(first, system)}, {in_mw(years.power[-1, 0])} in year {len(years.power)} at "
            f"{in_degrees(last, system)}."
        )
    if line.ideal is None:
        return sentence
    at_the_end = float(line.ideal[0, 0] - line.power[0, 0])
    return f"{sentence} {_beside_ideal(at_the_end, result, f'at {in_degrees(cool, system)}')}"


def sheets(result: Result, system: str = SYSTEM) -> tuple[Sheet, ...]:
    """The months of year 1 and the years, each a row; none of a stated plant."""
    return (months_sheet(result, system), years_sheet(result, system)) if result.outputs else ()


def months_sheet(result: Result, system: str = SYSTEM) -> Sheet:
    """Air, power and energy of the months of year 1."""
    found, shown = result.outputs[MONTHS], unit_shown("temperature", system)
    air, power = month_means(found)
    ideal = [] if found.ideal is None else [found.ideal[:, :, 0].mean(axis=1)]
    rows = tuple(
        (name, f"{degrees(air[n], system)[0]:.1f}", *(_mw(of[n]) for of in (power, *ideal)),
         f"{result.monthly_energy[n, 0]:,.0f}")
        for n, name in enumerate(NAMES)
    )  # fmt: skip
    heads = (
        "month",
        f"{sink(result)} [{shown}]",
        "unit net [MW]",
        *(["re-optimised [MW]"] if ideal else []),
        "delivered [MWh]",
    )
    notes: tuple[str, ...] = (
        "Unit net is before outages, at most the output limit; delivered is after outages, curtailment and the line.",
    )
    if sink(result) == BY_WET_BULB and not air.all():
        notes += (
            "Where the wet bulb would lie below freezing it is that of freezing: a tower's water is kept from ice.",
        )
    if ideal:
        notes += (f"Re-optimised is the best cycle at every temperature, {NO_PLANT}.",)
    return Sheet("Months of year 1", heads, rows, notes)


def years_sheet(result: Result, system: str = SYSTEM) -> Sheet:
    """Brine, flow and power at design air of some years."""
    found, shown, first = result.outputs[YEARS], unit_shown("temperature", system), result.build_years
    count = len(found.power)
    chosen = sorted({round(at) for at in np.linspace(0, count - 1, min(SHOWN_YEARS, count))})
    flow = result.annual["brine_flow"][first:, 0]
    rows = tuple(
        (f"{n + 1}", f"{degrees(found.temperature[n], system)[0]:.1f}", f"{flow[n]:,.1f}", _mw(found.power[n, 0]))
        for n in chosen
    )
    return Sheet(
        f"As the field cools, at {design_sink(result)}", ("year", f"brine [{shown}]", "flow [kg/s]", "unit net [MW]"), rows,
        ("With the flow and the wells of each year, with everything in service.",),
    )  # fmt: skip


def _mw(kw: float) -> str:
    return f"{kw / KW_PER_MW:,.3f}"


def air_columns(result: Result) -> dict[str, Column]:
    """Every equal part of every month of year 1, a row each, exact."""
    found = result.outputs[MONTHS]
    parts = found.power.shape[1]
    columns: dict[str, Column] = {
        "month": [name for name in NAMES for _ in range(parts)],
        "part of the month": [f"{part + 1} of {parts}" for _ in NAMES for part in range(parts)],
        f"{sink(result)} [degC]": found.temperature.ravel(),
        "unit net [MW]": np.array(megawatts(found.power)),
    }
    return columns | _ideal_column(found)


def brine_columns(result: Result) -> dict[str, Column]:
    """The line over brine of the design flow, then the years, a row each, exact."""
    line, years, flow = (
        result.outputs[BRINE],
        result.outputs[YEARS],
        result.annual["brine_flow"][result.build_years :, 0],
    )
    both = Output(
        np.concatenate([line.temperature, years.temperature]), np.concatenate([line.power, years.power]),
        None if line.ideal is None or years.ideal is None else np.concatenate([line.ideal, years.ideal]),
    )  # fmt: skip
    columns: dict[str, Column] = {
        "what": ["design flow"] * len(line.power) + [f"year {n + 1}" for n in range(len(years.power))],
        "brine [degC]": both.temperature[:, 0],
        "flow [kg/s]": np.concatenate([np.full(len(line.power), result.value("brine_flow")), flow]),
        f"unit net at {design_sink(result)} [MW]": np.array(megawatts(both.power)),
    }
    return columns | _ideal_column(both)


def _ideal_column(found: Output) -> dict[str, Column]:
    return {} if found.ideal is None else {f"{IDEAL} [MW]": np.array(megawatts(found.ideal))}


def as_json(result: Result) -> dict[str, Any]:
    """Both tables as plain objects, or why there are none."""
    if not result.outputs:
        return {"reason": why_none(result)}
    return {"by_air": _plain(air_columns(result)), "by_brine": _plain(brine_columns(result))}


def _plain(columns: dict[str, Column]) -> dict[str, list[Any]]:
    return {
        head: list(column) if isinstance(column, list) else np.asarray(column).tolist()
        for head, column in columns.items()
    }

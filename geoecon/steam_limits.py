"""What keeps a plant that steam drives from its power: obstacles, the field that stands in the way, and what is odd in it."""

from collections.abc import Iterator

import numpy as np

from geoecon.arrays import Bools, Floats
from geoecon.case import Case
from geoecon.case.plant_checks import STEAM, cooled_by
from geoecon.flooring import silica_limit
from geoecon.plant.flash import DOUBLE_STEP, LEAST_SEPARATOR, STEP, SteamPlant
from geoecon.preparing.basics import wide
from geoecon.preparing.field import absolute_pressure, inlet_temperature
from geoecon.resource.geothermometers import geothermometer
from geoecon.resource.silica import amorphous_silica_temperature
from geoecon.resource.water import air_pressure, saturation_pressure
from geoecon.steaming import (
    FLOOR,
    GAS,
    LIMITS,
    OF_STEAM_ALONE,
    SEPARATORS,
    SILICA,
    WELLHEAD,
    coolest,
    gas_told_at,
    has_a_part,
    net_without,
    silica,
    stated_temperature,
    wellhead_boiling,
)

WHOLE = 0.9995  # printed as all of it
IN_THE_WAY = 1.5  # times the power, which a field has to cost to be named
Wrong = tuple[str, str, Bools]


def steam_obstacles(case: Case) -> Iterator[Wrong]:
    """What makes scenarios of a plant that steam drives impossible: path, words and where (scenario,)."""
    if case.plant.kind not in STEAM or case.resource.temperature is None:
        return
    inlet = inlet_temperature(case)
    yield from (_of_dry_steam(case, inlet) if case.plant.kind == "dry-steam" else _of_flash(case, inlet))


def _of_flash(case: Case, inlet: Floats) -> Iterator[Wrong]:
    yield from _unknown_silica(case)
    wellhead = wellhead_boiling(case)
    for path in SEPARATORS:
        stated = stated_temperature(case, path)
        if stated is not None and (hotter := stated > wellhead).any():
            most = wellhead[hotter].min()
            words = (
                f"{stated:.1f} degC is hotter than the wellhead lets it be: at the {float(saturation_pressure(most)):.1f} bar "
                f"kept there water boils at {most:.1f} degC; lower it, or look at wells.wellhead_pressure"
            )
            yield path, words, hotter
    if not case.resource.gas.any():
        return
    path, boiling = gas_told_at(case)
    still = (boiling >= inlet) & (inlet > LEAST_SEPARATOR)  # colder water does not flash anyway
    if still.any():
        at = int(still.argmax())
        words = (
            f"gas is told of steam that leaves the water at {saturation_pressure(boiling[at]):.1f} bar, at which water of "
            f"{inlet[at]:.1f} degC does not boil; state the pressure at which the steam was taken (resource.gas_pressure)"
        )
        yield path, words, still


def _unknown_silica(case: Case) -> Iterator[Wrong]:
    """A flash plant whose silica is not stated, at temperatures for which quartz does not tell it."""
    where = np.isnan(silica(case))
    if where.any():
        hot, known = wide(case, case.resource.temperature)[int(where.argmax())], geothermometer("quartz-hot").high
        words = (
            f"is missing: from quartz it is known up to {known:.0f} degC, and the water has {hot:.0f} degC; state what an "
            "analysis says of the water at depth"
        )
        yield SILICA, words, where


def _of_dry_steam(case: Case, inlet: Floats) -> Iterator[Wrong]:
    air, comes = float(air_pressure(case.site.elevation)[0]), saturation_pressure(inlet)
    thin = comes <= air
    if thin.any():
        at = int(thin.argmax())
        words = f"steam of {inlet[at]:.1f} degC has {comes[at]:.1f} bar and the air {air:.1f} bar: it does not come up"
        yield "resource.temperature", words, thin
    if case.wells.wellhead_pressure is None:
        return
    kept = absolute_pressure(case, case.wells.wellhead_pressure)
    low, high = kept <= air, (kept >= comes) & ~thin
    if low.any():
        words = (
            f"{kept[int(low.argmax())]:.2f} bar is no more than the air has, {air:.2f} bar: no steam comes; raise it"
        )
        yield WELLHEAD, words, low
    if high.any():
        at = int(high.argmax())
        words = (
            f"{kept[at]:.1f} bar is more than the steam brings, {comes[at]:.1f} bar at {inlet[at]:.1f} degC: no steam comes; "
            "lower it"
        )
        yield WELLHEAD, words, high


def no_power(case: Case, plant: SteamPlant, scenario: int) -> tuple[str, str]:
    """Why no steam makes power in a scenario: the path to look at, and words."""
    inlet = float(inlet_temperature(case)[scenario])
    if plant.kind == "dry-steam":
        return (
            "resource.temperature",
            f"steam of {inlet:.1f} degC is no hotter than its condenser: no power can be made",
        )
    path = in_the_way(case, scenario, 0.0)[0]
    if path:
        return path, _words(case, path, scenario)
    words = (
        f"water of {inlet:.1f} degC is too cold to flash: no separator from {LEAST_SEPARATOR:.0f} degC up gives power, and no "
        'single limit on it stands in the way; say kind = "binary", or look at plant.injection_temperature_floor, '
        "resource.silica and wells.wellhead_pressure"
    )
    return "resource.temperature", words


def little_power(case: Case, scenario: int) -> tuple[str, str] | None:
    """The field that leaves a scenario so little power of each kg that wells cannot make up for it, and words; None without."""
    with_all = net_without(case, "", scenario)
    path, most = in_the_way(case, scenario, with_all)
    if not path:
        return None
    words = f"each kg/s gives {with_all:.3g} kW plant net, and would give {most:.3g} without it: {_words(case, path, scenario)}"
    return path, words


def in_the_way(case: Case, scenario: int, net: float) -> tuple[str, float]:
    """The first of `LIMITS` without which each kg/s gives about as much as without any other one of them, and how much.

    net : with all of them;  returns "" where none costs much  [kW per kg/s]
    """
    without = {path: net_without(case, path, scenario) for path in LIMITS}
    most = max(without.values())
    if most <= IN_THE_WAY * net:
        return "", net
    return next((path, found) for path, found in without.items() if found >= most / IN_THE_WAY)


def _words(case: Case, path: str, scenario: int) -> str:
    """What is wrong with one of `LIMITS`, and what to do."""
    if path in SEPARATORS:
        return _words_of_separator(case, path, float(inlet_temperature(case)[scenario]))
    comes = f"{inlet_temperature(case)[scenario]:.1f} degC reach the plant"
    if path == FLOOR:
        floor = stated_temperature(case, path)
        return f"brine may leave no cooler than {floor:.1f} degC, and {comes}: little or nothing flashes; lower it"
    if path == WELLHEAD:
        return _words_of_wellhead(case, scenario)
    if path == SILICA:
        content = float(silica(case)[scenario])
        more = (
            "more than any water there holds"
            if amorphous_silica_temperature(content) >= inlet_temperature(case)[scenario]
            else "boiling leaves too much in it"
        )
        told = f"{content:.0f} mg/kg of silica comes out of water cooler than {silica_limit(content)}"
        return f"{told}, and {comes}: {more}; look at the analysis"
    return (
        "what draws the gas off leaves the turbine little or no steam of any separator: look at resource.gas_pressure, or take "
        "a compressor (plant.gas_removal)"
    )


def _words_of_wellhead(case: Case, scenario: int) -> str:
    most = float(wellhead_boiling(case)[scenario])
    why = (
        f"of none so cool does brine keep its {silica(case)[scenario]:.0f} mg/kg of silica or stay above a floor that is stated"
        if most > LEAST_SEPARATOR
        else f"separators are looked for from {LEAST_SEPARATOR:.0f} degC up"
    )
    bar = float(saturation_pressure(most))
    return f"water boils at {most:.1f} degC at the {bar:.1f} bar of the wellhead, no separator is hotter, and {why}: raise it"


def _words_of_separator(case: Case, path: str, inlet: float) -> str:
    at = stated_temperature(case, path)
    if at is not None and at >= inlet:
        return f"{at:.1f} degC is hotter than the water that reaches it, {inlet:.1f} degC: nothing flashes; lower it"
    if path == SEPARATORS[0] and case.plant.kind == "double-flash":
        return (
            f"{at:.1f} degC leaves no room for a second separator, which has to be cooler and is looked for from "
            f"{LEAST_SEPARATOR:.0f} degC up, where silica lets it: raise it, state plant.second_separator_temperature, or "
            "leave both out"
        )
    return (
        f"a separator at {at:.1f} degC gives little or no power of water of {inlet:.1f} degC: leave it out for the best"
    )


def steam_warnings(case: Case, plant: object, inlet: Floats) -> Iterator[str]:
    """What is worth a second look in a plant that steam drives, or in what is stated as if there were one."""
    for path in (GAS, "resource.gas_pressure", SILICA, FLOOR, "plant.brine_pressure_drop", *OF_STEAM_ALONE):
        if case.states(path) and not has_a_part(case, path):
            yield f"{path} has no part in a {case.plant.kind} plant like this one"
    if case.site.relative_humidity is not None and cooled_by(case.plant) == "air":
        yield "site.relative_humidity has no part: air cools the plant"
    if not isinstance(plant, SteamPlant):
        return
    yield from (_of_steam(case) if plant.kind == "dry-steam" else _held(case, plant, inlet))
    if not plant.water.gas.any():
        yield "no gas is stated, and steam of most fields holds some, which takes power to draw off (resource.gas)"
    else:
        yield (
            "gas of the steam is let out and may hold hydrogen sulfide, which kills: what may be let out, and how people are "
            "kept safe, is for local codes and licensed practice (resource.gas)"
        )
    back = float(np.nanmin(plant.returned(inlet)))
    if plant.terms.lost and back < WHOLE:
        yield (
            f"{back:.1%} of what the wells bring goes back, the rest into the air: the field loses it, and nothing here says "
            "what that does to its pressure (plant.tower_evaporation)"
        )


def _of_steam(case: Case) -> Iterator[str]:
    """What is said of wells that bring steam."""
    if case.wells.wellhead_pressure is None:
        yield (
            "steam reaches the turbine saturated, at the pressure it has at the temperature of the wellhead: state what is "
            "kept there, as wells give little at their full pressure (wells.wellhead_pressure)"
        )


def _held(case: Case, plant: SteamPlant, inlet: Floats) -> Iterator[str]:
    """What is said of separators, the wells before them and the brine behind."""
    first = float(np.nanmax(plant.separators[0]))
    bar = float(saturation_pressure(first))
    yield (
        f"separators keep the temperature they are built for, the first {first:.0f} degC ({bar:.1f} bar), and the turbine its "
        "efficiency with less steam (plant.separator_temperature)"
    )
    most, step = wide(case, wellhead_boiling(case)), DOUBLE_STEP if plant.kind == "double-flash" else STEP
    binds = plant.separators[0] + step > most
    if stated_temperature(case, SEPARATORS[0]) is None and binds.any():
        at = float(most[int(binds.argmax())])
        yield (
            f"the first separator is as hot as the wellhead lets it be: water boils at {at:.0f} degC at the "
            f"{float(saturation_pressure(at)):.1f} bar kept there; a hotter one may give more (wells.wellhead_pressure)"
        )
    if case.wells.pump == "none" and case.wells.wellhead_pressure is None:
        yield (
            "wells flow by themselves, and what they give at the pressure of the separator is not worked out: state the "
            "flow as measured there, and the pressure (wells.flow_per_producer, wells.wellhead_pressure)"
        )
    elif case.wells.pump == "none":
        yield (
            "wells flow by themselves, and what they give at a pressure is not worked out: the flow has to be that measured at "
            "the pressure kept at the wellhead (wells.flow_per_producer, wells.wellhead_pressure)"
        )
    over = coolest(case, plant, inlet) - plant.separators[-1]
    if plant.bottoming is None and np.nanmax(over, initial=0.0) > 0:
        at_most = int(np.nan_to_num(over).argmax())
        leaves = plant.separators[-1][at_most]
        yield (
            f"brine leaves at {leaves:.0f} degC, and keeps its silica down to {leaves + over[at_most]:.0f} degC: scale forms "
            "unless it is held back (plant.separator_temperature, resource.silica)"
        )

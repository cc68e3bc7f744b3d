"""Does the place qualify: heat, water, permeability, depth, access and market, each with what it rests on."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from geoecon.case import Site
from geoecon.studies.screen.known import Drawn, mass_flow, middle
from geoecon.studies.screen.power import Power, limit

GRADES = ("holds", "likely", "doubtful", "fails", "not known")
HOLDS, LIKELY, DOUBTFUL, FAILS, NOT_KNOWN = GRADES
SURE, EVEN, SLIGHT = 0.8, 0.5, 0.2
HOURS = 8.76  # MWh a year of one kW


@dataclass(frozen=True)
class Verdict:
    """One criterion: how it stands, in how many draws it holds where draws tell, and what that rests on.

    facts : name -> number with which words are made, such as a cost or a depth
    """

    criterion: str
    grade: str
    chance: float
    rests_on: tuple[str, ...]
    facts: Mapping[str, float]


def verdicts(
    site: Site, drawn: Mapping[str, Drawn], heat_by: tuple[str, ...], firm: bool, power: Power
) -> tuple[Verdict, ...]:
    """Every criterion in the order in which it is asked.

    heat_by : what the temperature of this place rests on, empty where nothing of it is known
    firm : whether that is more than a map
    """
    return (
        _heat(heat_by, firm, power),
        _water(site),
        _permeability(site, drawn),
        _depth(drawn, power),
        _access(site, drawn, power),
        _market(site, drawn, power),
    )


def by_chance(chance: float) -> str:
    """How a criterion stands that holds in a share of the draws."""
    return next(
        grade for grade, least in ((HOLDS, SURE), (LIKELY, EVEN), (DOUBTFUL, SLIGHT), (FAILS, -1.0)) if chance >= least
    )


def _heat(heat_by: tuple[str, ...], firm: bool, power: Power) -> Verdict:
    chance = float(power.enough.mean())
    rests = heat_by or ("what is usual on continents; nothing is known of this place",)
    grade = by_chance(chance) if heat_by else NOT_KNOWN
    if grade == FAILS and not firm:
        grade = DOUBTFUL  # a map knows no single place
    return Verdict("heat", grade, chance, rests, {"least temperature": power.floor})


def _water(site: Site) -> Verdict:
    """Whether there is hot water, and the right to it."""
    rights, rests = site.access.water_rights, []
    tested, signs = mass_flow(site.flow_test.flow), site.springs.signs
    if tested is not None:
        rests.append("a well that flowed")
    if signs not in {None, "none"} or site.springs.temperature is not None:
        rests.append("water seen at the surface")
    seen = HOLDS if tested is not None else LIKELY if rests else DOUBTFUL if signs == "none" else NOT_KNOWN
    if signs == "none" and not rests:
        rests.append("no sign at the surface")
    if rights is not None:
        rests.append(f"right to the water {rights}")
    if rights == "refused":
        return Verdict("water", FAILS, np.nan, tuple(rests), {})
    if seen == HOLDS and rights != "held":
        seen = LIKELY
    return Verdict("water", seen, np.nan, tuple(rests) or ("neither water nor a right to it is stated",), {})


def _permeability(site: Site, drawn: Mapping[str, Drawn]) -> Verdict:
    """Whether rock lets water through to a well."""
    productivity = drawn["flow_test.productivity"]
    if productivity.stated:
        ordinary = float((productivity.values >= limit("ordinary_productivity")).mean())
        grade = by_chance(ordinary)
        if grade in {DOUBTFUL, FAILS} and productivity.quantile(0.5) >= limit("poor_productivity"):
            grade = DOUBTFUL
        days = 0.0 if site.flow_test.duration is None else float(site.flow_test.duration[0]) * 365
        rests = ["flow and drawdown of a test"]
        if days < limit("long_test"):
            rests.append(
                f"a test of {days:.0f} d, too short to show where it ends" if days else "a test of unknown length"
            )
            grade = LIKELY if grade == HOLDS else grade
        return Verdict("permeability", grade, ordinary, tuple(rests), {"productivity": productivity.quantile(0.5)})
    if site.flow_test.flow is not None:
        return Verdict("permeability", LIKELY, np.nan, ("a well flowed; its drawdown is not stated",), {})
    if site.springs.signs not in {None, "none"}:
        flow = mass_flow(site.springs.flow) or 0.0
        strong = site.springs.signs != "warm springs" or flow >= limit("strong_springs")
        amount = f", {flow:.2g} kg/s of it" if flow else ""
        words = f"{site.springs.signs} show that water finds a way up{amount}; no well has shown it to a bore"
        return Verdict("permeability", LIKELY if strong else DOUBTFUL, np.nan, (words,), {})
    return Verdict("permeability", NOT_KNOWN, np.nan, ("no well was tested and no spring is stated",), {})


def _depth(drawn: Mapping[str, Drawn], power: Power) -> Verdict:
    """Whether wells of an ordinary depth reach it, or of a small unit's depth where it is a small one."""
    depth = drawn["reservoir.depth"]
    most = limit("small_unit_depth")
    chance = float((depth.values <= most).mean())
    deep = float((depth.values <= limit("ordinary_depth")).mean())
    grade = by_chance(chance)
    if grade == FAILS and deep >= EVEN:
        grade = DOUBTFUL  # reachable, at a cost that a small unit hardly bears
    basis = "the stated depth" if depth.stated else "no depth is stated"
    return Verdict("depth", grade if depth.stated else NOT_KNOWN, chance, (basis,), {"most": most})


def _access(site: Site, drawn: Mapping[str, Drawn], power: Power) -> Verdict:
    """Land, road and line."""
    access, rests = site.access, []
    if access.land is not None:
        rests.append(f"land {access.land}")
    if access.land == "protected":
        return Verdict("access", FAILS, np.nan, tuple(rests), {})
    road = middle(access.road_distance)
    if road is not None:
        rests.append(f"{road / 1e3:.2g} km from a road for lorries")
    grade, chance, facts = NOT_KNOWN, np.nan, {}
    if site.buyer.islanded:
        grade = LIKELY
        rests.append("the power stays at the place")
    elif "access.grid_distance" in drawn:
        low, high = (limit(f"line_{end}") * 1e3 for end in ("low", "high"))
        distance = drawn["access.grid_distance"].quantile(0.5) / 1e3
        kilowatts = first_unit_kw(power)
        facts = {"line low": low * distance, "line high": high * distance, "distance": distance}
        most = limit("line_share") * kilowatts
        chance = float(np.clip((most / max(distance, 1e-9) - low) / (high - low), 0.0, 1.0))
        grade = by_chance(chance)
        rests.append(f"a line of {distance:.3g} km to a first unit of {kilowatts:,.0f} kW")
    if road is not None and road > limit("far_road") and grade in {HOLDS, LIKELY}:
        grade = DOUBTFUL
    if grade == HOLDS and access.land not in {"owned", "leased"}:
        grade = LIKELY
    return Verdict("access", grade, chance, tuple(rests) or ("neither land nor distance to a line is stated",), facts)


def _market(site: Site, drawn: Mapping[str, Drawn], power: Power) -> Verdict:
    """Whether the price covers what small units cost, built as some have been."""
    low, high = cost_range(first_unit_kw(power))
    facts = {"cost low": low, "cost high": high}
    if "buyer.price" not in drawn:
        return Verdict("market", NOT_KNOWN, np.nan, ("no price is stated",), facts)
    price = drawn["buyer.price"]
    chance = float(np.clip((price.values - low) / (high - low), 0.0, 1.0).mean())
    rests = [f"a price of {price.quantile(0.5):,.0f} USD/MWh"]
    if site.buyer.contract is not None:
        rests.append(f"contract {site.buyer.contract}")
    grade = by_chance(chance)
    if grade == HOLDS and site.buyer.contract not in {"signed", "offered"}:
        grade = LIKELY
    if site.buyer.islanded and "buyer.load" not in drawn:
        rests.append("how much the place uses is not stated")
    return Verdict("market", grade, chance, tuple(rests), facts)


def cost_range(kilowatts: float) -> tuple[float, float]:
    """What a MWh of units of a size costs, from what some cost to build and a yearly charge on it  [USD/MWh].

    Capital by size lies between that of units up to 3 MW and that of units from 30 MW on, straight over the logarithm.
    """
    hours = HOURS * limit("capacity_factor") / 100
    sizes = np.log([3e3, 30e3])
    found = []
    for end in ("low", "high"):
        capital = np.interp(np.log(kilowatts), sizes, [limit(f"capital_{end}"), limit(f"capital_{end}_large")])
        found.append(float(capital * limit(f"charge_{end}") / 100 + limit("running")) / hours)
    return found[0], found[1]


def first_unit_kw(power: Power) -> float:
    """Net size of a first unit: the middle of the draws less own use, at most what is called small, two digits  [kW]."""
    net = typical(power) * 1e3 * (1 - limit("own_use") / 100)
    return float(f"{min(max(net, limit('smallest_unit')), limit('small_unit')):.2g}")


def typical(power: Power) -> float:
    """Power in the middle of the draws that are hot enough; 0 where none is  [MW]."""
    return float(np.median(power.either[power.enough])) if power.enough.any() else 0.0

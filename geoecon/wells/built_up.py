"""What a well costs, built up from days of the rig, from strings of casing and from what is used for each metre."""

from dataclasses import dataclass

import numpy as np

from geoecon.arrays import Floats

HOURS_PER_DAY = 24.0
DAYS = ("moving", "drilling", "casing", "testing")
PARTS = ("rig", "services", "casing", "wellhead", "cement", "bits and mud", "site", "trouble")


@dataclass(frozen=True)
class Drilling:
    """How fast a well is drilled and what is paid for it, each (scenario,); money of any one year.

    penetration_m_h : while on bottom;  on_bottom : share of the time of drilling  [1]
    strings : of casing, a liner counted;  shoe_ratio : depth of each over that of the next  [1]
    casing_days : for each string;  rig, services : a day;  casing, cement : for a metre of each string
    fluids : bits, mud and chemicals for a metre drilled;  trouble : share of all the rest  [1]
    """

    penetration_m_h: Floats
    on_bottom: Floats
    moving_days: Floats
    casing_days: Floats
    testing_days: Floats
    strings: Floats
    shoe_ratio: Floats
    rig: Floats
    services: Floats
    casing: Floats
    cement: Floats
    fluids: Floats
    site: Floats
    wellhead: Floats
    trouble: Floats


@dataclass(frozen=True)
class BuiltUp:
    """One well: its days by `DAYS` and its cost by `PARTS`, each (scenario,), and metres of casing."""

    days: dict[str, Floats]
    casing_m: Floats
    parts: dict[str, Floats]

    @property
    def total_days(self) -> Floats:
        """Days of the rig, moving included."""
        return np.asarray(sum(self.days.values()))

    @property
    def cost(self) -> Floats:
        """All parts together."""
        return np.asarray(sum(self.parts.values()))


def casing_length(depth_m: Floats, strings: Floats, shoe_ratio: Floats) -> Floats:
    """Metres of casing of all strings, which all begin at the surface, (scenario,).

    The deepest reaches the bottom, each of the others to a share of the depth of the next: a geometric series.

    >>> casing_length(np.array([2000.0]), np.array([4.0]), np.array([0.4])).round(6)
    array([3248.])
    """
    return np.asarray(depth_m * (1 - shoe_ratio**strings) / (1 - shoe_ratio))


def built_up(depth_m: Floats, of: Drilling) -> BuiltUp:
    """Days and cost of one completed well of a measured depth.

    depth_m : (scenario,)  [m]

    The rig and services are paid by the day, moving included; trouble is a share of the cost, not of the days. Trips grow with
    depth as drilling does: one share of time on bottom stands for the whole well.
    """
    days = {
        "moving": of.moving_days,
        "drilling": depth_m / (of.penetration_m_h * of.on_bottom * HOURS_PER_DAY),
        "casing": of.strings * of.casing_days,
        "testing": of.testing_days,
    }
    total, casing_m = sum(days.values()), casing_length(depth_m, of.strings, of.shoe_ratio)
    parts = {
        "rig": total * of.rig,
        "services": total * of.services,
        "casing": casing_m * of.casing,
        "wellhead": of.wellhead,
        "cement": casing_m * of.cement,
        "bits and mud": depth_m * of.fluids,
        "site": of.site,
    }
    return BuiltUp(days, casing_m, parts | {"trouble": of.trouble * sum(parts.values())})

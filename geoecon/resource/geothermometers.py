"""Temperatures at which hot water was last at rest with rock, from what is dissolved in it; and which of them to believe.

Contents in mg/kg, all above 0, of shapes that broadcast; temperatures in degC. Most forms are log x = b - a / T, with x the
silica, K/Na or K^2/Mg and T in kelvin; coefficients with their sources and ranges are in tables/geothermometers.csv.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from geoecon.arrays import Bools, Floats
from geoecon.resource.water import KELVIN
from geoecon.tables import row, table

Analysis = Mapping[str, Floats]
CALCIUM_SHIFT = 2.06
WARM, COOL = 1 / 3, 4 / 3  # exponents above and below 100 degC
SPLIT_DEGC = 100.0
MOLAR_MASS = {"sodium": 22.990, "calcium": 40.078}  # g/mol
CONTENTS = np.arange(1.0, 1500.0)  # mg/kg of silica, on which a polynomial is turned round
FULL, PARTIAL = 2.6, 2.0  # maturity from which water is at rest with rock, wholly and in part


@dataclass(frozen=True)
class Geothermometer:
    """One published relation between what is dissolved and temperature.

    needs : constituents it takes;  low, high : range in which it was made  [degC];  spread_K : how far it is off, either way
    """

    name: str
    title: str
    ratio: str
    needs: tuple[str, ...]
    low: float
    high: float
    spread_K: float
    source: str
    evidence: str

    def temperature(self, analysis: Analysis) -> Floats:
        """What the relation gives, whether or not within its range; NaN where it gives nothing  [degC]."""
        if self.ratio == "sodium-potassium-calcium":
            return na_k_ca(*(analysis[name] for name in self.needs))
        log_x = _RATIOS[self.ratio][1](*(analysis[name] for name in self.needs))
        return _by_terms(self.name, log_x)

    def covers(self, temperature_degC: Floats) -> Bools:
        """Whether temperatures lie in the range of the relation."""
        return np.asarray((temperature_degC >= self.low) & (temperature_degC <= self.high))

    def reading(self, analysis: Analysis) -> Floats:
        """The temperature within its range, NaN outside  [degC].

        >>> quartz = geothermometer("quartz")
        >>> quartz.reading({"silica": np.array([100.0, 670.0])}).round(1)
        array([137.2,   nan])
        """
        found = self.temperature(analysis)
        return np.where(self.covers(found), found, np.nan)

    def content(self, temperature_degC: Floats) -> Floats:
        """The silica, K/Na or K^2/Mg of water at rest at a temperature, of forms that can be turned round.

        >>> float(geothermometer("amorphous").content(np.array(100.0)).round(1))
        363.9
        >>> float(geothermometer("quartz-hot").content(np.array(300.0)).round(0))
        673.0
        """
        r = row("geothermometers", name=self.name)
        if not r["slope"]:
            return np.asarray(np.interp(temperature_degC, _by_terms(self.name, np.log10(CONTENTS)), CONTENTS))
        return np.asarray(10 ** (float(r["intercept"]) - float(r["slope"]) / (temperature_degC + KELVIN)))


_RATIOS: dict[str, tuple[tuple[str, ...], Callable[..., Floats]]] = {
    "silica": (("silica",), np.log10),
    "potassium-sodium": (("potassium", "sodium"), lambda k, na: np.log10(k / na)),
    "potassium-magnesium": (("potassium", "magnesium"), lambda k, mg: np.log10(k**2 / mg)),
    "sodium-potassium-calcium": (("sodium", "potassium", "calcium"), lambda *contents: np.asarray(np.nan)),
}


@lru_cache
def geothermometers() -> tuple[Geothermometer, ...]:
    """All published relations of the table."""
    return tuple(
        Geothermometer(
            r["name"], r["title"], r["ratio"], _RATIOS[r["ratio"]][0], float(r["low"]), float(r["high"]),
            float(r["spread_K"]), r["source"], r["evidence"],
        )
        for r in table("geothermometers")
    )  # fmt: skip


def geothermometer(name: str) -> Geothermometer:
    """One relation by its name."""
    return next(one for one in geothermometers() if one.name == name)


def _by_terms(name: str, log_x: Floats) -> Floats:
    r = row("geothermometers", name=name)
    if not r["slope"]:
        c0, c1, c2, c3, c_log = (float(r[key]) for key in ("c0", "c1", "c2", "c3", "c_log"))
        x = 10**log_x
        return np.asarray(c0 + c1 * x + c2 * x**2 + c3 * x**3 + c_log * log_x)
    return _solved(float(r["slope"]), float(r["intercept"]) - log_x)


def _solved(slope: float, below: Floats) -> Floats:
    """Slope over what is below it, in degC; where `below` is not positive there is no temperature."""
    return np.asarray(slope / np.where(below > 0, below, np.nan) - KELVIN)


def na_k_ca(sodium: Floats, potassium: Floats, calcium: Floats) -> Floats:
    """Temperature by sodium, potassium and calcium, the exponent chosen by the rule of its authors.

    1647 / T = log(Na/K) + beta [log(sqrt(Ca)/Na) + 2.06] + 2.47. Where the bracket is negative beta is 1/3; where it is not,
    4/3 is tried and kept below 100 degC, and 1/3 taken otherwise.
    Source: R. O. Fournier and A. H. Truesdell 1973; constants from memory (recalled).

    >>> na_k_ca(np.array([100.0, 300.0]), np.array([5.0, 15.0]), np.array([40.0, 10.0])).round(1)
    array([ 61.7, 160.4])
    """
    r = row("geothermometers", name="na-k-ca")
    slope, intercept = float(r["slope"]), float(r["intercept"])
    bracket = np.log10(np.sqrt(calcium) / sodium) + CALCIUM_SHIFT
    base = np.log10(sodium / potassium) + intercept
    cool, warm = (_solved(slope, base + beta * bracket) for beta in (COOL, WARM))
    return np.where((bracket >= 0) & (cool < SPLIT_DEGC), cool, warm)


def calcium_rules_out_na_k(sodium: Floats, calcium: Floats) -> Bools:
    """Whether sqrt(Ca)/Na by moles is above 1, where the authors of Na-K-Ca warn of Na-K alone.

    Source: R. O. Fournier and A. H. Truesdell 1973, abstract.

    >>> bool(calcium_rules_out_na_k(np.array(20.0), np.array(200.0)))
    True
    """
    na, ca = sodium / (1e3 * MOLAR_MASS["sodium"]), calcium / (1e3 * MOLAR_MASS["calcium"])
    return np.asarray(np.sqrt(ca) / na > 1)


def maturity_index(sodium: Floats, potassium: Floats, magnesium: Floats) -> Floats:
    """How near sodium, potassium and magnesium are to rest with rock: 2.66 at rest, at whatever temperature.

    The K-Mg relation settles fast and K-Na slowly; with T taken out of both, (1390 / 4410) log(K^2/Mg) - log(K/Na) is
    1390 / 4410 x 14.0 - 1.75 = 2.66 for water at rest. Below 2.0 water has not come near it (recalled).
    Source: W. F. Giggenbach 1988: both relations from its abstract, the index and the limit of 2.0 from memory.

    >>> maturity_index(np.array([1250.0, 10760.0]), np.array([210.0, 399.0]), np.array([0.04, 1290.0])).round(2)
    array([2.68, 2.09])
    """
    slow, fast = (row("geothermometers", name=name) for name in ("na-k-giggenbach", "k-mg"))
    share = float(slow["slope"]) / float(fast["slope"])
    return np.asarray(share * np.log10(potassium**2 / magnesium) - np.log10(potassium / sodium))

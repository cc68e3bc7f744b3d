"""Plants that steam drives: separators chosen for most net power when the plant is ordered, and held from then on.

Water of the wells boils in a separator, once or twice; steam drives a turbine, brine leaves at the temperature of the last
separator, or gives heat to a binary unit below. Each steam expands to the condenser by itself. The water is liquid at depth
and keeps its heat however it boils on its way, so its temperature before that stands for its enthalpy. All gas that comes with
it goes with the first steam. Dry steam comes up saturated and keeps its heat when the wellhead throttles it. Powers are per kg
of what the wells bring; for held separators they are straight lines in the enthalpy of the water, so nothing has to be read off
a map.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field

import numpy as np

from geoecon.arrays import Bools, Floats, narrow
from geoecon.plant.bottoming import Bottoming, ToBottom
from geoecon.plant.steam import SteamPower, SteamTerms, flashed, saturated, steam_power
from geoecon.resource.silica import silica_floor

LEAST_SEPARATOR = 100.0  # tried: below the pressure of the air separators would draw it in; common practice
MOST_SEPARATOR = 300.0
STEP, DOUBLE_STEP = 1.0, 2.0
BRINE_LIMITS, SINK_LIMITS = (60.0, 360.0), (-60.0, 60.0)


@dataclass(frozen=True)
class Stream:
    """Steam of one stage, of each kg that the wells bring, any shape: steam, and the gas beside it  [1].

    boiling_degC : boiling point at its pressure;  enthalpy : None for that of saturated steam there  [kJ/kg]
    """

    steam: Floats
    gas: Floats
    boiling_degC: Floats
    enthalpy: Floats | None = None

    def power(self, terms: SteamTerms, sink: Floats) -> SteamPower:
        """What it gives for each kg that the wells bring."""
        return steam_power(terms, self.steam, self.gas, self.boiling_degC, sink, self.enthalpy)


@dataclass(frozen=True)
class Water:
    """What the wells bring beside heat, and what it may not do; (scenario,) or one for all.

    silica : dissolved in the water as it comes, 0 where it has no part, NaN where unknown  [mg/kg]
    floor_degC : coolest brine that may leave, as stated
    gas : share of what the wells bring by mass, NaN where unknown  [1]
    wellhead_degC : boiling point at the pressure of the wellhead, than which no steam of a flash can be hotter, and to which
        dry steam is throttled; infinite where none is stated
    """

    silica: Floats
    floor_degC: float = 0.0
    gas: Floats = field(default_factory=lambda: np.zeros(1))
    wellhead_degC: Floats = field(default_factory=lambda: np.full(1, np.inf))

    def lets_leave(self, separator_degC: Floats, steam_taken: Floats) -> Bools:
        """Whether brine may come from a separator after so much of it has become steam, broadcast."""
        return np.asarray(separator_degC >= self.floor(steam_taken))

    def floor(self, steam_taken: Floats) -> Floats:
        """Coolest brine that may leave after so much of it has become steam, broadcast  [degC]."""
        return np.asarray(np.maximum(silica_floor(self.silica, steam_taken), self.floor_degC))


def gas_in_water(share: Floats | float, boiling_degC: Floats, brine: Floats) -> Floats:
    """Gas that water brings, from what its first steam held at a pressure, all broadcast  [1].

    share : of gas in the steam, gas in it, by mass;  boiling_degC : at that pressure;  brine : the water  [degC]
    returns its share of what the wells bring, whatever the pressure of a separator; NaN where nothing boils.
    Source: balance of mass with all gas in the first steam.

    >>> float(gas_in_water(0.05, np.array(175.35), np.array(234.0)).round(5))
    0.00656
    """
    steam = flashed(saturated(brine).liquid, boiling_degC)
    return np.where((steam > 0) | (np.asarray(share) == 0), share * steam, np.nan)


def with_gas(risen: Floats, gas: Floats) -> tuple[Floats, Floats]:
    """What rises in a held separator as steam and the gas in it, which is no more than rises, broadcast  [1]."""
    gas = np.fmin(gas, risen)  # where it is unknown nothing rises
    return risen - gas, gas


@dataclass(frozen=True)
class SteamPlant:
    """A plant as ordered.

    separators : (stage, scenario) of falling temperature, none for dry steam, NaN where no machine makes power  [degC]
    water : what the wells bring;  bottoming : the binary unit that takes the brine, or None
    """

    kind: str
    terms: SteamTerms
    separators: Floats
    water: Water
    bottoming: Bottoming | None = None

    def covers(self, brine: Floats, sink: Floats) -> Bools:
        """Whether the plant can be worked out for temperatures of what comes and what cools."""
        (cool, hot), (low, high) = BRINE_LIMITS, SINK_LIMITS
        return np.asarray((brine >= cool) & (brine <= hot) & (sink >= low) & (sink <= high))

    def range_in_words(self) -> str:
        """What it can be worked out for."""
        (cool, hot), (low, high) = BRINE_LIMITS, SINK_LIMITS
        return f"brine {cool:.0f} to {hot:.0f} degC, air {low:.0f} to {high:.0f} degC"

    def over(self, brine: Floats, sink: Floats) -> "SteamPlant":
        """Itself: it needs no map."""
        return self

    def at(self, brine: Floats, sink: Floats) -> tuple[Floats, Floats, Floats]:
        """Gross, plant net and injection temperature, shapes broadcast  [kW per kg/s], [kW per kg/s], [degC]."""
        brine, sink = np.broadcast_arrays(brine, sink)
        gross, net = self._made(list(self.streams(brine)), sink)
        if self.bottoming is not None:
            below = self.bottoming.at(brine, sink)
            left = self.brine_left(brine)
            gross, net = gross + left * below[0], net + left * below[1]
        runs = net > 0
        if self.kind == "dry-steam":
            leaving = np.minimum(self.terms.condensing(sink), brine)
        else:
            leaving = below[2] if self.bottoming is not None else self.separators[-1]
        return np.where(runs, gross, 0.0), np.where(runs, net, 0.0), np.where(runs, np.minimum(leaving, brine), brine)

    def monthly(self, brine: Floats, sink: Floats, flow: Floats | None = None) -> Iterator[tuple[Floats, Floats]]:
        """Gross and plant net with what cools in one month after another; what flashes is worked out once.

        brine : (year, scenario)  [degC];  sink : (month, scenario)  [degC];  yields (year, scenario)  [kW per kg/s]
        flow : over that of the design, of the shape of brine; only a binary unit below gives another power for each kg/s
        """
        streams, left = list(self.streams(brine)), self.brine_left(brine)
        below = None if self.bottoming is None else self.bottoming.monthly(brine, sink, left, flow)
        for of_month in narrow(sink):
            gross, net = self._made(streams, of_month)
            if below is not None:
                more_gross, more_net = next(below)
                gross, net = gross + left * more_gross, net + left * more_net
            runs = net > 0
            yield np.where(runs, gross, 0.0), np.where(runs, net, 0.0)

    def returned(self, brine: Floats) -> Floats:
        """Share of what the wells bring that goes back into the ground, any shape  [1]."""
        away = (stream.gas + stream.steam * self.terms.lost for stream in self.streams(brine))
        return 1 - sum(away, start=np.zeros_like(brine))

    def streams(self, brine: Floats) -> Iterator[Stream]:
        """Steam that drives the turbine, stage by stage; the first holds the gas."""
        if self.kind == "dry-steam":
            yield Stream(
                1 - self.water.gas + np.zeros_like(brine), self.water.gas, np.minimum(self.water.wellhead_degC, brine),
                saturated(brine).steam,
            )  # fmt: skip
            return
        enthalpy, left, gas = saturated(brine).liquid, np.ones_like(brine), self.water.gas
        for separator in self.separators:
            share = np.where(np.isnan(separator), 0.0, flashed(enthalpy, separator))
            steam, let_out = with_gas(left * share, gas)
            yield Stream(steam, let_out, np.nan_to_num(separator, nan=LEAST_SEPARATOR))
            left, enthalpy = left * (1 - share), np.minimum(enthalpy, saturated(separator).liquid)
            gas = np.zeros(1)

    def brine_left(self, brine: Floats) -> Floats:
        """Share of what comes that leaves the last separator as brine, any shape  [1]."""
        return 1 - sum((stream.steam + stream.gas for stream in self.streams(brine)), start=np.zeros_like(brine))

    def _made(self, streams: list[Stream], sink: Floats) -> tuple[Floats, Floats]:
        """Gross and net of all steam; a stage that has less than its jets ask for stands still."""
        gross: Floats = np.zeros(())
        net: Floats = np.zeros(())
        for stream in streams:
            each = stream.power(self.terms, sink)
            gross, net = gross + np.nan_to_num(each.gross), net + np.nan_to_num(each.net)
        return gross, net


def ordered(
    kind: str, terms: SteamTerms, water: Water, stated: tuple[float | None, float | None], brine: Floats, sink: Floats,
    below: ToBottom | None = None,
) -> SteamPlant:  # fmt: skip
    """The plant whose separators give most net power from brine with what cools, (scenario,) each  [degC].

    stated : temperature of the first and the second separator, None for the best  [degC]
    below : the binary unit that a flash-binary plant has

    Separators are tried in steps of 1 K, two of them in steps of 2 K: the best is so flat that a kelvin off costs less than
    1e-4 of the power, and a choice among fixed temperatures never falls when the brine is hotter or what cools is colder.
    Brine leaves no cooler than its silica lets it, unless the separator is stated, and no hotter than the wellhead lets it.
    """
    brine, sink = np.broadcast_arrays(brine, sink)
    if kind == "dry-steam":
        return SteamPlant(kind, terms, np.empty((0, len(brine))), water)
    if kind == "double-flash":
        return SteamPlant(kind, terms, _two(terms, water, stated, brine, sink), water)
    first = _tried(stated[0], brine, STEP)[:, None]
    share = flashed(saturated(brine).liquid, first)
    net = steam_power(terms, share - water.gas, water.gas, first, narrow(sink)).net
    runs = (share > 0) & (first <= water.wellhead_degC)
    if below is None:
        allowed = water.lets_leave(first, share) | (stated[0] is not None)
        chosen = _best(first, net, allowed & runs)[0]
        return SteamPlant(kind, terms, chosen[None], water)
    floor = water.floor(share)
    net = net + (1 - share) * below.net(first, floor, sink)
    chosen, which = _best(first, net, (floor < first) & runs)
    held, left = (np.take_along_axis(values, which[None], axis=0)[0] for values in (floor, 1 - share))
    return SteamPlant(kind, terms, chosen[None], water, below.ordered(chosen, held, left))


def equal_split(brine: Floats, condensing_degC: Floats) -> Floats:
    """Temperatures of two separators by the rule of equal steps from the water to the condenser, (2, ...)  [degC].

    Source: R. DiPippo, Geothermal Power Plants; from memory.

    >>> equal_split(np.array(230.0), np.array(50.0))
    array([170., 110.])
    """
    step = (brine - condensing_degC) / 3
    return np.stack([brine - step, condensing_degC + step])


def _tried(stated: float | None, brine: Floats, step: float) -> Floats:
    """Separator temperatures that are tried, none much hotter than the hottest brine, (n,)  [degC]."""
    if stated is not None:
        return np.array([stated])
    hottest = min(float(np.nanmax(brine, initial=LEAST_SEPARATOR)), MOST_SEPARATOR)
    return np.arange(LEAST_SEPARATOR, hottest + step, step)


def _best(tried: Floats, net: Floats, allowed: Bools) -> tuple[Floats, np.ndarray]:
    """The temperature with most power in each scenario, (scenario,), NaN where none makes any, and its row.

    tried : (n, 1);  net, allowed : (n, scenario)
    """
    power = np.where(allowed & (net > 0), net, 0.0)
    which: np.ndarray = power.argmax(axis=0)
    most = np.take_along_axis(power, which[None], axis=0)[0]
    return np.where(most > 0, tried[which, 0], np.nan), which


def _two(
    terms: SteamTerms, water: Water, stated: tuple[float | None, float | None], brine: Floats, sink: Floats
) -> Floats:
    """Temperatures of two separators, (2, scenario)  [degC]; what the second gives does not depend on the brine."""
    enthalpy, second = saturated(brine).liquid, _tried(stated[1], brine, DOUBLE_STEP)
    cold = narrow(sink)
    of_second = steam_power(terms, 1.0, 0.0, second[:, None], cold).net
    most, found = np.zeros(len(brine)), np.full((2, len(brine)), np.nan)
    for first in _tried(stated[0], brine, DOUBLE_STEP):
        cooler = second < first
        if not cooler.any():
            continue
        one = flashed(enthalpy, first)
        two = flashed(saturated(first).liquid, second[cooler])[:, None]
        net = steam_power(terms, one - water.gas, water.gas, first, cold).net + (1 - one) * two * of_second[cooler]
        allowed = water.lets_leave(second[cooler][:, None], 1 - (1 - one) * (1 - two)) | (stated[1] is not None)
        best, which = _best(second[cooler][:, None], net, allowed & (one > 0) & (first <= water.wellhead_degC))
        power = np.where(np.isnan(best), 0.0, np.take_along_axis(net, which[None], axis=0)[0])
        better = power > most
        most = np.where(better, power, most)
        found = np.where(better, np.stack([np.full_like(best, first), best]), found)
    return found

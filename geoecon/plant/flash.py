"""Plants that steam drives: separators chosen for most net power when the plant is ordered, and held from then on.

Water of the wells boils in a separator, once or twice; steam drives a turbine, brine leaves at the temperature of the last
separator, or gives heat to a binary unit below. Each steam expands to the condenser by itself. The water is liquid at depth
and keeps its heat however it boils on its way, so its temperature before that stands for its enthalpy. Powers are per kg of
what the wells bring; for held separators they are straight lines in its enthalpy, so nothing has to be read off a map.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from geoecon.arrays import Bools, Floats, narrow
from geoecon.plant.bottoming import Bottoming, ToBottom
from geoecon.plant.steam import SteamTerms, flashed, saturated, steam_power
from geoecon.resource.silica import silica_floor

LEAST_SEPARATOR = 100.0  # tried: below the pressure of the air separators would draw it in; common practice
MOST_SEPARATOR = 300.0
STEP, DOUBLE_STEP = 1.0, 2.0
BRINE_LIMITS, SINK_LIMITS = (60.0, 360.0), (-60.0, 60.0)
Stream = tuple[Floats, Floats, bool]


@dataclass(frozen=True)
class Water:
    """What the brine may not do, (scenario,) or one for all.

    silica : dissolved in the water as it comes, 0 where it has no part, NaN where unknown  [mg/kg]
    floor_degC : coolest brine that may leave, as stated
    """

    silica: Floats
    floor_degC: float = 0.0

    def lets_leave(self, separator_degC: Floats, steam_taken: Floats) -> Bools:
        """Whether brine may come from a separator after so much of it has become steam, broadcast."""
        limit = np.maximum(silica_floor(self.silica, steam_taken), self.floor_degC)
        return np.asarray(separator_degC >= limit)


@dataclass(frozen=True)
class SteamPlant:
    """A plant as ordered.

    separators : (stage, scenario) of falling temperature, none for dry steam, NaN where no machine makes power  [degC]
    bottoming : the binary unit that takes the brine, or None
    """

    kind: str
    terms: SteamTerms
    separators: Floats
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
        away = self.terms.gas + (1 - self.terms.gas) * self.terms.lost
        parts = (share * (away if first else self.terms.lost) for share, _, first in self.streams(brine))
        return 1 - sum(parts, start=np.zeros_like(brine))

    def streams(self, brine: Floats) -> Iterator[Stream]:
        """Steam that drives the turbine: share of what comes, its temperature, and whether it holds the gas."""
        if self.kind == "dry-steam":
            yield np.ones_like(brine), brine, True
            return
        left, enthalpy = np.ones_like(brine), saturated(brine).liquid
        for stage, separator in enumerate(self.separators):
            share = np.where(np.isnan(separator), 0.0, flashed(enthalpy, separator))
            yield left * share, np.nan_to_num(separator, nan=LEAST_SEPARATOR), stage == 0
            left, enthalpy = left * (1 - share), np.minimum(enthalpy, saturated(separator).liquid)

    def brine_left(self, brine: Floats) -> Floats:
        """Share of what comes that leaves the last separator as brine, any shape  [1]."""
        return 1 - sum((share for share, _, _ in self.streams(brine)), start=np.zeros_like(brine))

    def _made(self, streams: list[Stream], sink: Floats) -> tuple[Floats, Floats]:
        gross: Floats = np.zeros(())
        net: Floats = np.zeros(())
        for share, temperature, has_gas in streams:
            each = steam_power(self.terms, temperature, sink, has_gas)
            gross, net = gross + share * each.gross, net + share * each.net
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
    Brine leaves no cooler than its silica lets it, unless the separator is stated.
    """
    brine, sink = np.broadcast_arrays(brine, sink)
    if kind == "dry-steam":
        return SteamPlant(kind, terms, np.empty((0, len(brine))))
    if kind == "double-flash":
        return SteamPlant(kind, terms, _two(terms, water, stated, brine, sink))
    first = _tried(stated[0], brine, STEP)[:, None]
    share = flashed(saturated(brine).liquid, first)
    net = share * steam_power(terms, first, narrow(sink)).net
    if below is None:
        allowed = water.lets_leave(first, share) | (stated[0] is not None)
        chosen = _best(first, net, allowed & (share > 0))[0]
        return SteamPlant(kind, terms, chosen[None])
    floor = np.maximum(silica_floor(water.silica, share), water.floor_degC)
    net = net + (1 - share) * below.net(first, floor, sink)
    chosen, which = _best(first, net, (floor < first) & (share > 0))
    held, left = (np.take_along_axis(values, which[None], axis=0)[0] for values in (floor, 1 - share))
    return SteamPlant(kind, terms, chosen[None], below.ordered(chosen, held, left))


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
    of_second = steam_power(terms, second[:, None], cold, with_gas=False).net
    most, found = np.zeros(len(brine)), np.full((2, len(brine)), np.nan)
    for first in _tried(stated[0], brine, DOUBLE_STEP):
        cooler = second < first
        if not cooler.any():
            continue
        one = flashed(enthalpy, first)
        two = flashed(saturated(first).liquid, second[cooler])[:, None]
        net = one * steam_power(terms, first, cold).net + (1 - one) * two * of_second[cooler]
        allowed = water.lets_leave(second[cooler][:, None], 1 - (1 - one) * (1 - two)) | (stated[1] is not None)
        best, which = _best(second[cooler][:, None], net, allowed & (one > 0))
        power = np.where(np.isnan(best), 0.0, np.take_along_axis(net, which[None], axis=0)[0])
        better = power > most
        most = np.where(better, power, most)
        found = np.where(better, np.stack([np.full_like(best, first), best]), found)
    return found

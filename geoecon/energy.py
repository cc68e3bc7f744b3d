"""The energy ledger: from gross at the design point to delivered, month by month inside, `(year, scenario)` outside.

Every step is what is lost at that point, in a fixed order; the steps sum to what is delivered.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from itertools import islice

import numpy as np

from geoecon.arrays import Floats, over_years
from geoecon.later import LaterMapping
from geoecon.plant.chosen import ChosenMap
from geoecon.plant.designed import BuiltMap
from geoecon.plant.flash import SteamPlant
from geoecon.plant.maps import PerformanceMap
from geoecon.plant.stated import StatedPlant
from geoecon.units import HOURS_PER_YEAR

KW_PER_MW = 1000.0
MONTH_HOURS = tuple(24.0 * days for days in (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31))
MONTH_ENDS = tuple(sum(MONTH_HOURS[:month]) / HOURS_PER_YEAR for month in range(len(MONTH_HOURS) + 1))
LOSSES = (
    "weather", "decline", "output_limit", "plant_auxiliaries", "production_pumps", "injection_pumps", "planned_outage",
    "forced_outage", "curtailment", "line_loss",
)  # fmt: skip
STEPS = ("gross_at_design", *LOSSES[:8], "unit_net", *LOSSES[8:], "delivered")


@dataclass(frozen=True)
class Running:
    """How the unit is run and what takes its energy; shares and limits (scenario,).

    planned : share of the year off by plan  [1];  planned_month : 0 to 11, or None for evenly
    forced : share of the remaining hours lost  [1];  limit_kw : most unit-net power  [kW]
    line_loss : share lost to the delivery point  [1];  load_mwh : most energy wanted there by month, or None  [MWh]
    delay : how late the unit starts, or None where it starts in time  [yr]
    """

    planned: Floats
    planned_month: int | None
    forced: Floats
    limit_kw: Floats
    line_loss: Floats
    load_mwh: Floats | None
    delay: Floats | None = None

    def planned_in(self, month: int) -> Floats:
        """Share of a month's hours off by plan, (scenario,)."""
        if self.planned_month is None:
            return self.planned
        hours = self.planned * HOURS_PER_YEAR if month == self.planned_month else 0.0 * self.planned
        return np.minimum(hours / MONTH_HOURS[month], 1.0)

    def every_year_counts(self, month: int) -> bool:
        """Whether energy of a month is booked for every year; otherwise only that of year 1 is told."""
        return self.load_mwh is not None or self.delay is not None or month == self.planned_month

    def lost_in(self, month: int, years: int) -> Floats:
        """Share of a month's remaining hours lost without plan, (scenario,), or (year, scenario) where the start is late."""
        if self.delay is None:
            return self.forced
        return self.forced + (1 - self.forced) * missed(self.delay, years, *MONTH_ENDS[month : month + 2])


@dataclass(frozen=True)
class MonthPower:
    """Power of one month of every year with everything in service  [kW].

    in_weather : gross at design brine, (scenario,);  gross, plant_net : with the year's brine, (year, scenario)
    """

    in_weather: Floats
    gross: Floats
    plant_net: Floats


@dataclass(frozen=True)
class Ledger:
    """Energy by step, (year of operation, scenario)  [MWh]; `monthly` is delivered in year 1, (month, scenario)  [MWh]."""

    steps: dict[str, Floats]
    monthly: Floats

    @property
    def gross_energy(self) -> Floats:
        """Gross generation after outages, (year, scenario)  [MWh]."""
        available = self.steps["unit_net"] + self.steps["planned_outage"] + self.steps["forced_outage"]
        own_use = self.steps["plant_auxiliaries"] + self.steps["production_pumps"] + self.steps["injection_pumps"]
        with np.errstate(invalid="ignore", divide="ignore"):
            running = np.where(available > 0, self.steps["unit_net"] / available, 0.0)
        return self.steps["unit_net"] + own_use * running

    def of_year(self, year: int) -> dict[str, Floats]:
        """Step -> (scenario,) of one operating year, from 0."""
        return {name: values[year] for name, values in self.steps.items()}

    def of_life(self) -> Mapping[str, Floats]:
        """Step -> (scenario,) summed over the life."""
        return LaterMapping(STEPS, lambda step: over_years(self.steps[step]))


def missed(delay: Floats, years: int, start: float = 0.0, end: float = 1.0) -> Floats:
    """Share of every year, or of a part of it, in which a late unit does not run yet, (year of operation, scenario)  [1].

    delay : (scenario,)  [yr];  start, end : of the part, as shares of the year

    >>> missed(np.array([0.25, 1.5]), 3)
    array([[0.25, 1.  ],
           [0.  , 0.5 ],
           [0.  , 0.  ]])
    """
    begins = np.arange(years).reshape(-1, 1) + start
    return np.clip((delay - begins) / (end - start), 0.0, 1.0)


def hours_mean(monthly: tuple[float, ...]) -> float:
    """Mean over the year of twelve monthly values, each for its hours."""
    return sum(value * hours for value, hours in zip(monthly, MONTH_HOURS, strict=True)) / HOURS_PER_YEAR


def stated_ledger(plant: StatedPlant, warmer_K: Floats, left: Floats, running: Running) -> Ledger:
    """The ledger of a stated plant, whose net output has the well pumps deducted already.

    warmer_K : (month, part, scenario) air above the design air in equal parts of each month  [K]
    left : (year, scenario) share of output that the field leaves  [1]
    """
    to_gross, limit = plant.gross_kw / plant.net_kw, running.limit_kw
    full = [[plant.in_weather(month, warmer) for warmer in parts] for month, parts in enumerate(warmer_K)]
    hours = [hours / KW_PER_MW / warmer_K.shape[1] for hours in MONTH_HOURS]

    def in_month(month: int, share: Floats) -> Floats:
        ran = [np.minimum(power * share, limit) for power in full[month]]
        return np.asarray(sum(ran[1:], start=ran[0]) * hours[month])

    # Output is as large in every year as weather and field leave it, so that years matter only where the limit binds.
    of_year, most, throttled = np.zeros_like(left[0]), left.max(axis=0), np.zeros_like(left)
    for powers, mwh in zip(full, hours, strict=True):
        for power in powers:
            of_year += power * mwh
            if (power * most > limit).any():
                throttled += np.maximum(power * left - limit, 0.0) * mwh
    made = of_year * left
    # What rounding leaves of an output that is throttled to nothing would be energy that all cost falls on.
    ran = np.clip(made - throttled, 0.0, limit * HOURS_PER_YEAR / KW_PER_MW)

    steps = dict.fromkeys(STEPS, np.zeros_like(left))  # never written into: what is booked takes its place
    monthly = np.empty((len(MONTH_HOURS), left.shape[1]))
    for month in range(len(MONTH_HOURS)):
        share = left if running.every_year_counts(month) else left[:1]
        monthly[month] = _deliver(steps, in_month(month, share), month, running)[0]
    _book(steps, plant.gross_kw, of_year * to_gross, made * to_gross, ran * to_gross, ran)
    _close(steps, ran, running)
    return Ledger(steps, monthly)


def mapped_ledger(
    powers: PerformanceMap | BuiltMap | ChosenMap | SteamPlant, factor: Floats, air: Floats, design_brine: Floats,
    design_flow: Floats, brine: Floats, flow: Floats, production_kw: Floats, injection_kw: Floats, gross_kw: Floats,
    running: Running,
) -> Ledger:  # fmt: skip
    """The ledger of a plant known by its map.

    factor : (scenario,) multiplies power  [1];  air : (month, part, scenario) in equal parts of each month,
        or what else cools  [degC]
    design_brine, design_flow : (scenario,)  [degC], [kg/s];  brine, flow : (year, scenario)  [degC], [kg/s]
    production_kw, injection_kw : (year, scenario) what well pumps take  [kW];  gross_kw : (scenario,) at the design point
    """

    def parts() -> Iterator[MonthPower]:
        full, each = flow * factor, air.reshape(-1, air.shape[2])
        at_design = powers.monthly(design_brine.reshape(1, -1), each)
        in_year = powers.monthly(brine, each, flow / design_flow)
        for (gross, _), (of_gross, of_net) in zip(at_design, in_year, strict=True):
            yield MonthPower(gross[0] * design_flow * factor, of_gross * full, of_net * full)

    every = parts()
    months = (islice(every, air.shape[1]) for _ in range(air.shape[0]))
    return ledger(gross_kw, months, air.shape[1], production_kw, injection_kw, running)


def ledger(
    gross_kw: Floats, months: Iterable[Iterable[MonthPower]], parts: int, production_kw: Floats, injection_kw: Floats,
    running: Running,
) -> Ledger:  # fmt: skip
    """Book the months of every year into the steps, each in so many equal parts.

    production_kw, injection_kw : (year, scenario) what well pumps take  [kW];  gross_kw : (scenario,) at the design point

    Where the limit binds the whole unit is throttled in proportion; where pumps would take more than the plant makes it
    stands still, and what it could have made is booked under the limit.
    """
    shape, pumps_kw = production_kw.shape, production_kw + injection_kw
    steps = dict.fromkeys(STEPS, np.zeros(shape))
    in_weather, made, used, kept, available, at_full = np.zeros(shape[1]), *(np.zeros(shape) for _ in range(5))
    monthly = np.empty((len(MONTH_HOURS), shape[1]))
    for month, (hours, powers) in enumerate(zip(MONTH_HOURS, months, strict=True)):
        mwh, in_month = hours / KW_PER_MW / parts, None
        for power in powers:
            unit = power.plant_net - pumps_kw
            hours_full = _hours_full(unit, running.limit_kw, mwh)
            in_weather += power.in_weather * mwh
            gross = power.gross * mwh
            made += gross
            used += gross if hours_full is mwh else power.gross * hours_full
            kept += power.plant_net * hours_full
            at_full += hours_full
            unit *= hours_full
            in_month = unit if in_month is None else in_month + unit
        assert in_month is not None
        available += in_month
        monthly[month] = _deliver(steps, in_month, month, running)[0]
    _book(steps, gross_kw, in_weather, made, used, kept)
    steps["production_pumps"] = production_kw * at_full
    steps["injection_pumps"] = injection_kw * at_full
    _close(steps, available, running)
    return Ledger(steps, monthly)


def _book(
    steps: dict[str, Floats], gross_kw: Floats, in_weather: Floats, made: Floats, used: Floats, kept: Floats
) -> None:
    """Book what is lost on the way to plant net, from energy at each point on it.

    in_weather : gross at design brine, (scenario,) [MWh];  made : gross with the year's brine;  used : gross within the
        limit;  kept : plant net, (year, scenario) each  [MWh]
    """
    steps["gross_at_design"] = steps["gross_at_design"] + gross_kw * HOURS_PER_YEAR / KW_PER_MW
    steps["weather"] = steps["gross_at_design"] - in_weather
    steps["decline"] = in_weather - made
    steps["output_limit"] = made - used
    steps["plant_auxiliaries"] = used - kept


def _hours_full(unit_kw: Floats, limit_kw: Floats, mwh: float) -> Floats | float:
    """Hours of a month at full output that give what it may run at, thousands; `mwh` itself where nothing binds."""
    if ((unit_kw > 0) & (unit_kw <= limit_kw)).all():
        return mwh
    ran = np.minimum(np.maximum(unit_kw, 0.0), limit_kw)
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.asarray(np.where(unit_kw > 0, ran / unit_kw, ran) * mwh)


def _deliver(steps: dict[str, Floats], available: Floats, month: int, running: Running) -> Floats:
    """Book an outage planned for a month, a late start and curtailment; returns delivered MWh, of year 1 at least.

    available : (year, scenario)  [MWh], of year 1 alone where no other counts
    """
    off = running.planned_in(month)
    if month == running.planned_month and off.any():
        steps["planned_outage"] = steps["planned_outage"] + available * off
    lost = running.lost_in(month, len(available))
    if running.delay is not None:
        steps["forced_outage"] = steps["forced_outage"] + available * (1 - off) * (lost - running.forced)
    if running.load_mwh is None:
        return np.asarray(available[:1] * (1 - off) * (1 - np.atleast_2d(lost)[:1]) * (1 - running.line_loss))
    net = available * (1 - off) * (1 - lost)
    # The load of the hours in which the unit stands is served by others, however large the unit is.
    in_hours = running.load_mwh[month] * (1 - off) * (1 - lost)
    wanted = np.minimum(net, in_hours / (1 - running.line_loss))
    steps["curtailment"] = steps["curtailment"] + net - wanted
    return np.asarray(wanted * (1 - running.line_loss))


def _close(steps: dict[str, Floats], available: Floats, running: Running) -> None:
    """Book what is the same share in every month, between the unit's bus and the delivery point."""
    if running.planned_month is None:
        steps["planned_outage"] = available * running.planned
    in_service = available - steps["planned_outage"]
    steps["forced_outage"] = steps["forced_outage"] + in_service * running.forced
    steps["unit_net"] = in_service - steps["forced_outage"]
    wanted = steps["unit_net"] - steps["curtailment"]
    steps["line_loss"] = wanted * running.line_loss
    steps["delivered"] = wanted - steps["line_loss"]


def homes(
    first_year: Floats, life_mean: Floats, loss: Floats, low_use: Floats, high_use: Floats
) -> tuple[Floats, Floats]:
    """Homes whose yearly use the delivered energy equals, low and high, (scenario,), not rounded.

    first_year, life_mean : delivered a year  [MWh];  loss : on the way to homes  [1];  *_use : one home's  [MWh/yr]

    An equivalence over a year: it does not mean that those homes are supplied from here.
    """
    low = np.minimum(first_year, life_mean) * (1 - loss) / high_use
    return low, np.maximum(first_year, life_mean) * (1 - loss) / low_use

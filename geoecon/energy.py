"""The energy ledger: from gross at the design point to delivered, month by month inside, `(year, scenario)` outside.

Every step is what is lost at that point, in a fixed order; the steps sum to what is delivered.
"""

from dataclasses import dataclass

import numpy as np

from geoecon.arrays import Floats, over_years
from geoecon.plant.stated import StatedPlant
from geoecon.units import HOURS_PER_YEAR

KW_PER_MW = 1000.0
MONTH_HOURS = tuple(24.0 * days for days in (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31))
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
    """

    planned: Floats
    planned_month: int | None
    forced: Floats
    limit_kw: Floats
    line_loss: Floats
    load_mwh: Floats | None

    def planned_in(self, month: int) -> Floats:
        """Share of a month's hours off by plan, (scenario,)."""
        if self.planned_month is None:
            return self.planned
        hours = self.planned * HOURS_PER_YEAR if month == self.planned_month else 0.0 * self.planned
        return np.minimum(hours / MONTH_HOURS[month], 1.0)


@dataclass(frozen=True)
class Ledger:
    """Energy by step, each (year of operation, scenario)  [MWh]; `monthly` is delivered energy of year 1, (month, scenario)."""

    steps: dict[str, Floats]
    monthly: Floats

    @property
    def gross_energy(self) -> Floats:
        """Gross generation after outages, (year, scenario)  [MWh]."""
        own_use = self._before_outages("plant_auxiliaries", "production_pumps", "injection_pumps")
        return self.steps["unit_net"] + own_use

    def _before_outages(self, *names: str) -> Floats:
        """Own use while running: what the ledger books before outages, less the share not used during them."""
        available = self.steps["unit_net"] + self.steps["planned_outage"] + self.steps["forced_outage"]
        with np.errstate(invalid="ignore", divide="ignore"):
            share = np.where(available > 0, self.steps["unit_net"] / available, 0.0)
        return share * sum((self.steps[name] for name in names), start=np.zeros_like(available))

    def of_year(self, year: int) -> dict[str, Floats]:
        """Step -> (scenario,) of one operating year, from 0."""
        return {name: values[year] for name, values in self.steps.items()}

    def of_life(self) -> dict[str, Floats]:
        """Step -> (scenario,) summed over the life."""
        return {name: over_years(values) for name, values in self.steps.items()}


def hours_mean(monthly: tuple[float, ...]) -> float:
    """Mean over the year of twelve monthly values, each for its hours."""
    return sum(value * hours for value, hours in zip(monthly, MONTH_HOURS, strict=True)) / HOURS_PER_YEAR


def stated_ledger(plant: StatedPlant, warmer_K: Floats, left: Floats, running: Running) -> Ledger:  # noqa: N803
    """The ledger of a stated plant.

    warmer_K : (month, scenario) air above the design air  [K]
    left : (year, scenario) share of output that the field leaves  [1]
    """
    to_gross = plant.gross_kw / plant.net_kw
    steps = {name: np.zeros_like(left) for name in STEPS}
    steps["gross_at_design"] += plant.gross_kw * HOURS_PER_YEAR / KW_PER_MW
    monthly = np.empty((len(MONTH_HOURS), left.shape[1]))
    for month, hours in enumerate(MONTH_HOURS):
        mwh = hours / KW_PER_MW
        full = plant.in_weather(month, warmer_K[month])
        fielded = full * left
        limited = np.minimum(fielded, running.limit_kw)
        steps["weather"] += (plant.net_kw - full) * to_gross * mwh
        steps["decline"] += (full - fielded) * to_gross * mwh
        steps["output_limit"] += (fielded - limited) * to_gross * mwh
        steps["plant_auxiliaries"] += limited * (to_gross - 1) * mwh
        sold = _sold(steps, limited * mwh, month, running)
        monthly[month] = sold[0]
    return Ledger(steps, monthly)


def _sold(steps: dict[str, Floats], available: Floats, month: int, running: Running) -> Floats:
    """Book what happens between the unit's bus and the delivery point in a month; returns delivered MWh."""
    planned = available * running.planned_in(month)
    forced = (available - planned) * running.forced
    net = available - planned - forced
    wanted = net if running.load_mwh is None else np.minimum(net, running.load_mwh[month] / (1 - running.line_loss))
    lost = wanted * running.line_loss
    for name, amount in (
        ("planned_outage", planned), ("forced_outage", forced), ("unit_net", net), ("curtailment", net - wanted),
        ("line_loss", lost), ("delivered", wanted - lost),
    ):  # fmt: skip
        steps[name] += amount
    return wanted - lost


def homes(
    first_year: Floats, life_mean: Floats, loss: Floats, low_use: Floats, high_use: Floats
) -> tuple[Floats, Floats]:
    """Homes whose yearly use the delivered energy equals, low and high, (scenario,), not rounded.

    first_year, life_mean : delivered a year  [MWh];  loss : on the way to homes  [1];  *_use : one home's  [MWh/yr]

    An equivalence over a year: it does not mean that those homes are supplied from here.
    """
    low = np.minimum(first_year, life_mean) * (1 - loss) / high_use
    return low, np.maximum(first_year, life_mean) * (1 - loss) / low_use

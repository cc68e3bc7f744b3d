"""What to measure next: what each way of learning costs, and how much of the spread of the power it could settle."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from geoecon.arrays import Floats
from geoecon.case import Site
from geoecon.studies.screen.criteria import DOUBTFUL, LIKELY, NOT_KNOWN, Verdict
from geoecon.studies.screen.known import CONSTITUENTS, Drawn
from geoecon.studies.screen.power import limit
from geoecon.tables import Row, table
from geoecon.wells.drilling import cost_curve, price_level

CURVE = "vertical-large"
PRICE_YEAR = 2024
OPEN = {
    NOT_KNOWN: 0.3,
    DOUBTFUL: 0.2,
    LIKELY: 0.1,
}  # worth of settling a criterion, beside shares of the spread: a judgement
SHALLOW_HOLE_M = 100.0
QUANTITIES = {
    "area": "reservoir.area", "thickness": "reservoir.thickness", "flow": "flow_test.flow",
    "productivity": "flow_test.productivity",
}  # fmt: skip


@dataclass(frozen=True)
class Measure:
    """A measurement that is still open.

    settles : share of the spread of the power that it could settle;  criterion, state : which verdict it bears on, and how
    that stands;  low, high : rough cost  [USD of the price year];  worth : settles, with what the criterion is worth
    """

    name: str
    learns: str
    criterion: str
    state: str
    settles: float
    worth: float
    low: float
    high: float
    price_year: int
    basis: str
    evidence: str

    @property
    def cost_of_worth(self) -> float:
        """Middle cost over worth, by which measurements are ordered  [USD]."""
        return float(np.sqrt(self.low * self.high)) / self.worth


def measures(
    site: Site, drawn: Mapping[str, Drawn], temperature: Floats, megawatts: Floats, verdicts: Sequence[Verdict]
) -> tuple[Measure, ...]:  # fmt: skip
    """Measurements not made yet, the cheapest for what it settles first."""
    spread = spread_by(drawn, temperature, megawatts)
    states = {verdict.criterion: verdict.grade for verdict in verdicts}
    made = _made(site)
    found = [
        _measure(r, spread, states, drawn) for r in table("measurements") if made.isdisjoint(r["unless"].split("|"))
    ]
    return tuple(sorted((one for one in found if one.worth > 0), key=lambda one: one.cost_of_worth))


def spread_by(drawn: Mapping[str, Drawn], temperature: Floats, megawatts: Floats) -> dict[str, float]:
    """Quantity -> share of the spread of the power that goes with it: squared rank correlation; 0 where power has none."""
    values = {name: drawn[path].values for name, path in QUANTITIES.items()}
    values["temperature"] = temperature
    values["recovery"] = drawn.get("heat.recovery", drawn.get("heat.recovery_tested", drawn["heat.capacity"])).values
    known = np.isfinite(megawatts)
    return {name: _rank_share(one[known], megawatts[known]) for name, one in values.items()}


def _rank_share(one: Floats, other: Floats) -> float:
    """Squared rank correlation; 0 where one of them does not move."""
    if not one.size or not np.ptp(one) or not np.ptp(other):
        return 0.0
    return float(np.corrcoef(_ranks(one), _ranks(other))[0, 1] ** 2)


def _ranks(values: Floats) -> Floats:
    """Ranks, equal values sharing theirs."""
    _, place, counts = np.unique(values, return_inverse=True, return_counts=True)
    ends = np.cumsum(counts)
    return np.asarray((ends - (counts - 1) / 2)[place], dtype=np.float64)


def _made(site: Site) -> set[str]:
    """What has been measured, in the words of the table's column `unless`."""
    ground, access, test = site.ground, site.access, site.flow_test
    days = 0.0 if test.duration is None else float(test.duration[0]) * 365
    hole = ground.gradient_depth if ground.measured_depth is None else ground.measured_depth
    depth = site.reservoir.depth
    deep = None if ground.measured_depth is None or depth is None else ground.measured_depth[0] >= depth.low[0]
    facts = {
        "full analysis": all(getattr(site.water, name) is not None for name in CONSTITUENTS),
        "area": site.reservoir.area is not None,
        "ground": any(getattr(ground, name) is not None for name in ("gradient", "heat_flow", "measured_temperature")),
        "gradient hole": hole is not None and float(hole[0]) >= SHALLOW_HOLE_M,
        "reservoir hole": bool(deep) or test.flow is not None,
        "no hole": test.flow is None and ground.measured_depth is None,
        "long test": test.drawdown is not None and days >= limit("long_test"),
        "test": test.flow is not None,
        "rights": access.land is not None and access.water_rights is not None,
        "grid": access.grid_distance is not None or site.buyer.islanded,
        "price": site.buyer.price is not None,
    }
    return {name for name, known in facts.items() if known}


def _measure(r: Row, spread: Mapping[str, float], states: Mapping[str, str], drawn: Mapping[str, Drawn]) -> Measure:
    parts = [part.split(":") for part in r["settles"].split()]
    settles = float(sum(spread[name] * float(share) for name, share in parts))
    state = states[r["criterion"]]
    low, high = _cost(r, drawn)
    basis = "; ".join(part for part in (r["place"], r["note"]) if part)
    return Measure(
        r["name"], r["learns"], r["criterion"], state, settles, settles + OPEN.get(state, 0.0), low, high,
        int(r["price_year"]), basis, r["evidence"],
    )  # fmt: skip


def _cost(r: Row, drawn: Mapping[str, Drawn]) -> tuple[float, float]:
    low, high = float(r["low"]), float(r["high"])
    if r["unit"] == "kUSD":
        return low * 1e3, high * 1e3
    shallow, deep = (well_cost(drawn["reservoir.depth"].quantile(chance)) for chance in (0.1, 0.9))
    return low / 100 * shallow, high / 100 * deep


def well_cost(depth_m: float) -> float:
    """Cost of one full-size well, from the ends of the curve where it does not reach  [USD of the price year]."""
    curve = cost_curve(CURVE)
    held = np.clip(np.array([depth_m]), curve.from_m, curve.to_m)
    return float((curve.cost(held) * price_level(curve.price_year, PRICE_YEAR, np.zeros(1)))[0])

"""What a well of a case costs beside what every published curve says of its depth, in money of the case's price year."""

from dataclasses import dataclass

import numpy as np

from geoecon.arrays import Floats
from geoecon.case import Case
from geoecon.case.well_cost import BUILT_UP
from geoecon.drilling import cost_per_well, slim_hole_cost, well_built_up
from geoecon.engine import evaluate
from geoecon.errors import CaseError, Fault
from geoecon.tables import table
from geoecon.wells.built_up import BuiltUp
from geoecon.wells.drilling import Spread, spread

DRILLED = ("wells", "slim_holes")  # accounts of initial capital that are holes in the ground
SHALLOW, STEP = 400.0, 50.0  # m, where the shallowest curve begins; every curve begins and ends on a step
BEYOND = 1.5  # how far lines go below the case's own depth
LEAST_END = 4000.0  # m, so that lines of a shallow case can be told apart


@dataclass(frozen=True)
class WellCosts:
    """The cost of one well against depth, in money of the price year, and the case's own.

    depth_m : (n,);  lines : every published curve over them, none of them where the case is not in US dollars
    own_m, own : the case's own depth and cost of one producer, NaN where none is stated;  here : every curve at that depth
    method, curve : how the case costs a well;  built_up : its days and parts before `wells.cost_factor`
    slim_holes, slim_hole : how many, and the cost of one, NaN without any
    drilled_share : of initial capital, wells and slim holes  [1];  of_budget : the same in a published budget, least and most
    """

    depth_m: Floats
    lines: Spread
    own_m: float
    own: float
    here: Spread
    method: str
    curve: str
    factor: float
    built_up: BuiltUp | None
    slim_holes: int
    slim_hole: float
    drilled_share: float
    of_budget: tuple[float, float]
    currency: str
    price_year: int
    name: str

    @property
    def compared(self) -> bool:
        """Whether published curves, which are in US dollars, stand in the money of the case."""
        return bool(self.lines.names)


def well_costs(case: Case) -> WellCosts:
    """The case's own cost of one well, and every published curve around its depth.

    Raises `CaseError` where the case states no depth.
    """
    wells = case.wells
    if wells.depth is None:
        words = "is missing; the cost of a well is compared at its depth"
        raise CaseError([Fault("wells.depth", words, case.line("wells.depth"))], case.source)
    own_m = float(wells.depth[0])
    depths = np.arange(SHALLOW, max(BEYOND * own_m, LEAST_END) + STEP, STEP)
    costed = wells.cost_method != "stated" or wells.cost_per_producer is not None
    capital = {name: float(values[0]) for name, values in evaluate(case).capital_accounts.items()}
    return WellCosts(
        depth_m=depths,
        lines=_curves(case, depths),
        own_m=own_m,
        own=float(cost_per_well(case)[0][0]) if costed else np.nan,
        here=_curves(case, np.array([own_m])),
        method=wells.cost_method,
        curve=wells.cost_curve or "",
        factor=float(wells.cost_factor[0]),
        built_up=well_built_up(case, wells.depth) if wells.cost_method == BUILT_UP else None,
        slim_holes=wells.slim_holes,
        slim_hole=float(slim_hole_cost(case)[0]) if wells.slim_holes else np.nan,
        drilled_share=_share(capital),
        of_budget=budget_shares(),
        currency=case.money.currency,
        price_year=case.money.price_year,
        name=case.project.name,
    )


def _curves(case: Case, depth_m: Floats) -> Spread:
    """Every published curve in the money of the case; none where that is not in US dollars."""
    if case.money.currency != "USD":
        return Spread((), np.empty((0, depth_m.size)))
    return spread(depth_m, case.money.price_year, case.money.inflation[:1])


def _share(capital: dict[str, float]) -> float:
    total = sum(capital.values())
    return sum(capital.get(name, 0.0) for name in DRILLED) / total if total > 0 else np.nan


def budget_shares() -> tuple[float, float]:
    """Share of drilling in a published budget by phase, least and most of its low, medium and high columns  [1]."""
    rows = table("phase_costs")
    shares = [
        sum(float(r[column]) for r in rows if r["drilled"] == "yes") / sum(float(r[column]) for r in rows)
        for column in ("low", "medium", "high")
    ]
    return min(shares), max(shares)

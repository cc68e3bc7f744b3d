"""How many wells are drilled until a design has those that it needs, and what they cost together, each with its chance.

The wells of the design are given; how many fail before enough succeed is not. Every outcome is worked out, none is drawn.
"""

from dataclasses import dataclass

import numpy as np

from geoecon.arrays import Floats
from geoecon.case import Case
from geoecon.drilling import cost_per_well, slim_hole_cost
from geoecon.engine import evaluate
from geoecon.errors import CaseError, Fault
from geoecon.preparing.basics import wide
from geoecon.preparing.field import drilling_success, learning_wells, mass_flow
from geoecon.sizing import Design, size
from geoecon.studies.draws import MEAN_OF_WELLS, streams, well_by_well
from geoecon.studies.uncertain import UncertainInput, uncertain_inputs
from geoecon.wells.counts import WellCount, wells_cost
from geoecon.wells.outcomes import Outcomes, outcomes

FLOW = "wells.flow_per_producer"
OFTEN, EVEN, SELDOM = 0.9, 0.5, 0.1
CHANCES = (SELDOM, EVEN, OFTEN)
SEED = 1
MOST_OF_OWN_FLOW = 200  # producers, after which a draw whose wells give next to nothing counts as it stands
ENOUGH = 1e-9  # of money, within which a sum is reached


@dataclass(frozen=True)
class Spread:
    """Numbers of wells, or sums of money, with the chance of each, (value,), values rising."""

    values: Floats
    chances: Floats

    @property
    def mean(self) -> float:
        """The mean of all outcomes."""
        return float((self.values * self.chances).sum() / self.chances.sum())

    def at_most(self, chance: float) -> float:
        """The least value that is not exceeded with a chance."""
        reached = np.cumsum(self.chances) >= chance * self.chances.sum() * (1 - ENOUGH)
        return float(self.values[int(reached.argmax())])

    def within(self, value: float) -> float:
        """Chance of no more than a value."""
        return float(self.chances[self.values <= value * (1 + ENOUGH)].sum())


@dataclass(frozen=True)
class WellByWell:
    """Numbers of wells drilled, (number,) rising: chance of just so many, and what they then cost on average."""

    drilled: Floats
    chance: Floats
    cost: Floats

    @property
    def enough(self) -> Floats:
        """Chance that so many wells are enough, (number,)."""
        return np.asarray(np.cumsum(self.chance))


@dataclass(frozen=True)
class Ends:
    """How the drilling of a case may end: wells and money, and both by the number of wells."""

    wells: Spread
    money: Spread
    by_wells: WellByWell


@dataclass(frozen=True)
class Drilling:
    """Drilling of a case: wells that are wanted, chances, and how it may end.

    producers, injectors : good ones to drill;  existing : wells there already
    early : chance of the next wells until chances settle at `settled`;  explored : wells of these that explore
    learnt : development wells over which a field is learnt, 0 where nothing is
    expected, expected_cost : of the case, in price-year money without contingency
    account : money of the case for wells, with contingency;  contingency : its share
    ends : with wells that all give what the case says;  own_flow : with flows as unsure as the case declares; None where it
    does not;  alike : whether all wells of a field then turn out alike
    slim_holes : that come before, and the cost of one, NaN without any
    net_mw : net capacity that the wells serve
    """

    name: str
    currency: str
    price_year: int
    producers: int
    injectors: int
    existing: int
    early: Floats
    settled: float
    explored: int
    learnt: int
    reuse: float
    dry_hole_share: float
    per_producer: float
    per_injector: float
    expected: float
    expected_cost: float
    account: float
    contingency: float
    ends: Ends
    own_flow: Ends | None
    alike: bool
    slim_holes: int
    slim_hole: float
    net_mw: float

    @property
    def good(self) -> int:
        """Good wells that are wanted."""
        return self.producers + self.injectors


def drilling(case: Case) -> Drilling:
    """Every way in which the wells of a case may be got: how many are drilled and what they cost.

    Raises `CaseError` where the case cannot be worked out, or drills no well.
    """
    design = size(case)
    result = evaluate(case, unsolved="raise")
    wells = _to_drill(case, design)
    producers, injectors = (int(number[0]) for number in (wells.new_producers, wells.new_injectors))
    success, reuse = drilling_success(case), float(wide(case, case.wells.failed_as_injectors)[0])
    per_well, dry_hole = cost_per_well(case), wide(case, case.wells.dry_hole_cost)
    costs = float(per_well[0][0]), float(per_well[1][0]), float(dry_hole[0])
    expected_cost = float(wells_cost(wells, *per_well, dry_hole)[0])
    account = float(result.capital_accounts["wells"][0])
    there = case.wells.existing_producers + case.wells.existing_injectors

    def found(number: int) -> Outcomes:
        return outcomes(number, injectors, success, reuse)

    flow = uncertain_inputs(case)[FLOW] if FLOW in case.uncertainty.inputs else None
    return Drilling(
        name=case.project.name,
        currency=case.money.currency,
        price_year=case.money.price_year,
        producers=producers,
        injectors=injectors,
        existing=there,
        early=success.early[:, 0],
        settled=float(success.settled[0]),
        explored=max(case.wells.exploration_wells - there, 0),
        learnt=0 if case.wells.success_first is None else learning_wells(case),
        reuse=reuse,
        dry_hole_share=costs[2],
        per_producer=costs[0],
        per_injector=costs[1],
        expected=float(wells.drilled[0]),
        expected_cost=expected_cost,
        account=account,
        contingency=account / expected_cost - 1 if expected_cost > 0 else 0.0,
        ends=_ends([(1.0, found(producers))], costs),
        own_flow=None if flow is None else _ends(
            [(chance, found(number)) for number, chance in _producers_of_own_flow(case, design, flow)], costs
        ),
        alike=flow is not None and flow.common >= 1,
        slim_holes=case.wells.slim_holes,
        slim_hole=float(slim_hole_cost(case)[0]) if case.wells.slim_holes else np.nan,
        net_mw=result.value("net_capacity"),
    )  # fmt: skip


def _to_drill(case: Case, design: Design) -> WellCount:
    """The wells of a design that drills some. Raises `CaseError` where it drills none."""
    wells = design.wells
    if wells is None:
        stated = case.plant.kind == "stated" and case.plant.performance is None
        path = "plant.stated_brine_flow" if stated and case.plant.stated_brine_flow is None else FLOW
        words = (
            "is missing: the case tells no wells of its plant, so none is drilled; state plant.stated_brine_flow, "
            "wells.flow_per_producer and what a well costs"
        )
        raise CaseError([Fault(path, words, case.line(path))], case.source)
    if not (wells.new_producers + wells.new_injectors)[0] > 0:
        path, there = "wells.existing_producers", case.wells.existing_producers + case.wells.existing_injectors
        words = (
            f"all {there} wells that the unit needs exist, so none is drilled; state fewer that exist, or a larger "
            "plant.net_capacity"
            if case.plant.size_from == "capacity"
            else f"the unit is sized from the {there} wells that exist, so none is drilled; for new ones state "
            'plant.size_from = "capacity" with plant.net_capacity'
        )
        raise CaseError([Fault(path, words, case.line(path))], case.source)
    return wells


def _ends(found: list[tuple[float, Outcomes]], costs: tuple[float, float, float]) -> Ends:
    """Outcomes with the chance of each set of them, as wells and money."""
    chance = np.concatenate([share * each.chance for share, each in found])
    drilled = np.concatenate([each.drilled for _, each in found])
    money = np.concatenate([each.cost(*costs) for _, each in found])
    numbers, at = np.unique(drilled, return_inverse=True)
    by_number = np.bincount(at, weights=chance).astype(np.float64)
    order = np.argsort(money, kind="stable")
    return Ends(
        Spread(numbers, by_number), Spread(money[order], chance[order]),
        WellByWell(numbers, by_number, np.bincount(at, weights=chance * money).astype(np.float64) / by_number),
    )  # fmt: skip


def _producers_of_own_flow(case: Case, design: Design, flow: UncertainInput) -> list[tuple[int, float]]:
    """New producers that together give the flow of the design, each with a flow of its own, and the chance of so many.

    Wells that exist give what the case says; spare producers come on top. What a well shares with its field and what is its
    own is as the case declares (`common`).
    """
    wells, each = case.wells, float(mass_flow(case, case.wells.flow_per_producer)[0])
    to_mass = each / flow.input.value
    wanted = float(design.brine_flow[0]) - wells.existing_producers * each
    field = streams(SEED, (FLOW,), MEAN_OF_WELLS, "latin")[FLOW]
    got, number = np.zeros(MEAN_OF_WELLS), np.zeros(MEAN_OF_WELLS)
    for values in well_by_well(flow.distribution, flow.common, field, SEED, FLOW):
        short = got < wanted * (1 - ENOUGH)
        if not short.any() or number.max() >= MOST_OF_OWN_FLOW:
            break
        got, number = got + values * to_mass, number + short
    numbers, draws = np.unique(number + wells.spare_producers, return_counts=True)
    return [(int(n), float(d) / MEAN_OF_WELLS) for n, d in zip(numbers, draws, strict=True)]

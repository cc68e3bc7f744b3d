"""How large: the loop from net capacity to wells and back, closed once, and held from then on as a `Design`.

Net power needs pump power, pump power needs flow, flow needs wells, wells need net power. Whole counts of producers are
tried from one upward and the first that delivers is taken; then the flow is solved for.
"""

from dataclasses import dataclass, replace

import numpy as np

from geoecon.arrays import Bools, Floats
from geoecon.case import Case
from geoecon.finance.solve import rising_root
from geoecon.obstacles import Obstacle, outside_map
from geoecon.plant.binary import dry_evaporations
from geoecon.plant.chosen import ChosenPlant, chosen_plant, of_each
from geoecon.plant.designed import BuiltPlant
from geoecon.plant.flash import SteamPlant
from geoecon.plant.fluids import BEST, Ranking, ranking
from geoecon.plant.mapped import BinaryPlant, VendorPlant
from geoecon.plant.properties import fine_table
from geoecon.plant.stated import StatedPlant
from geoecon.preparing.basics import wide
from geoecon.preparing.climate import design_air, design_sink
from geoecon.preparing.field import drilling_success, inlet_temperature, mass_flow, producer_flow
from geoecon.preparing.plants import MappedPlant, PlantMap, as_built, fluids_tried, in_map, is_mapped, plant_map
from geoecon.reservoir import Extraction, brine_before_design, follows_design
from geoecon.steam_limits import little_power, no_power
from geoecon.steaming import plants_of, pumping_with, returned
from geoecon.tables import row
from geoecon.wells.counts import WellCount, count_wells, injectors_for, wells_around, wells_drilled_for
from geoecon.wells.field import FieldPlan
from geoecon.wells.pumping import Pumping

MOST_PRODUCERS = 60


@dataclass(frozen=True)
class Design:
    """The unit as ordered: what is known at the design point, (scenario,). It stays when the field turns out otherwise.

    brine_flow and injection are NaN and `wells` None where the case does not tell them. `short` says where no number of
    wells gives the capacity that is asked. `returned` is the share of the flow that is injected  [1]. `fluids` tells of the
    working fluids, where the best was chosen.
    """

    plant: StatedPlant | MappedPlant
    net_kw: Floats
    plant_net_kw: Floats
    gross_kw: Floats
    brine_flow: Floats
    inlet: Floats
    injection: Floats
    wells: WellCount | None
    production_kw: Floats
    injection_kw: Floats
    short: Bools
    returned: Floats
    fluids: Ranking | None = None

    def capacity_on(self, basis: str) -> Floats:
        """The capacity that a cost per kW counts, by `plant.cost_basis`, (scenario,)  [kW]."""
        return {"gross": self.gross_kw, "plant-net": self.plant_net_kw, "net": self.net_kw}[basis]


@dataclass(frozen=True)
class FieldYears:
    """The field over the operating years, (year, scenario): temperature lost, that of the brine at the plant, wells, flow.

    flow is within the plant's limit. plan is None and flow NaN where the case does not tell the plant's brine.
    taken : what the design takes out of the field, on which the temperature may depend
    """

    taken: Extraction
    cooler_K: Floats
    brine: Floats
    plan: FieldPlan | None
    flow: Floats


@dataclass(frozen=True)
class PlantAndPumps:
    """Unit-net power of a number of producers at a flow, at the design point; everything (scenario,).

    gross, net : of the plant  [kW per kg/s];  injection : brine leaving  [degC];  returned : share of the flow  [1]
    """

    gross: Floats
    net: Floats
    injection: Floats
    returned: Floats
    pumps: Pumping
    producers_per_injector: Floats
    existing_injectors: int

    def pump_kw(self, producers: Floats, flow: Floats) -> tuple[Floats, Floats]:
        """Power of all production and of all injection pumps for a total flow, any shape  [kW]."""
        injectors = injectors_for(producers, self.producers_per_injector, self.existing_injectors)
        production = producers * self.pumps.production_kw(flow / producers)
        return production, injectors * self.pumps.injection_kw(flow * self.returned / injectors, self.injection)

    def unit_net(self, producers: Floats, flow: Floats) -> Floats:
        """Plant net less all well pumps  [kW]."""
        production, injection = self.pump_kw(producers, flow)
        return self.net * flow - production - injection


def size(case: Case) -> Design:
    """The design that follows from a case: wells from a capacity, or a capacity from wells that exist.

    A `stated` plant without a performance table brings its own capacity; its wells follow from the brine it takes, and
    its net power has the well pumps deducted already.
    """
    if not is_mapped(case):
        return _size_stated(case)
    plants = plants_of(case)
    if case.plant.fluid != BEST:
        return _size_mapped(case, plants[0])
    # What is compared is the design point, so no map has to reach further; the plant that is taken has one of its own.
    return _with_best_fluid(case, [_size_mapped(case, plant, only_design=True) for plant in plants])


def _with_best_fluid(case: Case, designs: list[Design]) -> Design:
    """The design of each scenario with the fluid that gives the most unit net for each kg/s of brine."""
    fluids = ranking(
        fluids_tried(case), [d.net_kw for d in designs], [d.brine_flow for d in designs], [d.gross_kw for d in designs]
    )
    apart = [replace(d, plant=designs[0].plant) for d in designs]
    plant = chosen_plant([d.plant for d in designs], fluids.which)
    return replace(of_each(apart, fluids.which), plant=plant, fluids=fluids)


def drilled_as_it_turns_out(case: Case, design: Design) -> Design:
    """A design made before, with the wells drilled for it at the success of this case: wells in service stay as ordered."""
    if design.wells is None:
        return design
    wells = wells_drilled_for(
        wide(case, design.wells.producers), wide(case, design.wells.injectors), case.wells.existing_producers,
        case.wells.existing_injectors, drilling_success(case), wide(case, case.wells.failed_as_injectors),
    )  # fmt: skip
    return replace(design, wells=wells)


def extraction(case: Case, design: Design) -> Extraction:
    """What a design takes out of the field and gives back, for every scenario of a case."""
    pairs = 1.0 if design.wells is None else np.minimum(design.wells.producers, design.wells.injectors)
    stated = case.resource.reinjection_temperature
    injection = design.injection if stated is None else stated
    return Extraction(wide(case, design.brine_flow), wide(case, pairs), wide(case, injection))


def _size_stated(case: Case) -> Design:
    plant = case.plant
    net = wide(case, plant.net_capacity)
    gross = wide(case, plant.gross_capacity if plant.gross_capacity is not None else net)
    flow = mass_flow(case, plant.stated_brine_flow)
    stated = StatedPlant(
        net, gross, plant.stated_output, wide(case, plant.air_slope), wide(case, plant.brine_slope),
        wide(case, plant.performance_factor), flow,
    )  # fmt: skip
    wells = None
    if case.wells.flow_per_producer is not None and np.isfinite(flow).all():
        wells = count_wells(
            flow, producer_flow(case), case.wells.spare_producers,
            case.wells.existing_producers, case.wells.existing_injectors, wide(case, case.wells.producers_per_injector),
            drilling_success(case), wide(case, case.wells.failed_as_injectors),
        )  # fmt: skip
    none = np.zeros_like(net)
    unknown = wide(case, np.nan)
    return Design(
        stated,
        net,
        net,
        gross,
        flow,
        inlet_temperature(case),
        unknown,
        wells,
        none,
        none,
        np.zeros(net.shape, dtype=bool),
        np.ones_like(net),
    )


def _size_mapped(case: Case, plant: BinaryPlant | VendorPlant | SteamPlant, *, only_design: bool = False) -> Design:
    wells = case.wells
    inlet = in_map(case, plant, inlet_temperature(case), brine_before_design(case))
    per_well = producer_flow(case)
    unit = plant_and_pumps(case, plant, inlet, plant.over(inlet, design_sink(case)) if only_design else None)
    if case.plant.size_from == "wells":
        producers = wide(case, wells.existing_producers)
        flow, short = producers * per_well, np.zeros(case.scenarios, dtype=bool)
    else:
        capacity = wide(case, case.plant.net_capacity)
        producers, short = _first_that_delivers(unit, per_well, capacity, wells.existing_producers)
        flow = _flow_for(unit, producers, producers * per_well, capacity)
    spare = wells.spare_producers if case.plant.size_from == "capacity" else 0
    count = wells_around(
        np.maximum(producers + spare, wells.existing_producers), wells.existing_producers, wells.existing_injectors,
        unit.producers_per_injector, drilling_success(case), wide(case, wells.failed_as_injectors),
    )  # fmt: skip
    production, injection = unit.pump_kw(producers, flow)
    made = unit.net * flow - production - injection
    # Solved flow gives the capacity to the last digits but one; the capacity is what was asked.
    net = made if case.plant.size_from == "wells" else np.where(short, made, wide(case, case.plant.net_capacity))
    return Design(
        as_built(case, plant, inlet), net, net + production + injection, unit.gross * flow, flow, inlet, unit.injection,
        count, production, injection, short, unit.returned,
    )  # fmt: skip


def full_capacity(case: Case, producers: Floats) -> Floats:
    """Unit net at the design point of so many producers at their full flow, for a case of one scenario, (n,)  [kW].

    producers : (n,), whole, spare ones not counted. NaN where the case does not tell the wells of its plant.
    """
    flow = producers * producer_flow(case)
    if not is_mapped(case):
        return np.asarray(flow * wide(case, case.plant.net_capacity) / mass_flow(case, case.plant.stated_brine_flow))
    plants, life = plants_of(case), brine_before_design(case)
    inlet = in_map(case, plants[0], inlet_temperature(case), life)
    net = [plant_and_pumps(case, plant, inlet).unit_net(producers, flow) for plant in plants]
    return np.asarray(np.maximum.reduce(net))


def plant_and_pumps(case: Case, plant: MappedPlant, inlet: Floats, powers: PlantMap | None = None) -> PlantAndPumps:
    """Plant and pumps at the design point of a case; `powers` is that of the plant over life and climate unless given."""
    sink, factor = design_sink(case), wide(case, case.plant.performance_factor)
    of_plant = powers or plant_map(case, plant, inlet, brine_before_design(case))
    gross, net, injection = of_plant.at(inlet, sink)
    return PlantAndPumps(
        gross * factor, net * factor, injection, returned(plant, inlet), pumping_with(case, plant, injection),
        wide(case, case.wells.producers_per_injector), case.wells.existing_injectors,
    )  # fmt: skip


def _first_that_delivers(
    unit: PlantAndPumps, per_well: Floats, capacity: Floats, existing: int
) -> tuple[Floats, Bools]:
    """Least whole number of producers, at least those that exist, whose full flow gives the capacity; and where none does."""
    producers = np.full_like(capacity, max(existing, 1))
    short = np.ones(capacity.shape, dtype=bool)
    for number in range(max(existing, 1), MOST_PRODUCERS + 1):
        enough = short & (unit.unit_net(np.full_like(capacity, number), number * per_well) >= capacity)
        producers = np.where(enough, number, producers)
        short = short & ~enough
        if not short.any():
            break
    return producers, short


def _flow_for(unit: PlantAndPumps, producers: Floats, most: Floats, capacity: Floats) -> Floats:
    """Flow at which so many producers give exactly the capacity, all of it where they cannot, (scenario,)  [kg/s]."""
    none = np.full_like(most, 1e-9)
    flow, reached = rising_root(lambda f: unit.unit_net(producers, f) - capacity, none, most, capacity)
    return np.where(reached, flow, most)


def too_small_a_field(case: Case, design: Design) -> list[Obstacle]:
    """Where wells and plant give no power, or no number of wells gives the capacity that is asked."""
    nothing = design.net_kw <= 0
    where = design.short | nothing
    if not where.any():
        return []
    at = int(where.argmax())
    if not nothing[at]:
        words = f"{MOST_PRODUCERS} producers do not give the net_capacity that is asked"
        if isinstance(design.plant, SteamPlant) and (why := little_power(case, at)) is not None:
            return [Obstacle(why[0], f"{words}: {why[1]}", where)]
        return [Obstacle("wells.flow_per_producer", f"{words}; lower it or look at the wells", where)]
    if isinstance(design.plant, SteamPlant) and not design.plant_net_kw[at] > 0:
        return [Obstacle(*no_power(case, design.plant, at), where)]
    if design.gross_kw[at] > 0 or not isinstance(design.plant, BinaryPlant | BuiltPlant | ChosenPlant):
        words = (
            "the well pumps take more than the plant makes; look at productivity_index, static_level, the temperature, and "
            "how cool the brine may leave"
        )
        return [Obstacle("wells.flow_per_producer", words, where)]
    return [Obstacle("plant.fluid", _no_machine(case, design.plant, at), where)]


def cooled_beyond_map(case: Case, plant: StatedPlant | MappedPlant, field: FieldYears) -> list[Obstacle]:
    """Where the brine cools to what the plant's map does not hold, of paths that are only known after the design."""
    if isinstance(plant, StatedPlant) or not follows_design(case):
        return []
    return list(outside_map(case, plant, field.brine))


def _no_machine(case: Case, plant: BinaryPlant | BuiltPlant | ChosenPlant, scenario: int) -> str:
    """Why a binary cycle makes no power in a scenario."""
    air, inlet = float(design_air(case)[scenario]), float(inlet_temperature(case)[scenario])
    if case.plant.fluid == BEST or isinstance(plant, ChosenPlant):
        return (
            f"no working fluid makes power from brine at {inlet:.1f} degC with air at {air:.0f} degC: choose another layout, "
            "a lower injection_temperature_floor, or a smaller pinch and approach"
        )
    if plant.terms.layout == "supercritical":
        least = float(row("fluids", fluid=plant.fluid)["critical_temperature"]) + plant.terms.pinch_K
        return (
            f"{plant.fluid} makes no power above its critical pressure from brine at {inlet:.1f} degC, which has to be well "
            f"above {least:.0f} degC for it and no hotter than its properties are known: choose another fluid or layout"
        )
    if not dry_evaporations(fine_table(plant.fluid), plant.terms, float(design_sink(case)[scenario])).size:
        return f"{plant.fluid} has no dry expansion from any pressure with air at {air:.0f} degC; choose another fluid"
    return (
        f"{plant.fluid} makes no power from brine at {inlet:.1f} degC with air at {air:.0f} degC: choose another fluid, a "
        "lower injection_temperature_floor, or a smaller pinch and approach"
    )

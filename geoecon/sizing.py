"""How large: the loop from net capacity to wells and back, closed once, and held from then on as a `Design`."""

from dataclasses import dataclass

import numpy as np

from geoecon.arrays import Floats
from geoecon.case import Case
from geoecon.plant.stated import StatedPlant
from geoecon.preparing import mass_flow, wide
from geoecon.wells.counts import WellCount, count_wells
from geoecon.wells.field import FieldPlan


@dataclass(frozen=True)
class Design:
    """The unit as ordered: what is known at the design point, (scenario,). It stays when the field turns out otherwise.

    brine_flow is NaN and `wells` None where the case does not tell the plant's brine.
    """

    plant: StatedPlant
    wells: WellCount | None
    well_pump_kw: Floats

    @property
    def net_kw(self) -> Floats:
        """Unit net, (scenario,)  [kW]."""
        return self.plant.net_kw

    @property
    def brine_flow(self) -> Floats:
        """Brine into the plant, (scenario,)  [kg/s]."""
        return self.plant.design_flow


@dataclass(frozen=True)
class FieldYears:
    """The field over the operating years, (year, scenario): temperature lost, wells, and the share of output left.

    plan is None where the case does not tell the plant's brine.
    """

    cooler_K: Floats  # noqa: N815
    plan: FieldPlan | None
    left: Floats


def size(case: Case) -> Design:
    """The design that follows from a case.

    A `stated` plant brings its own capacity; its wells follow from the brine it takes. Its unit-net power has the
    well pumps deducted already.
    """
    plant = case.plant
    net = wide(case, plant.net_capacity)
    stated = StatedPlant(
        net,
        wide(case, plant.gross_capacity if plant.gross_capacity is not None else net),
        plant.stated_output,
        wide(case, plant.air_slope),
        wide(case, plant.brine_slope),
        wide(case, plant.performance_factor),
        mass_flow(case, plant.stated_brine_flow),
    )
    return Design(stated, _wells(case, stated.design_flow), np.zeros_like(net))


def _wells(case: Case, flow: Floats) -> WellCount | None:
    wells = case.wells
    if wells.flow_per_producer is None or not np.isfinite(flow).all():
        return None
    return count_wells(
        flow, mass_flow(case, wells.flow_per_producer), wells.spare_producers, wells.existing_producers,
        wells.existing_injectors, wide(case, wells.producers_per_injector), wide(case, wells.success),
        wide(case, wells.failed_as_injectors),
    )  # fmt: skip

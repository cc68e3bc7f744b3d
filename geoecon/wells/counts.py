"""How many wells a flow takes, how many are drilled to get them, and what they are expected to cost."""

from dataclasses import dataclass

import numpy as np

from geoecon.arrays import Floats
from geoecon.wells.success import Success, expected_drilled

WHOLE = 1e-9  # counts are ceil(x - 1e-9), so that 3.0000000001 wells are three


@dataclass(frozen=True)
class WellCount:
    """Wells at the start of operating year 1, (scenario,).

    Failed, reused and drilled wells are expectations and not whole; those failed are counted before any is reused.
    """

    producers: Floats
    injectors: Floats
    new_producers: Floats
    new_injectors: Floats
    failed_producers: Floats
    failed_injectors: Floats
    reused: Floats
    drilled: Floats


def whole(number: Floats) -> Floats:
    """The next whole number up, forgiving rounding."""
    return np.ceil(number - WHOLE)


def count_wells(
    flow: Floats, flow_per_producer: Floats, spare: int, existing_producers: int, existing_injectors: int,
    producers_per_injector: Floats, success: Success, failed_as_injectors: Floats,
) -> WellCount:  # fmt: skip
    """Wells in service and wells drilled for a design flow of brine.

    flow, flow_per_producer : (scenario,)  [kg/s];  the rest as in `wells_around`

    >>> from geoecon.wells.success import success_by_well
    >>> one = np.array([1.0])
    >>> wells = count_wells(130 * one, 45 * one, 0, 0, 0, 1.5 * one, success_by_well(0.7 * one), 0 * one)
    >>> wells.producers, wells.injectors, wells.drilled.round(3)
    (array([3.]), array([2.]), array([7.143]))
    """
    needed = np.maximum(whole(flow / flow_per_producer) + spare, existing_producers)
    return wells_around(
        needed, existing_producers, existing_injectors, producers_per_injector, success, failed_as_injectors
    )


def injectors_for(producers: Floats, producers_per_injector: Floats, existing: int) -> Floats:
    """Injectors in service for so many producers, whole, those that exist included, (scenario,)."""
    return np.maximum(whole(producers / producers_per_injector), existing)


def wells_around(
    producers: Floats, existing_producers: int, existing_injectors: int, producers_per_injector: Floats, success: Success,
    failed_as_injectors: Floats,
) -> WellCount:  # fmt: skip
    """Injectors and wells drilled for so many producers in service, existing and spare ones included.

    producers : (scenario,), at least those that exist;  failed_as_injectors : (scenario,)  [1]

    Producers are drilled first. drilled = wells until enough succeed - failed producers reused as injectors; where all wells
    have the same chance that is (producers + injectors - existing) / success - reused.
    """
    injectors = injectors_for(producers, producers_per_injector, existing_injectors)
    return wells_drilled_for(producers, injectors, existing_producers, existing_injectors, success, failed_as_injectors)


def wells_drilled_for(
    producers: Floats, injectors: Floats, existing_producers: int, existing_injectors: int, success: Success,
    failed_as_injectors: Floats,
) -> WellCount:  # fmt: skip
    """Wells drilled to have so many in service, (scenario,); see `wells_around`."""
    new_producers = producers - existing_producers
    new_injectors = injectors - existing_injectors
    for_producers = expected_drilled(new_producers, success)
    for_both = expected_drilled(new_producers + new_injectors, success)
    failed = for_producers - new_producers
    reused = np.minimum(failed_as_injectors * failed, new_injectors)
    return WellCount(
        producers, injectors, new_producers, new_injectors, failed, for_both - for_producers - new_injectors, reused,
        for_both - reused,
    )  # fmt: skip


def wells_cost(wells: WellCount, per_producer: Floats, per_injector: Floats, dry_hole_share: Floats) -> Floats:
    """Expected cost of the wells drilled before year 1, dry holes at their share of a good well, (scenario,)."""
    good = wells.new_producers * per_producer + (wells.new_injectors - wells.reused) * per_injector
    return good + dry_hole_share * (wells.failed_producers * per_producer + wells.failed_injectors * per_injector)


def makeup_cost(
    per_producer: Floats, per_injector: Floats, producers_per_injector: Floats, success: Floats, dry_hole_share: Floats
) -> Floats:
    """Expected cost of one make-up producer with its share of an injector and of dry holes, (scenario,)."""
    pair = per_producer + per_injector / producers_per_injector
    return pair * (1 + (1 / success - 1) * dry_hole_share)


def makeup_drilled(producers_per_injector: Floats, success: Floats) -> Floats:
    """Expected wells drilled for one make-up producer, its share of an injector and failures in, (scenario,)."""
    return (1 + 1 / producers_per_injector) / success

"""Faults between fields about the chance that wells succeed: phases and learning that have no well to hold for."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from geoecon.errors import Fault
from geoecon.tables import row

if TYPE_CHECKING:
    from geoecon.case.schema import CaseTables
    from geoecon.case.wells import Wells

FIELDS = ("exploration_wells", "success_exploration", "success_first", "learning_wells")


def drilling_faults(case: "CaseTables", *, new_wells: bool) -> Iterator[Fault]:
    """What is stated of exploring and learning where it has no part, or contradicts itself.

    new_wells : whether the case tells how many wells are drilled
    """
    wells = case.wells
    stated = [name for name in FIELDS if getattr(wells, name) is not None and name != "exploration_wells"]
    stated += ["exploration_wells"] if wells.exploration_wells else []
    if not new_wells or case.plant.size_from == "wells":
        why = (
            "no new well is counted"
            if not new_wells
            else 'size_from = "wells" takes those that exist, and none is drilled'
        )
        yield from (Fault(f"wells.{name}", f"is not used: {why}; leave it out") for name in stated)
        return
    yield from _exploring(wells)
    yield from _learning(wells)


def _exploring(wells: "Wells") -> Iterator[Fault]:
    there = wells.existing_producers + wells.existing_injectors
    if wells.exploration_wells and wells.exploration_wells <= there:
        words = f"is not used: as many wells of the field exist already ({there}); leave it out, or count those that exist too"
        yield Fault("wells.exploration_wells", words)
    if wells.success_exploration is not None and not wells.exploration_wells:
        yield Fault("wells.exploration_wells", "is missing; success_exploration asks for how many wells it holds")


def _learning(wells: "Wells") -> Iterator[Fault]:
    first, there = wells.success_first, wells.existing_producers + wells.existing_injectors
    if first is None:
        if wells.learning_wells is not None:
            yield Fault("wells.success_first", "is missing; learning_wells asks from which chance it rises")
        return
    if (first > wells.success).any():
        words = "is above success, to which it rises as the field is learnt; lower it, or raise success"
        yield Fault("wells.success_first", words)
    published = int(row("drilling_success", key="learning")["value"])
    length = published if wells.learning_wells is None else wells.learning_wells
    if wells.exploration_wells + length <= there:
        words = (
            f"is not used: wells that exist ({there}) have taught all there is; leave it out, or raise learning_wells"
        )
        yield Fault("wells.success_first", words)

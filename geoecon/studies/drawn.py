"""A pass over scenarios in which inputs take other values, with the plant as it was ordered.

The plant is ordered from what is known then: inputs known before design move its size, the others run through the design as
bought, so that a poor field costs energy and not only wells. Wells that fail are counted out, not averaged.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from geoecon.arrays import Floats
from geoecon.case import Case
from geoecon.engine import evaluate
from geoecon.preparing.basics import wide
from geoecon.preparing.field import drilling_success
from geoecon.result import Result
from geoecon.sizing import Design, size
from geoecon.studies.uncertain import AFTER, UncertainInput
from geoecon.wells.success import failures_at


@dataclass(frozen=True)
class Order:
    """A case as it stands when the plant is ordered, and which of its uncertain inputs are known by then.

    resize : whether every scenario is sized for itself, as if all were known before
    """

    case: Case
    known_before: frozenset[str]
    resize: bool = False

    def evaluate(self, values: Mapping[str, Floats], drilling: Floats | None = None) -> Result:
        """One pass with other values, path -> (scenario,) in the unit used inside.

        drilling : chances (scenario,) for the number of failed wells; without it the expected number is paid for
        """
        return evaluate(*self.drawn(values, drilling))

    def admit(self, values: Mapping[str, Floats]) -> None:
        """Raise `CaseError` where some of the values contradict the case, at last or when the plant is ordered."""
        self.case.with_values(values)
        self.case.with_values(self._before(values))

    def drawn(self, values: Mapping[str, Floats], drilling: Floats | None = None) -> tuple[Case, Design]:
        """The case as its scenarios turn out, and the design they are held to; arguments as in `evaluate`."""
        drawn = self.case.with_values(values) if values else self.case
        design = self.design(drawn, values)
        if drilling is not None and design.wells is not None:
            drawn = drawn.with_values(_success_as_drilled(drawn, design, drilling))
        return drawn, design

    def design(self, drawn: Case, values: Mapping[str, Floats]) -> Design:
        """The plant and wells ordered in each scenario."""
        if self.resize:
            return size(drawn)
        before = self._before(values)
        return size(self.case.with_values(before) if before else self.case)

    def _before(self, values: Mapping[str, Floats]) -> dict[str, Floats]:
        return {path: value for path, value in values.items() if path in self.known_before}


def order(case: Case, uncertain: Mapping[str, UncertainInput], *, resize: bool = False) -> Order:
    """How a case with uncertain inputs is ordered."""
    return Order(case, frozenset(p for p, input_ in uncertain.items() if input_.known != AFTER), resize)


def _success_as_drilled(drawn: Case, design: Design, chances: Floats) -> dict[str, Floats]:
    """The share of good wells among those drilled, when drilling goes on until the wells of the design are there.

    All wells then have this share as their chance, whether they explore or the field is being learnt: what they would have
    done is counted already. Make-up wells keep the chance of success that they had.
    """
    assert design.wells is not None
    needed = wide(drawn, design.wells.new_producers + design.wells.new_injectors)
    success, wells = wide(drawn, drawn.wells.success), drawn.wells
    drilled = needed + failures_at(chances, needed, drilling_success(drawn))
    with np.errstate(invalid="ignore", divide="ignore"):
        share = np.where(needed > 0, needed / drilled, success)
    phases = {
        "wells.success_first": wells.success_first is not None,
        "wells.success_exploration": wells.exploration_wells > 0,
    }
    return {
        "wells.success": share,
        "wells.success_makeup": success if wells.success_makeup is None else wide(drawn, wells.success_makeup),
        **{path: share for path, holds in phases.items() if holds},
    }

"""Which inputs of a case are uncertain, and how: as the case says, or by estimate class and maturity of the field."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from geoecon.case import Case
from geoecon.case.fields import about
from geoecon.case.schema import ACCOUNTS, TABLES
from geoecon.case.uncertainty import CUTS, kept_share, numbers
from geoecon.errors import CaseError, Fault
from geoecon.preparing.field import counts_wells
from geoecon.studies.distributions import Distribution, distribution, lognormal_between
from geoecon.studies.inputs import Input, inputs
from geoecon.tables import citation, table

AFTER = "after-design"
ROUGHEST = "5"
BOUNDLESS = ("normal", "lognormal")
CUT_UNSAID = 0.99  # of a curve that is left: what is cut off moves its middle by little
OPERATING = ("operation.fixed_cost", "operation.wellfield_cost", "operation.variable_cost")
ACCOUNT_PATHS = {
    "exploration": "capital.exploration",
    "slim_holes": "wells.slim_hole_cost",
    "permits": "capital.permits",
    "wells": "wells.cost_factor",
    "pumps": "operation.pump_cost",
    "plant": "plant.cost_per_kw",
    "gathering": "capital.gathering",
    "grid_connection": "capital.grid_connection",
    "owners_cost": "capital.owners_cost",
}
assert tuple(ACCOUNT_PATHS) == ACCOUNTS


@dataclass(frozen=True)
class UncertainInput:
    """An uncertain number of a case, in the unit used inside.

    known : before-design or after-design;  common : part of the variance that all wells share
    origin : where the distribution comes from, in words;  evidence : stated, or as in the tables
    """

    input: Input
    distribution: Distribution
    known: str
    common: float
    origin: str
    evidence: str

    @property
    def path(self) -> str:
        """Path of the input."""
        return self.input.path

    def quantile(self, chance: float) -> float:
        """The value with so much cumulative chance below it."""
        return float(self.distribution.quantile(np.array([chance]))[0])

    def chance_below(self, value: float) -> float:
        """Cumulative chance of the input being at or below a value."""
        return float(self.distribution.chance_below(np.array([value]))[0])


def uncertain_inputs(case: Case) -> dict[str, UncertainInput]:
    """Path -> every uncertain input of a case; what the case says goes before what its class and maturity suggest.

    Raises `CaseError` where an input that is said to be uncertain is not stated.
    """
    known = inputs(case)
    found = {input_.path: input_ for input_ in (*_by_class(case, known), *_by_maturity(case, known))}
    if unstated := [f"uncertainty.{path}" for path in case.uncertainty.inputs if path not in known]:
        words = "the field itself has no value; state it too"
        raise CaseError([Fault(where, words, case.line(where)) for where in unstated], case.source)
    for path in case.uncertainty.inputs:
        found[path] = _declared(case, path, known)
    return {path: found[path] for path in known if path in found}


def _declared(case: Case, path: str, known: dict[str, Input]) -> UncertainInput:
    declared, (name, _, leaf) = case.uncertainty.inputs[path], path.partition(".")
    described = about(TABLES[name], leaf)
    found = numbers(declared, described, getattr(getattr(case, name), leaf), case.money.currency)
    limits = described.limits(known[path].kind)
    curve = {key: values for key, values in found.items() if key not in CUTS}
    kept = kept_share(declared.shape, curve, *limits) if declared.shape in BOUNDLESS else 1.0
    cut = (
        f"; {1 - kept:.0%} of the curve lie outside what the field may be, and are cut off" if kept < CUT_UNSAID else ""
    )
    shape = distribution(declared.shape, found, *limits)
    return UncertainInput(known[path], shape, declared.known, declared.common, f"as the case says{cut}", "stated")


def _by_class(case: Case, known: dict[str, Input]) -> Iterator[UncertainInput]:
    """Costs by the class of their estimate: the band as the range of 8 chances in 10, skewed as the band is."""
    stated = case.project.estimate_class or {}
    for account, path in ACCOUNT_PATHS.items():
        if account == "wells" and not counts_wells(case):
            continue  # a factor of 1 by default, and no well that it could move
        level = str(stated.get(account, stated.get("all", ROUGHEST)))
        yield from _ranged(known, path, "estimate class", level, "" if stated else " (no class is stated)")
    for path in OPERATING:
        yield from _ranged(known, path, "operating class", str(stated.get("all", ROUGHEST)), "")


def _by_maturity(case: Case, known: dict[str, Input]) -> Iterator[UncertainInput]:
    level, stated = maturity_of(case)
    for path in dict.fromkeys(r["path"] for r in table("default_ranges") if r["group"] == "maturity"):
        yield from _ranged(known, path, "maturity", level, "" if stated else " (no maturity is stated)")


def maturity_of(case: Case) -> tuple[str, bool]:
    """What the field's numbers rest on, and whether the case says so."""
    stated, to_drill = case.resource.maturity, counts_wells(case)
    drilled = case.wells.existing_producers > 0 or not to_drill
    return stated or ("tested" if drilled else "surface"), stated is not None


def _ranged(known: dict[str, Input], path: str, group: str, level: str, assumed: str) -> Iterator[UncertainInput]:
    """A range of a table around the case's own value, where there is one above zero."""
    if path not in known or known[path].value <= 0:
        return
    rows = [r for r in table("default_ranges") if (r["group"], r["level"]) == (group, level)]
    chosen = next(r for r in rows if r["path"] in {"", path})
    value, (low, high) = known[path].value, (float(chosen[key]) / 100 for key in ("low", "high"))
    limits = known[path].about.limits(known[path].kind)
    shape = lognormal_between(value * (1 + low), value * (1 + high), *limits)
    origin = f"{group} {level}{assumed}: {low:+.0%} to {high:+.0%}, {chosen['note'].split(';')[-1].strip()}"
    yield UncertainInput(known[path], shape, AFTER, 1.0, f"{origin}. {citation(chosen['source'])}", chosen["evidence"])

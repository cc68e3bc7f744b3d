"""Working fluids beside one another: which gives the most, by how much, and what of them burns."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from geoecon.arrays import Bools, Floats
from geoecon.tables import Row, row, table

BEST = "best"


def fluid_names() -> tuple[str, ...]:
    """Every working fluid that properties are known of."""
    return tuple(r["fluid"] for r in table("fluids"))


def below_critical(temperature_degC: float | None) -> tuple[str, ...]:
    """Fluids that boil at a temperature, all where none is given."""
    coldest = -np.inf if temperature_degC is None else temperature_degC
    return tuple(r["fluid"] for r in table("fluids") if float(r["critical_temperature"]) > coldest)


def safety(fluid: str) -> Row:
    """The row on how a fluid burns, with the safety group of refrigerants that it is in."""
    return row("fluid_safety", fluid=fluid)


def burns(fluid: str) -> bool:
    """Whether a fluid burns, mildly or well."""
    return safety(fluid)["burns"] != "no"


def flammable_figure(key: str) -> float:
    """A figure about stores of flammable fluid: `inventory` [kg/kW gross] or `threshold` [kg]."""
    return float(row("flammables", key=key)["value"])


def inventory_kg(gross_kw: float) -> float:
    """Working fluid in a plant, roughly, by its gross power at the design point  [kg]."""
    return flammable_figure("inventory") * gross_kw


@dataclass(frozen=True)
class Ranking:
    """Plants with each of several working fluids, each sized for its scenario.

    names : (fluid);  unit_net : (fluid, scenario) unit net for each kg/s of brine at the design point, NaN where a fluid
    makes no power  [kW per kg/s];  brine, gross : (fluid, scenario) what such a plant takes and makes  [kg/s], [kW]
    which : (scenario,) the fluid that is taken, the one that gives the most
    """

    names: tuple[str, ...]
    unit_net: Floats
    brine: Floats
    gross: Floats

    def as_json(self) -> dict[str, Any]:
        """Of the first scenario: the fluid taken, and all of them from the best on."""
        ranked = list(self.in_order())
        return {
            "taken": ranked[0].fluid if ranked else None,
            "ranked": [r.as_json() for r in ranked],
            "no_power": list(self.without()),
            "threshold_kg": flammable_figure("threshold"),
        }

    @property
    def which(self) -> np.ndarray:
        """Row of the fluid that gives the most, (scenario,); the first of equals, and where none makes power."""
        return np.asarray(np.where(np.isnan(self.unit_net), -np.inf, self.unit_net).argmax(axis=0))

    @property
    def found(self) -> Bools:
        """Where at least one fluid makes power, (scenario,)."""
        return np.asarray(np.isfinite(self.unit_net).any(axis=0))

    def chosen(self) -> str:
        """The fluid that is taken, or in how many scenarios each is."""
        which = self.which
        numbers = {name: int((which == k).sum()) for k, name in enumerate(self.names)}
        taken = sorted((name for name in self.names if numbers[name]), key=lambda name: -numbers[name])
        if len(taken) == 1:
            return taken[0]
        return ", ".join(f"{name} in {numbers[name]} of {which.size} scenarios" for name in taken)

    def in_order(self, scenario: int = 0) -> Iterator["Ranked"]:
        """The fluids of a scenario from the one that gives the most on; those that make no power are left out."""
        power = self.unit_net[:, scenario]
        rows = [k for k in np.argsort(-power, kind="stable") if np.isfinite(power[k])]
        for k in rows:
            values = power[k], power[k] / power[rows[0]] - 1, self.brine[k, scenario], self.gross[k, scenario]
            yield Ranked(self.names[k], *map(float, values))

    def without(self, scenario: int = 0) -> tuple[str, ...]:
        """Fluids that make no power in a scenario."""
        return tuple(
            name for name, power in zip(self.names, self.unit_net[:, scenario], strict=True) if np.isnan(power)
        )


@dataclass(frozen=True)
class Ranked:
    """A plant with one of the fluids: [kW per kg/s], behind the best as a share of it (0 or below), [kg/s], [kW]."""

    fluid: str
    unit_net: float
    behind: float
    brine: float
    gross: float

    def as_json(self) -> dict[str, Any]:
        """As plain objects."""
        return {
            "fluid": self.fluid,
            "unit_net_kw_per_kg_s": self.unit_net,
            "behind_the_best": self.behind,
            "brine_flow_kg_s": self.brine,
            "gross_kw": self.gross,
            "burns": safety(self.fluid)["burns"],
            "safety_group": safety(self.fluid)["group"],
            "inventory_kg": inventory_kg(self.gross),
        }


def ranking(
    names: Sequence[str], net_kw: Sequence[Floats], brine: Sequence[Floats], gross: Sequence[Floats]
) -> Ranking:
    """Fluids beside one another, each given by (scenario,) arrays of its plant: unit net, brine, gross."""
    net, flow = np.stack(net_kw), np.stack(brine)
    with np.errstate(invalid="ignore", divide="ignore"):
        return Ranking(tuple(names), np.where(net > 0, net / flow, np.nan), flow, np.stack(gross))

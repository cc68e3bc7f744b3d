"""Which fields the page of inputs shows: groups as a person thinks of them, less those that have no part in the case."""

import streamlit as st

from geoecon.case.plant_checks import FLASH, STEAM, WITH_FLUID
from geoecon.case.well_cost import BUILT_UP, CURVE, STATED
from geoecon.ui import state

GROUPS = {
    "Ground": {
        "resource.temperature": "Temperature below ground",
        "resource.temperature_decline": "Cooling a year",
        "resource.temperature_path": "How the field cools",
        "wells.flow_per_producer": "Flow of one producer",
        "wells.flow_decline": "Loss of flow a year",
        "wells.productivity_index": "Productivity of a well",
    },
    "Drilling": {
        "wells.depth": "Depth of a well",
        "wells.cost_method": "Where the cost of a well comes from",
        "wells.cost_per_producer": "Cost of a producer",
        "wells.cost_curve": "Curve of cost against depth",
        "wells.rig_rate": "Rig with crew and fuel, a day",
        "wells.success": "Chance of success",
        "wells.success_first": "Chance of the first well, before the field is learnt",
        "wells.producers_per_injector": "Producers to one injector",
        "wells.slim_holes": "Slim holes before the first well",
        "capital.exploration": "Exploration",
    },
    "Money": {
        "finance.equity_return": "Return asked on equity",
        "finance.discount_rate": "Discount rate",
        "finance.debt_share": "Share of debt",
        "finance.debt_rate": "Interest",
        "finance.debt_years": "Years to repay",
        "money.inflation": "Inflation",
    },
    "Plant": {
        "plant.net_capacity": "Net capacity",
        "plant.kind": "Kind of plant",
        "plant.fluid": "Working fluid",
        "plant.layout": "Layout",
        "plant.separator_temperature": "Temperature of the separator",
        "plant.second_separator_temperature": "Temperature of the second separator",
        "resource.silica": "Silica of the water at depth",
        "resource.gas": "Gas of the steam",
        "plant.cooling": "Cooling",
        "site.relative_humidity": "Humidity of the air, for wet cooling",
        "plant.gross_capacity": "Gross capacity",
        "plant.stated_brine_flow": "Brine that it takes",
        "plant.stated_capacity_factor": "Capacity factor of year 1",
        "plant.cost_per_kw": "Cost per kW",
        "operation.fixed_cost": "Running cost a year",
        "operation.planned_outage": "Planned outage",
        "operation.forced_outage": "Forced outage",
        "timeline.operating_years": "Operating years",
    },
    "Sale": {
        "market.price": "Price in year 1",
        "market.price_basis": "Money of that price",
        "market.price_growth": "Growth of the price",
        "market.term_years": "Years that the price holds",
        "market.price_after_term": "Price after that",
        "site.line_loss": "Loss on the line",
    },
    "Nearby": {
        "community.current_price": "Paid now for the supply replaced",
        "capital.grant": "Grant",
        "community.displaced_fuel_price": "Price of the fuel replaced",
    },
}
COLUMNS = (("Ground", "Drilling", "Money"), ("Plant", "Sale", "Nearby"))

# What has a part only with some choices of another field.
_COOLED = ("binary", "single-flash", "double-flash", "dry-steam")  # by air or a tower, as one chooses
_OF_KIND = {
    "plant.fluid": WITH_FLUID,
    "plant.layout": WITH_FLUID,
    "plant.separator_temperature": FLASH,
    "plant.second_separator_temperature": ("double-flash",),
    "resource.silica": FLASH,
    "resource.gas": STEAM,
    "plant.cooling": _COOLED,
    "site.relative_humidity": _COOLED,
    "plant.gross_capacity": ("stated",),
    "plant.stated_brine_flow": ("stated",),
    "plant.stated_capacity_factor": ("stated",),
}
_OF_METHOD = {"wells.cost_per_producer": (STATED,), "wells.cost_curve": (CURVE,), "wells.rig_rate": (BUILT_UP,)}
ASKS = {path: ("plant.kind", kinds) for path, kinds in _OF_KIND.items()} | {
    path: ("wells.cost_method", methods) for path, methods in _OF_METHOD.items()
}


def fields_shown(group: str) -> dict[str, str]:
    """Path -> label of the fields of a group that have a part in the case, in what waits to be taken over, or that wait."""
    return {path: label for path, label in GROUPS[group].items() if _has_a_part(path)}


def _has_a_part(path: str) -> bool:
    if path not in ASKS or path in st.session_state.rejected:
        return True
    chooser, choices = ASKS[path]
    return not state.chosen(chooser).isdisjoint(choices)

"""The fields of wells that say what one costs: stated, from a published curve, or built up from days of a rig."""

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from geoecon.arrays import Floats
from geoecon.case.fields import BIG, Table, choice, count, number, plain, words
from geoecon.errors import Fault
from geoecon.tables import row, table

if TYPE_CHECKING:
    from geoecon.case.schema import CaseTables
    from geoecon.case.wells import Wells

STATED, CURVE, BUILT_UP = "stated", "curve", "built-up"
SLIM_HOLE = row("measurements", name="slim hole to the reservoir")  # its cost in % of a full-size well, low to high
_SAVED = " to ".join(f"{100 - float(SLIM_HOLE[end]):.0f}" for end in ("high", "low"))
_SHOE = 100 * float(row("drilling_rates", rate="shoe_ratio")["value"])


def _usual(kind: str, low: float, high: float, help: str, rate: str) -> Any:
    """A rate of drilling whose usual value, with its money, is the one of the table; see `drilling.rate`."""
    r = row("drilling_rates", rate=rate)
    of_year = f", money of {r['price_year']}" if r["price_year"] else ""
    return number(kind, low, high, f'Only "built-up": {help}; absent: {r["value"]} {r["unit"]}{of_year}, recalled')


class WellCost(Table):
    """How deep a well is and what it costs."""

    depth: Floats | None = number("length", 1, 7000, "Measured depth of one well")
    vertical_depth: Floats | None = number("length", 1, 7000, "Vertical depth; absent: the measured depth")
    cost_method: str = choice(
        (STATED, CURVE, BUILT_UP),
        "Where the cost of a well comes from. Stated: `cost_per_producer`. Curve: a published curve of cost against depth. "
        "Built-up: days of the rig, by penetration and casing strings, at day rates, with casing, cement, bits, mud and sums",
        default=STATED,
    )
    cost_per_producer: Floats | None = number(
        "money", 0, BIG, "One completed successful producer, price-year money, without pump, contingency or dry holes"
    )
    cost_per_injector: Floats | None = number("money", 0, BIG, "The same for an injector; absent: as a producer")
    cost_curve: str | None = words("Name of a published curve of cost against depth", default=None)
    rig_rate: Floats | None = _usual("money a day", 0, BIG, "rig with crew and fuel, a day", "rig_rate")
    services_rate: Floats | None = _usual(
        "money a day",
        0,
        BIG,
        "directional drilling, logging, supervision and rentals, a day of the rig",
        "services_rate",
    )
    penetration_rate: Floats | None = _usual(
        "penetration", 0.1, 200, "depth drilled in an hour on bottom", "penetration_rate"
    )
    on_bottom: Floats | None = _usual(
        "share", 0.05, 1, "share of the time of drilling that the bit is on bottom, the rest being trips, connections and "
        "surveys", "on_bottom",
    )  # fmt: skip
    moving_days: Floats | None = _usual("rig time", 0, 365, "time to rig up and down", "moving_days")
    casing_days: Floats | None = _usual(
        "rig time", 0, 100, "time to run, cement, wait for and test one casing string", "casing_days"
    )
    testing_days: Floats | None = _usual("rig time", 0, 365, "time of logs and of the test at the end", "testing_days")
    casing_strings: int | None = count(
        1, 10, 'Only "built-up": strings of casing, a liner counted; the deepest reaches the bottom and each of the others '
        f"{_SHOE:.0f} % of the depth of the next; absent: 2 to 6 by depth",
    )  # fmt: skip
    casing_cost: Floats | None = _usual(
        "money per length", 0, BIG, "casing, for a length of each string, mean of the program", "casing_cost"
    )
    cement_cost: Floats | None = _usual("money per length", 0, BIG, "cement, in the same way", "cement_cost")
    fluids_cost: Floats | None = _usual(
        "money per length", 0, BIG, "bits, mud and chemicals, for a length drilled", "fluids_cost"
    )
    site_cost: Floats | None = _usual(
        "money", 0, BIG, "pad, cellar, water, roads and transport of the rig, for one well", "site_cost"
    )
    wellhead_cost: Floats | None = _usual("money", 0, BIG, "wellhead and valves", "wellhead_cost")
    trouble: Floats | None = _usual(
        "share", 0, 2, "share added to all of it for trouble in the hole: stuck pipe, lost mud, weather", "trouble"
    )
    cost_factor: Floats = plain(0.01, 20, "Multiplies the cost of every well, however it comes about", default=1.0)
    dry_hole_cost: Floats = number(
        "share", 0, 2, "Cost of a failed well as a share of a successful one", default="100 %"
    )
    slim_holes: int = count(
        0, 500,
        "Slim holes still to be drilled: narrow holes of some 10 to 15 cm to the reservoir that prove temperature and flow for "
        "about half the cost of a full-size well, before one is drilled; they never become producers. Capital of an "
        "account of their own, with contingency, taxed as exploration",
        default=0,
    )  # fmt: skip
    slim_hole_depth: Floats | None = number("length", 1, 7000, "Measured depth of one slim hole; absent: `depth`")
    slim_hole_cost: Floats | None = number(
        "money", 0, BIG,
        "One slim hole, price-year money; absent: a full-size well of that depth by `cost_method`, with `cost_factor`, less "
        f"the {_SAVED} % that slim holes saved, of which the middle",
    )  # fmt: skip


# What only one way of costing a well has a part for.
RATES = (
    "rig_rate", "services_rate", "penetration_rate", "on_bottom", "moving_days", "casing_days", "testing_days",
    "casing_strings", "casing_cost", "cement_cost", "fluids_cost", "site_cost", "wellhead_cost", "trouble",
)  # fmt: skip
USED_BY = {"cost_per_producer": STATED, "cost_curve": CURVE} | dict.fromkeys(RATES, BUILT_UP)
OF_SLIM_HOLES = ("slim_hole_depth", "slim_hole_cost")


def well_cost_faults(case: "CaseTables", new_wells: bool) -> Iterator[Fault]:
    """Every fault between the fields that say what a well or a slim hole costs.

    new_wells : whether wells are counted, and so paid for
    """
    wells = case.wells
    if new_wells and wells.cost_method == STATED and wells.cost_per_producer is None:
        yield Fault(
            "wells.cost_per_producer",
            'is missing; give it, or a cost_method that goes with depth: "curve" or "built-up"',
        )
    if wells.cost_method == CURVE and (wells.cost_curve is None or wells.depth is None):
        missing = "cost_curve" if wells.cost_curve is None else "depth"
        yield Fault(f"wells.{missing}", "is missing; the cost of a well from a curve needs it")
    if wells.cost_method == BUILT_UP and wells.depth is None:
        yield Fault("wells.depth", "is missing; the cost of a well that is built up needs it")
    for name, method in USED_BY.items():
        if getattr(wells, name) is not None and wells.cost_method != method:
            words = (
                f'is not used with cost_method = "{wells.cost_method}"; leave it out, or say cost_method = "{method}"'
            )
            yield Fault(f"wells.{name}", words)
    yield from _other_currency(case)
    yield from _slim_holes(wells)


def _other_currency(case: "CaseTables") -> Iterator[Fault]:
    """Rates of the table are in US dollars, and no exchange rate is made up."""
    if case.wells.cost_method != BUILT_UP or case.money.currency == "USD":
        return
    priced = [r["rate"] for r in table("drilling_rates") if r["price_year"]]
    if missing := [name for name in priced if getattr(case.wells, name) is None]:
        words = (
            f'is "built-up", but usual rates are in US dollars and the case in {case.money.currency}; state '
            f"{', '.join(missing)}"
        )
        yield Fault("wells.cost_method", words)


def _slim_holes(wells: "Wells") -> Iterator[Fault]:
    if wells.slim_holes == 0:
        for name in OF_SLIM_HOLES:
            if getattr(wells, name) is not None:
                yield Fault(f"wells.{name}", "has no part without slim_holes; say how many, or leave it out")
        return
    if wells.slim_hole_cost is not None:
        if wells.slim_hole_depth is not None:
            words = "stands beside slim_hole_cost, which does not go with depth; keep one of the two"
            yield Fault("wells.slim_hole_depth", words)
        return
    if wells.cost_method == STATED and (wells.slim_hole_depth is not None or wells.cost_per_producer is None):
        why = (
            "no full-size well is costed" if wells.cost_per_producer is None
            else "cost_per_producer is for its own depth, not for slim_hole_depth"
        )  # fmt: skip
        words = f"is missing; {why}: state it, or a cost_method that goes with depth"
        yield Fault("wells.slim_hole_cost", words)

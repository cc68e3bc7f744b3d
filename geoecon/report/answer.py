"""The one-screen answer: what it is, what it makes, what it costs, what it earns, and what that means."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from geoecon.report.words import homes, money, share, significant
from geoecon.result import Result
from geoecon.tables import table

CAUTION = (
    "A screening calculation, not tax, legal or investment advice. Hot brine, pressure, flammable fluids, gas and drilling "
    "can injure: design and work are for licensed practice under local codes."
)
HOMES_MEAN = "an equivalence over a year: it does not say that these homes get this power, or stay lit in an outage"

STATEMENT = (
    ("delivered_energy", "Delivered energy"), ("price", "Price"), ("revenue", "Revenue"),
    ("operating_cost", "Operating cost"), ("capital", "Capital, initial and sustaining"), ("grant", "Grant"),
    ("decommissioning", "Decommissioning"), ("tax_unlevered", "Tax without debt"),
    ("cash_flow_project", "Cash flow of the project"), ("debt_drawn", "Debt drawn"), ("fees", "Fees"),
    ("interest", "Interest"), ("principal", "Principal"), ("debt_balance", "Debt at year end"),
    ("reserve_balance", "Reserves at year end"), ("depreciation", "Depreciation for tax"), ("credit", "Tax credit earned"),
    ("tax", "Tax paid"), ("cfads", "Cash for debt service"), ("dscr", "Cover of debt service"),
    ("cash_flow_equity", "Cash flow to the owner"),
)  # fmt: skip
ALWAYS = {"delivered_energy", "price", "revenue", "operating_cost", "capital", "cash_flow_project", "cash_flow_equity"}


@dataclass(frozen=True)
class Line:
    """One line of the answer: what, how much, and the words that make it exact."""

    label: str
    value: str
    basis: str = ""


@dataclass(frozen=True)
class Section:
    """A group of lines under a heading."""

    title: str
    lines: tuple[Line, ...]


def sections(result: Result) -> tuple[Section, ...]:
    """The answer in groups; a figure that does not exist is left out, its reason is in the JSON."""
    return (
        Section("Size", tuple(_size(result))),
        Section("Energy", tuple(_energy(result))),
        Section("Cost", tuple(_cost(result))),
        Section("Value", tuple(_value(result))),
        Section("Local supply", tuple(_local_supply(result))),
        Section("Elsewhere", tuple(_elsewhere(result))),
    )


def _have(result: Result, *names: str) -> bool:
    return all(np.isfinite(result.value(name)) for name in names)


def _size(result: Result) -> Iterator[Line]:
    v = result.value
    yield Line("Net capacity", f"{significant(v('net_capacity'), 3)} MW", "unit net, at the design point")
    if v("gross_capacity") > v("net_capacity"):
        yield Line("Gross capacity", f"{significant(v('gross_capacity'), 3)} MW", "at the generator")
    if _have(result, "producers", "injectors"):
        drilled = f"{v('wells_drilled'):.1f} drilled with failures" if _have(result, "wells_drilled") else "existing"
        makeup = f", {v('makeup_wells'):.1f} more over the life" if _have(result, "makeup_wells") else ""
        yield Line(
            "Wells", f"{v('producers'):.0f} + {v('injectors'):.0f} wells", f"producers + injectors; {drilled}{makeup}"
        )
    if _have(result, "brine_flow"):
        yield Line("Brine", f"{significant(v('brine_flow'), 3)} kg/s", "at the design point")


def _energy(result: Result) -> Iterator[Line]:
    v, years = result.value, int((result.annual["year"][:, 0] > 0).sum())
    yield Line("First year", f"{v('first_year_energy'):,.0f} MWh", "delivered")
    yield Line("Life", f"{v('lifetime_energy'):,.0f} MWh", f"delivered, {years} years")
    yield Line("Net capacity factor", share(v("net_capacity_factor")), "year 1, unit net")
    yield Line("Weakest month", f"{v('lowest_month_energy'):,.0f} MWh", "delivered, year 1")
    yield Line("As much as", homes(v("homes_low"), v("homes_high")), HOMES_MEAN)
    if _have(result, "co2_avoided"):
        yield Line("CO2 avoided", f"{v('co2_avoided'):,.0f} t/yr", "against the grid's average, life mean")


def _cost(result: Result) -> Iterator[Line]:
    v, currency, year = result.value, result.currency, f"money of {result.price_year}"
    yield Line("Capital", money(v("capital_cost"), currency), f"before year 1, overnight, {year}")
    yield Line("per net kW", f"{v('capital_cost_per_kw'):,.0f} {currency}/kW", f"all accounts, {year}")
    if v("capital_at_risk"):
        yield Line("At risk", money(v("capital_at_risk"), currency), f"before the first good well is proven, {year}")
    yield Line("Levelized cost", _price(v("lcoe_real"), currency), f"real, {year}, no tax or credit")
    yield Line("", _price(v("lcoe_nominal"), currency), "nominal, one level price over the life")


def _value(result: Result) -> Iterator[Line]:
    v, currency = result.value, result.currency
    if _have(result, "required_price"):
        yield Line("Required price", _price(v("required_price"), currency), result.metrics["required_price"].note)
    if _have(result, "npv"):
        first = int((result.annual["year"][:, 0] <= 0).sum())
        yield Line("Stated price", _price(float(result.annual["price"][first, 0]), currency), "year 1, nominal")
        yield Line("Net present value", money(v("npv"), currency), "project after tax, money of year 0")
    for name, label, basis in (
        ("irr_project", "Return of the project", "nominal, after tax, no debt"),
        ("irr_equity", "Return on equity", "nominal, after tax"),
    ):
        if _have(result, name):
            yield Line(label, share(v(name)), basis)
    if _have(result, "npv") and _have(result, "payback"):
        yield Line("Payback", f"{v('payback'):.1f} years", "from the end of year 0, not discounted")
    if _have(result, "debt") and v("debt"):
        yield Line("Debt and equity", f"{money(v('debt'), currency)} + {money(v('equity'), currency)}", "end of year 0")
    if _have(result, "dscr_min"):
        cover = f"{v('dscr_min'):.2f} times"
        yield Line(
            "Cover of debt service",
            cover,
            f"the least year; mean {v('dscr_mean'):.2f}, loan life {v('llcr'):.2f} times",
        )


def _local_supply(result: Result) -> Iterator[Line]:
    v, currency, year = result.value, result.currency, f"money of {result.price_year}"
    if not _have(result, "fuel_replaced_value"):
        return
    if _have(result, "local_load_share"):
        yield Line("Share of local load", share(v("local_load_share")), "year 1")
    yield Line("Fuel replaced", f"{v('fuel_replaced'):,.0f} L/yr", "life mean")
    yield Line("", f"{money(v('fuel_replaced_value'), currency)}/yr", f"at today's fuel price, {year}")
    if _have(result, "fuel_still_burned_value"):
        still = f"{money(v('fuel_still_burned_value'), currency)}/yr"
        yield Line("Fuel still burned", still, f"standby and what the unit does not meet, {year}")


def _elsewhere(result: Result) -> Iterator[Line]:
    """Published figures to hold the answer against; only where the currency is theirs."""
    for row in table("benchmarks"):
        unit = row["unit"]
        if not unit.startswith(result.currency) or row["kind"] == "levelized cost":
            continue
        low, high = (significant(float(row[end]), 4) for end in ("low", "high"))
        figure = low if low == high else f"{low} to {high}"
        recalled = ", recalled" if row["evidence"] == "recalled" else ""
        label = {"all-in cost": "All-in cost", "contract price": "Contract prices"}[row["kind"]]
        yield Line(label, f"{figure} {unit}", f"{row['benchmark']}, money of {row['price_year']}{recalled}")


def notes(result: Result) -> list[str]:
    """Warnings of the pass, and how many inputs rest on values that nobody here has read in a source."""
    recalled = [assumption.path for assumption in result.assumptions if assumption.evidence == "recalled"]
    if not recalled:
        return list(result.warnings)
    words = f"{len(recalled)} inputs rest on recalled values, which nobody here has read in their source: {', '.join(recalled)}"
    return [*result.warnings, words]


def _price(value: float, currency: str) -> str:
    return f"{value:,.2f} {currency}/MWh"


def verdict(result: Result) -> str:
    """What the numbers mean, in one or two sentences."""
    if not _have(result, "required_price"):
        return f"There is no required price: {result.metrics['required_price'].reason}."
    required, currency = result.value("required_price"), result.currency
    if not _have(result, "npv"):
        return f"The owner needs {_price(required, currency)} in year 1. The case states no price to hold against it."
    first = int((result.annual["year"][:, 0] <= 0).sum())
    stated = float(result.annual["price"][first, 0])
    if stated >= required:
        above = share(stated / required - 1)
        return (
            f"At the stated price it pays: the owner needs {_price(required, currency)} in year 1, and "
            f"{_price(stated, currency)} is {above} above that."
        )
    return (
        f"At the stated price it does not give the owner what is asked: that takes {_price(required, currency)} in year 1, "
        f"and {_price(stated, currency)} is {share(1 - stated / required)} short of it."
    )


@dataclass(frozen=True)
class StatementTable:
    """Lines by year: headings, and for each line its label, unit and a text per year."""

    years: tuple[str, ...]
    rows: tuple[tuple[str, str, tuple[str, ...]], ...]
    unit: str


def statement(result: Result, *, every_year: bool = False) -> StatementTable:
    """The yearly statement, money in thousands; without `every_year` the years that show its course."""
    years = result.annual["year"][:, 0]
    rows = range(len(years)) if every_year else _telling(years)
    lines = [(name, label) for name, label in STATEMENT if name in ALWAYS or np.nan_to_num(result.annual[name]).any()]
    return StatementTable(
        tuple(f"{years[row]:.0f}" for row in rows),
        tuple(
            (label, *_scaled(result.units[name], result.currency, result.annual[name][:, 0], rows))
            for name, label in lines
        ),
        f"k{result.currency}",
    )


def _telling(years: np.ndarray) -> list[int]:
    """Rows of build years, the first operating years, every fifth and the last; at most nine."""
    chosen = [row for row, year in enumerate(years) if year in {0, 1, 2, 5, 10, 15, 20, 25, years[-1]}]
    return chosen if len(chosen) <= 9 else [*chosen[:8], chosen[-1]]


def _scaled(unit: str, currency: str, values: np.ndarray, rows: "range | list[int]") -> tuple[str, tuple[str, ...]]:
    in_thousands = unit == currency
    places = 2 if unit == "1" or unit.endswith("/MWh") else 0
    shown = f"k{currency}" if in_thousands else "" if unit == "1" else unit
    return shown, tuple(_cell(values[row] / (1000 if in_thousands else 1), places) for row in rows)


def _cell(value: float, places: int) -> str:
    if not np.isfinite(value) or value == 0:
        return "-"
    return f"{value:,.{places}f}"

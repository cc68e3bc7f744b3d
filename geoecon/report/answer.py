"""The one-screen answer: what it is, what it makes, what it costs, what it earns, and what that means."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from geoecon.arrays import Floats
from geoecon.report.headline import headline, return_on_equity
from geoecon.report.lines import Line, Section, asked, first_price, have, or_reason, price
from geoecon.report.plant import fluid_lines, plant_lines
from geoecon.report.pumping import pumps_in_short
from geoecon.report.words import account_words, homes, money, share, significant
from geoecon.result import Result
from geoecon.tables import table
from geoecon.units import from_inside, unit_shown

CAUTION = (
    "A screening calculation, not tax, legal or investment advice. Hot brine, pressure, flammable fluids, gas and "
    "drilling can injure: design and work are for licensed practice under local codes."
)
HOMES_MEAN = "use in a year; it does not say that they get this power, or stay lit in an outage"

STATEMENT = (
    ("delivered_energy", "Delivered energy"), ("price", "Price"), ("revenue", "Revenue"),
    ("operating_cost", "Operating cost"), ("capital", "Capital, initial and sustaining"), ("grant", "Grant"),
    ("decommissioning", "Decommissioning"), ("tax_unlevered", "Tax without debt"),
    ("cash_flow_project", "Cash flow of the project"), ("debt_drawn", "Debt drawn"), ("fees", "Fees"),
    ("interest", "Interest"), ("principal", "Principal"), ("debt_balance", "Debt at year end"),
    ("reserve_balance", "Reserves at year end"), ("depreciation", "Depreciation for tax"),
    ("drilling_expensed", "Drilling deducted at once"), ("credit", "Tax credit earned"), ("tax", "Tax paid"),
    ("withheld", "Withheld on payments to the owner"), ("cfads", "Cash for debt service"),
    ("dscr", "Cover of debt service"), ("cash_flow_equity", "Cash flow to the owner"),
)  # fmt: skip
ALWAYS = {"delivered_energy", "price", "revenue", "operating_cost", "capital", "cash_flow_project", "cash_flow_equity"}
AT_YEAR_END = {"debt_balance", "reserve_balance"}
BUILD = "build"
MAY_BE_EMPTY = {"Plant", "Working fluids"}


def sections(result: Result, system: str = "SI") -> tuple[Section, ...]:
    """The answer in groups, in a system of units; first what the kind of owner looks at."""
    groups: dict[str, Callable[[Result], Iterator[Line]]] = {
        "Size": lambda r: _size(r, system),
        "Plant": plant_lines,
        "Working fluids": fluid_lines,
        "Energy": _energy,
        "Cost": _cost,
        "Value": _value,
        "Local supply": _local_supply,
        "Elsewhere": _elsewhere,
    }
    found = (Section(title, tuple(lines(result))) for title, lines in groups.items())
    return (headline(result), *(section for section in found if section.lines or section.title not in MAY_BE_EMPTY))


def _size(result: Result, system: str) -> Iterator[Line]:
    v = result.value
    yield Line("Net capacity", f"{significant(v('net_capacity'), 3)} MW", "unit net, at the design point")
    if v("gross_capacity") > v("net_capacity"):
        yield Line("Gross capacity", f"{significant(v('gross_capacity'), 3)} MW", "at the generator")
    if have(result, "producers", "injectors"):
        yield Line(
            "Wells", f"{v('producers'):.0f} + {v('injectors'):.0f} wells", f"producers + injectors{_drilling(result)}"
        )
    dry = any(row.path == "plant.kind" and row.value == "dry-steam" for row in result.assumptions)
    comes, leaves = ("Steam", "Water") if dry else ("Brine", "Brine")
    if have(result, "brine_flow"):
        yield Line(comes, _in_system(v("brine_flow"), "mass flow", system), "at the design point")
    if have(result, "injection_temperature"):
        returned = _in_system(v("injection_temperature"), "temperature", system)
        yield Line(f"{leaves} returned at", returned, f"at the design point{_no_cooler(result, system)}")
    if pumps := pumps_in_short(result, system):
        yield pumps
    if have(result, "last_brine_temperature"):
        cools = result.metrics["last_brine_temperature"].note
        last = _in_system(v("last_brine_temperature"), "temperature", system)
        yield Line(
            f"{comes} in the last year", last, f"at the plant's inlet; {cools}" if cools else "at the plant's inlet"
        )


def _no_cooler(result: Result, system: str) -> str:
    """How cool brine may leave a binary plant, and which rule says so; nothing of others."""
    floor = next((a for a in result.assumptions if a.path == "plant.injection_temperature_floor: used"), None)
    if floor is None:
        return ""
    return f"; no cooler than {_in_system(float(floor.value), 'temperature', system)}: {floor.source}"


def _in_system(value: float, kind: str, system: str) -> str:
    unit = unit_shown(kind, system)
    return f"{significant(from_inside(value, kind, unit), 3)} {unit}"


def _drilling(result: Result) -> str:
    if not have(result, "wells_drilled", "makeup_wells"):
        return ", existing"
    drilled, makeup = result.value("wells_drilled"), result.value("makeup_wells")
    now = f"; {drilled:.1f} to drill, failures counted" if drilled else "; all exist"
    return now + (f", and {makeup:.1f} make-up wells over the life" if makeup else "")


def _energy(result: Result) -> Iterator[Line]:
    v, years = result.value, len(result.annual["year"]) - result.build_years
    yield Line("First year", f"{v('first_year_energy'):,.0f} MWh", "delivered")
    yield Line("Life", f"{v('lifetime_energy'):,.0f} MWh", f"delivered, {years} years")
    yield Line("Net capacity factor", share(v("net_capacity_factor")), "year 1, unit net")
    yield Line("Weakest month", f"{v('lowest_month_energy'):,.0f} MWh", "delivered, year 1")
    if v("curtailed_energy") > 0.5:
        yield Line("Not taken", f"{v('curtailed_energy'):,.0f} MWh", "year 1, more than the load takes")
    if v("homes_high") >= 1:
        yield Line("As much as", homes(v("homes_low"), v("homes_high")), HOMES_MEAN)
    if have(result, "co2_avoided"):
        yield Line("CO2 avoided", f"{v('co2_avoided'):,.0f} t/yr", "against the average of what it replaces, life mean")


def _cost(result: Result) -> Iterator[Line]:
    v, currency, year = result.value, result.currency, f"money of {result.price_year}"
    yield Line("Capital", money(v("capital_cost"), currency), f"before year 1, without interest, {year}")
    yield Line("per net kW", f"{v('capital_cost_per_kw'):,.0f} {currency}/kW", f"all accounts, {year}")
    if v("capital_at_risk") and have(result, "wells_drilled") and v("wells_drilled"):
        yield Line(
            "At risk", money(v("capital_at_risk"), currency), f"spent before the first good well is proven, {year}"
        )
    yield or_reason(
        result, "lcoe_real", "Levelized cost", price(v("lcoe_real"), currency), f"real, {year}, no tax or credit"
    )
    if have(result, "lcoe_nominal"):
        yield Line("", price(v("lcoe_nominal"), currency), "nominal, one level price over the life")
    if have(result, "lcoe_after_tax_real") and abs(v("lcoe_after_tax_real") - v("lcoe_real")) > 1e-6 * v("lcoe_real"):
        yield Line("", price(v("lcoe_after_tax_real"), currency), f"real, {year}, after tax, credit and grant in")


def _value(result: Result) -> Iterator[Line]:
    v, currency = result.value, result.currency
    rate = f"{share(asked(result, 'discount_rate'), 2)} a year"
    yield Line("Discount rate", rate, f"nominal, {result.discount_origin}")
    if not have(result, "npv"):
        return
    yield Line("Stated price", price(first_price(result), currency), _as_one_price(result))
    yield Line("Net present value", money(v("npv"), currency), "project after tax, money of year 0")
    yield or_reason(
        result,
        "irr_project",
        "Return of the project",
        f"{share(v('irr_project'))} a year",
        "nominal, after tax, no debt",
    )
    if result.owner != "private":  # whose return stands first
        yield return_on_equity(result)
    yield or_reason(result, "payback", "Payback", f"{v('payback'):.1f} years", "from the end of year 0, not discounted")
    yield from _money_put_in(result)


def _as_one_price(result: Result) -> str:
    """What the stated prices are worth as one, where they are not one price already."""
    level, real = result.value("price_levelized_nominal"), result.value("price_levelized_real")
    if not np.isfinite(level) or abs(level - first_price(result)) < 0.005:
        return "year 1, nominal"
    return f"year 1, nominal; worth one price of {level:.2f} nominal, {real:.2f} in money of {result.price_year}"


def _money_put_in(result: Result) -> Iterator[Line]:
    currency = result.currency
    parts = {
        "debt": result.value("debt"),
        "equity": result.value("equity"),
        "grant": float(result.annual["grant"][:, 0].sum()),
    }
    given = {name: amount for name, amount in parts.items() if amount > 0.5}
    if set(given) - {"equity"}:
        split = " + ".join(f"{name} {money(amount, currency)}" for name, amount in given.items())
        yield Line("Paid in", money(sum(given.values()), currency), f"{split}, nominal")


def _local_supply(result: Result) -> Iterator[Line]:
    v, currency, year = result.value, result.currency, f"money of {result.price_year}"
    if not have(result, "fuel_replaced_value"):
        return
    if have(result, "local_load_share"):
        yield Line("Share of local load", share(v("local_load_share")), "year 1")
    paid_now = [a for a in result.assumptions if a.path == "community.current_price"]
    if paid_now:
        yield Line("Paid now", f"{paid_now[0].value} {paid_now[0].unit}", f"for the supply this would replace, {year}")
    yield Line("Fuel replaced", f"{v('fuel_replaced'):,.0f} L/yr", "life mean")
    yield Line("", f"{money(v('fuel_replaced_value'), currency)}/yr", f"at today's fuel price, {year}")
    if have(result, "fuel_still_burned_value"):
        still = f"{money(v('fuel_still_burned_value'), currency)}/yr"
        yield Line("Fuel still burned", still, f"standby and what the unit does not meet, {year}")


def _elsewhere(result: Result) -> Iterator[Line]:
    """Published figures to hold the answer against; only where the currency is theirs."""
    labels = {"all-in cost": "All-in cost", "contract price": "Contract prices"}
    for row in table("benchmarks"):
        if not row["unit"].startswith(result.currency) or row["kind"] not in labels:
            continue
        low, high = (significant(float(row[end]), 4) for end in ("low", "high"))
        figure = low if low == high else f"{low} to {high}"
        recalled = ", recalled" if row["evidence"] == "recalled" else ""
        basis = f"{row['benchmark']}, money of {row['price_year']}{recalled}"
        yield Line(labels[row["kind"]], f"{figure} {row['unit']}", basis)


def homes_worked(result: Result) -> Section:
    """How the range of homes comes about, step by step."""
    v, years = result.value, len(result.annual["year"]) - result.build_years
    given = {a.path: f"{a.value} {a.unit}" for a in result.assumptions}
    source = {a.path: a.source for a in result.assumptions}
    use, loss = "community.household_use", "community.distribution_loss"
    lines = (
        Line("First year", f"{v('first_year_energy'):,.0f} MWh", "delivered"),
        Line("Life mean", f"{v('lifetime_energy') / years:,.0f} MWh", "delivered, a year"),
        Line("Lost on the way to homes", share(float(given[loss].split()[0])), source[loss]),
        Line("One home uses", given[use], source[use]),
        Line(
            "Homes",
            homes(v("homes_low"), v("homes_high")),
            "smaller energy over higher use, to larger over lower",
        ),
    )
    return Section("How that comes about", lines)


def notes(result: Result) -> list[str]:
    """Warnings of the pass, what was set besides the file, and what rests on values that nobody here has read."""
    said = list(result.warnings)
    if result.told:
        said.append(f"set for this run: {', '.join(result.told)}")
    # A table with a value for each year is one input.
    paths = (a.path.rstrip("0123456789").rstrip(".") for a in result.assumptions if a.evidence == "recalled")
    recalled = list(dict.fromkeys(paths))
    if recalled:
        words = "inputs rest on recalled values, which nobody here has read in their source"
        said.append(f"{len(recalled)} {words}: {', '.join(recalled)}")
    return said


@dataclass(frozen=True)
class StatementTable:
    """Lines by year: headings, and for each line its label, unit and a text per year."""

    years: tuple[str, ...]
    rows: tuple[tuple[str, str, tuple[str, ...]], ...]


def statement(result: Result, *, every_year: bool = False) -> StatementTable:
    """The yearly statement, money in thousands: every year, or build years together and years that show its course."""
    years = result.annual["year"][:, 0]
    together = not every_year and result.build_years > 1
    rows = list(range(len(years))) if every_year else _telling(years, result.build_years, together)
    headings = ([BUILD] if together else []) + [f"{years[row]:.0f}" for row in rows]
    lines = [(name, label) for name, label in STATEMENT if name in ALWAYS or np.nan_to_num(result.annual[name]).any()]
    cells = tuple((label, *_cells(result, name, rows, together)) for name, label in lines)
    return StatementTable(tuple(headings), cells)


def _telling(years: Floats, build_years: int, together: bool) -> list[int]:
    """Rows of the first operating years, every fifth and the last, at most nine columns with the build years."""
    wanted = {1, 2, 5, 10, 15, 20, 25, years[-1]} | (set() if together else {0})
    chosen = [row for row, year in enumerate(years) if year in wanted and (row >= build_years or not together)]
    most = 8 if together else 9
    return chosen if len(chosen) <= most else [*chosen[: most - 1], chosen[-1]]


def _cells(result: Result, name: str, rows: Sequence[int], together: bool) -> tuple[str, tuple[str, ...]]:
    """Unit and texts of one line of the statement."""
    unit, values = result.units[name], result.annual[name][:, 0]
    in_thousands = unit == result.currency
    places = 2 if unit == "1" or unit.endswith("/MWh") else 0
    shown = f"k{unit}" if in_thousands else "times" if unit == "1" else unit
    build = values[: result.build_years]
    before = [build[-1] if name in AT_YEAR_END else float(np.nan_to_num(build).sum())] if together else []
    scale = 1000 if in_thousands else 1
    return shown, tuple(_cell(value / scale, places) for value in [*before, *values[list(rows)]])


def _cell(value: float, places: int) -> str:
    return "-" if not np.isfinite(value) or value == 0 else f"{value:,.{places}f}"


def accounts(result: Result) -> tuple[Section, ...]:
    """Where money goes and where energy stays: capital and operating accounts, and the ledger of year 1."""
    year, first = f"money of {result.price_year}", result.build_years
    capital = tuple(
        Line(_name(account), money(float(values[0]), result.currency), year)
        for account, values in result.capital_accounts.items()
    )
    operating = tuple(
        Line(_name(account), f"{money(float(values[first, 0]), result.currency)}/yr", "year 1, nominal")
        for account, values in result.operating_accounts.items()
    )
    energy = tuple(
        Line(_name(step), f"{float(values[0]):,.0f} MWh", f"year 1; life {float(result.ledger_life[step][0]):,.0f} MWh")
        for step, values in result.ledger.items()
    )
    return Section("Capital", capital), Section("Operating", operating), Section("Ledger", energy)


def _name(account: str) -> str:
    words = account_words(account)
    return words[:1].upper() + words[1:]

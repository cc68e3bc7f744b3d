"""Random projects for the laws: streams and terms for finance alone, and whole case files that are valid.

Numbers are round in few digits, so that a failing example can be read. Lengths of the year and the scenario axis are
never equal.
"""

import numpy as np
from hypothesis import strategies as st
from hypothesis.extra import numpy as stn

from geoecon.case import Case
from geoecon.finance.credits import Credit
from geoecon.finance.debt import LoanTerms
from geoecon.finance.depreciation import straight_line
from geoecon.finance.prices import growing
from geoecon.finance.statement import Terms
from geoecon.finance.streams import Account, Streams
from geoecon.finance.tax import TaxTerms

ACCOUNTS = {
    "plant": Account("plant", "production", "owner", "builders", True),
    "grid_connection": Account("grid_connection", "transmission", "owner", "builders", False),
    "pump_replacement": Account("pump_replacement", "production", "owner", "suppliers", False),
    "fixed_cost": Account("fixed_cost", "expense", "owner", "staff", False),
    "capacity": Account("capacity", "income", "buyer", "owner", False),
}


def numbers(shape, low, high, scale=1.0):
    """Arrays of whole numbers between two bounds, times a scale."""
    return stn.arrays(np.int64, shape, elements=st.integers(low, high)).map(lambda found: found * scale)


@st.composite
def streams(draw, *, bare=False):
    """Streams of one project; `bare` leaves out what no levelized cost knows: grants and revenue without energy."""
    first, operating = draw(st.integers(1, 3)), draw(st.sampled_from([7, 11, 13]))
    scenarios = draw(st.sampled_from([2, 3, 5]))
    years = first + operating
    rows = np.arange(years).reshape(-1, 1)
    building, shift = rows < first, 0.5 if draw(st.booleans()) else 0.0
    flat = (years, scenarios)
    plant = np.where(building, draw(numbers(flat, 100, 5000)), 0.0)
    grid = np.where(building, draw(numbers(flat, 0, 500)), 0.0)
    granted = 0.0 if bare else draw(numbers((scenarios,), 0, 40, 0.01))
    closing = np.zeros(flat)
    closing[-1] = draw(numbers((scenarios,), 0, 300))
    return Streams(
        first=first,
        times=np.where(building, rows - first + 1 - shift, rows - first + 1.0),
        capital={"plant": plant, "grid_connection": grid},
        sustaining={"pump_replacement": np.where(building, 0.0, draw(numbers(flat, 0, 100)))},
        operating={"fixed_cost": np.where(building, 0.0, draw(numbers(flat, 0, 200)))},
        revenue_shares={"royalty": draw(numbers((scenarios,), 0, 10, 0.01))},
        energy=np.where(building, 0.0, draw(numbers(flat, 1, 50))),
        other_revenue={} if bare else {"capacity": np.where(building, 0.0, draw(numbers(flat, 0, 30)))},
        grant=granted * (plant + grid),
        decommissioning=closing,
        index=(1 + draw(numbers((scenarios,), 0, 50, 0.001))) ** (rows + 2.0),
        accounts=ACCOUNTS,
    )


@st.composite
def loans(draw, of):
    """Terms of a loan that the streams can carry."""
    shape = (of.energy.shape[1],)
    return LoanTerms(
        draw(numbers(shape, 0, 80, 0.01)),
        draw(numbers(shape, 0, 150, 0.001)),
        draw(numbers(shape, 0, 50, 0.001)),
        draw(st.integers(2, len(of.energy) - of.first)),
        draw(st.sampled_from(["level", "equal-principal"])),
        draw(st.sampled_from([0, 3, 6])),
    )


@st.composite
def taxes(draw, of):
    """Tax rules with or without a credit."""
    shape = (of.energy.shape[1],)
    credit = None
    if draw(st.booleans()):
        credit = Credit(
            draw(st.sampled_from(["own", "sold", "cash"])),
            draw(numbers(shape, 0, 30, 0.01)),
            draw(numbers(shape, 0, 50, 0.01)),
            draw(numbers(shape, 0, 10)),
            draw(numbers(shape, 0, 30, 0.001)),
            draw(st.integers(1, 12)),
            np.full(shape, 0.93),
        )
    conventions = st.sampled_from(["full-year", "half-year"])
    shares = {
        name: straight_line(draw(st.integers(1, 20)), draw(conventions)) for name in ("production", "transmission")
    }
    return TaxTerms(
        draw(numbers(shape, 0, 35, 0.01)), shares, draw(st.booleans()), draw(numbers(shape, 0, 100, 0.01)), credit
    )


@st.composite
def projects(draw):
    """Streams with terms that fit them."""
    found = draw(streams())
    middle = float(found.times[0, 0]) % 1 != 0
    terms = Terms(draw(loans(found)), draw(taxes(found)), draw(st.booleans()), draw(st.integers(1, 6)), middle)
    return found, terms


@st.composite
def price_paths(draw, of):
    """A price that grows through its term, and another after it."""
    years, scenarios = of.energy.shape
    term = draw(st.integers(2, years - of.first))
    first, after = draw(numbers((scenarios,), 1, 300)), draw(numbers((scenarios,), 0, 200))
    growth = draw(numbers((scenarios,), -20, 50, 0.001))
    return growing(first, growth, term, after, np.ones_like(of.energy), of.first)


def decimal(low, high, places=1):
    """A number with so many decimals."""
    scale = 10**places
    return st.integers(round(low * scale), round(high * scale)).map(lambda n: n / scale)


def quoted(low, high, unit, places=1):
    """A text with a unit as it stands in a case file."""
    return decimal(low, high, places).map(lambda n: f'"{n!r} {unit}"')


def write(values):
    """The case file that states a value (as it stands right of the equal sign) at each path."""
    tables = {}
    for path, value in values.items():
        table, _, leaf = path.partition(".")
        tables.setdefault(table, []).append(f"{leaf} = {value}")
    return "\n".join(line for name, lines in tables.items() for line in (f"[{name}]", *lines))


def read(values):
    """The case that these values make."""
    return Case.read(write(values))


@st.composite
def cases(draw, *, wells=None, debt=None, tax=None, credit=None, term=None, grant=None, capacity=None, middle=None,
          owner="private"):  # fmt: skip
    """Path -> value of a valid case of kind `stated`; what is None is left to chance. Make a case of it with `read`.

    Sound enough for the laws on more and less: prices stay above what a MWh costs to make, and tax with credit never
    pays back what a cost takes.
    """

    def chance(stated):
        return draw(st.booleans()) if stated is None else stated

    build, life = draw(st.integers(1, 3)), draw(st.sampled_from([11, 13, 17]))
    monthly = ", ".join(f'"{draw(st.integers(-10, 30))} degC"' for _ in range(12))
    found = {
        "project.name": '"Any"',
        "project.owner": f'"{owner}"',
        "money.currency": '"USD"',
        "money.price_year": "2026",
        "money.inflation": draw(quoted(0, 4, "%/yr")),
        "timeline.first_year": draw(st.sampled_from(["2028", "2030", "2032"])),
        "timeline.build_years": str(build),
        "timeline.operating_years": str(life),
        "timeline.spending_time": '"middle"' if chance(middle) else '"end"',
        "site.air_temperature": f"[{monthly}]",
        "site.line_loss": draw(quoted(0, 6, "%")),
        "resource.temperature": draw(quoted(110, 180, "degC")),
        "resource.temperature_decline": draw(quoted(0, 0.5, "K/yr", 2)),
        "plant.kind": '"stated"',
        "plant.net_capacity": draw(quoted(1, 8, "MW")),
        "plant.gross_capacity": '"9 MW"',
        "plant.air_slope": draw(quoted(0, 1.5, "%/K")),
        "plant.brine_slope": draw(quoted(0, 1.5, "%/K")),
        "plant.cost_per_kw": draw(quoted(1500, 5000, "USD/kW", 0)),
        "plant.cost_basis": '"net"',
        "operation.planned_outage": draw(quoted(0, 5, "%")),
        "operation.forced_outage": draw(quoted(0, 5, "%")),
        "operation.fixed_cost": draw(quoted(50, 250, "USD/kW/yr", 0)),
        "operation.variable_cost": draw(quoted(0, 6, "USD/MWh")),
        "operation.royalty": draw(quoted(0, 6, "%")),
        "operation.insurance": draw(quoted(0, 1, "%/yr")),
        "operation.land": draw(quoted(0, 90, "kUSD/yr", 0)),
        "operation.real_growth": draw(quoted(0, 1, "%/yr")),
        "capital.permits": draw(quoted(0, 900, "kUSD", 0)),
        "capital.grid_connection": draw(quoted(0, 2, "MUSD")),
        "capital.owners_cost": draw(quoted(0, 8, "%")),
        "capital.contingency": f"{{ all = {draw(quoted(0, 20, '%', 0))}, wells = {draw(quoted(0, 20, '%', 0))} }}",
        "capital.decommissioning": draw(quoted(0, 900, "kUSD", 0)),
        "market.price": draw(quoted(40, 220, "USD/MWh")),
        "market.price_basis": draw(st.sampled_from(['"nominal"', '"real"'])),
        "market.price_growth": draw(quoted(0, 3, "%/yr")),
        "finance.discount_rate": draw(quoted(4, 11, "%/yr")),
        "finance.equity_return": draw(quoted(9, 15, "%/yr")),
        "finance.sustaining_funding": draw(st.sampled_from(['"reserve"', '"cash"'])),
        "finance.reserve_lookahead_years": str(draw(st.integers(1, 6))),
    }
    if build > 1 and draw(st.booleans()):
        rest = ", ".join(["0.25"] * (build - 2) + [str(0.75 - 0.25 * (build - 2))])
        found["timeline.spending"] = f"{{ all = [0.25, {rest}], plant = [{rest}, 0.25] }}"
    if draw(st.booleans()):
        found["operation.planned_outage_month"] = str(draw(st.integers(1, 12)))
    if draw(st.booleans()):
        found["site.export_limit"] = draw(quoted(1, 9, "MW"))
    if chance(wells):
        each, number = draw(decimal(30, 70)), draw(st.integers(1, 4))
        found |= {
            "wells.cost_per_producer": draw(quoted(1, 4, "MUSD", 2)),
            "wells.cost_per_injector": draw(quoted(1, 3, "MUSD", 2)),
            "wells.flow_per_producer": f'"{each!r} kg/s"',
            "wells.flow_decline": draw(quoted(1, 9, "%/yr")),
            "wells.decline_shape": draw(st.sampled_from(['"exponential"', '"hyperbolic"', '"harmonic"'])),
            "wells.success": draw(quoted(40, 100, "%", 0)),
            "wells.failed_as_injectors": draw(quoted(0, 50, "%", 0)),
            "wells.producers_per_injector": repr(draw(decimal(0.8, 3))),
            "wells.makeup_threshold": draw(quoted(75, 95, "%")),
            "plant.stated_brine_flow": f'"{each * number * draw(decimal(0.8, 1, 2))!r} kg/s"',
            "operation.wellfield_cost": draw(quoted(0, 90, "kUSD/yr", 0)),
            "operation.pump_life_years": str(draw(st.integers(2, 7))),
            "operation.pump_cost": draw(quoted(100, 500, "kUSD", 0)),
        }
        if draw(st.booleans()):
            found["wells.success_first"] = draw(quoted(20, 40, "%", 0))
            found["wells.exploration_wells"] = str(draw(st.integers(0, 3)))
    if chance(term):
        found["market.term_years"] = str(draw(st.integers(3, life - 1)))
        found["market.price_after_term"] = draw(quoted(40, 150, "USD/MWh"))
    if chance(debt):
        found |= {
            "finance.debt_share": draw(quoted(5, 50, "%", 0)),
            "finance.debt_rate": draw(quoted(2, 8, "%/yr")),
            "finance.debt_years": str(draw(st.integers(3, life))),
            "finance.debt_shape": draw(st.sampled_from(['"level"', '"equal-principal"'])),
            "finance.upfront_fee": draw(quoted(0, 3, "%")),
            "finance.reserve_months": draw(st.sampled_from(["0", "6", "12"])),
        }
    taxed = chance(tax)
    if taxed:
        found |= {
            "tax.rules": '"plain"',
            "tax.rate": draw(quoted(5, 30, "%", 0)),
            "tax.losses": draw(st.sampled_from(['"carried"', '"used"'])),
            "tax.loss_limit": draw(quoted(50, 100, "%", 0)),
            "tax.depreciation_years": str(draw(st.integers(5, 20))),
        }
    if chance(credit):
        kinds = ['"own"', '"sold"', '"cash"'] if taxed else ['"sold"', '"cash"']
        found["tax.credit_use"] = draw(st.sampled_from(kinds))
        found |= draw(
            st.sampled_from(
                [
                    {"tax.credit": '"investment"', "tax.credit_rate": '"25 %"', "tax.credit_basis_cut": '"50 %"'},
                    {"tax.credit": '"production"', "tax.credit_amount": '"9 USD/MWh"', "tax.credit_years": "5"},
                ]
            )
        )
    if chance(grant):
        found["capital.grant"] = draw(quoted(0, 900, "kUSD", 0))
    if chance(capacity):
        found["market.capacity_price"] = draw(quoted(0, 40, "USD/kW/yr", 0))
    return found


def same(ours, theirs, *, rtol=1e-9, size=0.0):
    """Whether two arrays agree to a share of themselves, or of a size where they may come out near zero."""
    return np.allclose(ours, theirs, rtol=rtol, atol=rtol * size, equal_nan=True)

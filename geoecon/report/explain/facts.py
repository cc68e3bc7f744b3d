"""What explanations are made of: terms, arithmetic over them, and the facts of one case."""

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from geoecon.arrays import Floats, over_years
from geoecon.case.well_cost import RATES
from geoecon.drilling import WORKED_OUT
from geoecon.finance.discounting import present_value
from geoecon.outputs import MONTHS as IN_MONTHS
from geoecon.resource.water import water_density
from geoecon.result import Assumption, FoundPrice, Result
from geoecon.steaming import CONDENSING, COOLEST, GOES_BACK, IN_STEAM, OF_GAS, OF_STEAM, SEPARATORS

MONTHS = ("January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November",
          "December")  # fmt: skip
MONTHLY_MEANS = "site.weather_file: monthly means"
CLIMATE = ("site.air_temperature", "site.weather_file", MONTHLY_MEANS, "site.daily_swing", "site.air_temperature_offset",
           "site.relative_humidity", "plant.design_air_temperature")  # fmt: skip
STEAM = (
    *SEPARATORS, *(f"{path}: {name}" for path in SEPARATORS for name in ("pressure", OF_STEAM)), COOLEST, "resource.gas",
    "resource.gas_pressure", OF_GAS, IN_STEAM, "wells.wellhead_pressure",
    "plant.gas_removal", "plant.ejector_steam", "plant.compressor_efficiency", CONDENSING,
    "plant.least_condensing_temperature",
)  # fmt: skip
OFF_DESIGN = ("plant.off_design", "plant.fan_speed", "plant.least_condensing_pressure", "plant.generator_limit")
PLANT = (
    "plant.kind", "plant.fluid", "plant.fluid: taken", "plant.layout", "plant.recuperator_pinch", "plant.performance",
    "plant.performance_factor", "resource.temperature", "wells.temperature_loss", "wells.bore_heat_loss",
    "wells.pipe_length", "plant.design_air_temperature",
    "site.air_temperature", "site.weather_file", MONTHLY_MEANS, "resource.silica",
    "plant.injection_temperature_floor",
    "plant.injection_temperature_floor: used", "plant.evaporating_temperature", "plant.turbine_efficiency",
    "plant.feed_pump_efficiency", "plant.generator_efficiency", "plant.pinch", "plant.condenser_approach",
    "plant.fan_power", "plant.auxiliary_power", *STEAM, "plant.cooling", "site.relative_humidity", "site.elevation",
    "plant.cooling: condensing temperature above the wet bulb", "plant.cooling: power of fans and circulating pump",
)  # fmt: skip
INLET = (
    "resource.temperature", "wells.temperature_loss", "wells.bore_heat_loss: lost in the well",
    "wells.pipe_length: lost in the line to the plant",
)  # fmt: skip
PUMPING = (
    "wells.depth", "wells.vertical_depth", "wells.static_level", "wells.productivity_index", "wells.injectivity_index",
    "wells.wellhead_pressure", "wells.bore_diameter", "wells.pump_efficiency", "wells.intake_margin",
    "wells.flow_per_producer", "wells.producers_per_injector", "resource.temperature", "wells.temperature_loss",
    "wells.bore_heat_loss", "site.elevation", "plant.brine_pressure_drop", "wells.pump", "wells.shut_in_pressure",
    "plant.tower_evaporation", GOES_BACK,
    *(f"wells.pump: {name}" for name in (
        "drawdown", "friction in a producer", "pressure kept at the wellhead", "depth of the intake",
        "pressure of a shut well above that kept", "pressure of injection at the wellhead",
    )),
)  # fmt: skip
BORE = (
    "wells.bore_heat_loss", "wells.flow_per_producer", "wells.depth", "wells.bore_diameter", "resource.temperature",
    "resource.rock_conductivity", "resource.rock_density", "resource.rock_heat_capacity", *CLIMATE,
)  # fmt: skip
LINE = (
    "wells.pipe_length", "wells.pipe_bore", "wells.pipe_insulation", "wells.insulation_conductivity",
    "wells.flow_per_producer", "wells.pipe_length: heat lost by a metre at the wellhead", "resource.temperature", *CLIMATE,
)  # fmt: skip
OUTAGES = ("operation.planned_outage", "operation.planned_outage_month", "operation.forced_outage",
           "timeline.delay")  # fmt: skip
COOLING = (
    "resource.temperature_path", "resource.temperature_decline", "resource.decline_start_years",
    "resource.decline_reference_flow", "resource.well_spacing", "resource.aquifer_thickness", "resource.swept_width",
    "resource.fracture_area", "resource.drawdown_parameter", "resource.porosity", "resource.rock_density",
    "resource.rock_heat_capacity", "resource.rock_conductivity", "resource.reinjection_temperature",
    "resource.temperature_table", "resource.table_factor",
    *(f"resource.temperature_path: {name}" for name in (
        "fall a year at the design flow", "start of the table", "last year of the table, mean", "flow of one pair of wells",
        "temperature of injection", "flow over one face", "time of conduction", "thermal breakthrough",
        "arrival of a tracer",
    )),
)  # fmt: skip
DECLINE = (
    *COOLING, "wells.flow_decline", "wells.decline_shape",
    "wells.decline_exponent", "plant.brine_slope", "plant.max_brine_flow", "makeup_wells", *OFF_DESIGN,
)  # fmt: skip
LOCAL_LOAD = ("community.local_load", "community.islanded", "community.standby_share")
STEP_RESTS_ON = {
    "gross_at_design": ("gross_capacity",),
    "weather": (*CLIMATE, *OFF_DESIGN, "plant.air_slope", "plant.stated_output", "plant.stated_capacity_factor"),
    "decline": DECLINE,
    "output_limit": ("plant.output_limit", "site.export_limit"),
    "plant_auxiliaries": ("plant_net_capacity",),
    "production_pumps": ("well_pump_power",),
    "injection_pumps": ("well_pump_power",),
    "planned_outage": OUTAGES[:2],
    "forced_outage": OUTAGES[2:],
    "curtailment": LOCAL_LOAD,
    "line_loss": ("site.line_loss",),
}
PRICE_SHAPE = (
    "market.price_basis", "market.price_growth", "market.price_schedule", "market.price_steps", "market.price_file",
    "market.term_years", "market.price_after_term", "market.tail_growth", "market.price_floor", "market.price_cap",
    "market.delivery_factors", "market.delivery_file",
)  # fmt: skip
PRICE = ("market.price", *PRICE_SHAPE)
INDEX = ("money.inflation", "money.price_year", "timeline.first_year")
WELL_COST = (
    "wells.cost_per_producer", "wells.cost_curve", *(f"wells.{name}" for name in RATES), *WORKED_OUT, "wells.cost_factor",
)  # fmt: skip
PHASES = (
    "wells.success", "wells.success_first", "wells.learning_wells", "wells.exploration_wells", "wells.success_exploration",
    "wells.existing_producers", "wells.existing_injectors",
)  # fmt: skip
CAPACITY_OF = {"gross": "gross_capacity", "plant-net": "plant_net_capacity", "net": "net_capacity"}
SPENDING = ("capital_cost", "timeline.build_years", "timeline.spending", "timeline.spending_time", *INDEX)
ROYALTY = (
    "operation.royalty", "operation.royalty_after", "operation.royalty_step_year", "operation.lease",
    "operation.lease: royalty from year 1", "operation.lease: royalty from year 11",
)  # fmt: skip
TAX_RATE = ("tax.rate", "tax.rules: rate", "tax.state_rate")
# Fields whose place a row of the dated table takes where nothing is stated.
TAX_FROM_TABLE = (
    "loss_limit", "convention", "depletion_rate", "depletion_limit", "interest_limit", "credit_rate", "credit_amount",
    "credit_basis_cut",
)  # fmt: skip
TAX = (
    *TAX_RATE, "tax.rules", "tax.losses", "tax.loss_years", "tax.holiday_years", "tax.depreciation", "tax.rules: method",
    "tax.depreciation_years", "tax.rules: years.production", "tax.rules: years.transmission", "tax.bonus_depreciation",
    "tax.rules: bonus", "tax.rules: bonus_begins", "tax.rules: bonus_longest_years", "tax.rules: bonus_earlier.2025",
    "tax.rules: bonus_earlier.2026", "tax.intangible_share",
    "tax.depletion", "tax.property_share", "tax.interest_limited", "tax.credit", "tax.credit_use", "tax.credit_growth",
    "tax.credit_years", "tax.credit_sale_price", "tax.construction_begins", "tax.wage_rules",
    "tax.rules: wage_rules_from", "tax.exempt_bonds", "tax.rules: exempt_bonds_cut",
    "tax.rules: credit_without_wage_rules", "tax.rules: small_below", "tax.energy_community", "tax.domestic_content",
    "tax.rules: credit_rate_adder", "tax.rules: credit_amount_adder", "tax.rules: credit_amount_year",
    "tax.rules: credit_share.2033", "tax.rules: credit_share.2034", "tax.rules: credit_share.2035",
    "tax.content_exception", "tax.rules: cash_share.2023", "tax.rules: cash_share.2024", "tax.rules: cash_share.2025",
    *(name for key in TAX_FROM_TABLE for name in (f"tax.{key}", f"tax.rules: {key}")),
)  # fmt: skip
WITHHOLDING = ("tax.withholding",)
LOAN = ("finance.debt_rate", "finance.debt_years", "finance.debt_shape")
RESERVES = ("finance.reserve_months", "finance.sustaining_funding", "finance.reserve_lookahead_years")
BORROWING = (*LOAN, *RESERVES, "finance.upfront_fee")
DISCOUNT = ("finance.discount_rate",)
EQUITY_RETURN = ("finance.equity_return",)


@dataclass(frozen=True)
class Term:
    """One number of a formula: its name in the formula, value, unit, and what it rests on, metrics and paths of inputs.

    said : how it is printed
    """

    label: str
    value: float
    unit: str
    rests_on: tuple[str, ...] = ()
    said: str = ""


@dataclass(frozen=True)
class Check:
    """Arithmetic that puts a number found by search back: what is left then, which must be nothing."""

    left: str
    formula: str
    unit: str


@dataclass(frozen=True)
class Working:
    """Terms, and the arithmetic over their labels, each in braces.

    formula : gives the value; empty for a number that is only found by search, which then has a check
    """

    terms: tuple[Term, ...]
    formula: str
    check: Check | None = None


@dataclass(frozen=True)
class Explained:
    """How a metric comes about: the formula in one sentence, and its working for a case."""

    words: str
    work: Callable[["Facts"], Working]


@dataclass(frozen=True)
class Facts:
    """What a result of one scenario says, as formulas of this file ask for it."""

    result: Result

    def at(self, found: FoundPrice) -> "Facts":
        """The same facts with the loan and reserves as they are at a price that was found by search."""
        return Facts(replace(self.result, annual={**self.result.annual, **found.columns}))

    @cached_property
    def rows(self) -> dict[str, Assumption]:
        """Path -> input as it was used."""
        return {row.path: row for row in self.result.assumptions}

    def has(self, path: str) -> bool:
        """Whether an input is stated or has a default."""
        return path in self.rows

    def words(self, path: str) -> str:
        """An input as text, empty where there is none."""
        return self.rows[path].value if path in self.rows else ""

    def given(self, path: str, absent: float = 0.0) -> float:
        """An input as a number in its unit inside."""
        return float(self.words(path) or absent)

    def listed(self, path: str) -> list[float]:
        """An input of several numbers."""
        return [float(number) for number in self.words(path).split(",") if number.strip()]

    def named(self, path: str) -> dict[str, float]:
        """An input of several numbers, each with a name."""
        pairs = (pair.rpartition(" ") for pair in self.words(path).split(",") if pair.strip())
        return {name.strip(): float(number) for name, _, number in pairs}

    def mass_flow(self, path: str) -> float:
        """A flow as mass  [kg/s]; a volume is that of hot water at the temperature it was stated at."""
        unit = self.rows[path].unit if path in self.rows else ""
        at = float(unit.partition(" at ")[2].split()[0]) if " at " in unit else 0.0
        return self.given(path, math.nan) * (float(water_density(np.array([at]))[0]) if unit.startswith("m3") else 1.0)

    def value(self, metric: str) -> float:
        """A metric, NaN where it does not exist."""
        return self.result.value(metric)

    def metric(self, name: str, label: str = "") -> Term:
        """A metric as a term."""
        unit = self.result.metrics[name].unit
        return Term(label or name.replace("_", " "), self.value(name), unit, (name,))

    def input(self, path: str, label: str, absent: float = 0.0) -> Term:
        """An input as a term."""
        unit = self.rows[path].unit if path in self.rows else ""
        return Term(label, self.given(path, absent), unit, (path,))

    def worked_out(self, path: str, label: str, unit: str, rests_on: tuple[str, ...]) -> Term:
        """What stands among the inputs because it was worked out from them, as a term."""
        return Term(label, self.given(path), unit, rests_on)

    def lost_on_the_way(self) -> list[Term]:
        """What brine loses between feed zone and plant: stated or conducted into rock, and in a line that is stated."""
        bore, line = "wells.bore_heat_loss: lost in the well", "wells.pipe_length: lost in the line to the plant"
        if self.has(bore):
            lost = self.worked_out(bore, "lost in the well", "K", BORE)
        else:
            lost = self.input(
                "wells.temperature_loss", f"lost on the way to the {'wellhead' if self.has(line) else 'plant'}"
            )
        return [lost, *([self.worked_out(line, "lost in the line to the plant", "K", LINE)] if self.has(line) else [])]

    @property
    def inlet(self) -> float:
        """Brine at the plant inlet at the start of year 1  [degC]."""
        return self.given("resource.temperature", math.nan) - sum(term.value for term in self.lost_on_the_way())

    def month_means(self) -> tuple[Floats, Floats]:
        """Air [degC] and unit net with everything in service [kW] of the months of year 1, (month,), of a plant with a map."""
        found = self.result.outputs[IN_MONTHS]
        return found.temperature[:, :, 0].mean(axis=1), found.power[:, :, 0].mean(axis=1)

    def wells(self, path: str, label: str) -> Term:
        """An input that is a number of wells as a term."""
        return Term(label, self.given(path), "wells", (path,))

    def column(self, name: str) -> Floats:
        """A yearly column, (year, 1)."""
        return self.result.annual[name]

    def worth(self, flows: Floats, rate: Floats) -> float:
        """Value at the end of year 0 of flows."""
        return float(present_value(flows, rate, self.result.times)[0])

    @property
    def currency(self) -> str:
        """Currency of the case."""
        return self.result.currency

    @property
    def first(self) -> int:
        """Row of operating year 1."""
        return self.result.build_years

    @property
    def discount(self) -> Floats:
        """Discount rate, nominal."""
        return self.result.asked["discount_rate"]

    @property
    def wanted(self) -> Floats:
        """Return wanted on the owner's money, nominal."""
        return self.result.asked["equity_return"]

    @property
    def shared(self) -> Floats:
        """Share of energy revenue that goes to others, (year, 1)."""
        return np.asarray(sum(self.result.revenue_shares.values(), start=np.zeros_like(self.initial)))

    @property
    def takers(self) -> tuple[str, ...]:
        """What that share rests on."""
        return (*ROYALTY, *(("operation.community_fund",) if "community_fund" in self.result.revenue_shares else ()))

    @property
    def tax_rate(self) -> float:
        """Rate of income tax."""
        federal, state = self.given("tax.rules: rate"), self.given("tax.state_rate")
        return self.given("tax.rate", federal + state - federal * state)

    @property
    def mapped(self) -> bool:
        """Whether the plant is worked out, or known by a vendor's table."""
        return self.words("plant.kind") != "stated" or self.has("plant.performance")

    @property
    def from_wells(self) -> bool:
        """Whether the capacity follows from wells that exist."""
        return self.mapped and self.words("plant.size_from") == "wells"

    @property
    def initial(self) -> Floats:
        """Initial capital, nominal, (year, 1)."""
        return self.column("capital") - self.column("sustaining_capital")

    @property
    def fixed_operating(self) -> Floats:
        """Operating cost without what is a share of revenue, nominal, (year, 1)."""
        accounts, shares = self.result.operating_accounts, self.result.revenue_shares
        return sum((v for name, v in accounts.items() if name not in shares), start=np.zeros_like(self.initial))

    def unit_net_energy(self, *rests_on: str) -> Term:
        """Energy of year 1 at the unit's meter, before what nobody takes."""
        return Term("unit net energy of year 1", float(self.result.ledger["unit_net"][0]), "MWh", rests_on)

    @property
    def operating_years(self) -> Term:
        """Number of operating years."""
        return self.input("timeline.operating_years", "operating years")

    def sum_before(self, flows: Floats) -> float:
        """Sum over the build years."""
        return float(over_years(flows[: self.first])[0])


def signed(plus: Iterable[Term], minus: Iterable[Term] = ()) -> Working:
    """A sum of terms; what is nothing but rounding beside the largest is left out, as long as something stays."""
    every, taken = list(plus), list(minus)
    least = 1e-12 * max((abs(term.value) for term in (*every, *taken)), default=0.0)
    more, less = ([term for term in terms if abs(term.value) > least] for terms in (every, taken))
    more = more if more or less else every[:1]
    formula = " + ".join(f"{{{term.label}}}" for term in more) or "0"
    return Working((*more, *less), formula + "".join(f" - {{{term.label}}}" for term in less))


def added(parts: Iterable[Working]) -> Working:
    """A sum of workings, each of their terms once."""
    every = list(parts)
    terms = {term.label: term for part in every for term in part.terms}
    return Working(tuple(terms.values()), " + ".join(part.formula for part in every) or "0")


def group(working: Working) -> str:
    """A formula as a factor: in parentheses unless it is one term."""
    return working.formula if len(working.terms) == 1 else f"({working.formula})"


def over(above: Working, below: Working) -> Working:
    """One formula over another."""
    return Working((*above.terms, *below.terms), f"{group(above)} / {group(below)}")


def one(term: Term) -> Working:
    return Working((term,), f"{{{term.label}}}")


def ratio(above: float, below: float) -> float:
    return above / below if below else math.nan

"""What a pass returns: metrics, yearly columns and the energy ledger, frozen, each with unit and basis; and as JSON."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from geoecon import __version__
from geoecon.arrays import Bools, Codes, Floats, over_years
from geoecon.case import Case
from geoecon.finance.books import Books
from geoecon.finance.discounting import present_value
from geoecon.finance.prices import PricePath, levelized_price
from geoecon.finance.reasons import Reason
from geoecon.finance.recipients import Payments
from geoecon.finance.stack import Stack
from geoecon.finance.stack import as_json as stack_json
from geoecon.plant.cooling import WaterUse
from geoecon.plant.fluids import Ranking

if TYPE_CHECKING:
    import pandas as pd


@dataclass(frozen=True)
class About:
    """What a metric is: its unit (`CUR` stands for the currency), basis, the point it is taken at, and its meaning.

    basis : none, nominal, real (money of the price year), or year 0 (money of year 0)
    """

    unit: str
    basis: str
    point: str
    meaning: str


METRICS: dict[str, About] = {
    "gross_capacity": About("MW", "none", "gross", "power at the generator terminals at the design point"),
    "plant_net_capacity": About("MW", "none", "plant net", "gross less plant use at the design point"),
    "net_capacity": About("MW", "none", "unit net", "plant net less well pumps at the design point"),
    "summer_capacity": About("MW", "none", "unit net", "at the mean air of the hottest month"),
    "well_pump_power": About("MW", "none", "well pumps", "production and injection pumps at the design point"),
    "producers": About("wells", "none", "field", "producers in service at the start of year 1, whole"),
    "injectors": About("wells", "none", "field", "injectors in service at the start of year 1, whole"),
    "wells_drilled": About("wells", "none", "field", "wells expected to be drilled before year 1, failures in"),
    "makeup_wells": About("wells", "none", "field", "make-up wells expected to be drilled over the life, failures in"),
    "brine_flow": About("kg/s", "none", "plant inlet", "brine into the plant at the design point"),
    "injection_temperature": About("degC", "none", "plant outlet", "brine leaving the plant at the design point"),
    "last_brine_temperature": About(
        "degC", "none", "plant inlet", "brine into the plant, mean of the last operating year"
    ),
    "first_year_energy": About("MWh", "none", "delivered", "energy delivered in year 1"),
    "lifetime_energy": About("MWh", "none", "delivered", "energy delivered over the operating years"),
    "lowest_month_energy": About("MWh", "none", "delivered", "energy of the weakest month of year 1"),
    "curtailed_energy": About("MWh", "none", "unit net", "energy of year 1 that nobody takes"),
    "net_capacity_factor": About("1", "none", "unit net", "unit-net energy of year 1 over net capacity x 8,760 h"),
    "capital_cost": About("CUR", "real", "none", "initial capital, overnight, with contingency and expected dry holes"),
    "capital_cost_per_kw": About("CUR/kW", "real", "unit net", "initial capital over net capacity"),
    "capital_at_risk": About("CUR", "real", "none", "money spent before the first commercial well is proven"),
    "interest_during_construction": About("CUR", "nominal", "none", "interest paid before year 1"),
    "debt": About("CUR", "nominal", "none", "debt at the end of year 0"),
    "equity": About("CUR", "nominal", "none", "money the owner puts in before year 1"),
    "first_year_operating_cost": About("CUR/yr", "real", "none", "operating cost of year 1, royalty left out"),
    "wacc": About("1/yr", "nominal", "none", "after-tax weighted cost of capital"),
    "life_cycle_cost": About("CUR", "year 0", "none", "value of all cost over the life, no tax, grant or loan"),
    "lcoe_real": About("CUR/MWh", "real", "delivered", "levelized cost, no income tax or credit, price-year money"),
    "lcoe_nominal": About("CUR/MWh", "nominal", "delivered", "levelized cost, no tax or credit, as one level price"),
    "lcoe_after_tax_real": About("CUR/MWh", "real", "delivered", "level price at which value after tax is zero"),
    "lcoe_after_tax_nominal": About(
        "CUR/MWh", "nominal", "delivered", "level nominal price at which value after tax is zero"
    ),
    "required_price": About(
        "CUR/MWh", "nominal", "delivered", "lowest price of year 1 that gives the owner what is needed"
    ),
    "price_levelized_nominal": About(
        "CUR/MWh", "nominal", "delivered", "level price worth the same as the stated prices"
    ),
    "price_levelized_real": About(
        "CUR/MWh", "real", "delivered", "level price worth the stated prices, price-year money"
    ),
    "npv": About("CUR", "year 0", "none", "value of the project after tax at the discount rate"),
    "npv_at_decision": About(
        "CUR", "nominal", "none", "value of the project at the end of the decision year, in its money"
    ),
    "irr_project": About("1/yr", "nominal", "none", "rate of return of the project after tax"),
    "npv_equity": About("CUR", "year 0", "none", "value to the owner at the return wanted"),
    "irr_equity": About("1/yr", "nominal", "none", "rate of return on the owner's money"),
    "mirr": About("1/yr", "nominal", "none", "rate of return with earnings put to work at the discount rate"),
    "payback": About("yr", "none", "none", "years from the end of year 0 until the outlay is back for good"),
    "payback_whole_years": About("yr", "none", "none", "years until the outlay is back for good, whole"),
    "discounted_payback": About("yr", "none", "none", "years until the outlay is back, flows discounted"),
    "profitability_index": About("1", "none", "none", "1 + value over the value of initial capital"),
    "net_benefits": About("CUR", "year 0", "none", "cost of the supply replaced less life-cycle cost, as values"),
    "savings_to_investment_ratio": About("1", "none", "none", "savings on the supply replaced over what is invested"),
    "adjusted_rate_of_return": About("1/yr", "nominal", "none", "what the investment grows at by savings put to work"),
    "dscr_min": About("1", "none", "none", "least cover of debt service by cash"),
    "dscr_mean": About("1", "none", "none", "mean cover of debt service by cash"),
    "llcr": About("1", "none", "none", "value of cash over the loan years over the loan, end of year 0"),
    "plcr": About("1", "none", "none", "value of cash over the operating years over the loan, end of year 0"),
    "tier_min": About("1", "none", "none", "least number of times that interest is earned, after book depreciation"),
    "revenue_requirement_levelized": About(
        "CUR/MWh", "nominal", "delivered", "level price worth the revenue that a utility must collect"
    ),
    "total_commitment": About(
        "CUR", "nominal", "none", "debt, the owner's money before year 1, and what later years want of the owner"
    ),
    "homes_low": About("homes", "none", "home meter", "homes whose yearly use it equals, the low figure"),
    "homes_high": About("homes", "none", "home meter", "homes whose yearly use it equals, the high figure"),
    "local_load_share": About("1", "none", "delivered", "share of the local load of year 1 that it meets"),
    "fuel_replaced": About("L/yr", "none", "none", "fuel of the supply it replaces, life mean"),
    "fuel_replaced_value": About("CUR/yr", "real", "none", "what that fuel costs, delivered"),
    "fuel_still_burned_value": About("CUR/yr", "real", "none", "what the rest of the local load still costs in fuel"),
    "co2_avoided": About("t/yr", "none", "delivered", "CO2 of the grid's average energy that it replaces, life mean"),
}

COLUMNS: dict[str, str] = {
    "year": "yr", "calendar_year": "yr", "brine_flow": "kg/s", "brine_temperature": "degC", "producers": "wells",
    "gross_energy": "MWh", "delivered_energy": "MWh", "price": "CUR/MWh", "revenue": "CUR", "operating_cost": "CUR",
    "capital": "CUR", "sustaining_capital": "CUR", "decommissioning": "CUR", "grant": "CUR", "debt_drawn": "CUR",
    "fees": "CUR", "interest": "CUR", "principal": "CUR", "debt_balance": "CUR", "reserve_balance": "CUR",
    "depreciation": "CUR", "drilling_expensed": "CUR", "depletion": "CUR", "credit": "CUR", "recapture": "CUR", "tax": "CUR",
    "tax_unlevered": "CUR",
    "book_depreciation": "CUR", "withheld": "CUR", "cfads": "CUR", "cash_flow_project": "CUR", "cash_flow_equity": "CUR",
    "dscr": "1", "loan_life_cover": "1", "project_life_cover": "1", "cash_to_spare": "1",
}  # fmt: skip


@dataclass(frozen=True)
class Metric:
    """Values (scenario,) with unit, basis and point; NaN where the code of `finance.reasons` is not 0."""

    values: Floats
    unit: str
    basis: str
    point: str
    codes: Codes
    note: str = ""

    @property
    def reason(self) -> str:
        """Why the first scenario without a value has none."""
        missing = np.flatnonzero(self.codes)
        return self.reason_at(int(missing[0])) if missing.size else ""

    def reason_at(self, scenario: int) -> str:
        """Why a scenario has no value; empty where it has one."""
        reason = Reason(int(self.codes[scenario]))
        if not (reason and self.note):
            return reason.words
        return self.note if reason is Reason.NOT_GIVEN else f"{reason.words}; {self.note}"

    def as_json(self) -> dict[str, Any]:
        """`{value, unit, basis, point}`, or `{value: null, unit, reason}`, of the first scenario."""
        if self.codes[0]:
            return {"value": None, "unit": self.unit, "reason": self.reason}
        shown = {"value": float(self.values[0]), "unit": self.unit, "basis": self.basis, "point": self.point}
        return shown | ({"note": self.note} if self.note else {})


@dataclass(frozen=True)
class Assumption:
    """One input as it was used: path, value in words, unit, where it comes from, and how good that evidence is."""

    path: str
    value: str
    unit: str
    source: str
    evidence: str


@dataclass(frozen=True)
class FoundPrice:
    """A price that was found by search, put back.

    path : the price of each year, its `first` the price that was found  [money/MWh]
    tax : (year, scenario) tax less credits at these prices, nominal  [money]; of the project without debt under
        `lcoe_after_tax_*`, of the owner under `required_price`. NaN where no price was found
    withheld : (year, scenario)  of cash paid to the owner at these prices  [money]; zero under `lcoe_after_tax_*`
    columns : yearly columns of the loan and reserves at these prices, other ones than stated where they follow cash
    """

    path: PricePath
    tax: Floats
    withheld: Floats
    columns: Mapping[str, Floats]


@dataclass(frozen=True)
class Output:
    """Power of the unit over temperatures, with everything in service, the axis of scenarios last.

    temperature : of air or of brine  [degC];  power : of the same shape  [kW]
    ideal : the same with the best cycle at every temperature, where a plant keeps what it was built with; else None
    limit : the most that the unit may run at, (scenario,), where power is what it runs at  [kW]; else None
    """

    temperature: Floats
    power: Floats
    ideal: Floats | None = None
    limit: Floats | None = None


@dataclass(frozen=True)
class Result:
    """One pass. `annual` has build years first; money is nominal; every array ends in the scenario axis.

    case : what was worked out.  Yearly columns, warnings, assumptions and prices put back are made when they are looked at

    monthly_energy : delivered in each month of year 1, (month, scenario)  [MWh]
    outputs : of a plant known by a map, as `outputs` names them: over air and over brine; empty for a stated plant
    told : paths set besides the file;  held : whether the design was made before;  asked : discount_rate, equity_return
    (nominal, a year) and target_dscr, (scenario,);  discount_origin : stated, or what it was worked out as
    times : (year, 1) of each row's flows from the end of year 0  [yr];  index : price level over that of the price year
    loan_rate : (scenario,) nominal  [1/yr];  revenue_shares : account -> (year, scenario) of energy revenue  [1]
    payments : who pays what to whom
    requirement : part -> (year, scenario) revenue that a utility must collect, nominal  [money]; empty for other owners
    other_revenue : (year, scenario) that no price per MWh stands behind  [money]
    sustaining_from_cash : (year, scenario) sustaining capital as a year's cash bears it, paid or saved for  [money]
    found_prices : the metrics that are prices found by search, and the price that gives the return asked, each put back
    stacks : what one MWh costs, part by part, in `real` and in `nominal` money
    fluids : working fluids beside one another where the best was chosen, None otherwise
    water : make-up water of a wet cooling tower, None where there is none
    overpaid : where grant and debt as stated are more than all uses of money, and less of them is taken, (scenario,)
    """

    case: Case
    name: str
    source: str
    told: Sequence[str]
    owner: str
    currency: str
    price_year: int
    held: bool
    asked: Mapping[str, Floats]
    discount_origin: str
    times: Floats
    index: Floats
    loan_rate: Floats
    revenue_shares: Mapping[str, Floats]
    payments: Payments
    requirement: Mapping[str, Floats]
    other_revenue: Floats
    sustaining_from_cash: Floats
    found_prices: Mapping[str, FoundPrice]
    build_years: int
    metrics: Mapping[str, Metric]
    annual: Mapping[str, Floats]
    units: Mapping[str, str]
    operating_accounts: Mapping[str, Floats]
    capital_accounts: Mapping[str, Floats]
    monthly_energy: Floats
    outputs: Mapping[str, Output]
    ledger: Mapping[str, Floats]
    ledger_life: Mapping[str, Floats]
    books: Books
    stacks: Mapping[str, Stack]
    overpaid: Bools
    fluids: Ranking | None
    water: WaterUse | None
    warnings: Sequence[str]
    assumptions: Sequence[Assumption]

    @property
    def digest(self) -> str:
        """Fingerprint of all values of the case."""
        return self.case.digest.hex()

    @property
    def scenarios(self) -> int:
        """Number of scenarios."""
        return int(self.metrics["net_capacity"].values.size)

    @property
    def price_at_own_rate(self) -> Floats | None:
        """Level price worth the stated prices at a utility's own rate, (scenario,)  [money/MWh]; None for other owners.

        To hold against the revenue required, which is levelized at the same rate. NaN without price or energy.
        """
        if not self.requirement:
            return None
        ones, energy, rate = np.ones_like(self.times), self.annual["delivered_energy"], self.asked["requirement_rate"]
        return levelized_price(self.annual["price"], energy, rate, self.times, ones)

    def value(self, metric: str) -> float:
        """The value of a metric of a single case, NaN where it does not exist.

        Raises `KeyError` for an unknown metric and `ValueError` where there are several scenarios.
        """
        if self.scenarios != 1:
            raise ValueError(f"{metric!r} has {self.scenarios} scenarios; read result.metrics[{metric!r}].values")
        return float(self.metrics[metric].values[0])

    def frame(self) -> "pd.DataFrame":
        """The annual table of a single case, one row a year."""
        import pandas as pd

        return pd.DataFrame({name: values[:, 0] for name, values in self.annual.items()}).set_index("year")

    def metrics_frame(self) -> "pd.DataFrame":
        """All metrics, one row a scenario."""
        import pandas as pd

        return pd.DataFrame({name: metric.values for name, metric in self.metrics.items()})

    def as_json(self) -> dict[str, Any]:
        """Everything of the first scenario as plain objects; what does not exist is null."""
        return {
            "case": {
                "name": self.name,
                "hash": self.digest,
                "set_for_this_run": list(self.told),
                "design": "held" if self.held else "sized for this case",
                "version": __version__,
            },
            "metrics": {name: metric.as_json() for name, metric in self.metrics.items()},
            "units": dict(self.units),
            "annual": {
                name: _plain(values[:, 0], whole=name in {"year", "calendar_year"})
                for name, values in self.annual.items()
            },
            "monthly_energy": _plain(self.monthly_energy[:, 0]),
            "ledger": {name: float(values[0]) for name, values in self.ledger.items()},
            "ledger_life": {name: float(values[0]) for name, values in self.ledger_life.items()},
            "operating_accounts": {name: _plain(values[:, 0]) for name, values in self.operating_accounts.items()},
            "capital_accounts": {name: float(values[0]) for name, values in self.capital_accounts.items()},
            "books": self.books.as_json(),
            "stack": stack_json(self.stacks, self.case.money.inflation),
            "payments": [
                {"payer": p.payer, "recipient": p.recipient, "account": p.account, **self._received(p.flows)}
                for p in self.payments.lines
            ],
            "recipients": {
                name: self._received(flows) | {"by_year": _plain(flows[:, 0])}
                for name, flows in self.payments.recipients.items()
            },
            "revenue_requirement": {name: _plain(values[:, 0]) for name, values in self.requirement.items()},
            **({} if self.fluids is None else {"fluids": self.fluids.as_json()}),
            **({} if self.water is None else {"water": self.water.as_json()}),
            "warnings": list(self.warnings),
            "assumptions": [vars(assumption) for assumption in self.assumptions],
        }

    def _received(self, flows: Floats) -> dict[str, Any]:
        """What is received in year 1, over the life, and its value at the discount rate; null without a price."""
        worth = present_value(flows, self.asked["discount_rate"], self.times)
        first, life, value = _plain(np.array([flows[self.build_years, 0], over_years(flows)[0], worth[0]]))
        return {"year_1": first, "life": life, "present_value": value, "unit": self.currency}

    def to_json(self) -> str:
        """The same as text."""
        return json.dumps(self.as_json(), indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def in_money(text: str, currency: str) -> str:
    """A unit with the currency in it."""
    return text.replace("CUR", currency)


def _plain(values: Floats, *, whole: bool = False) -> list[float | int | None]:
    return [None if not np.isfinite(v) else int(v) if whole else float(v) for v in values]

"""Every field of a case file, described once.

Names that end in `_years` or `_months`, calendar years and counts are bare whole numbers; ratios and exponents are bare
numbers; everything else is text with a unit. What may be given per account is a table of accounts, `all` for the rest.
The exact meaning of each field is in its help, which `geoecon fields` prints.
"""

from pydantic import Field

from geoecon.arrays import Floats
from geoecon.case.decision import Decision
from geoecon.case.fields import (
    BIG,
    Span,
    Stated,
    Table,
    by_account,
    by_year,
    choice,
    count,
    currency,
    from_years,
    months,
    number,
    plain,
    span,
    switch,
    words,
)
from geoecon.case.plant import Plant
from geoecon.case.resource import Resource
from geoecon.case.taxes import Tax
from geoecon.case.uncertainty import Declared
from geoecon.case.wells import Wells

ACCOUNTS = (
    "exploration", "slim_holes", "permits", "wells", "pumps", "plant", "gathering", "grid_connection", "owners_cost",
)  # fmt: skip


class Project(Table):
    """What is proposed and by whom."""

    name: str = words("Name of the project")
    summary: str = words("One sentence on what it is and for whom", default="")
    owner: str = choice(
        ("private", "utility", "cooperative", "public", "partnership"), "Kind of owner; public: municipal or tribal",
        default="private",
    )  # fmt: skip
    estimate_class: dict[str, int] | None = by_account(
        "count", 1, 5, "AACE class of the cost estimate, 5 the roughest, whole or by account", ACCOUNTS, varies=False
    )


class Money(Table):
    """The one currency of the case, and the year whose money costs are in."""

    currency: str = currency("Three-letter code of the currency, such as USD")
    price_year: int = count(1900, 2200, "Year whose money all cost inputs are in, mid-year price level", default=...)
    inflation: Floats = number(
        "rate", -0.1, 1, "General price growth a year; moves every cost from the price year", default="0 %/yr"
    )


class Timeline(Table):
    """Build years -B+1 to 0, operating years 1 to N."""

    first_year: int = count(1900, 2300, "Calendar year of operating year 1; year 0 is the one before", default=...)
    build_years: int = count(1, 15, "Years with initial capital, ending with year 0", default=1)
    operating_years: int = count(1, 60, "Operating years", default=...)
    spending: dict[str, tuple[float, ...]] | None = by_account(
        "shares", 0, 1, "Shares of initial capital by build year, sum 1; absent: equal shares", ACCOUNTS, varies=False
    )
    spending_time: str = choice(("end", "middle"), "When in a build year money is spent", default="end")
    delay: Floats = number(
        "duration", 0, 3,
        "How much later than planned the unit starts; the calendar of operating years, debt service, costs that do not go "
        "with energy, ageing of the field and prices stays, and the energy of the time missed is lost, with capacity "
        "payments: it counts in the ledger as forced outage, from the first month on, so the capacity factor of year 1 falls",
        default="0 months",
    )  # fmt: skip
    decision_year: int | None = count(
        1900, 2300, "Calendar year at whose end present values are stated again; absent: first build year"
    )


class Site(Table):
    """Where it stands."""

    air_temperature: tuple[float, ...] | None = months(
        "temperature", -60, 60, "Monthly mean dry-bulb temperatures at the coolers"
    )
    weather_file: str | None = words(
        "In the place of `air_temperature`: the hours of a year, beside the case, in the format EPW; monthly means and the "
        "spread within each month follow",
        default=None,
    )
    daily_swing: Floats = number(
        "difference", 0, 40,
        "From the mean coolest to the mean warmest hour of a day, with `air_temperature`: a month's energy is then a mean over "
        "the swing. Some 6 K on coasts to 18 K in high deserts (common practice); a weather file holds its own",
        default="0 K", varies=False,
    )  # fmt: skip
    air_temperature_offset: Floats = number(
        "difference", -20, 20, "Added to every monthly mean; the way to vary the climate", default="0 K"
    )
    relative_humidity: tuple[float, ...] | None = months(
        "share", 0.05, 1,
        "Monthly mean relative humidity of the air, which wet cooling needs. Through a day the air holds the vapour of its "
        "month's mean, so that warm hours are dry; at the design air temperature it is the annual mean",
    )  # fmt: skip
    elevation: Floats = number(
        "length", -430, 5000, "Height above sea level; turns gauge into absolute pressure", default="0 m"
    )
    line_loss: Floats = number(
        "share", 0, 0.5, "Share of unit-net energy lost between the unit's meter and the delivery point", default="0 %"
    )
    export_limit: Floats | None = number("power", 0, 1e7, "Most power that the connection takes, at the unit's meter")
    grid_emission_factor: Floats | None = number(
        "emission", 0, 2000, "CO2 of the grid's average MWh, which the unit's energy replaces"
    )

    @property
    def states_air(self) -> bool:
        """Whether the air of the months is stated, as means or in a file."""
        return self.air_temperature is not None or self.weather_file is not None


class Operation(Table):
    """Running it. Costs are price-year money."""

    planned_outage: Floats = number("time out", 0, 0.9, "Share of the year off by plan", default="0 %")
    planned_outage_month: int | None = count(1, 12, "Month that takes the planned outage; absent: spread evenly")
    forced_outage: Floats = number(
        "share", 0, 0.9, "Share of the remaining hours lost without plan, deratings included", default="0 %"
    )
    fixed_cost: Stated | None = number(
        ("money a year", "money per kW a year"), 0, BIG, "For the unit, or per kW of `net_capacity`; the unit decides"
    )
    staff_floor: Floats | None = number("money a year", 0, BIG, "Fixed cost is at least this")
    variable_cost: Floats | None = number("price", 0, BIG, "Per MWh of unit net")
    water_cost: Floats | None = number(
        "price of water", 0, BIG, "Per m3 of make-up water of a wet tower; absent: water is counted and not paid for"
    )
    wellfield_cost: Floats | None = number("money a year", 0, BIG, "Per well in service, producers and injectors")
    pump_life_years: int | None = count(1, 60, "Years between replacements of one production pump")
    pump_stop_years: int | None = count(
        1, 60, "Years that a new pump has to run: with fewer left none is replaced; absent: one year"
    )
    pump_cost: Floats | None = number("money", 0, BIG, "One production pump, pulling and setting included")
    insurance: Stated | None = number(
        ("rate", "money a year"), 0, BIG, "A year: share of initial capital, or money", bounds={"rate": (0, 0.2)}
    )
    property_tax: Stated | None = number(
        ("rate", "money a year"), 0, BIG, "A year: share of initial capital, or money", bounds={"rate": (0, 0.2)}
    )
    property_tax_abatement: Floats | None = number(
        "share", 0, 1, "Share of the property tax that is forgiven for `property_tax_abatement_years`"
    )
    property_tax_abatement_years: int | None = count(1, 60, "Operating years, from the first, with the abatement")
    royalty: Floats = number("share", 0, 0.5, "Share of gross proceeds of energy", default="0 %")
    royalty_after: Floats | None = number(
        "share", 0, 0.5, "Royalty from operating year `royalty_step_year` on; absent: the same for the life"
    )
    royalty_step_year: int | None = count(2, 60, "First operating year in which `royalty_after` holds")
    lease: str = choice(
        ("none", "federal-us"),
        "Dated terms of a lease (royalty, rent, and who shares them), in the place of `royalty`",
        default="none",
    )
    lease_acres: Floats | None = plain(
        0, 1e6, "Acres under the lease, on which its rent is charged from operating year 1; absent: no rent"
    )
    community_fund: Stated | None = number(
        ("share", "price", "money a year"), 0, BIG,
        "Paid to the community: share of gross proceeds of energy, or money per MWh delivered or a year, price-year money",
        bounds={"share": (0, 0.2)},
    )  # fmt: skip
    land: Floats | None = number("money a year", 0, BIG, "Rent of land")
    real_growth: Floats = number("rate", -0.1, 0.2, "Growth of operating costs above inflation", default="0 %/yr")


class Capital(Table):
    """What is bought besides wells and plant. Price-year money; the grant is nominal."""

    exploration: Floats | None = number("money", 0, BIG, "Surveys and exploration holes still to be paid")
    permits: Floats | None = number("money", 0, BIG, "Permits, studies, consultation")
    gathering: Floats | None = number("money", 0, BIG, "Pipes between wells and plant")
    grid_connection: Floats | None = number("money", 0, BIG, "Line, substation and the buyer's connection charge")
    owners_cost: Stated | None = number(
        ("share", "money"), 0, BIG, "Money, or a share of all other initial capital", bounds={"share": (0, 1)}
    )
    contingency: dict[str, Floats] | None = by_account(
        "share", 0, 2, "Share added to each account; wells only when they are named, since dry holes are counted apart",
        ACCOUNTS,
    )  # fmt: skip
    spent_to_date: Floats | None = number("money", 0, BIG, "Already spent: shown, and left out of every decision")
    grant: Floats | None = number("money", 0, BIG, "Grant, nominal, received with the spending; cuts the tax basis")
    decommissioning: Floats | None = number("money", 0, BIG, "Spent in the last operating year")
    decommissioning_bond: Floats | None = number(
        "rate", 0, 0.2, "Premium a year, through the operating years, of a bond for the cost of decommissioning"
    )

    decommissioning_fund_years: int | None = count(
        1, 60, "Years over which the cost of decommissioning is put aside before it is paid, in equal parts that bear no "
        "interest; absent: all of it comes from the cash of the last operating year",
    )  # fmt: skip


class Market(Table):
    """What the energy earns at the delivery point."""

    price_form: str = choice(
        ("growing", "stepped", "schedule", "file"),
        "One price that grows or, without growth, stays; prices that hold from some years on; a price for each year, here or "
        "in a file",
        default="growing",
    )
    price: Floats | None = number(
        "price", 0, 1e9, "Per delivered MWh in operating year 1, money of that year or of the price year"
    )
    price_basis: str = choice(
        ("nominal", "real"), "Nominal: money of the year it is paid in; real: price-year money", default="nominal"
    )
    price_growth: Floats = number(
        "rate", -0.2, 0.5, "Growth a year from operating year 2, nominal or real with the basis", default="0 %/yr"
    )
    price_schedule: tuple[float, ...] | None = by_year("price", 0, 1e9, "Prices by operating year, with `schedule`")
    price_steps: dict[str, float] | None = from_years(
        "price",
        0,
        1e9,
        "With `stepped`: operating year -> price from then on, on the basis of `price`; year 1 is the first",
    )
    price_file: str | None = words(
        "With `file`: CSV beside the case with the columns year (operating or calendar), price [per MWh], currency; years "
        "after `term_years`, where that is stated, are prices of the market that follow the contract",
        default=None,
    )
    term_years: int | None = count(1, 60, "Years that the price holds, from operating year 1; absent: the life")
    price_after_term: Floats | None = number(
        "price", 0, 1e9, "First price after the term, on the basis of `price`; grows like it"
    )
    tail_growth: Floats | None = number(
        "rate",
        -0.2,
        0.5,
        "Growth a year of the price after the term; absent: like `price`, and none after a list of prices",
    )
    price_floor: Floats | None = number(
        "price", 0, 1e9,
        "The price of a year, after the term as well, is never below this, on the basis of `price`; before delivery factors",
    )  # fmt: skip
    price_cap: Floats | None = number(
        "price", 0, 1e9,
        "The price of a year, after the term as well, is never above this, on the basis of `price`; before delivery factors",
    )  # fmt: skip
    delivery_factors: tuple[float, ...] | None = months(
        "", 0, 20,
        "By month, what the price is multiplied by at the time of delivery, through the term; 1 on average over the hours of "
        "the year, within 0.3 %, and used as given; weighted with the energy of the months of year 1",
    )  # fmt: skip
    delivery_file: str | None = words(
        "The same by blocks of hours: CSV beside the case with the columns month (1 to 12), block, share of hours (of the "
        "month), factor; output is taken as even within a month",
        default=None,
    )
    guaranteed_energy: Floats | None = number(
        "energy a year", 0, 1e12, "Energy of each year of the term that is promised at the delivery point"
    )
    shortfall_penalty: Floats | None = number(
        "price", 0, 1e9, "Paid per MWh that is promised and not delivered, nominal; an operating cost"
    )
    capacity_price: Floats | None = number(
        "money per kW a year",
        0,
        BIG,
        "Paid for `net_capacity` besides energy, through the life, on the basis of `price`",
    )

    @property
    def states_price(self) -> bool:
        """Whether a price is stated, in any form."""
        return any(p is not None for p in (self.price, self.price_schedule, self.price_steps, self.price_file))


class Finance(Table):
    """Rates are nominal."""

    discount_rate: Floats | None = number(
        "rate", 0, 1, "Nominal, after tax, for measures of the whole project; absent: the after-tax WACC"
    )
    equity_return: Floats | None = number(
        "rate", 0, 1, "Nominal after-tax return wanted on equity; absent: the discount rate"
    )
    debt_share: Floats = number(
        "share", 0, 1, "Debt at the end of year 0 over total uses; drawn in proportion to them", default="0 %"
    )
    debt_rate: Floats | None = number("rate", 0, 0.5, "Interest on the debt")
    debt_years: int | None = count(1, 60, "Years of repayment, from operating year 1")
    debt_shape: str = choice(
        ("level", "equal-principal", "sculpted"),
        "How the debt is repaid: level payments, equal principal, or sculpted, the same cover in every year",
        default="level",
    )
    debt_sizing: str = choice(
        ("share", "cover"),
        "Share: the debt is `debt_share` of total uses; cover: it is at most that, and no more than the cash of the "
        "lender's case covers `target_dscr` times in every debt year",
        default="share",
    )
    lender_energy: Floats = number(
        "share", 0.3, 1,
        "Lender's case: the share of the expected energy on which debt is sized by cover and sculpted, at the stated price; "
        "costs stay as expected",
        default="100 %",
    )  # fmt: skip
    lender_energy_by_year: tuple[float, ...] | None = by_year(
        "share",
        0.3,
        1,
        "The same year by year, in place of `lender_energy`; the last share holds for the years after it",
    )
    grace_years: int = count(0, 15, "Of the years of repayment, how many bear interest only, from the first", default=0)
    construction_rate: Floats | None = number(
        "rate", 0, 0.5, "Interest while building, when another loan than the term loan pays for it; absent: `debt_rate`"
    )
    commitment_fee: Floats = number(
        "rate", 0, 0.1, "A year, on debt promised and not drawn yet, from the first year of spending", default="0 %/yr"
    )
    balloon: Floats = number(
        "share", 0, 0.95, "Share of the debt still owed after `debt_years`, then repaid by a second loan", default="0 %"
    )
    refinance_years: int | None = count(1, 60, "Years of repayment of that second loan, at level payments")
    refinance_rate: Floats | None = number("rate", 0, 0.5, "Interest on the second loan; absent: `debt_rate`")
    refinance_fee: Floats = number("share", 0, 0.2, "Fee of the second loan, as a share of it", default="0 %")
    target_dscr: Floats = plain(0.5, 10, "Cover ratio that lenders want in every debt year", default=1.3)
    lockup_dscr: Floats = plain(
        0, 10, "Cover ratio of a year below which lenders let nothing be paid out to the owner; 0: never", default=0.0
    )
    reserve_months: int = count(0, 24, "Months of the next year's debt service held in reserve", default=0)
    sustaining_funding: str = choice(
        ("reserve", "cash"), "Pumps and make-up wells: from a reserve filled before, where there is a loan, or from cash",
        default="reserve",
    )  # fmt: skip
    reserve_lookahead_years: int = count(1, 30, "Years over which the reserve for one purchase is filled", default=5)
    upfront_fee: Floats = number("share", 0, 0.2, "Share of the debt, paid with the first draw", default="0 %")
    allowed_return: Floats | None = number(
        "rate", 0, 1, "Only `utility`: return allowed on the equity share of the rate base; absent: `equity_return`"
    )
    target_tier: Floats | None = plain(
        1, 10, "Only `cooperative` and `public`: times that interest is earned in every debt year; absent: not asked"
    )
    commitment_cap: Floats | None = number("money", 0, BIG, "Most money that the owner may be committed to, nominal")


class Community(Table):
    """What it means for the people nearby."""

    household_use: Span | None = span(
        "energy a year",
        0.05,
        100,
        "One home's yearly use, low and high; one number makes the range come from energy alone",
    )
    distribution_loss: Floats = number(
        "share",
        0,
        0.5,
        "Between the delivery point and homes",
        default="4.2 %",
        source="egrid2023",
        evidence="official",
    )
    local_load: tuple[float, ...] | None = months(
        "energy", 0, 1e9, "Monthly energy wanted at the delivery point, or a yearly figure, spread evenly",
        yearly="energy a year",
    )  # fmt: skip
    islanded: bool = switch("Whether no grid takes what the local load does not")
    current_price: Floats | None = number(
        "price", 0, 1e9, "Paid now for the supply this energy would replace; not retail"
    )
    retail_price: Floats | None = number("price", 0, 1e9, "What a home pays per unit of energy")
    displaced_fuel_use: Floats | None = number("fuel use", 0, 5000, "Fuel per MWh of the supply replaced")
    displaced_fuel_price: Floats | None = number("fuel price", 0, 1e9, "Price of that fuel, delivered")
    standby_share: Floats = number(
        "share", 0, 1, "Share of the local load that other machines must keep serving", default="0 %"
    )


class Note(Table):
    """Where a value comes from."""

    source: str = words("Document, person or measurement")
    date: str = words("When", default="")
    who: str = words("Who entered it", default="")


TABLES: dict[str, type[Table]] = {
    "project": Project,
    "money": Money,
    "timeline": Timeline,
    "site": Site,
    "resource": Resource,
    "wells": Wells,
    "plant": Plant,
    "operation": Operation,
    "capital": Capital,
    "market": Market,
    "finance": Finance,
    "tax": Tax,
    "community": Community,
}


class CaseTables(Table):
    """The tables of a case; `Case` adds reading, changing and writing."""

    project: Project
    money: Money
    timeline: Timeline
    site: Site = Field(default_factory=Site)
    resource: Resource = Field(default_factory=Resource)
    wells: Wells = Field(default_factory=Wells)
    plant: Plant
    operation: Operation = Field(default_factory=Operation)
    capital: Capital = Field(default_factory=Capital)
    market: Market = Field(default_factory=Market)
    finance: Finance = Field(default_factory=Finance)
    tax: Tax = Field(default_factory=Tax)
    community: Community = Field(default_factory=Community)
    uncertainty: Declared = Field(default_factory=Declared)
    decision: Decision = Field(default_factory=Decision)
    notes: dict[str, Note] = Field(default_factory=dict)

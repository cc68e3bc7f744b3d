"""Fields of income tax. Not tax advice: every rate and limit is an input, and the table behind `rules` is dated."""

from geoecon.arrays import Floats
from geoecon.case.fields import Table, choice, count, number, switch


class Tax(Table):
    """Income tax. Not tax advice: every rate and limit is an input, and the table behind `rules` is dated."""

    rules: str | None = choice(
        (), "Name of a dated table of rules, plain, or none; absent: plain where a rate is given, none otherwise",
        default=None, known=("none", "plain", "us-2026"),
    )  # fmt: skip
    rate: Floats | None = number("share", 0, 0.9, "Combined rate, after the deduction of state in federal tax")
    state_rate: Floats | None = number(
        "share", 0, 0.5, "Rate of a state's tax, deducted in the federal tax of the table; not beside `rate`"
    )
    holiday_years: int = count(
        0, 60, "Operating years without tax, from year 1; their profits use no carried loss, their losses wait as others",
        default=0,
    )  # fmt: skip
    withholding: Floats | None = number(
        "share", 0, 0.8,
        "Withheld of cash that the owner is paid in operating years (not of what the owner puts in), beside `tax`",
    )  # fmt: skip
    losses: str = choice(
        ("carried", "used"), "Losses wait for profits of the project, or serve the owner at once", default="carried"
    )
    loss_limit: Floats | None = number("share", 0, 1, "Share of a year's profit that carried losses may offset")
    loss_years: int | None = count(1, 60, "Years after its own in which a loss may be used; absent: without end")
    depreciation: str | None = choice(("straight-line", "macrs"), "Method for the plant and wells", default=None)
    depreciation_years: int | None = count(1, 60, "Recovery period of the plant and wells")
    convention: str | None = choice(
        ("full-year", "half-year", "mid-quarter-1", "mid-quarter-2", "mid-quarter-3", "mid-quarter-4"),
        "How much of the first year counts", default=None,
    )  # fmt: skip
    bonus_depreciation: Floats | None = number(
        "share", 0, 1,
        "Share of the basis deducted in the first year, the rest by the method; absent: as the table says; 0 % elects out",
        varies=False,
    )  # fmt: skip
    intangible_share: Floats = number(
        "share", 0, 1,
        "Share of drilling deducted in the year it is paid, by election, and then kept out of depreciation and credit; of "
        "the whole cost of wells before year 1 and of make-up wells, expected dry holes in",
        default="0 %",
    )  # fmt: skip
    depletion: str = choice(
        ("none", "percentage"),
        "Percentage depletion: a share of gross income from the deposit, within a share of income from it; no cost "
        "depletion is worked out and no basis is kept",
        default="none",
    )
    property_share: Floats | None = number(
        "share", 0, 1, "With percentage depletion: part of energy revenue that is the value of brine at the wellhead"
    )
    depletion_rate: Floats | None = number(
        "share", 0, 1, "Depletion over gross income from the property; absent: the table"
    )
    depletion_limit: Floats | None = number(
        "share", 0, 1, "Most depletion over taxable income from the property before it; absent: the table"
    )
    interest_limited: bool = switch(
        "Whether the table's limit on interest holds; many small businesses are exempt, so it does not by default"
    )
    interest_limit: Floats | None = number(
        "share", 0, 1,
        "Most interest over income before interest, depreciation and depletion, the rest waits; absent: the table's, with "
        "`interest_limited`, or none",
    )  # fmt: skip
    credit: str = choice(
        ("none", "investment", "production", "best"),
        "Which credit the project takes; best: the one with which the project is worth more after tax", default="none",
    )  # fmt: skip
    credit_use: str = choice(
        ("own", "sold", "cash"), "Against the owner's tax, sold to another taxpayer, or paid out", default="own"
    )
    credit_rate: Floats | None = number(
        "share", 0, 1, "Investment credit as a share of the capital it applies to, all in; absent: the table"
    )
    credit_amount: Floats | None = number(
        "price", 0, 1e9,
        "Production credit per delivered MWh, nominal, of operating year 1, all in; absent: the table's, moved from its "
        "year by `credit_growth`",
    )  # fmt: skip
    credit_growth: Floats = number("rate", -0.1, 0.5, "Growth a year of the production credit", default="0 %/yr")
    credit_years: int = count(1, 60, "Operating years with production credit", default=10)
    credit_sale_price: Floats = number("share", 0, 1, "Money received per unit of credit sold", default="93 %")
    credit_basis_cut: Floats | None = number("share", 0, 1, "Share of the investment credit taken off the tax basis")
    construction_begins: int | None = count(
        1990, 2200, "Calendar year in which construction begins; absent: the first build year"
    )
    wage_rules: bool = switch(
        "Whether rules on wages and apprentices are met; a unit below the table's size need not", default=True
    )
    exempt_bonds: bool = switch(
        "Whether the debt is tax-exempt bonds, for whose part of all uses the table cuts a credit; `finance.debt_rate` is "
        "their rate"
    )
    energy_community: bool = switch("Whether it stands in an energy community")
    domestic_content: bool = switch("Whether domestic-content rules are met")
    content_exception: bool = switch("Whether a credit paid in cash is excepted from domestic-content rules")

    @property
    def in_force(self) -> str:
        """Name of the rules that hold, given what was stated."""
        return self.rules or ("none" if self.rate is None else "plain")

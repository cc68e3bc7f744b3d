"""Why a number does not exist. Bulk work counts codes; a single case shows the words."""

from enum import IntEnum


class Reason(IntEnum):
    """Code of a reason; 0 means that the number exists."""

    NONE = 0
    NEVER_EARNS = 1
    NO_OUTLAY = 2
    SEVERAL_RATES = 3
    NOT_PAID_BACK = 4
    NO_PRICE_IN_REACH = 5
    ANY_PRICE_PAYS = 6
    NO_PRICE = 7
    NO_DEBT = 8
    NO_EQUITY = 9
    NO_ENERGY = 10
    NO_INVESTMENT = 11
    NOT_FEASIBLE = 12
    NOT_GIVEN = 13
    NO_TARGET = 14
    ABOVE_RATES = 15

    @property
    def words(self) -> str:
        """The reason as a sentence."""
        return _WORDS[self]


_WORDS = {
    Reason.NONE: "",
    Reason.NEVER_EARNS: "the flows never earn their outlay back at any rate above -99 % a year",
    Reason.NO_OUTLAY: "there is no outlay to earn a return on",
    Reason.SEVERAL_RATES: "the flows change sign more than once and more than one rate makes them worth zero; read npv or mirr",
    Reason.NOT_PAID_BACK: "the outlay is not paid back within the life",
    Reason.NO_PRICE_IN_REACH: "no price up to twenty times the levelized cost gives the owner what is needed",
    Reason.ANY_PRICE_PAYS: "even a price of zero gives the owner what is needed",
    Reason.NO_PRICE: "the case states no price (market.price, or a list of prices in market.price_form)",
    Reason.NO_DEBT: "the case has no debt (finance.debt_share)",
    Reason.NO_EQUITY: "no equity money is put in",
    Reason.NO_ENERGY: "no energy is delivered",
    Reason.NO_INVESTMENT: "there is no initial capital",
    Reason.NOT_FEASIBLE: "the scenario is not feasible",
    Reason.NOT_GIVEN: "an input that it needs is not given",
    Reason.ABOVE_RATES: "it is above 1,000 % a year, the highest rate that is looked for",
    Reason.NO_TARGET: "without debt there is no cover to keep",
}

"""How its value, rates of return, payback and cover come about."""

from collections.abc import Callable
from typing import Any

import numpy as np

from geoecon.arrays import Floats, over_years
from geoecon.finance.discounting import discount_factors
from geoecon.report.explain.facts import (
    CLOSING,
    DISCOUNT,
    EQUITY_RETURN,
    LOAN,
    OPERATING,
    PRICE,
    PROJECT_FLOWS,
    RESERVES,
    ROYALTY,
    SPENDING,
    SUSTAINING,
    TAX,
    Facts,
    Term,
    Working,
    one,
    over,
    signed,
)
from geoecon.report.explain.printed import in_digits
from geoecon.wells.counts import whole


def _valued(facts: Facts, parts: dict[str, tuple[Floats, tuple[str, ...]]], rate: Floats, at: str) -> list[Term]:
    return [
        Term(f"value of {name}", facts.worth(flows, rate), facts.currency, (*rests_on, at))
        for name, (flows, rests_on) in parts.items()
    ]


def _shared_flows(facts: Facts) -> tuple[dict[str, Any], dict[str, Any]]:
    """What comes in and what goes out with debt and without it."""
    column = facts.column
    revenue = (*PRICE, "lifetime_energy", "market.capacity_price")
    incoming = {"revenue": (column("revenue"), revenue), "the grant": (column("grant"), ("capital.grant",))}
    outgoing = {
        "operating cost": (column("operating_cost"), (*OPERATING, *ROYALTY)),
        "initial capital": (facts.initial, SPENDING),
        "sustaining capital": (column("sustaining_capital"), SUSTAINING),
        "decommissioning": (column("decommissioning"), CLOSING),
    }
    return incoming, outgoing


def npv(facts: Facts) -> Working:
    incoming, outgoing = _shared_flows(facts)
    outgoing["tax less credits"] = (facts.column("tax_unlevered"), TAX)
    return signed(*(_valued(facts, parts, facts.discount, DISCOUNT[0]) for parts in (incoming, outgoing)))


def npv_equity(facts: Facts) -> Working:
    incoming, outgoing = _shared_flows(facts)
    column = facts.column
    balance = column("reserve_balance")
    incoming["debt drawn"] = (column("debt_drawn"), ("debt",))
    outgoing |= {
        "fees": (column("fees"), ("finance.upfront_fee",)),
        "interest": (column("interest"), ("debt", *LOAN)),
        "principal": (column("principal"), ("debt", *LOAN)),
        "money put into reserves": (np.diff(balance, axis=0, prepend=0.0), RESERVES),
        "tax less credits": (column("tax"), TAX),
    }
    return signed(*(_valued(facts, parts, facts.wanted, EQUITY_RETURN[0]) for parts in (incoming, outgoing)))


def npv_at_decision(facts: Facts) -> Working:
    first = facts.input("timeline.first_year", "year 1")
    paths = ("timeline.decision_year", "timeline.first_year", "timeline.build_years")
    decided = facts.given("timeline.decision_year", first.value - facts.first)
    terms = (
        facts.metric("npv"), Term("discount rate", float(facts.discount[0]), "1/yr", DISCOUNT),
        Term("year of decision", decided, "", paths), Term("year 0", first.value - 1, "", ("timeline.first_year",)),
    )  # fmt: skip
    return Working(terms, "{npv} * (1 + {discount rate}) ** ({year of decision} - {year 0})")


def rate_closes(metric: str, flows: str, rests_on: tuple[str, ...]) -> Callable[[Facts], Working]:
    """A check of a rate found by search: what comes in is worth what goes out."""

    def work(facts: Facts) -> Working:
        rate, flow = facts.result.metrics[metric].values, facts.column(flows)
        terms = (
            Term("rate, found by search", facts.value(metric), "1/yr", rests_on),
            Term("what comes in, at that rate", facts.worth(np.maximum(flow, 0.0), rate), facts.currency, rests_on),
            Term("what goes out, at that rate", facts.worth(np.maximum(-flow, 0.0), rate), facts.currency, rests_on),
        )
        return Working(terms, "{what comes in, at that rate} / {what goes out, at that rate}", closes=True)

    return work


def mirr(facts: Facts) -> Working:
    flow, times = facts.column("cash_flow_project"), facts.result.times
    earned = over_years(np.maximum(flow, 0.0) * discount_factors(facts.discount, times - times[-1]))
    laid = over_years(np.maximum(-flow, 0.0) * discount_factors(facts.discount, times - times[0]))
    rests_on = (*PROJECT_FLOWS, *DISCOUNT)
    terms = (
        Term("earnings, carried to the last year", float(earned[0]), facts.currency, rests_on),
        Term("outlays, carried to the first flow", float(laid[0]), facts.currency, rests_on),
        Term("years between", float(times[-1, 0] - times[0, 0]), "yr",
             ("timeline.build_years", "timeline.operating_years", "timeline.spending_time")),
    )  # fmt: skip
    formula = (
        "({earnings, carried to the last year} / {outlays, carried to the first flow}) ** (1 / {years between}) - 1"
    )
    return Working(terms, formula)


def payback(*, discounted: bool) -> Callable[[Facts], Working]:
    def work(facts: Facts) -> Working:
        flows, rests_on = facts.column("cash_flow_project"), PROJECT_FLOWS
        if discounted:
            flows = flows * discount_factors(facts.discount, facts.result.times)
            rests_on = (*rests_on, *DISCOUNT)
        total = np.cumsum(flows, axis=0)[:, 0]
        back = [row for row in range(facts.first, len(total)) if total[row - 1] < 0 <= total[row]]
        if not back:
            return one(Term("years until the outlay is back", 0.0, "yr", rests_on))
        year = back[-1] - facts.first
        said = "discounted cash flow" if discounted else "cash flow"
        terms = (
            Term("full years before", float(year), "yr"),
            Term(f"still out at the end of year {year}", float(-total[back[-1] - 1]), facts.currency, rests_on),
            Term(f"{said} of year {year + 1}", float(flows[back[-1], 0]), facts.currency, rests_on),
        )
        return Working(terms, f"{{full years before}} + {{{terms[1].label}}} / {{{terms[2].label}}}")

    return work


def payback_whole_years(facts: Facts) -> Working:
    years = facts.value("payback")
    number = float(whole(np.array(years)))
    return one(
        Term("payback, the next whole number up", number, "yr", ("payback",), f"{in_digits(years, 6)} -> {number:.0f}")
    )


def profitability_index(facts: Facts) -> Working:
    capital = Term("value of initial capital", facts.worth(facts.initial, facts.discount), facts.currency,
                   (*SPENDING, *DISCOUNT))  # fmt: skip
    return Working((facts.metric("npv"), capital), "1 + {npv} / {value of initial capital}")


def dscr_min(facts: Facts) -> Working:
    row, column = int(np.nanargmin(facts.column("dscr")[:, 0])), facts.column
    year = row - facts.first + 1
    amounts = {name: float(column(name)[row, 0]) for name in
               ("revenue", "operating_cost", "tax", "cfads", "interest", "principal")}  # fmt: skip
    saved = amounts["revenue"] - amounts["operating_cost"] - amounts["tax"] - amounts["cfads"]
    saved = 0.0 if abs(saved) < 1e-9 * amounts["revenue"] else saved
    money = facts.currency
    cash = signed(
        [Term(f"revenue of year {year}", amounts["revenue"], money, (*PRICE, "lifetime_energy", "market.capacity_price"))],
        [Term("operating cost", amounts["operating_cost"], money, (*OPERATING, *ROYALTY)),
         Term("tax less credits", amounts["tax"], money, TAX),
         Term("sustaining capital, paid or saved for", saved, money, (*SUSTAINING, *RESERVES[1:]))],
    )  # fmt: skip
    service = signed([Term(name, amounts[name], money, ("debt", *LOAN)) for name in ("interest", "principal")])
    return over(cash, service)


def dscr_mean(facts: Facts) -> Working:
    cover = facts.column("dscr")[:, 0]
    total = Term(
        "sum of the yearly covers", float(np.nansum(cover)), "1", (*PROJECT_FLOWS, "debt", *LOAN, *RESERVES[1:])
    )
    years = Term("years with debt service", float(np.isfinite(cover).sum()), "yr", ("finance.debt_years",))
    return Working((total, years), "{sum of the yearly covers} / {years with debt service}")


def llcr(facts: Facts) -> Working:
    cash = np.where(np.isfinite(facts.column("dscr")), facts.column("cfads"), 0.0)
    worth = Term(
        "value of cash over the loan years, at the debt rate", facts.worth(cash, facts.result.loan_rate), facts.currency,
        (*PROJECT_FLOWS, *LOAN, *RESERVES[1:]),
    )  # fmt: skip
    return Working((worth, facts.metric("debt")), f"{{{worth.label}}} / {{debt}}")

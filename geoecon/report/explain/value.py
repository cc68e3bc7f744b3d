"""How its value, rates of return, payback and cover come about."""

from collections.abc import Callable

import numpy as np

from geoecon.arrays import over_years
from geoecon.finance.discounting import discount_factors
from geoecon.report.explain import flows
from geoecon.report.explain.facts import (
    DISCOUNT,
    EQUITY_RETURN,
    LOAN,
    SPENDING,
    Check,
    Facts,
    Term,
    Working,
    one,
    over,
    signed,
)
from geoecon.report.explain.flows import Streams
from geoecon.report.explain.printed import in_digits
from geoecon.wells.counts import whole


def npv(facts: Facts) -> Working:
    return signed(*(flows.worth(facts, streams, facts.discount, DISCOUNT) for streams in flows.of_project(facts)))


def npv_equity(facts: Facts) -> Working:
    return signed(*(flows.worth(facts, streams, facts.wanted, EQUITY_RETURN) for streams in flows.of_owner(facts)))


def npv_at_decision(facts: Facts) -> Working:
    first = facts.input("timeline.first_year", "year 1")
    paths = ("timeline.decision_year", "timeline.first_year", "timeline.build_years")
    decided = facts.given("timeline.decision_year", first.value - facts.first)
    terms = (
        facts.metric("npv"), Term("discount rate", float(facts.discount[0]), "1/yr", DISCOUNT),
        Term("year of decision", decided, "", paths), Term("year 0", first.value - 1, "", ("timeline.first_year",)),
    )  # fmt: skip
    return Working(terms, "{npv} * (1 + {discount rate}) ** ({year of decision} - {year 0})")


def rate_found(metric: str, streams: Callable[[Facts], tuple[Streams, Streams]]) -> Callable[[Facts], Working]:
    """A rate found by search, and the check that at this rate what comes in and what goes out leave nothing."""

    def work(facts: Facts) -> Working:
        rate, both = facts.result.metrics[metric].values, streams(facts)
        left = signed(*(flows.worth(facts, some, rate) for some in both))
        found = Term("rate, found by search", facts.value(metric), "1/yr", flows.under(*both))
        return Working((found, *left.terms), "", Check("value at that rate", left.formula, facts.currency))

    return work


def mirr(facts: Facts) -> Working:
    flow, times = facts.column("cash_flow_project"), facts.result.times
    earned = over_years(np.maximum(flow, 0.0) * discount_factors(facts.discount, times - times[-1]))
    laid = over_years(np.maximum(-flow, 0.0) * discount_factors(facts.discount, times - times[0]))
    rests_on = (*flows.under_project(facts), *DISCOUNT)
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
        flow, rests_on = facts.column("cash_flow_project"), flows.under_project(facts)
        if discounted:
            flow = flow * discount_factors(facts.discount, facts.result.times)
            rests_on = (*rests_on, *DISCOUNT)
        total = np.cumsum(flow, axis=0)[:, 0]
        back = [row for row in range(facts.first, len(total)) if total[row - 1] < 0 <= total[row]]
        if not back:
            return one(Term("years until the outlay is back", 0.0, "yr", rests_on))
        year = back[-1] - facts.first
        said = "discounted cash flow" if discounted else "cash flow"
        terms = (
            Term("full years before", float(year), "yr"),
            Term(f"still out at the end of year {year}", float(-total[back[-1] - 1]), facts.currency, rests_on),
            Term(f"{said} of year {year + 1}", float(flow[back[-1], 0]), facts.currency, rests_on),
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
    year = int(np.nanargmin(facts.column("dscr")[:, 0])) - facts.first + 1
    cash = signed(*(flows.in_year(facts, streams, year) for streams in flows.of_cash(facts)))
    return over(cash, signed(flows.in_year(facts, flows.service_from_cash(facts), year)))


def dscr_mean(facts: Facts) -> Working:
    cover = facts.column("dscr")[:, 0]
    total = Term("sum of the yearly covers", float(np.nansum(cover)), "1",
                 (*flows.under_cash(facts), *flows.under(flows.debt_service(facts))))  # fmt: skip
    years = Term("years with debt service", float(np.isfinite(cover).sum()), "yr", ("finance.debt_years",))
    return Working((total, years), "{sum of the yearly covers} / {years with debt service}")


def llcr(facts: Facts) -> Working:
    of_loan = np.isfinite(facts.column("dscr"))
    cash = signed(
        *(
            flows.worth(facts, flows.only(streams, of_loan), facts.result.loan_rate, LOAN)
            for streams in flows.of_cash(facts)
        )
    )
    return over(cash, one(facts.metric("debt")))


def plcr(facts: Facts) -> Working:
    rate = facts.result.loan_rate
    cash = signed(*(flows.worth(facts, streams, rate, LOAN) for streams in flows.of_cash(facts)))
    return over(cash, one(facts.metric("debt")))

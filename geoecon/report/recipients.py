"""Who is paid what over the life, and who pays the owner: a table in words."""

import numpy as np

from geoecon.arrays import Floats, over_years
from geoecon.finance.discounting import present_value
from geoecon.report.lines import Line, Section
from geoecon.report.words import account_words, money, share
from geoecon.result import Result


def recipients(result: Result) -> tuple[Section, ...]:
    """What the owner pays and receives, the largest sum first, of a single case."""
    payments, rate = result.payments, share(float(result.asked["discount_rate"][0]), 2)
    paid: dict[str, list[str]] = {}
    for line in payments.paid:
        paid.setdefault(line.recipient, []).append(account_words(line.account))
    out = [(name, flows, ", ".join(paid[name])) for name, flows in payments.recipients.items()]
    back = [(line.payer, line.flows, account_words(line.account)) for line in payments.received]
    return tuple(
        Section(title, _lines(result, rows, rate)) for title, rows in (("Paid out", out), ("Paid in", back)) if rows
    )


def _lines(result: Result, rows: list[tuple[str, Floats, str]], rate: str) -> tuple[Line, ...]:
    """The largest sum first, and all of them."""
    largest = sorted(rows, key=lambda row: -np.nan_to_num(over_years(row[1])[0]))
    everything = np.asarray(sum(flows for _, flows, _ in rows))
    all_of_it = _line(result, "all", everything, f"nominal over the life; values of year 0 at {rate} a year")
    return (*(_line(result, *row) for row in largest), all_of_it)


def _line(result: Result, name: str, flows: Floats, accounts: str) -> Line:
    currency, label = result.currency, name[:1].upper() + name[1:]
    whole, first = float(over_years(flows)[0]), float(flows[result.build_years, 0])
    if not np.isfinite(whole):
        return Line(label, "none", f"rests on a price, and the case states none; {accounts}")
    worth = float(present_value(flows, result.asked["discount_rate"], result.times)[0])
    of_year = f"year 1 {money(first, currency)}; " if first else ""
    return Line(label, money(whole, currency), f"{of_year}value {money(worth, currency)}; {accounts}")

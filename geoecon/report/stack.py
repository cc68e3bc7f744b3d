"""What one MWh costs part by part, and how one way of levelizing follows from another, as small tables and JSON."""

from typing import Any

import numpy as np

from geoecon.finance.stack import COST, as_json, reconciled
from geoecon.report.sheets import Sheet
from geoecon.report.tables import Column
from geoecon.report.words import share
from geoecon.result import Result

TOTAL = "together"
LEAST = 0.005  # what would be printed as nothing
LARGEST = 3


def parts(result: Result, of: str) -> dict[str, dict[str, float]]:
    """Price -> part -> amount of a single case, in `real` or `nominal` money; prices that do not exist are left out."""
    prices = result.stacks[of].prices
    found = {name: {part: float(amount[0]) for part, amount in made.items()} for name, made in prices.items()}
    return {name: made for name, made in found.items() if np.isfinite(sum(made.values()))}


def basis(result: Result, of: str) -> str:
    """The money that amounts are in: "USD/MWh, money of 2025"."""
    return f"{result.currency}/MWh, {'nominal' if of == 'nominal' else f'money of {result.price_year}'}"


def verdict(result: Result, of: str) -> str:
    """What one MWh costs and what most of it is for, in a sentence."""
    found = parts(result, of).get(COST)
    if not found:
        return f"There is no cost per MWh: {result.metrics['lcoe_real'].reason}."
    cost = sum(found.values())
    largest = sorted(found, key=lambda part: -found[part])[:LARGEST]
    words = ", ".join(f"{part} {share(found[part] / cost, 0)}" for part in largest)
    return f"One MWh costs {cost:,.2f} {basis(result, of)}, before tax, credits and loans; most of it is {words}."


def sheets(result: Result, of: str = "real") -> tuple[Sheet, ...]:
    """The stack of each price, and the way from the simplest of them to the last."""
    return stack_sheet(result, of), ways_sheet(result)


def stack_sheet(result: Result, of: str) -> Sheet:
    """Parts down, prices across, with the sum of each."""
    prices = parts(result, of)
    names = dict.fromkeys(part for made in prices.values() for part in made)
    shown = [part for part in names if any(abs(made.get(part, 0.0)) >= LEAST for made in prices.values())]
    rows = [(part, *(amount(made[part]) if part in made else "" for made in prices.values())) for part in shown]
    sums = (TOTAL, *(amount(sum(made.values())) for made in prices.values()))
    rate = share(float(result.asked["discount_rate"][0]), 2)
    notes = (
        f"Every part is its value over that of the energy at {rate} a year; below zero it takes off the price.",
        "Required is what the owner needs, its prices levelized; lenders and owner are at what they get beyond that rate.",
    )
    return Sheet(f"Parts of one MWh, {basis(result, of)}", ("part", *prices), (*rows, sums), notes)


def ways_sheet(result: Result) -> Sheet:
    """Steps down from each way of levelizing to the next: what each adds, and where that leads."""
    rows: list[tuple[str, ...]] = []
    sum_so_far = 0.0
    for to, steps in ways(result):
        for step, added in steps.items():
            if abs(added) >= LEAST:
                rows.append((f"  {step}", amount(added, sign=bool(rows)), ""))
            sum_so_far += added
        rows.append((to, "", amount(sum_so_far)))
    notes = (
        "The fixed charge rate knows year 1 and takes tax as a factor; each step adds what it leaves out.",
        f"All of it is in money of {result.price_year}, whichever money the parts above are in, because the first ways know no "
        "inflation; the last step leads to the nominal price of year 1.",
    )
    return Sheet(
        f"From one way of levelizing to the next, {basis(result, 'real')}", ("step", "adds", "is"), tuple(rows), notes
    )


def ways(result: Result) -> list[tuple[str, dict[str, float]]]:
    """The way of levelizing that is reached, and the steps that lead there, of a single case; ends where none leads on."""
    found = []
    for to, steps in reconciled(result.stacks["real"], result.case.money.inflation):
        added = {step: float(amount[0]) for step, amount in steps.items()}
        if not np.isfinite(sum(added.values())):
            break
        found.append((to, added))
    return found


def amount(value: float, *, sign: bool = False) -> str:
    """An amount per MWh to the hundredth."""
    rounded = round(value, 2) + 0.0
    return f"{rounded:+,.2f}" if sign else f"{rounded:,.2f}"


def stack_columns(result: Result) -> dict[str, Column]:
    """Every part of every price in both kinds of money, a row a part."""
    rows = [
        (of, name, part, amount)
        for of in result.stacks
        for name, made in parts(result, of).items()
        for part, amount in made.items()
    ]
    money, names, of_price, amounts = zip(*rows, strict=True) if rows else ((), (), (), ())
    return {
        "money": money, "price": names, "part": of_price, f"amount [{result.currency}/MWh]": np.array(amounts, dtype=float),
    }  # fmt: skip


def in_json(result: Result) -> dict[str, Any]:
    """The same as plain objects, exact."""
    return {"unit": f"{result.currency}/MWh"} | as_json(result.stacks, result.case.money.inflation)

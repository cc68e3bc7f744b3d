"""Go, wait or stop in words and tables: one page that says what was asked, what holds, what would turn it, what is next."""

from collections.abc import Iterator
from typing import Any

import numpy as np

from geoecon.report.breakeven import HEADINGS, HEADINGS_MET, money_of, ranked, rows
from geoecon.report.chances import in_chances
from geoecon.report.inputs import value_text
from geoecon.report.metrics import metric_text
from geoecon.report.risk import how_made, out_of_line
from geoecon.report.sheets import Sheet
from geoecon.report.words import money, share, significant
from geoecon.studies.gates import COLLECTED, GO, MOST_TURNS, REQUIRED, STOP, Decision, Judged, Turn
from geoecon.units import SYSTEMS

_BY_COVER = (
    "the price that covers debt service as asked, with no year in the red, is no more than the stated price of year 1"
)
OWNERS = {
    "private": "the owner gets the return that was asked",
    "utility": "the revenue required is no more than the alternative, which is what the stated price is worth as one level "
               "price at the utility's own rate",
    "cooperative": _BY_COVER, "public": _BY_COVER,
}  # fmt: skip
DRAWN_PRICE = "The price to hold against is the case's own; what is drawn of it has no part in that criterion."
PRICES = {
    REQUIRED: ("A nominal price of year 1 of", "would give the owner what required_price stands for with"),
    COLLECTED: ("One level nominal price of", "would collect the revenue required with"),
}
HEADLINES = {GO: "Go", STOP: "Stop"}


def headline(found: Decision) -> str:
    """The verdict in a word."""
    return HEADLINES.get(found.verdict, "Wait")


def verdict(found: Decision) -> str:
    """The verdict as a sentence that says why."""
    if found.verdict == GO:
        return "Go: every criterion holds at least as surely as it was asked to."
    weakest = min(found.judged, key=lambda one: one.found)
    criterion = weakest.target.in_words(found.risk.base.currency)
    if found.verdict == STOP:
        limit = f"below {share(found.stop_chance, 0)} is a stop"
        return f"Stop: as things are known, {criterion} {_chance(found, weakest.found)}; {limit}."
    missed = [one for one in found.judged if not one.holds]
    said = "; ".join(
        f"{one.target.in_words(found.risk.base.currency)} {_chance(found, one.found)}, and {share(one.asked, 0)} was asked"
        for one in missed
    )
    return f"Wait: {said}. Learning more may decide it."


def _chance(found: Decision, chance: float) -> str:
    words = in_chances(chance, found.risk.draws)
    return f"comes true {words}" if words.startswith("in ") else f"has {words.removesuffix(' that')}"


def sheets(found: Decision, system: str = SYSTEMS[0]) -> Iterator[Sheet]:
    """The page as tables."""
    yield criteria(found)
    yield turning(found, system)
    yield needed(found, system)
    yield stakes(found)
    yield next_gate(found)


def criteria(found: Decision) -> Sheet:
    """What was asked and what was found."""
    currency = found.risk.base.currency
    listed = tuple(_criterion(found, one, currency) for one in found.judged)
    source = (
        f"The case states no criteria, so the usual ones are taken: {OWNERS[found.risk.base.owner]}, more likely than not; "
        "debt service is covered in every year, and limits of the owner are kept, with 80 %. State others under "
        "[[decision.criteria]]."
        if found.assumed
        else "Criteria are those of the case."
    )
    both = f"All of them hold together in {share(found.together)} of the draws." if len(found.judged) > 1 else ""
    drawn = DRAWN_PRICE if found.assumed and _holds_against_price(found) else ""
    notes = tuple(note for note in (both, source, drawn, *out_of_line(found.risk), how_made(found.risk)) if note)
    return Sheet("What was asked", ("criterion", "holds", "asked", "found", "in the case as it is"), listed, notes)


def _holds_against_price(found: Decision) -> bool:
    """Whether a price that is drawn would be the other side of the owner's criterion."""
    return found.risk.base.owner != "private" and any(path.startswith("market.price") for path in found.risk.uncertain)


def _criterion(found: Decision, one: Judged, currency: str) -> tuple[str, ...]:
    holds = "yes" if one.holds else "no"
    doubt = abs(one.found - one.asked) < _doubt(one, found.risk.draws)
    return (
        one.target.in_words(currency),
        f"{holds}, barely" if doubt and one.holds else f"{holds}, nearly" if doubt else holds,
        share(one.asked, 0),
        f"{share(one.found)} +- {share(_doubt(one, found.risk.draws))}",
        metric_text(one.target.metric, one.base, currency),
    )


def give_or_take(chance: float, error: float, draws: int) -> float:
    """Twice the standard error of a chance; where every draw says the same, what 95 % confidence leaves (3 / n)."""
    return 2 * error if 0 < chance < 1 else min(3 / draws, 1.0)


def _doubt(one: Judged, draws: int) -> float:
    return give_or_take(one.found, one.error, draws)


def turning(found: Decision, system: str = SYSTEMS[0]) -> Sheet:
    """What alone would turn the answer, among what is unsure."""
    to_go = found.verdict != GO
    title = "What alone would turn it to a go" if to_go else "What alone would end the go"
    listed = tuple(_turn(found, turn, system) for turn in found.turns)
    notes = []
    if listed and to_go and len(found.judged) > 1:
        notes.append("Each criterion then holds at least as surely as it was asked; that all hold together is rarer.")
    if not listed:
        notes.append("No unsure input turns it alone, not even in its best twentieth." if to_go else "None alone.")
    currency, sure = found.risk.base.currency, share(found.price_chance, 0)
    if np.isfinite(found.price):
        about = (
            f", give or take {significant(2 * found.price_error, 2)} {currency}/MWh,"
            if np.isfinite(found.price_error) and found.price_error > 0
            else ""
        )
        price, (which, does) = money_per_mwh(found.price, currency), PRICES[found.priced]
        notes.append(
            f"{which} {price}{about} {does} {sure} chance, as is asked of that; other criteria have no part in it."
        )
    else:
        notes.append(f"No price gives the owner what is needed with {sure} chance.")
    heads = ("input", "turns out", "chance of that", "then all hold with")
    return Sheet(title, heads, listed, tuple(notes))


def _turn(found: Decision, turn: Turn, system: str) -> tuple[str, ...]:
    chosen = found.risk.uncertain[turn.path].input
    value = value_text(chosen, turn.value, system, found.risk.base.currency)
    side = "least" if turn.more else "most"
    surely = give_or_take(turn.reached, turn.error, round(turn.likely * found.risk.draws))
    return turn.path, f"at {side} {value}", share(turn.likely, 0), f"{share(turn.reached, 0)} +- {share(surely, 0)}"


def money_per_mwh(price: float, currency: str) -> str:
    """A price with its unit."""
    return f"{price:,.0f} {currency}/MWh"


def needed(found: Decision, system: str = SYSTEMS[0]) -> Sheet:
    """What each input alone would have to be in the case as it is, for the least sure criterion."""
    needs = found.needs
    criterion = needs.target.in_words(needs.currency)
    listed = tuple(
        row.cells()
        for need, row in zip(ranked(needs), rows(needs, system), strict=True)
        if need.found and not need.still
    )[:MOST_TURNS]
    how = "stays met" if needs.met else "is met"
    nothing = () if listed else ("Nothing alone, within what was tried; the study of break-evens lists what was.",)
    notes = (
        *nothing,
        money_of(needs),
        "One input at a time, the plant as ordered; the study of break-evens sizes afresh unless told to hold it.",
    )
    heads = HEADINGS_MET if needs.met else HEADINGS
    return Sheet(f"In the case as it is, {criterion} {how} with", heads, listed, notes)


def stakes(found: Decision) -> Sheet:
    """Money still to be spent; what is gone has no part in the decision."""
    base, currency = found.risk.base, found.risk.base.currency
    year = base.price_year
    listed = [
        ("still to be spent before year 1", money(found.to_spend, currency), f"without interest, money of {year}"),
    ]
    if base.metrics["wells_drilled"].values[0] > 0:
        listed.append(
            ("of it before the first good well is proven", money(found.at_risk, currency), f"money of {year}")
        )
    if found.spent:
        listed.append(("spent already", money(found.spent, currency), "left out of every figure and of the verdict"))
    return Sheet("Money at stake", ("", "", ""), tuple(listed), words=True)


def next_gate(found: Decision) -> Sheet:
    """What is known now, and what the next step would teach."""
    gate = found.gate
    listed = (
        ("known now", gate["now"]),
        ("next step", gate["next"]),
        ("its question", gate["question"]),
        ("it teaches", gate["learns"]),
    )
    notes = (
        "" if found.maturity_stated else "The case does not say what its field rests on; state resource.maturity.",
        "Steps as handbooks name them, recalled. Screening, not advice: a decision to drill, build or lend needs licensed "
        "engineers, and counsel on money and tax.",
    )
    return Sheet("The next gate", ("", ""), listed, tuple(note for note in notes if note), words=True)


def as_json(found: Decision) -> dict[str, Any]:
    """The decision as plain objects."""
    currency = found.risk.base.currency
    return {
        "case": {"name": found.risk.base.name, "hash": found.risk.base.digest},
        "verdict": found.verdict,
        "reason": verdict(found),
        "draws": found.risk.draws,
        "seed": found.risk.seed,
        "criteria_assumed": found.assumed,
        "criteria": [
            {
                "target": one.target.in_words(currency),
                "asked": one.asked,
                "found": one.found,
                "standard_error": one.error,
                "base": one.base if np.isfinite(one.base) else None,
                "holds": one.holds,
            }
            for one in found.judged
        ],
        "together": found.together,
        "stop_chance": found.stop_chance,
        "turns": [
            {
                "path": turn.path,
                "value": turn.value,
                "unit": found.risk.uncertain[turn.path].input.unit,
                "side": "at least" if turn.more else "at most",
                "chance": turn.likely,
                "then_all_hold": turn.reached,
                "standard_error": turn.error,
            }
            for turn in found.turns
        ],
        "price_of": found.priced,
        "price_enough": found.price if np.isfinite(found.price) else None,
        "price_standard_error": found.price_error if np.isfinite(found.price_error) else None,
        "price_unit": f"{currency}/MWh",
        "price_chance": found.price_chance,
        "to_spend": found.to_spend,
        "at_risk": found.at_risk,
        "spent_to_date": found.spent,
        "money_unit": currency,
        "gate": {key: found.gate[key] for key in ("now", "next", "question", "learns")},
    }

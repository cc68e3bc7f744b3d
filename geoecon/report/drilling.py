"""How many wells are drilled and what they cost together: as sentences, lines, JSON and columns."""

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from geoecon.report.aligned import aligned
from geoecon.report.amounts import Scale, scale_of
from geoecon.report.chances import chances
from geoecon.report.tables import Column, no_alarm, study_files
from geoecon.report.words import money, share, significant
from geoecon.studies.draws import MEAN_OF_WELLS
from geoecon.studies.drilling import CHANCES, EVEN, OFTEN, Drilling, Ends
from geoecon.tables import row

if TYPE_CHECKING:
    from geoecon.report.charts import Chart

CHANCE_WORDS = {chance: f"{chance * 10:.0f} {'chance' if chance == 0.1 else 'chances'} in 10" for chance in CHANCES}
NEARLY_ALL = 0.99  # chance of being enough, up to which numbers of wells are listed
APART = 5e-3  # of wells or as a share of money, from which two means differ
NOTES = (
    "Wells come whole: a number is the first that is enough with at least the chance named. Each well succeeds or fails on its "
    "own, with the chance that the case states. Where the whole field turns out poorer than thought, several fail together, "
    "and the range is wider than shown. Money has neither contingency nor pumps in.",
    "Drilling into hot water under pressure is dangerous work: it is for licensed practice under local codes.",
)


def verdict(found: Drilling) -> str:
    """How many wells and how much money, with an even chance and nearly surely, in sentences."""
    return f"{_needs(found)} {_account(found)}"


def _needs(found: Drilling) -> str:
    even, sure = (f"{found.ends.wells.at_most(chance):.0f}" for chance in (EVEN, OFTEN))
    costs, at_worst = (money(found.ends.money.at_most(chance), found.currency) for chance in (EVEN, OFTEN))
    good = f"To get {found.good} good well{'' if found.good == 1 else 's'},"
    if (even, costs) == (sure, at_worst):
        return f"{good} at most {even} {_are(even)} drilled, with 9 chances in 10, for at most {costs}."
    return (
        f"{good} at most {even} {_are(even)} drilled with an even chance and at most {sure} with 9 chances in 10; they cost at "
        f"most {costs} with an even chance, {at_worst} with 9 chances in 10."
    )


def _are(number: str) -> str:
    return "is" if number == "1" else "are"


def _account(found: Drilling) -> str:
    held = f", {share(found.contingency, 0)} contingency in," if found.contingency > APART else ""
    return (
        f"The {money(found.account, found.currency)} that the case has for wells{held} are enough with "
        f"{chances(found.ends.money.within(found.account))}."
    )


def _counted(producers: int, injectors: int) -> str:
    said = ((producers, "producer"), (injectors, "injector"))
    return " and ".join(f"{number} {name}{'' if number == 1 else 's'}" for number, name in said if number)


def basis(found: Drilling) -> str:
    """Which wells are wanted and with which chance they succeed, in sentences."""
    there = f", beside {found.existing} that exist{'s' if found.existing == 1 else ''}" if found.existing else ""
    said = [f"{_counted(found.producers, found.injectors)} to drill{there}, producers first.", success(found)]
    if found.reuse:
        said.append(f"A failed producer is of use as an injector with {share(found.reuse, 0)}, while one is wanted.")
    producer, injector = (money(cost, found.currency) for cost in (found.per_producer, found.per_injector))
    good = (
        f"producer costs {producer}, a good injector {injector}" if producer != injector else f"well costs {producer}"
    )
    failed = "as much" if found.dry_hole_share == 1 else f"{share(found.dry_hole_share, 0)} of that"
    said.append(f"A good {good}, a failed one {failed}; money of {found.price_year}.")
    if found.slim_holes:
        holes = "A slim hole comes" if found.slim_holes == 1 else f"{found.slim_holes} slim holes come"
        said.append(f"{holes} before them and beside these figures, at {money(found.slim_hole, found.currency)} each.")
    return " ".join(said)


def success(found: Drilling) -> str:
    """The chance of success well by well, in a sentence."""
    settled = share(found.settled, 0)
    if not found.early.size:
        taught = " once those that exist have taught" if found.learnt else ""
        return f"Every well succeeds with {settled}{taught}."
    exploring = found.early[: found.explored]
    developing = found.early[found.explored :]
    said = []
    if exploring.size:
        wells = (
            "the first well, which explores"
            if exploring.size == 1
            else f"the first {exploring.size} wells, which explore"
        )
        said.append(f"{share(float(exploring[0]), 0)} for {wells}")
    if developing.size:
        said.append(f"{share(float(developing[0]), 0)} for the {'next' if said else 'first'}, rising to {settled} after "
                    f"{developing.size} wells of development")  # fmt: skip
    else:
        said.append(f"{settled} for those after")
    return f"The chance of success is {', then '.join(said)}."


def differs(found: Drilling) -> str:
    """Why what the case counts on is not the mean of all outcomes; empty where it is."""
    wells, cost = found.ends.wells.mean, found.ends.money.mean
    if abs(wells - found.expected) < APART and abs(cost - found.expected_cost) < APART * cost:
        return ""
    return (
        f"The case counts on {found.expected:.2f} wells and {money(found.expected_cost, found.currency)}, the mean of all "
        f"outcomes is {wells:.2f} and {money(cost, found.currency)}: it takes failed producers that serve as injectors off "
        "one for one, on average; here each also spares the failures on the way to the injector that it replaces, and no "
        "more of them serve in any outcome than are wanted."
    )


def published(found: Drilling) -> str:
    """What is published of success and of wells for each MW, beside the case."""
    nevada, per_mw = (row("drilling_success", key=key) for key in ("production", "per_mw"))
    phases = ", ".join(
        f"{row('drilling_success', key=phase)['value']} % in {phase}"
        for phase in ("exploration", "development", "operation")
    )
    plus = float(per_mw["high"]) - float(per_mw["value"])
    return (
        f"Published: {nevada['low']} to {nevada['high']} % of wells drilled for production in Nevada became producers; a world "
        f"survey (recalled) has {phases}. Here {significant(found.expected / found.net_mw, 2)} wells are drilled for each MW "
        f"net; eight sites in Nevada took {per_mw['value']} ± {plus:.1f} of all kinds, explored and older ones among them."
    )


def flow_note(found: Drilling) -> str:
    """What the columns of wells whose flow is unsure rest on; empty where there are none."""
    if found.own_flow is None:
        return ""
    how = (
        "all wells of a field alike, as the case says" if found.alike
        else "each well with a flow of its own beside what it shares with the field"
    )  # fmt: skip
    return (
        "With flow unsure: producers are drilled until the flow of the design is reached, each at the flow that the case "
        f"declares, {how}; this rests on {MEAN_OF_WELLS:,} draws of flow, and injectors stay as many."
    )


def _scale(found: Drilling) -> Scale:
    sums = [ends.money.at_most(OFTEN) for ends in (found.ends, found.own_flow) if ends is not None]
    return scale_of("capital_cost", found.currency, found.currency, sums)


def heads(found: Drilling) -> tuple[str, ...]:
    """Headings of the table by chance."""
    unit = _scale(found).unit
    more = ("wells, flow unsure", f"cost, flow unsure [{unit}]") if found.own_flow else ()
    return ("", "wells drilled", f"cost [{unit}]", *more)


def rows(found: Drilling) -> list[tuple[str, ...]]:
    """The table by chance: wells and money that are not exceeded, the mean, and what the case counts on."""
    scale, every = _scale(found), [ends for ends in (found.ends, found.own_flow) if ends is not None]
    table = [(f"{words} of at most", *_at_most(every, chance, scale)) for chance, words in CHANCE_WORDS.items()]
    means = [text for ends in every for text in (f"{ends.wells.mean:.1f}", scale.number(ends.money.mean))]
    empty = [""] * (len(means) - 2)
    expected = ("the case counts on", f"{found.expected:.1f}", scale.number(found.expected_cost), *empty)
    return [*table, ("mean of all outcomes", *means), expected]


def _at_most(every: list[Ends], chance: float, scale: Scale) -> Iterator[str]:
    for ends in every:
        yield f"{ends.wells.at_most(chance):.0f}"
        yield scale.number(ends.money.at_most(chance))


def number_heads(found: Drilling) -> tuple[str, ...]:
    """Headings of the table by number of wells."""
    return ("wells drilled", "just so many", "enough", f"cost on average [{_scale(found).unit}]")


def number_rows(found: Drilling) -> list[tuple[str, ...]]:
    """The chance of each number of wells, from the least on until nearly all outcomes are in."""
    by, scale = found.ends.by_wells, _scale(found)
    listed = int(np.searchsorted(by.enough, NEARLY_ALL)) + 1
    every: list[tuple[str, ...]] = [
        (f"{drilled:.0f}", share(chance, 0), share(enough, 0), scale.number(cost))
        for drilled, chance, enough, cost in zip(by.drilled, by.chance, by.enough, by.cost, strict=True)
    ]
    return every[:listed]


def notes(found: Drilling) -> tuple[str, ...]:
    """What stands below the tables: differences, columns, published figures, what is left out, a caution."""
    return tuple(text for text in (differs(found), flow_note(found), published(found), *NOTES) if text)


def lines(found: Drilling, width: int | None = None) -> Iterator[str]:
    """The sentences, then both tables, then notes."""
    yield verdict(found)
    yield basis(found)
    yield ""
    yield from aligned([heads(found), *rows(found)], width)
    yield ""
    yield from aligned([number_heads(found), *number_rows(found)], width, first=">")
    yield ""
    yield from notes(found)


def as_json(found: Drilling) -> dict[str, Any]:
    """The study as plain objects; money is in the case's currency and price year."""
    return {
        "producers": found.producers,
        "injectors": found.injectors,
        "existing": found.existing,
        "success": {"next_wells": found.early.tolist(), "settled": found.settled, "failed_as_injectors": found.reuse},
        "currency": found.currency,
        "price_year": found.price_year,
        "cost_per_producer": found.per_producer,
        "cost_per_injector": found.per_injector,
        "dry_hole_cost": found.dry_hole_share,
        "expected": {"wells": found.expected, "cost": found.expected_cost},
        "slim_holes": found.slim_holes,
        "one_slim_hole": found.slim_hole if found.slim_holes else None,
        "account": found.account,
        "account_is_enough": found.ends.money.within(found.account),
        "drilling": _ends_json(found.ends),
        "drilling_with_flow_unsure": None if found.own_flow is None else _ends_json(found.own_flow),
    }


def _ends_json(ends: Ends) -> dict[str, Any]:
    listed = ends.by_wells.chance > 1e-9
    return {
        "at_most": {
            words: {"wells": ends.wells.at_most(chance), "cost": ends.money.at_most(chance)}
            for chance, words in CHANCE_WORDS.items()
        },
        "mean": {"wells": ends.wells.mean, "cost": ends.money.mean},
        "wells": ends.by_wells.drilled[listed].tolist(),
        "chance": ends.by_wells.chance[listed].tolist(),
        "enough": ends.by_wells.enough[listed].tolist(),
        "cost": ends.by_wells.cost[listed].tolist(),
    }


def drilling_columns(found: Drilling) -> dict[str, Column]:
    """The study as columns with units: a row per number of wells drilled."""
    by, year = found.ends.by_wells, f"money of {found.price_year}"
    columns: dict[str, Column] = {
        "wells drilled [wells]": by.drilled,
        "chance of just so many [1]": by.chance,
        "chance that so many are enough [1]": by.enough,
        f"cost on average [{found.currency}], {year}": by.cost,
    }
    if found.own_flow is not None:
        columns["chance that so many are enough, flow unsure [1]"] = np.array(
            [found.own_flow.wells.within(number) for number in by.drilled]
        )
    return columns


def drilling_files(
    found: Drilling, chart: str | None, out: str | None, alarm: Callable[[], str] = no_alarm
) -> list[Path]:
    """Write the chart of wells by chance and the table, where they are asked for. Raises `OutputError`."""

    def draw() -> "Chart":
        from geoecon.report.charts.drilling import wells_by_chance

        return wells_by_chance(found)

    return study_files(chart, draw, out, lambda: drilling_columns(found), alarm)

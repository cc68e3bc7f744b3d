"""A study of risk in words and tables: what is unsure, the chances, the figures, the worst tenth, how sure all that is."""

import difflib
from collections.abc import Iterator, Sequence

import numpy as np

from geoecon.errors import CaseError, Fault
from geoecon.report.amounts import DIGITS, SHARES, input_text
from geoecon.report.chances import in_chances
from geoecon.report.lines import Line, Section
from geoecon.report.sheets import Sheet
from geoecon.report.sweeps import figure
from geoecon.report.words import money, share
from geoecon.result import METRICS
from geoecon.studies.events import Event
from geoecon.studies.ranks import Importance, InCommon, importance, in_common, worst_tenth
from geoecon.studies.risk import DRILLED, WELL_FLOW, Risk, varies
from geoecon.studies.rollup import RollUp
from geoecon.studies.spread import CHANCES, SPARED, Spread, free, goodness, spread
from geoecon.units import SYSTEMS

FIGURES = (
    "first_year_energy", "capital_cost", "wells_drilled", "lcoe_real", "required_price", "npv", "irr_project", "irr_equity",
    "dscr_min",
)  # fmt: skip
BY = ("npv", "lcoe_real")  # the figure that tells bad draws: value, or cost where there is no price
MOST_IN_COMMON = 6
CHANCE_WORDS = ("9 chances in 10", "even chance", "1 chance in 10")
COUNTS_AS_BAD = "a draw that cannot be worked out counts as bad in every chance"


def checked_metrics(metrics: Sequence[str]) -> None:
    """Refuse figures that are none. Raises `CaseError`."""
    for metric in metrics:
        if metric not in METRICS:
            near = difflib.get_close_matches(metric, METRICS, n=1)
            hint = f"did you mean {near[0]!r}?" if near else f"known are: {', '.join(METRICS)}"
            raise CaseError([Fault("--metric", f"{metric!r} is no figure; {hint}")], "risk")


def known_metrics(found: Risk, metrics: Sequence[str] = ()) -> tuple[str, ...]:
    """The figures asked for, or the usual ones that vary over the draws."""
    return tuple(metrics) or tuple(key for key in FIGURES if varies(found.metrics[key].values))


def told_by(found: Risk, metrics: Sequence[str] = ()) -> str:
    """The figure by which draws are good or bad: the first one asked for, or value, or cost where there is no price."""
    if metrics:
        return metrics[0]
    return next((key for key in BY if not (found.metrics[key].codes != 0).all()), BY[-1])


def sheets(found: Risk, metrics: Sequence[str], by: str, system: str = SYSTEMS[0]) -> Iterator[Sheet]:
    """The whole study as tables."""
    yield chances(found)
    yield figures(found, metrics)
    yield bad_tenth(found, by, system)
    if found.rolled:
        yield rolled_up(found, system)
    yield unsure(found, system)


def verdict(found: Risk) -> str:
    """What the study says in a sentence or two."""
    if found.failed.all():
        return f"None of the {found.draws:,} draws could be worked out. {_faults(found)}"
    bad = [event for event in found.events if not event.reason][:2]
    said = " and ".join(f"{in_chances(event.chance, found.draws)} it {event.words.split(':')[0]}" for event in bad)
    if bad:
        lost = int(found.failed.sum())
        gone = f" {lost:,} of {found.draws:,} draws could not be worked out and count as bad in that." if lost else ""
        return f"{said[0].upper()}{said[1:]}.{gone}"
    own = spread(told_by(found), found.metrics[told_by(found)])
    return f"Levelized cost: {reached(found, own)}; the case states no price to hold against it."


def how_made(found: Risk) -> str:
    """How the draws were made, in a line."""
    plant = "every draw sized for itself" if found.resize else "the plant as ordered, before the field is known"
    noun = "draw" if found.draws == 1 else "draws"
    stop = f" ({found.stopped})" if found.stopped else ""
    return (
        f"{found.draws:,} {noun}{stop} of {len(found.uncertain)} unsure inputs, seed {found.seed}, {found.sampler} sampling; "
        f"{plant}; wells that fail are counted out."
    )


def chances(found: Risk) -> Sheet:
    """The chances of what may go wrong, with twice their standard error."""
    rows, notes = [], []
    for event in found.events:
        if event.reason:
            notes.append(f"not asked whether it {event.words.split(':')[0]}: {event.reason}")
        else:
            chance = in_chances(event.chance, found.draws).removesuffix(" that")
            rows.append((f"it {event.words}", chance, _give_or_take(event)))
    notes += [*out_of_line(found), convergence(found)]
    return Sheet("What may go wrong", ("", "chance", "give or take"), tuple(rows), tuple(notes))


def out_of_line(found: Risk) -> Iterator[str]:
    """Draws that could not be worked out, and those that are paid for in another way than the case states."""
    if found.failed.any():
        yield f"{_faults(found)} Here {COUNTS_AS_BAD}."
    if found.overpaid:
        yield (
            f"In {found.overpaid:,} of {found.draws:,} draws the unit costs so little that grant and debt as stated are more "
            "than all uses of money: there the debt, and then the grant, is scaled down to them."
        )


def _give_or_take(event: Event) -> str:
    """Twice the standard error; where no draw or every draw shows it, what 95 % confidence leaves (3 / n)."""
    if event.chance in {0.0, 1.0}:
        return f"up to {min(300 / event.happens.size, 100):.2g} points"
    return f"{200 * event.error:.1f} points"


def chance_lines(shown: Sheet) -> Section:
    """The same as a section: what may go wrong, its chance, and what makes that exact."""
    lines = []
    for words, chance, error in shown.rows:
        what, _, exactly = words.partition(": ")
        lines.append(
            Line(f"{what[0].upper()}{what[1:]}", chance, f"{exactly}{'; ' * bool(exactly)}give or take {error}")
        )
    return Section(shown.title, tuple(lines))


def _faults(found: Risk) -> str:
    count, path, words = found.faults[0]
    several = f"{count:,} of them" if len(found.faults) > 1 else "the reason"
    lost = int(found.failed.sum())
    return f"{lost:,} of {found.draws:,} draws could not be worked out; {several}: {path}: {words.rstrip('.')}."


def convergence(found: Risk) -> str:
    """How sure the chances are, in words."""
    shown = [event for event in found.events if not event.reason]
    if not shown:
        return f"{found.draws:,} draws: four times as many would halve every error."
    event = shown[0]
    what = f"that it {event.words.split(':')[0]}"
    if event.chance in {0.0, 1.0}:
        side = "below" if event.chance == 0 else "above"
        limit = min(3 / found.draws, 1.0)  # rule of three: 95 % sure where none of n draws shows it
        edge = limit if event.chance == 0 else 1 - limit
        return f"The chance {what} is {side} {share(edge, 2)} with 95 % confidence; four times the draws would quarter that."
    return (
        f"Twice the standard error of the chance {what} is {200 * event.error:.1f} points"
        f"{'' if found.sampler == 'plain' else ', as of plain draws, at most: these are spread more evenly'}; four times the "
        "draws would halve it."
    )


def unit_of(found: Risk, metric: str) -> str:
    """The unit of a figure as it is shown: times for a ratio, share for what is part of a whole."""
    unit = found.metrics[metric].unit
    return unit if unit != "1" else "share" if metric in SHARES else "times"


def amount(value: float, unit: str, currency: str) -> str:
    """A figure with its unit; none where there is no value.

    >>> amount(12948000.0, "USD", "USD"), amount(0.0937, "1/yr", "USD"), amount(1.3064, "times", "USD")
    ('12.95 MUSD', '9.4 %/yr', '1.31 times')
    """
    if not np.isfinite(value):
        return "none"
    if unit in {currency, f"{currency}/yr"}:
        return money(value, currency) + unit.removeprefix(currency)
    if unit in {"1/yr", "share"}:
        return f"{share(value)}{'/yr' if unit == '1/yr' else ''}"
    return f"{value:.2f} times" if unit == "times" else f"{figure(value, 4)} {unit}"


def reached(found: Risk, shown: Spread) -> str:
    """What a figure reaches with 9, 5 and 1 chances in 10, in words with the sense of each chance."""
    unit, currency = unit_of(found, shown.metric), found.base.currency
    sense = "at most" if shown.at_most else "at least"
    return ", ".join(
        f"{words} of {sense} {amount(float(value), unit, currency)}"
        if np.isfinite(value)
        else f"{'none is needed' if spared else 'nothing is reached'} with {words}"
        for words, value, spared in zip(CHANCE_WORDS, shown.reached, shown.spared, strict=True)
    )


def figures(found: Risk, metrics: Sequence[str]) -> Sheet:
    """Figures with what they reach: the case as it is, and 9, 5 and 1 chances in 10."""
    rows, notes, currency = [], [], found.base.currency
    for key in metrics:
        own, unit = spread(key, found.metrics[key]), unit_of(found, key)
        if own.reason:
            notes.append(f"{key}: none: {own.reason}")
            continue
        sense = "at most " if own.at_most else "at least "
        cells = [
            "none needed" if spared else amount(float(value), unit, currency)
            for value, spared in zip(own.reached, own.spared, strict=True)
        ]
        rows.append((
            key, amount(float(found.base.metrics[key].values[0]), unit, currency),
            *(cell if cell.startswith("none") else sense + cell for cell in cells),
        ))  # fmt: skip
        notes += [f"{key}: {words}" for words in _counted(found, key)]
    heads = ("", "as it is", "9 chances in 10", "even chance", "1 chance in 10")
    if rows:
        key = told_by(found) if told_by(found) in metrics else rows[0][0]
        notes.insert(0, _sure_to(found, key))
    if found.failed.any():
        many = "; where they are more than 1 in 10, nothing is reached with 9 chances in 10"
        often = many if found.failed.mean() > 1 - CHANCES[0] else ""
        notes.append(f"draws that could not be worked out count as worse than any value{often}")
    return Sheet("What the figures reach", heads, tuple(rows), tuple(notes))


def _sure_to(found: Risk, key: str) -> str:
    """How sure the values of a figure are, in words."""
    own, unit = spread(key, found.metrics[key]), unit_of(found, key)
    sure = [
        f"{amount(2 * float(error), unit, found.base.currency)} with {words}"
        for words, error in zip(CHANCE_WORDS, own.error, strict=True)
        if np.isfinite(error) and error > 0
    ]
    if not sure and (own.error == 0).any():
        return f"{key}: every tenth of the draws reaches the same values"
    if not sure:
        return f"{key}: too few draws to say how sure these values are"
    return f"{key}: give or take {', '.join(sure)} (twice the standard error, by ten batches)"


def _counted(found: Risk, key: str) -> Iterator[str]:
    """How draws without a value count, those that failed left out."""
    codes = found.metrics[key].codes
    for reason, why in SPARED.items():
        if count := int(np.count_nonzero(codes == reason)):
            yield f"{count:,} draws have none and count as better than any: {why}"
    if count := int(np.count_nonzero((codes != 0) & ~free(found.metrics[key]) & ~found.failed)):
        yield f"{count:,} draws have none and count as worse than any"


def unsure(found: Risk, system: str = SYSTEMS[0]) -> Sheet:
    """Every unsure input: the case's own value, 1 chance in 10 of less, even, 1 in 10 of more, and where that is from."""
    origins: dict[str, str] = {}
    rows, currency = [], found.base.currency
    for path, one in found.uncertain.items():
        mark = origins.setdefault(_origin(one.origin, one.evidence), f"[{len(origins) + 1}]")
        values = (one.input.value, one.quantile(0.1), one.quantile(0.5), one.quantile(0.9))
        rows.append((path, *(input_text(one.input, v, currency, system, DIGITS, at=False) for v in values), mark))
    heads = ("", "as it is", "1 in 10 below", "even", "1 in 10 above", "from")
    return Sheet("What is unsure", heads, tuple(rows), tuple(f"{mark} {words}" for words, mark in origins.items()))


def _origin(words: str, evidence: str) -> str:
    return words if evidence == "stated" else f"{words} ({evidence})"


def common(found: Risk, by: str) -> tuple[InCommon, ...]:
    """What the worst tenth of draws by a figure have in common, the most telling first."""
    return in_common(found.moved, goodness(by, found.metrics[by]))


def weights(found: Risk, by: str) -> tuple[Importance, ...]:
    """How a figure goes with every input over the draws; above zero where more of the input is better."""
    return importance(found.moved, goodness(by, found.metrics[by]))


def bad_tenth(found: Risk, by: str, system: str = SYSTEMS[0]) -> Sheet:
    """The worst tenth of draws by a figure against all draws, and how the figure goes with each input."""
    rank, rows = {one.path: one.rank_correlation for one in weights(found, by)}, []
    for one in common(found, by)[:MOST_IN_COMMON]:
        bad, every = (_moved(found, one.path, value, system) for value in (one.median_bad, one.median))
        goes = f"{rank[one.path]:+.2f}" if one.path in rank else "none"
        rows.append((one.path, bad, every, f"{one.chance_bad:.0%}".replace("%", " %"), goes))
    heads = ("", "median there", "median of all", "mean chance below", "rank correlation")
    tenth = worst_tenth(goodness(by, found.metrics[by]))
    lost = int(found.failed[tenth].sum())
    notes = [
        "mean chance below: where those draws lie between the lowest (0 %) and the highest value (100 %); 50 % in all"
    ]
    notes.append(f"rank correlation: of each input with how good {by} is, over all draws")
    if lost:
        notes.append(f"{lost:,} of these {tenth.size:,} draws could not be worked out")
    return Sheet(f"What the worst tenth by {by} have in common", heads, tuple(rows), tuple(notes))


def _moved(found: Risk, path: str, value: float, system: str) -> str:
    if path == DRILLED:
        return f"{figure(value, 4)} wells"
    return input_text(found.uncertain[path].input, value, found.base.currency, system, DIGITS, at=False)


def rolled_up(found: Risk, system: str = SYSTEMS[0]) -> Sheet:
    """The flow of all wells: what single wells reach, added up, beside what the wells reach together."""
    chosen, currency = found.uncertain[WELL_FLOW].input, found.base.currency
    rows = []
    for rolled in found.rolled:
        for words, single, added, together in zip(
            CHANCE_WORDS, rolled.single, rolled.added, rolled.together, strict=True
        ):
            cells = (
                input_text(chosen, float(v), currency, system, DIGITS, at=False) for v in (single, added, together)
            )
            rows.append((_wells_alike(rolled), f"{words} of at least", *cells))
    heads = (f"{found.rolled[0].wells} wells", "", "one well", "added up", "together")
    return Sheet("Why single wells do not add up", heads, tuple(rows), tuple(_why_not(found.rolled)))


def _wells_alike(rolled: RollUp) -> str:
    if rolled.common == 1:
        return "all alike"
    return "each for itself" if rolled.common == 0 else f"{share(rolled.common, 0)} in common"


def _why_not(rolled: Sequence[RollUp]) -> Iterator[str]:
    apart = rolled[-1]
    low, high = (float(apart.added[n] / apart.together[n] - 1) for n in (0, 2))
    yield (
        f"where wells differ, what each gives with 9 chances in 10, added up, is {share(-low, 0)} too low, and with 1 chance "
        f"in 10 {share(high, 0)} too high: a poor well among others is made up for by a good one"
    )
    if rolled[0].common == 1:
        yield "the case has all wells alike (common = 1 where it says how sure the flow is): then they do add up"

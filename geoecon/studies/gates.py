"""Go, wait or stop: which of the criteria hold, how surely, what would turn the answer, and what to learn next.

The rules, in this order. Go: every criterion holds at least as surely as it was asked to. Stop: some criterion has less
chance, as things are known, than the case's stop chance. Wait: anything between, where learning more may decide.

Money already spent has no part in it: every figure is about money still to be spent.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from geoecon.arrays import Bools, Floats
from geoecon.case import Case
from geoecon.engine import evaluate
from geoecon.errors import CaseError, Fault
from geoecon.passed import PUBLIC_OWNERS
from geoecon.result import Metric
from geoecon.studies.breakeven import Breakeven, breakeven
from geoecon.studies.risk import Risk
from geoecon.studies.spread import chance_error, free, quantiles
from geoecon.studies.targets import Target, target
from geoecon.studies.uncertain import maturity_of
from geoecon.tables import Row, row

GO, WAIT, STOP = "go", "wait", "stop"
MOST_TURNS = 3
SHARES = (0.5, 0.4, 0.3, 0.25, 0.2, 0.15, 0.1, 0.05)  # of an input's chances, on its better or worse side
FEWEST = 30  # draws below which a share says nothing
FEWEST_DRAWS = 100
COVER = "dscr_min >= 1"
REQUIRED, COLLECTED = "required_price", "revenue_requirement_levelized"
# Metrics that say whether an owner gets what is needed, as the price that is told with a chance gives it.
GIVES = {
    "private": ("npv_equity", "irr_equity", REQUIRED), "utility": (COLLECTED,), "cooperative": ("dscr_min", REQUIRED),
    "public": ("dscr_min", REQUIRED),
}  # fmt: skip


@dataclass(frozen=True)
class Judged:
    """A criterion: the chance asked for and the chance found, with its standard error, and what the case as it is gives."""

    target: Target
    asked: float
    found: float
    error: float
    base: float

    @property
    def holds(self) -> bool:
        """Whether it holds as surely as asked."""
        return self.found >= self.asked


@dataclass(frozen=True)
class Turn:
    """What one input alone would have to turn out as for the answer to be another.

    value : its least value where `more` is asked for, else its most;  likely : chance of that
    reached : chance that all criteria hold if it does, with its standard error
    """

    path: str
    value: float
    more: bool
    likely: float
    reached: float
    error: float


@dataclass(frozen=True)
class Decision:
    """The verdict and what it rests on.

    needs : what each input alone would have to be for the least sure criterion, in the case as it is
    turns : up to three inputs, the likeliest first;  price : at which the owner gets what is needed with the chance asked of
    that, NaN where there is none, with its standard error;  priced : the metric that this price is of
    gate : the row of `tables/gates.csv` for what is known now
    to_spend : capital still to be spent, price-year money;  at_risk : the part before the first good well
    """

    verdict: str
    judged: Sequence[Judged]
    needs: Breakeven
    assumed: bool
    together: float
    stop_chance: float
    turns: Sequence[Turn]
    priced: str
    price: float
    price_error: float
    price_chance: float
    gate: Row
    maturity_stated: bool
    to_spend: float
    at_risk: float
    spent: float
    risk: Risk


def decide(case: Case, study: Risk) -> Decision:
    """Go, wait or stop, from the draws of a risk study. Raises `CaseError` where no criterion can be judged."""
    wanted, assumed = criteria(case)
    _enough(study)
    met: Bools = np.array([_met(one, study.metrics[one.metric]) for one, _ in wanted])
    judged = [_judged(study, one, asked, held) for (one, asked), held in zip(wanted, met, strict=True)]
    stop_chance = float(case.decision.stop_chance[0])
    verdict = _verdict(judged, stop_chance)
    asked = np.array([one.asked for one in judged])
    sure = _asked_of_a_price(judged, case.project.owner)
    priced = COLLECTED if case.project.owner == "utility" else REQUIRED
    price, price_error = _price(study.metrics[priced], sure)
    spent, (maturity, maturity_stated) = case.capital.spent_to_date, maturity_of(case)
    return Decision(
        verdict=verdict,
        judged=judged,
        needs=breakeven(case, min(judged, key=lambda one: one.found - one.asked).target, hold=True),
        assumed=assumed,
        together=float(met.all(axis=0).mean()),
        stop_chance=stop_chance,
        turns=_turns(study, met, asked, towards=verdict != GO),
        priced=priced,
        price=price,
        price_error=price_error,
        price_chance=sure,
        gate=row("gates", maturity=maturity),
        maturity_stated=maturity_stated,
        to_spend=study.base.value("capital_cost"),
        at_risk=study.base.value("capital_at_risk"),
        spent=0.0 if spent is None else float(spent[0]),
        risk=study,
    )


def criteria(case: Case) -> tuple[list[tuple[Target, float]], bool]:
    """Targets with the chance asked for each, and whether they were assumed because the case states none."""
    stated = [(one.target, float(one.chance[0])) for one in case.decision.criteria]
    assumed = not stated
    if assumed:
        stated = _usual(case)
    found, wrong = [], []
    for text, chance in stated:
        try:
            found.append((target(text, case.money.currency), chance))
        except CaseError as error:
            wrong += [
                Fault("decision.criteria", fault.message, case.line("decision.criteria")) for fault in error.faults
            ]
    if wrong:
        raise CaseError(wrong, case.source)
    return found, assumed


def _usual(case: Case) -> list[tuple[str, float]]:
    """Criteria of people who state none: the owner gets what was asked more likely than not, and the lender is safe.

    A cap on what the owner is committed to and a cover of interest that the case asks for hold as surely as the lender's.
    """
    if not case.market.states_price:
        words = "no price is stated, so nothing can be judged; state a price, or criteria such as required_price <= 90"
        raise CaseError([Fault("decision.criteria", words)], case.source)
    lent = bool((case.finance.debt_share > 0).all())
    limits = [COVER] if lent else []
    if (cap := case.finance.commitment_cap) is not None:
        limits.append(f"total_commitment <= {cap[0]:.12g} {case.money.currency}")
    if (tier := case.finance.target_tier) is not None and lent:
        limits.append(f"tier_min >= {tier[0]:.12g}")
    return [(_of_owner(case), 0.5), *((limit, 0.8) for limit in limits)]


def _of_owner(case: Case) -> str:
    """What this kind of owner asks first, by the figure that it looks at first; the stated price is what it has otherwise.

    A private owner the return on its money. A utility, that the revenue required is no more than the stated prices are
    worth as one level price at its own rate. A cooperative and a public owner, that the price at which debt service is
    covered as asked and no year is in the red is no more than the stated one. The price is that of the case as it is.
    """
    owner, currency = case.project.owner, case.money.currency
    if owner not in (*PUBLIC_OWNERS, "utility"):
        return f"npv_equity >= 0 {currency}"
    base = evaluate(case, unsolved="raise")
    level = base.price_at_own_rate
    if level is not None:
        return f"{COLLECTED} <= {level[0]:.12g} {currency}/MWh"
    return f"{REQUIRED} <= {base.annual['price'][base.build_years, 0]:.12g} {currency}/MWh"


def _enough(study: Risk) -> None:
    """Refuse a verdict from a handful of draws. Raises `CaseError`."""
    if study.draws < FEWEST_DRAWS:
        words = f"{study.draws:,} draws are too few for a verdict; take at least {FEWEST_DRAWS}"
        raise CaseError([Fault("--draws", words)], study.base.source)


def _met(one: Target, metric: Metric) -> Bools:
    """Where a target is met; a figure that is not needed, such as cover without debt, meets any."""
    return one.met(metric.values) | free(metric)


def _judged(study: Risk, one: Target, asked: float, met: Bools) -> Judged:
    found = float(met.mean())
    return Judged(one, asked, found, chance_error(found, met.size), float(study.base.metrics[one.metric].values[0]))


def _verdict(judged: Sequence[Judged], stop_chance: float) -> str:
    if all(one.holds for one in judged):
        return GO
    return STOP if any(one.found < stop_chance for one in judged) else WAIT


def _asked_of_a_price(judged: Sequence[Judged], owner: str) -> float:
    """The chance asked of what a required price gives this owner: the return, or cover; of all criteria where of neither."""
    given = [one.asked for one in judged if one.target.metric in GIVES[owner]]
    return max(given or [one.asked for one in judged])


def _price(required: Metric, chance: float) -> tuple[float, float]:
    """The price that is enough with a chance: zero where any pays, infinite where none is; and its error."""
    prices = np.where(free(required), 0.0, np.where(required.codes == 0, required.values, np.inf))
    enough = np.quantile(prices, chance, method="higher")
    error = quantiles(prices, np.array([chance]))[1]
    return (float(enough), float(error[0])) if np.isfinite(enough) else (np.nan, np.nan)


def _turns(study: Risk, met: Bools, asked: Floats, *, towards: bool) -> list[Turn]:
    """The inputs that alone would turn the answer, the likeliest first: towards a go, or away from one.

    met : (criterion, scenario);  asked : (criterion,)
    """
    turns = (_turn(path, values, met, asked, towards=towards) for path, values in study.values.items())
    return sorted((turn for turn in turns if turn), key=lambda turn: -turn.likely)[:MOST_TURNS]


def _turn(path: str, values: Floats, met: Bools, asked: Floats, *, towards: bool) -> Turn | None:
    """The widest share of an input's draws, from one end, among which every criterion holds as asked (or no longer)."""
    everything: Bools = np.logical_and.reduce(met)
    if everything.all() or not everything.any():
        return None
    helps = float(values[everything].mean()) > float(values[~everything].mean())
    more = helps == towards
    for share in SHARES:
        edge = float(np.quantile(values, 1 - share if more else share))
        inside = values >= edge if more else values <= edge
        if inside.sum() < FEWEST:
            return None
        if bool((met[:, inside].mean(axis=1) >= asked).all()) == towards:
            reached = float(everything[inside].mean())
            return Turn(path, edge, more, float(inside.mean()), reached, chance_error(reached, int(inside.sum())))
    return None

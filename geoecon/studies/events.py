"""What may go wrong in a scenario: loss, too small a return, weak cover of debt, no cash."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from geoecon.arrays import Bools, Codes, Floats, running_total
from geoecon.finance.reasons import Reason
from geoecon.passed import PUBLIC_OWNERS
from geoecon.result import Metric, Result
from geoecon.studies.spread import chance_error

LOSS, RETURN, COVER, TARGET, CASH = "loss", "return", "cover", "target", "cash"


@dataclass(frozen=True)
class Event:
    """Something that may go wrong: `words` after "it", and where it does, (scenario,).

    A scenario that cannot be worked out counts as one where it does. `reason` says why the event cannot exist in a case.
    """

    key: str
    words: str
    happens: Bools
    reason: str

    @property
    def chance(self) -> float:
        """Share of draws in which it happens."""
        return float(self.happens.mean())

    @property
    def error(self) -> float:
        """Standard error of the chance."""
        return chance_error(self.chance, self.happens.size)


def happenings(result: Result) -> Mapping[str, tuple[Bools, Codes]]:
    """Key -> where an event happens, and a code where it cannot exist, (scenario,) each."""
    metrics = result.metrics
    operating = result.annual["cash_flow_equity"][result.build_years :]
    with np.errstate(invalid="ignore"):
        in_want = np.asarray((operating < 0).any(axis=0))
        broke = np.asarray((running_total(operating) < 0).any(axis=0))
    by_return = _below(metrics["npv_equity"], 0.0)
    return {
        LOSS: _below(metrics["npv"], 0.0),
        RETURN: (in_want, metrics["npv"].codes) if result.owner in PUBLIC_OWNERS else by_return,
        COVER: _below(metrics["dscr_min"], 1.0),
        TARGET: _below(metrics["dscr_min"], result.asked["target_dscr"]),
        CASH: (broke, metrics["npv"].codes),
    }


def _below(metric: Metric, limit: Floats | float) -> tuple[Bools, Codes]:
    with np.errstate(invalid="ignore"):
        return metric.values < limit, metric.codes


def events(base: Result, found: Mapping[str, tuple[Bools, Codes]], failed: Bools) -> Iterator[Event]:
    """The events of a study, from where they happen and where they cannot exist; failed : (scenario,)."""
    words = _words(base)
    for key, (happens, codes) in found.items():
        worked = codes[~failed]
        gone = worked.size > 0 and bool((worked != 0).all())
        yield Event(key, words[key], happens | failed, Reason(int(worked[0])).words if gone else "")


def _words(base: Result) -> dict[str, str]:
    asked = {name: float(values[0]) for name, values in base.asked.items()}
    public = base.owner in PUBLIC_OWNERS
    return {
        LOSS: f"makes a loss: net present value below zero at {asked['discount_rate'] * 100:.4g} % a year",
        RETURN: "takes money from the owner: in some operating year more goes out than comes in"
        if public
        else f"earns the owner less than the {asked['equity_return'] * 100:.4g} % a year asked",
        COVER: "cannot serve the debt from its cash in some year: cover below 1 time",
        TARGET: f"covers the debt service less than lenders ask in some year: below {asked['target_dscr']:.4g} times",
        CASH: "runs out of cash: the owner's cash added up from operating year 1 falls below zero",
    }

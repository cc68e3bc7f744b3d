"""What drives the spread: the share of a figure's variance that each uncertain input explains.

First order: what an input explains alone. Total: all it takes part in, alone and together with others. Both by the scheme of
Saltelli (2010): two independent samples A and B, and for each input a sample AB that is A with that input taken from B;
first order after Saltelli et al. 2010, total after Jansen 1999, here from memory and tested against closed forms.
The indices take the inputs as independent of each other.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from geoecon.arrays import Floats, chunks
from geoecon.case import Case
from geoecon.engine import evaluate
from geoecon.errors import CaseError, Fault
from geoecon.preparing.field import drilling_success
from geoecon.result import METRICS
from geoecon.sizing import size
from geoecon.studies.admitted import work_out
from geoecon.studies.drawn import order
from geoecon.studies.draws import DRILLING, INSIDE, of_the_field, producers_of
from geoecon.studies.uncertain import uncertain_inputs

USUAL_DRAWS, LEAST_DRAWS, MOST_DRAWS = 1024, 64, 65_536
RESAMPLED = 400
RANGE = (0.05, 0.95)  # of the resampled indices: 9 chances in 10
MEAN_OF_WELLS = 20_000  # draws behind the distribution of the mean of a field's wells
STILL = 1e-12  # a spread below this share of the mean is rounding

Figures = Callable[[Floats], Floats]


@dataclass(frozen=True)
class Indices:
    """Shares of the variance of one figure, (input,)  [1]; NaN where the figure does not vary or has no value.

    first, total : best estimates;  *_range : (2, input) low and high, between which 9 in 10 resamplings lie
    used, left_out : rows of the sample with a value in all of A, B and every AB, and rows without
    """

    first: Floats
    total: Floats
    first_range: Floats
    total_range: Floats
    mean: float
    deviation: float
    used: int
    left_out: int

    @property
    def varies(self) -> bool:
        """Whether there is a spread to explain."""
        return bool(np.isfinite(self.first).all())


def chances(inputs: int, draws: int, seed: int) -> tuple[Floats, Floats]:
    """Two independent samples of chances in (0, 1), each (input, draw): the halves of a scrambled sequence of Sobol.

    draws : a power of two, which keeps the sequence even
    """
    from scipy.stats import qmc

    both = qmc.Sobol(d=2 * inputs, scramble=True, seed=seed).random_base2(draws.bit_length() - 1).T
    both = np.clip(both, INSIDE, 1 - INSIDE)
    return both[:inputs], both[inputs:]


def explore(figures: Figures, inputs: int, draws: int, seed: int) -> Floats:
    """Figures over A, B and each AB, (figure, 2 + input, draw), worked out in parts.

    figures : chances (input, scenario) -> values (figure, scenario)
    """
    a, b = chances(inputs, draws, seed)
    samples = [a, b, *(np.where(np.arange(inputs).reshape(-1, 1) == n, b, a) for n in range(inputs))]
    return np.stack(
        [np.concatenate([figures(sample[:, part]) for part in chunks(draws)], axis=1) for sample in samples], axis=1
    )


def indices(values: Floats, seed: int) -> Indices:
    """Indices of one figure from its values over A, B and each AB, (2 + input, draw)."""
    kept = values[:, np.isfinite(values).all(axis=0)]
    used, left_out = kept.shape[1], values.shape[1] - kept.shape[1]
    nothing = np.full(len(values) - 2, np.nan)
    mean, deviation = (float(kept[:2].mean()), float(kept[:2].std())) if used else (np.nan, np.nan)
    if used < 2 or not deviation > STILL * abs(mean):
        ranges = np.full((2, nothing.size), np.nan)
        return Indices(nothing, nothing, ranges, ranges, mean, deviation, used, left_out)
    middle = kept.mean()  # centred values make the first order less noisy
    a, b, ab = kept[0] - middle, kept[1] - middle, kept[2:] - middle
    terms = np.vstack([a, b, a**2, b**2, b * (ab - a), (a - ab) ** 2])
    first, total = _shares(terms.mean(axis=1))
    weights = np.random.default_rng([seed, used]).multinomial(used, np.full(used, 1 / used), RESAMPLED) / used
    again = _shares(terms @ weights.T)
    first_range, total_range = (np.quantile(found, RANGE, axis=-1) for found in again)
    return Indices(first, total, first_range, total_range, mean, deviation, used, left_out)


def _shares(means: Floats) -> tuple[Floats, Floats]:
    """First and total shares from means over draws of a, b, a^2, b^2, and by input b (ab - a) and (a - ab)^2."""
    variance = (means[2] + means[3]) / 2 - ((means[0] + means[1]) / 2) ** 2
    of_inputs = means[4:].reshape(2, -1, *means.shape[1:])
    return of_inputs[0] / variance, of_inputs[1] / (2 * variance)


@dataclass(frozen=True)
class Explored:
    """Figures of a case over the samples of its uncertain inputs.

    inputs : path, or `DRILLING`, -> what it is;  values : metric -> (2 + input, draw)
    reasons : metric -> why it has no value where it has none;  coupled : inputs that the case says go together
    """

    name: str
    currency: str
    inputs: Mapping[str, str]
    values: Mapping[str, Floats]
    units: Mapping[str, str]
    reasons: Mapping[str, str]
    coupled: Sequence[str]
    draws: int
    seed: int

    @property
    def passes(self) -> int:
        """Scenarios worked out."""
        return self.draws * (2 + len(self.inputs))

    def indices(self, metric: str) -> Indices:
        """What each input explains of one metric."""
        return indices(self.values[metric], self.seed)


def explore_case(
    case: Case, metrics: Sequence[str] = tuple(METRICS), draws: int = USUAL_DRAWS, seed: int = 1
) -> Explored:
    """Metrics of a case over samples of its uncertain inputs, with the plant as it was ordered.

    draws : of A and of B, rounded up to a power of two; every input adds as many
    Raises `CaseError`: a case that cannot be worked out or has nothing uncertain, an unknown metric, too many draws.
    """
    _check(case, metrics, draws)
    base = evaluate(case, unsolved="raise").metrics
    uncertain, wells = uncertain_inputs(case), size(case).wells
    field = of_the_field(uncertain, producers_of(case), seed)
    named = {path: input_.input.about.help for path, input_ in uncertain.items()}
    new = 0.0 if wells is None else float((wells.new_producers + wells.new_injectors)[0])
    success = drilling_success(case)
    if new > 0 and (min(1.0, success.settled[0], *success.early[:, 0]) < 1 or "wells.success" in uncertain):
        named[DRILLING] = "How many wells fail before enough succeed"
    if not named:
        raise CaseError([Fault("uncertainty", "the case states nothing that is uncertain")], case.source)
    ordered, reasons = order(case, uncertain), dict[str, str]()

    def figures(sample: Floats) -> Floats:
        values = {path: one.distribution.quantile(sample[n]) for n, (path, one) in enumerate(field.items())}
        drilling = sample[-1] if DRILLING in named else None
        found = work_out(case, values, ordered.admit, lambda some: ordered.evaluate(some, drilling))
        refused = next(iter(found.refused.values()), "")
        for metric in metrics:
            reasons[metric] = reasons.get(metric) or refused or found.metrics[metric].reason
        return np.stack([found.metrics[metric].values for metric in metrics])

    rounded = 1 << (draws - 1).bit_length()
    found = explore(figures, len(named), rounded, seed)
    coupled = sorted({path for pair in case.uncertainty.correlation for path in pair.paths if path in uncertain})
    return Explored(
        case.project.name, case.money.currency, named, dict(zip(metrics, found, strict=True)),
        {metric: base[metric].unit for metric in metrics}, reasons, coupled, rounded, seed,
    )  # fmt: skip


def _check(case: Case, metrics: Sequence[str], draws: int) -> None:
    for metric in metrics:
        if metric not in METRICS:
            raise CaseError(
                [Fault("--metric", f"{metric!r} is no figure; known are: {', '.join(METRICS)}")], case.source
            )
    if not LEAST_DRAWS <= draws <= MOST_DRAWS:
        words = (
            f"{draws:,} is outside {LEAST_DRAWS} to {MOST_DRAWS:,}; a thousand tell most, and every input adds as many"
        )
        raise CaseError([Fault("--draws", words)], case.source)

"""Draws of uncertain inputs: every input has a stream of its own, keyed by its path.

So another input leaves the draws of the others as they were, a slice is the same wherever it is cut, and the same seed gives
the same answer on any number of workers. Correlation couples only the inputs it names.
"""

import hashlib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import count

import numpy as np

from geoecon.arrays import Floats
from geoecon.case import Case
from geoecon.case.fields import about
from geoecon.case.schema import TABLES
from geoecon.case.uncertainty import Correlation, latent_correlation
from geoecon.errors import CaseError, Fault
from geoecon.sizing import size
from geoecon.studies.distributions import Distribution, empirical
from geoecon.studies.uncertain import UncertainInput

SAMPLERS = ("latin", "sobol", "plain")
MOST_DRAWS = 2_000_000
SOBOL_BITS = 30
SOBOL_BLOCK = 16_384
DRILLING = "wells drilled"
MEAN_OF_WELLS = 20_000  # draws that stand for the mean of wells that differ
INSIDE = 1e-12  # chances stay this far from 0 and 1, where a quantile may be infinite


@dataclass(frozen=True)
class Draws:
    """Values of uncertain inputs, path -> (scenario,) in the unit used inside, and the chances they come from.

    drilling : chances (scenario,) for the number of wells that fail before enough succeed
    """

    values: Mapping[str, Floats]
    chances: Mapping[str, Floats]
    drilling: Floats
    seed: int
    sampler: str

    @property
    def size(self) -> int:
        """Number of scenarios."""
        return int(self.drilling.size)

    def part(self, start: int, stop: int) -> "Draws":
        """Some scenarios of the draws, by their place."""
        return Draws(
            {path: values[start:stop] for path, values in self.values.items()},
            {path: chances[start:stop] for path, chances in self.chances.items()},
            self.drilling[start:stop], self.seed, self.sampler,
        )  # fmt: skip


def draw(
    uncertain: Mapping[str, UncertainInput], size: int, seed: int, sampler: str = "latin",
    correlation: Sequence[Correlation] = (), wells: int = 1,
) -> Draws:  # fmt: skip
    """Values of all uncertain inputs in so many scenarios.

    wells : producers whose mean an input of wells is where the wells have only a part of their variance in common
    Raises `CaseError`: an unknown sampler, or a number of draws that a machine of today does not hold.
    """
    if sampler not in SAMPLERS:
        raise CaseError([Fault("--sampler", f"{sampler!r} is not one of: {', '.join(SAMPLERS)}")], "draws")
    if not 1 <= size <= MOST_DRAWS:
        raise CaseError([Fault("--draws", f"{size:,} is outside 1 to {MOST_DRAWS:,}; ten thousand tell most")], "draws")
    chances = streams(seed, tuple(uncertain), size, sampler)
    chances |= _coupled(chances, correlation)
    values = {}
    for path, input_ in uncertain.items():
        if input_.common < 1 and wells > 1:
            values[path] = mean_of_wells(input_.distribution, input_.common, chances[path], wells, seed, path)
        else:
            values[path] = input_.distribution.quantile(chances[path])
    return Draws(values, chances, streams(seed, (DRILLING,), size, sampler)[DRILLING], seed, sampler)


def streams(seed: int, paths: Sequence[str], size: int, sampler: str) -> dict[str, Floats]:
    """Path -> chances in (0, 1), (size,): plain, one in each of `size` equal parts, or columns of Sobol's sequence."""
    if sampler == "sobol":
        return _sobol(seed, paths, size)
    return {path: _stream(seed, path, size, spread=sampler == "latin") for path in paths}


def _stream(seed: int, path: str, size: int, *, spread: bool) -> Floats:
    """Chances of one input; spread, there is one in each of `size` equal parts (Latin hypercube)."""
    made = np.random.Generator(np.random.Philox(key=_key(seed, path)))
    places = made.permutation(size) if spread else None
    chances = made.random(size)
    if places is not None:
        chances += places
        chances /= size
    return _inside(chances)


def _inside(chances: Floats) -> Floats:
    return np.clip(chances, INSIDE, 1 - INSIDE, out=chances)


def _key(seed: int, path: str) -> int:
    return int.from_bytes(hashlib.blake2b(f"{seed}:{path}".encode(), digest_size=16).digest(), "little")


def _numbered() -> dict[str, int]:
    """A column of Sobol's sequence for each number that may vary, so that another uncertain input changes none."""
    paths = (
        f"{name}.{leaf}" for name, model in TABLES.items() for leaf in model.model_fields if about(model, leaf).varies
    )
    return {path: column for column, path in enumerate([DRILLING, *paths])}


def _sobol(seed: int, paths: Sequence[str], size: int) -> dict[str, Floats]:
    """Columns of the sequence, the digits of each shifted by a key (scrambled), which keeps their even spread."""
    from scipy.stats import qmc

    columns = _numbered()
    wanted = [columns[path] for path in paths]
    shifts = np.array([_key(seed, path) & ((1 << SOBOL_BITS) - 1) for path in paths], dtype=np.uint64)
    sequence, found = qmc.Sobol(d=max(wanted) + 1, scramble=False, bits=SOBOL_BITS), np.empty((len(paths), size))
    for start in range(0, size, SOBOL_BLOCK):
        block = sequence.random(SOBOL_BLOCK)[: size - start, wanted]  # whole blocks: a power of 2, as asked of it
        digits = (block * 2.0**SOBOL_BITS).astype(np.uint64) ^ shifts
        found[:, start : start + SOBOL_BLOCK] = (digits.T + 0.5) * 2.0**-SOBOL_BITS
    return dict(zip(paths, found, strict=True))


def _coupled(chances: Mapping[str, Floats], pairs: Sequence[Correlation]) -> dict[str, Floats]:
    """Chances of the inputs that correlations name, coupled by their normal scores; each keeps its own distribution."""
    from scipy.special import ndtr, ndtri

    paths = [path for path in chances if any(path in pair.paths for pair in pairs)]
    if len(paths) < 2:
        return {}
    factor = _root(latent_correlation(paths, pairs))
    scores = [ndtri(chances[path]) for path in paths]
    coupled = {}
    for path, weights in zip(paths, factor, strict=True):
        mixed = sum((weight * score for weight, score in zip(weights, scores, strict=True)), np.zeros_like(scores[0]))
        coupled[path] = _inside(ndtr(mixed))
    return coupled


def _root(matrix: Floats) -> Floats:
    """A lower triangle whose product with its transpose is the matrix; a correlation of exactly 1 needs the slack."""
    return np.asarray(np.linalg.cholesky(matrix + 1e-12 * np.eye(len(matrix))), dtype=np.float64)


def mean_of_wells(
    distribution: Distribution, common: float, field: Floats, wells: int, seed: int, name: str
) -> Floats:  # fmt: skip
    """Mean over the wells of a field: each has the field's part of the variance and a part of its own, (scenario,).

    common : part of the variance that all wells share;  field : chances (scenario,) of what they share
    name : what the streams of the single wells are keyed by
    """
    total = np.zeros_like(field)
    for _, values in zip(range(wells), well_by_well(distribution, common, field, seed, name), strict=False):
        total = total + values
    return total / wells


def well_by_well(distribution: Distribution, common: float, field: Floats, seed: int, name: str) -> Iterator[Floats]:
    """Values of a field's first well, (scenario,), of its second, and so on without end; arguments as in `mean_of_wells`."""
    from scipy.special import ndtr, ndtri

    shared, own = np.sqrt(common) * ndtri(field), np.sqrt(1 - common)
    for well in count(1):
        score = ndtri(_stream(seed, f"{name} of well {well}", field.size, spread=False))
        yield distribution.quantile(_inside(ndtr(shared + own * score)))


def producers_of(case: Case) -> int:
    """Producers in service by the design of a case; 1 where it does not tell them."""
    wells = size(case).wells
    return 1 if wells is None else int(wells.producers[0])


def of_the_field(uncertain: Mapping[str, UncertainInput], wells: int, seed: int = 1) -> dict[str, UncertainInput]:
    """The same inputs, each as the mean over the wells of the field where these differ from each other."""
    return {path: _of_the_field(input_, wells, seed) for path, input_ in uncertain.items()}


def _of_the_field(input_: UncertainInput, wells: int, seed: int) -> UncertainInput:
    if input_.common >= 1 or wells <= 1:
        return input_
    means = draw({input_.path: input_}, MEAN_OF_WELLS, seed, wells=wells).values[input_.path]
    return replace(input_, distribution=empirical(means), common=1.0)

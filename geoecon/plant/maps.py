"""What a plant gives for each kg/s of brine, by brine and air temperature: a map, looked up everywhere else."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from geoecon.arrays import Bools, Floats, narrow
from geoecon.commas import rows_of
from geoecon.errors import GeoeconError, TableFileError
from geoecon.plant.binary import CycleTerms
from geoecon.plant.layouts import LAYOUTS


class MapRangeError(GeoeconError, ValueError):
    """A map was asked outside the temperatures it holds."""


class MapFileError(TableFileError):
    """A vendor's table cannot be read as a map."""


@dataclass(frozen=True)
class PerformanceMap:
    """Power per kg/s of brine, and how cool it leaves, on a grid.

    brine, air : (b), (a) rising  [degC];  gross, net : (b, a), net is plant net  [kW per kg/s];  injection : (b, a)  [degC]
    """

    brine: Floats
    air: Floats
    gross: Floats
    net: Floats
    injection: Floats

    def covers(self, brine: Floats, air: Floats) -> Bools:
        """Whether temperatures lie within the map."""
        inside = (brine >= self.brine[0]) & (brine <= self.brine[-1]) & (air >= self.air[0]) & (air <= self.air[-1])
        return np.asarray(inside)

    def at(self, brine: Floats, air: Floats) -> tuple[Floats, Floats, Floats]:
        """Gross, plant net and injection temperature, shapes broadcast; linear between the points of the grid.

        Raises `MapRangeError` outside the grid. NaN stays NaN.
        """
        brine, air = np.broadcast_arrays(brine, air)
        self._hold(brine, air)
        i, u = _bracket(self.brine, brine)
        j, v = _bracket(self.air, air)
        gross, net, injection = (
            _between(
                _between(self._point(which, i, j), self._point(which, i, j + 1), v),
                _between(self._point(which, i + 1, j), self._point(which, i + 1, j + 1), v),
                u,
            )
            for which in ("gross", "net", "injection")
        )
        return gross, net, injection

    def monthly(self, brine: Floats, air: Floats, flow: Floats | None = None) -> Iterator[tuple[Floats, Floats]]:
        """Gross and plant net, as `at` gives them, with the air of one month after another; brine is looked up once.

        brine : (year, scenario)  [degC];  air : (month, scenario)  [degC];  yields (year, scenario)  [kW per kg/s]
        flow : has no part in it: each kg/s gives the same whatever flows
        """
        for extreme in (air.min(axis=0), air.max(axis=0)):
            self._hold(*np.broadcast_arrays(brine, extreme))
        i, u = _bracket(self.brine, brine)
        above, rest = i + 1, 1 - u
        for of_month in narrow(air):
            j, v = _bracket(self.air, of_month)
            over_brine = (_between(self._column(n, j), self._column(n, j + 1), v) for n in ("gross", "net"))
            gross, net = (_mixed(_pick(values, i), rest, _pick(values, above), u) for values in over_brine)
            yield gross, net

    def _point(self, which: str, i: np.ndarray, j: np.ndarray) -> Floats:
        """Values at points of the grid."""
        return np.asarray(getattr(self, which)[i, j])

    def _column(self, which: str, j: np.ndarray) -> Floats:
        """Values of all brine temperatures at some air temperatures, (b, scenario)."""
        return np.asarray(getattr(self, which)[:, j])

    def _hold(self, brine: Floats, air: Floats) -> None:
        """Raise `MapRangeError` where temperatures of the same shape are known and outside the grid."""
        outside = ~self.covers(brine, air) & np.isfinite(brine) & np.isfinite(air)
        if outside.any():
            at = int(outside.ravel().argmax())
            raise MapRangeError(
                f"brine at {brine.ravel()[at]:.1f} degC with air at {air.ravel()[at]:.1f} degC is outside the plant's map "
                f"({self.brine[0]:.0f} to {self.brine[-1]:.0f} degC, {self.air[0]:.0f} to {self.air[-1]:.0f} degC)"
            )


def _bracket(grid: Floats, values: Floats) -> tuple[np.ndarray, Floats]:
    """Index of the grid point below each value, and the share of the way to the next."""
    steps = np.diff(grid)
    if (steps == steps[0]).all():  # dividing is many times faster than searching
        with np.errstate(invalid="ignore"):
            below = ((values - grid[0]) / steps[0]).astype(np.intp)
    else:
        below = np.searchsorted(grid, values, side="right") - 1
    below = np.clip(below, 0, len(grid) - 2)
    return below, (values - grid[below]) / steps[below]


def _between(low: Floats, high: Floats, share: Floats) -> Floats:
    """Part of the way from one value to another; exact at both."""
    return low * (1 - share) + high * share


def _mixed(low: Floats, rest: Floats, high: Floats, share: Floats) -> Floats:
    """As `_between`, in the place of the lower values, which are nobody else's."""
    low *= rest
    high *= share
    low += high
    return low


def _pick(columns: Floats, rows: np.ndarray) -> Floats:
    """Values in some rows, (year, scenario), of one column for all scenarios or one for each."""
    if columns.shape[1] == 1:
        return np.take(columns[:, 0], rows, mode="clip")  # rows are within: the fastest of the modes
    return np.take_along_axis(columns, rows, axis=0)


def binary_map(fluid: str, terms: CycleTerms, brine: Floats, air: Floats) -> PerformanceMap:
    """The map of a binary plant of the layout of its terms, whose cycle is the best one at each temperature.

    brine, air : (b), (a) rising  [degC]

    Pinch and approach stay as stated at every temperature, which no plant does: `designed` has plants as they are built.
    """
    cycle = LAYOUTS[terms.layout](fluid, terms)
    columns = [cycle(brine, float(temperature)) for temperature in air]
    gross, net, injection = (
        np.column_stack([getattr(column, name) for column in columns]) for name in ("gross", "net", "injection")
    )
    return PerformanceMap(brine, air, gross, net, injection)


COLUMNS = (
    "brine_temperature [degC]", "air_temperature [degC]", "plant_net [kW per kg/s]", "injection_temperature [degC]",
)  # fmt: skip


def vendor_map(text: str) -> PerformanceMap:
    """The map in a vendor's table: one row for each pair of temperatures of a full grid; gross is taken as plant net.

    text : CSV whose first line is `COLUMNS`. Raises `MapFileError`, which says what is wrong and where.
    """
    try:
        lines = rows_of(text)
    except TableFileError as error:
        raise MapFileError(str(error)) from None
    if not lines or tuple(cell.strip() for cell in lines[0]) != COLUMNS:
        raise MapFileError(f"the first line must be: {', '.join(COLUMNS)}")
    rows = [_numbers(cells, number) for number, cells in enumerate(lines[1:], 2) if any(cells)]
    brine, air = sorted({r[0] for r in rows}), sorted({r[1] for r in rows})
    if len(brine) < 2 or len(air) < 2 or len(rows) != len(brine) * len(air) or len({r[:2] for r in rows}) != len(rows):
        raise MapFileError(
            f"{len(rows)} rows do not make a full grid of {len(brine)} brine and {len(air)} air temperatures; every pair must "
            "stand once, with at least two of each"
        )
    by_pair = {r[:2]: r[2:] for r in rows}
    net, injection = (np.array([[by_pair[b, a][n] for a in air] for b in brine]) for n in (0, 1))
    if (injection > np.array(brine)[:, None]).any():
        raise MapFileError("brine leaves hotter than it came in at least one row")
    return PerformanceMap(np.array(brine), np.array(air), net, net, injection)


def _numbers(cells: Sequence[str], line: int) -> tuple[float, ...]:
    try:
        numbers = tuple(float(cell) for cell in cells)
    except ValueError:
        numbers = ()
    if len(numbers) != len(COLUMNS) or not np.isfinite(numbers).all():
        raise MapFileError(f"line {line}: {', '.join(cells)[:60]!r} is not {len(COLUMNS)} numbers")
    return numbers

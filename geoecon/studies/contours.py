"""Lines of equal value over a grid, straight between grid points."""

import numpy as np

from geoecon.arrays import Floats


def contour(x: Floats, y: Floats, values: Floats, level: float) -> Floats:
    """Pieces of the line on which values over a grid equal a level, (piece, 4): x and y of its ends.

    x (m,) and y (n,) rise; values (n, m). Each cell is two triangles, in which values are straight, so no cell is in doubt;
    a triangle with a corner that has no value holds no piece.

    >>> contour(np.array([0.0, 1.0]), np.array([0.0, 2.0]), np.array([[0.0, 1.0], [0.0, 1.0]]), 0.25)
    array([[0.25, 0.5 , 0.25, 2.  ],
           [0.25, 0.  , 0.25, 0.5 ]])
    """
    corners = np.stack([*np.meshgrid(x, y), values], axis=-1)
    here, right = corners[:-1, :-1], corners[:-1, 1:]
    above, across = corners[1:, :-1], corners[1:, 1:]
    triangles = [np.stack(three, axis=2).reshape(-1, 3, 3) for three in ((here, above, across), (here, right, across))]
    return np.concatenate([_pieces(three, level) for three in triangles])


def _pieces(triangles: Floats, level: float) -> Floats:
    """The piece in each triangle (triangle, corner, x y value) that the level crosses, (piece, 4)."""
    whole = triangles[~np.isnan(triangles[..., 2]).any(axis=1)]
    higher = whole[..., 2] > level
    alone = np.where(higher.sum(axis=1) == 1, higher.argmax(axis=1), (~higher).argmax(axis=1))
    crossed = higher.any(axis=1) & ~higher.all(axis=1)
    whole, alone, row = whole[crossed], alone[crossed], np.arange(crossed.sum())
    tip = whole[row, alone]
    ends = [_between(tip, whole[row, (alone + turn) % 3], level) for turn in (1, 2)]
    return np.hstack(ends)


def _between(one: Floats, other: Floats, level: float) -> Floats:
    """Where the level lies between two corners, (piece, 2)."""
    way = (level - one[:, 2]) / (other[:, 2] - one[:, 2])
    return np.asarray(one[:, :2] + way[:, None] * (other[:, :2] - one[:, :2]))

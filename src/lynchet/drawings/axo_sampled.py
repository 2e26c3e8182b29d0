"""Faces that are nearest somewhere on a lattice of points of the picture: those that will be seen, but for a few.

Every face is cut into level rows and these into points, all of them in one go; at each point the nearest face is kept.
The lattice lies aslant, so that no long edge of a yard runs along it. What falls between its points is for
``axo_visible`` to find: nothing is decided here.
"""

from __future__ import annotations

from math import cos, radians, sin
from typing import Any

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Whole = NDArray[np.intp]
_POINTS = 20000, 150
"""Over the box of the whole picture: some 5 mm of a yard apart in a picture of three metres; and as many a face."""
_ASLANT_DEG = 17.0


def nearest_somewhere(shapes: Any, planes: Array, slack: float) -> NDArray[np.bool_]:
    """Whether each face is nearest, or behind the nearest by no more than a slack, at some point of the lattice.

    Args:
        shapes: shapely polygons, as they lie in the picture.
        planes: (n, 3), nearness of each as a u + b v + c.
        slack: in the measure of nearness.
    """
    found = np.zeros(len(shapes), dtype=bool)
    starts, ends, owner = _edges(shapes)
    if not len(owner):
        return found
    c, s = cos(radians(_ASLANT_DEG)), sin(radians(_ASLANT_DEG))
    turn = np.array([[c, -s], [s, c]])
    starts, ends = starts @ turn.T, ends @ turn.T
    low, high = starts.min(axis=0), starts.max(axis=0)
    step = float(np.sqrt(max(1e-12, np.prod(high - low)) / max(_POINTS[0], _POINTS[1] * len(shapes))))
    face, row, column = _points((starts - low) / step, (ends - low) / step, owner)
    if not len(face):
        return found
    at = (np.column_stack([column, row]) + 0.5) * step + low
    at = at @ turn
    near = np.einsum("ij,ij->i", planes[face, :2], at) + planes[face, 2]
    wide = int(column.max()) + 1
    spot = row * wide + column
    order = np.argsort(spot, kind="stable")
    spot, near, face = spot[order], near[order], face[order]
    first = np.flatnonzero(np.concatenate([[True], spot[1:] != spot[:-1]]))
    top = np.repeat(np.maximum.reduceat(near, first), np.diff(np.append(first, len(spot))))
    found[face[near >= top - slack]] = True
    return found


def _edges(shapes: Any) -> tuple[Array, Array, Whole]:
    """Start and end of every edge of every ring, and whose it is."""
    import shapely

    rings, of_face = shapely.get_rings(shapes, return_index=True)
    points, of_ring = shapely.get_coordinates(rings, return_index=True)
    same = np.flatnonzero(of_ring[1:] == of_ring[:-1])
    return points[same], points[same + 1], of_face[of_ring[same]]


def _points(starts: Array, ends: Array, owner: Whole) -> tuple[Whole, Whole, Whole]:
    """Face, row and column of every lattice point within a face; coordinates in steps of the lattice."""
    low, high = np.minimum(starts[:, 1], ends[:, 1]), np.maximum(starts[:, 1], ends[:, 1])
    edge, row = _runs(low, high)
    share = (row + 0.5 - starts[edge, 1]) / (ends[edge, 1] - starts[edge, 1])
    x = starts[edge, 0] + share * (ends[edge, 0] - starts[edge, 0])
    face = owner[edge]
    order = np.lexsort((x, row, face))
    x, row, face = x[order], row[order], face[order]
    # Rings are closed, so every row crosses a face an even number of times: in, out, in, out.
    stretch, column = _runs(x[0::2], x[1::2])
    return face[0::2][stretch], row[0::2][stretch], column


def _runs(low: Array, high: Array) -> tuple[Whole, Whole]:
    """Of many stretches of a line the whole numbers n with n + 1/2 in them: number of the stretch, and n."""
    start = np.ceil(low - 0.5).astype(np.intp)
    count = np.maximum(0, np.ceil(high - 0.5).astype(np.intp) - start)
    which = np.repeat(np.arange(len(count)), count)
    before = np.repeat(np.cumsum(count) - count, count)
    return which, start[which] + np.arange(len(which)) - before

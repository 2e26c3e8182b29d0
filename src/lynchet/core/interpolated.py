"""One value of a line through points: NumPy's own ``interp`` takes longer for one value than the whole of this."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence


def interpolated(x: float, xs: Sequence[float], ys: Sequence[float]) -> float:
    """The height of a line through points at a place, to the last digit as ``numpy.interp`` has it.

    Args:
        x: the place; before the first point and after the last the line runs on level.
        xs: places of the points, rising; where two are alike the line stands upright.
        ys: heights of the points, as many.

    Raises:
        IndexError: no points.
    """
    n = bisect_right(xs, x) - 1
    if n < 0:
        return ys[0]
    if n == len(xs) - 1 or xs[n] == x:
        return ys[n]
    return (ys[n + 1] - ys[n]) / (xs[n + 1] - xs[n]) * (x - xs[n]) + ys[n]

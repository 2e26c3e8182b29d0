"""Forces averaged along a wall, compiled: the quick twin of the sums in ``spread``, pair of places by pair.

Imported only where numba is there. Terms are added up in the order of the plain sums, so both give the same numbers.
"""

from __future__ import annotations

import numpy as np
from numba import njit
from numpy.typing import NDArray

Array = NDArray[np.float64]
Numbers = NDArray[np.intp]


@njit(cache=True, error_model="numpy")
def _length(station: float, one: float, group: Array, window: float) -> float:
    """Length of wall that a place at ``one`` stands for in the window round a station.

    Args:
        station: middle of the window.
        one: station of the place.
        group: from where to where its stretch reaches, and how many places the stretch has.
        window: metres.
    """
    start, end, size = group
    low, high = max(station - window / 2.0, start), min(station + window / 2.0, end)
    overlap = max(high - low, 0.0)
    if size == 1.0 or end <= start:
        return float(overlap / size)
    along = (0.5 * (low + high) - start) / (end - start)
    return float(overlap * (along if one == end else 1.0 - along))


@njit(cache=True, error_model="numpy")
def _add(sums: Array, weight: float, pair: tuple[int, int], rows: tuple[Numbers, Numbers, Numbers, Numbers, Numbers],
         parts: Array) -> None:  # fmt: skip
    """One place (the second) counted at another (the first), joint by joint."""
    mine, other = pair
    start, joint, case, first, courses = rows
    for row in range(start[mine], start[mine + 1]):
        base = first[other, case[row]]
        theirs = max(base + max(courses[other] - (courses[mine] - joint[row]), 0), 0)
        share = weight if base >= 0 else 0.0
        sums[-1, row] += share
        for part in range(len(parts)):
            sums[part, row] += share * parts[part, theirs]


@njit(cache=True, error_model="numpy")
def window_sums(
    walls: tuple[Numbers, Numbers],
    station: Array,
    groups: Array,
    rows: tuple[Numbers, Numbers, Numbers, Numbers, Numbers],
    parts: Array,
    metres: tuple[float, float],
) -> Array:
    """Everything summed over the window round each row's place, each place by the length of wall it stands for.

    Args:
        walls: the places wall by wall, and where each wall begins in them (one more at the end).
        station: (places,) along their wall.
        groups: (places, 3) start, end and number of places of each one's stretch.
        rows: first row of each place (one more at the end), joint and case of each row, first row of each place and
            case (-1 where there is none), courses of each place.
        parts: (parts, rows) what is summed.
        metres: the window, and for how much a place counts with itself beside that.

    Returns:
        (parts + 1, rows): the sums, and last the metres.
    """
    order, begin = walls
    window, least = metres
    sums = np.zeros((len(parts) + 1, parts.shape[1]))
    for wall in range(len(begin) - 1):
        for row in range(begin[wall], begin[wall + 1]):
            for column in range(begin[wall], begin[wall + 1]):
                other, mine = order[row], order[column]
                length = _length(station[mine], station[other], groups[other], window)
                if length > least:
                    _add(sums, length, (mine, other), rows, parts)
    for place in range(len(station)):
        _add(sums, least, (place, place), rows, parts)
    return sums

"""What solids take up of a height, compiled: the quick twin of ``stack.plain_sums``, entry by entry.

Imported only where numba is there. Terms are added up in the order of the plain sums, so both give the same numbers.
"""

from __future__ import annotations

import numpy as np
from numba import njit
from numpy.typing import NDArray

Array = NDArray[np.float64]
Index = NDArray[np.intp]


@njit(cache=True)
def once_sums(
    entries: tuple[Index, Array, Array],
    wanted: NDArray[np.bool_],
    slots: tuple[Index, int],
    levels: tuple[Array, Array, Array],
    lowest_m: float,
    apart_m: float,
) -> Array:
    """Height each wanted entry adds to those before it in its column, summed by slot.

    Args:
        entries: column, bottom and top of each, by column and from the deepest up.
        wanted: which are looked at.
        slots: in which sum each goes, and how many sums there are.
        levels: low, middle and high of every column.
        lowest_m: lowest bottom of all.
        apart_m: by how much each column is set over the one before.

    Returns:
        (2, slots): between low and middle, and between middle and high.
    """
    columns, bottoms, tops = entries
    low, middle, high = levels
    slot, count = slots
    sums = np.zeros((2, count))
    last, reached = -1, -np.inf
    for entry in range(len(columns)):
        if not wanted[entry]:
            continue
        column = columns[entry]
        bottom = min(max(bottoms[entry], low[column]), high[column])
        top = min(max(tops[entry], low[column]), high[column])
        apart = column * apart_m
        start = max(bottom, reached - apart + lowest_m) if column == last else bottom
        last, reached = column, max(reached, top - lowest_m + apart)
        sums[0, slot[entry]] += max(min(top, middle[column]) - start, 0.0)
        sums[1, slot[entry]] += max(top - max(start, middle[column]), 0.0)
    return sums

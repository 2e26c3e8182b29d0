"""What lies ahead on the ring, compiled: the quick twin of the arrays in ``tails``.

Imported only where numba is there. The same steps in the same order as the plain code, so the same to the last digit.
"""

from __future__ import annotations

import numpy as np
from numba import njit

from lynchet.water.ring import FloatArray


@njit(cache=True)
def samples_ahead(
    start: tuple[float, float, float], way: int, side: tuple[int, int], ends: tuple[float, float], run: FloatArray
) -> FloatArray:
    """(3, n) distances, ground levels and pouring flags ahead.

    Args:
        start: place within the first round, ground level and flag there.
        way: +1 or -1.
        side: first side in walking order, how many sides are open.
        ends: distance at which something bars the way, length of the ring.
        run: (3, m) places, levels and flags of the samples twice round in walking order.
    """
    r, level, flag = start
    first, last = side
    stop, round_m = ends
    wrap = run.shape[1] // 2 - first
    found = np.empty((3, last + 1))
    found[0, 0], found[1, 0], found[2, 0] = 0.0, level, flag
    if np.isnan(level):
        return found[:, :0]
    made = 1
    for k in range(last):
        i = first + k
        away = run[0, i] - r if way > 0 else r - run[0, i]
        if k >= wrap:
            away += round_m
        if away > stop or np.isnan(run[1, i]):
            break
        found[0, made], found[1, made], found[2, made] = away, run[1, i], run[2, i]
        made += 1
    return found[:, :made]


@njit(cache=True)
def bare_lengths(d: FloatArray, rise: FloatArray, crown_m: float) -> FloatArray:
    """As ``tails._bare_lengths``."""
    bare = np.zeros(len(d))
    lowest = np.empty(len(d))
    for i in range(len(d)):
        lowest[i] = rise[i] if i == 0 else min(lowest[i - 1], rise[i])
    for i in range(len(d)):
        crown = rise[i] + crown_m
        low, high = 0, i
        while low < high:
            middle = (low + high) // 2
            if lowest[middle] < crown:
                high = middle
            else:
                low = middle + 1
        below = rise[low]
        if not below < crown - 1e-9:
            continue
        out = 0.0
        if low > 0:
            above = rise[low - 1]
            share = (above - crown) / (above - below) if above > below else 0.0
            share = min(max(share, 0.0), 1.0)
            out = d[low - 1] + share * (d[low] - d[low - 1])
        bare[i] = d[i] - out
    return bare

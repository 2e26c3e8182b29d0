"""A short high stretch does not fall alone: long sticks screwed together spread its push along the wall.

The forces on every joint are averaged over a length of wall round the place, what stands within it. A wall that is
judged so still answers for every stretch longer than that length. PRACTICE.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence

import numpy as np

from lynchet.stability.checks import Numbers, Table, averaged, parts
from lynchet.stability.helps import column
from lynchet.stability.kinds import Array
from lynchet.stability.model import Place

WINDOW_M = 1.2
"""4 ft: two of the shortest pieces. PRACTICE."""
_LEAST_M = 1e-9
"""So much of itself every place counts at least."""


def spread(table: Table, places: Sequence[Place], compiled: bool = True) -> Table:
    """The table with every row's forces and helps averaged over the window round its place.

    A joint goes with the joint of its neighbours that has as many courses above it, or their base.

    Args:
        table: every joint for itself.
        places: of its rows.
        compiled: by compiled code where numba is loaded already; else the same in NumPy.
    """
    courses = np.array([place.courses for place in places], dtype=np.intp)
    start = np.searchsorted(table.place, np.arange(len(places) + 1))
    if compiled and "numba" in sys.modules:  # loading it takes longer than a whole first look
        try:
            from lynchet.stability.spread_compiled import window_sums
        except (ImportError, RuntimeError):  # no numba, or no folder it may keep its work in
            pass
        else:
            rows = (start, table.joint, table.case, table.first, courses)
            sums = window_sums(*_laid_flat(places), rows, np.stack(parts(table)), (WINDOW_M, _LEAST_M))
            return averaged(table, list(sums[:-1] / sums[-1]))
    return _spread(table, places, courses, start)


def _laid_flat(places: Sequence[Place]) -> tuple[tuple[Numbers, Numbers], Array, Array]:
    """Places wall by wall, with where each wall begins; stations; and start, end and size of each place's stretch."""
    walls: dict[tuple[str, int], list[int]] = {}
    for number, place in enumerate(places):
        walls.setdefault((place.leg, place.held), []).append(number)
    station, stretch = column(places, "station_m"), column(places, "stretch")
    begin = np.cumsum([0, *map(len, walls.values())])
    order = np.array([number for wall in walls.values() for number in wall], dtype=np.intp)
    new = np.diff(stretch[order], prepend=np.nan) != 0.0
    new[begin[:-1]] = True
    first, group = np.flatnonzero(new), np.cumsum(new) - 1
    of_group = np.column_stack([np.minimum.reduceat(station[order], first), np.maximum.reduceat(station[order], first),
                                np.bincount(group)])  # fmt: skip
    groups = np.empty((len(places), 3))
    groups[order] = of_group[group]
    return (order, begin.astype(np.intp)), station, groups


def _spread(table: Table, places: Sequence[Place], courses: Numbers, start: Numbers) -> Table:
    """The average in NumPy."""
    mine, other, share = _pairs(places)
    # every pair of places becomes a pair of rows for each row of the first that the second has a row for
    counts = start[mine + 1] - start[mine]
    row = np.repeat(start[mine] - np.cumsum(counts) + counts, counts) + np.arange(int(counts.sum()))
    pair_other, pair_share = np.repeat(other, counts), np.repeat(share, counts)
    above = courses[table.place[row]] - table.joint[row]
    first = table.first[pair_other, table.case[row]]
    theirs = first + same_joint(courses[pair_other], above)
    weight = np.where(first >= 0, pair_share, 0.0)
    size, from_row = len(table.place), np.maximum(theirs, 0)
    total = np.bincount(row, weight, size)
    return averaged(table, [np.bincount(row, weight * part[from_row], size) / total for part in parts(table)])


def window(places: Sequence[Place], number: int) -> list[tuple[int, float]]:
    """Numbers of the places that count at one place, itself among them, with the length of wall each stands for."""
    one = places[number]
    own = [n for n, place in enumerate(places) if (place.leg, place.held) == (one.leg, one.held)]
    mine, other, share = _pairs([places[n] for n in own])
    chosen = mine == own.index(number)
    return [(own[n], metres) for n, metres in zip(other[chosen].tolist(), share[chosen].tolist(), strict=True)]


def same_joint(courses: Numbers, above: Numbers) -> Numbers:
    """The joint of a neighbour that has as many courses above it, or its base."""
    return np.asarray(np.maximum(courses - above, 0), dtype=np.intp)


def _pairs(places: Sequence[Place]) -> tuple[Numbers, Numbers, Array]:
    """(place, place that counts there, length of wall it stands for), every place with itself at least."""
    mine, other, share = [], [], []
    for wall in _walls(places):
        numbers = np.array([n for group in wall for n in group])
        length = _lengths(places, wall)
        row, column = np.nonzero(length > _LEAST_M)
        mine.append(numbers[column])
        other.append(numbers[row])
        share.append(length[row, column])
    alone = np.arange(len(places))
    mine.append(alone)
    other.append(alone)
    share.append(np.full(len(places), _LEAST_M))
    return np.concatenate(mine), np.concatenate(other), np.concatenate(share)


def _walls(places: Sequence[Place]) -> list[list[list[int]]]:
    """Numbers of the places by wall (one side of a leg) and stretch."""
    walls: dict[tuple[str, int], list[list[int]]] = {}
    last: tuple[str, int, int] | None = None
    for number, place in enumerate(places):
        key = (place.leg, place.held, place.stretch)
        if key != last:
            walls.setdefault((place.leg, place.held), []).append([])
        walls[place.leg, place.held][-1].append(number)
        last = key
    return list(walls.values())


def _lengths(places: Sequence[Place], stretches: Sequence[Sequence[int]]) -> Array:
    """(n, n) length of wall that the first place stands for in the window round the second, of one wall.

    Levels are straight along a stretch: each of its two ends counts by where the overlap lies.
    """
    station = np.array([places[n].station_m for group in stretches for n in group])
    sizes = np.array([len(group) for group in stretches])
    first = np.cumsum(sizes) - sizes
    start, end, size = (
        np.repeat(of_group, sizes)[:, None]
        for of_group in (np.minimum.reduceat(station, first), np.maximum.reduceat(station, first), sizes)
    )
    low, high = np.maximum(station - WINDOW_M / 2.0, start), np.minimum(station + WINDOW_M / 2.0, end)
    overlap = np.maximum(high - low, 0.0)
    one = (size == 1) | (end <= start)
    along = (0.5 * (low + high) - start) / np.where(one, 1.0, end - start)
    at_end = station[:, None] == end
    return np.asarray(np.where(one, overlap / size, overlap * np.where(at_end, along, 1.0 - along)))

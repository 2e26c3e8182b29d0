"""Pieces packed into the fewest loads, by weight and room together."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import ceil, inf
from time import monotonic

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
SLACK = 1e-9
_MOST_NODES = 2000
"""Of the search for one full load: a handful of kinds."""
MOST_PATTERNS = 20_000


@dataclass(frozen=True)
class Pieces:
    """Kinds of pieces and what one load takes."""

    count: tuple[int, ...]
    kg: tuple[float, ...]
    m3: tuple[float, ...]
    payload_kg: float
    space_m3: float = inf

    def more(self, load: Sequence[int], kind: int) -> int:
        """How many more pieces of a kind go into a load."""
        kg = sum(number * each for number, each in zip(load, self.kg, strict=True))
        m3 = sum(number * each for number, each in zip(load, self.m3, strict=True))
        by_weight = (self.payload_kg + SLACK - kg) / self.kg[kind] if self.kg[kind] > 0 else inf
        by_room = (self.space_m3 + SLACK - m3) / self.m3[kind] if self.m3[kind] > 0 else inf
        return int(max(min(by_weight, by_room, self.count[kind] - load[kind]), 0))

    def part_bounds(self) -> tuple[int, int]:
        """Loads that weight alone and room alone need."""
        kg = sum(number * each for number, each in zip(self.count, self.kg, strict=True))
        m3 = sum(number * each for number, each in zip(self.count, self.m3, strict=True))
        return ceil(kg / self.payload_kg - SLACK), ceil(m3 / self.space_m3 - SLACK)

    def bound(self) -> int:
        """Loads needed at least, one in any case."""
        return max(*self.part_bounds(), 1)


def first_fit(pieces: Pieces, size: Callable[[int], float]) -> list[list[int]]:
    """Loads when the largest pieces are put first into the first load they fit (kernel)."""
    kinds = range(len(pieces.count))
    loads: list[list[int]] = []
    for kind in sorted(kinds, key=lambda kind: -size(kind)):
        left = pieces.count[kind]
        place = 0
        while left > 0:
            if place == len(loads):
                loads.append([0] * len(pieces.count))
            more = min(left, pieces.more(loads[place], kind))
            loads[place][kind] += more
            left -= more
            place += 1
    return loads


def fewest_loads(pieces: Pieces, seconds: float, nodes: int | None = None) -> list[list[int]] | None:
    """A packing into the fewest loads, proven; None where the time does not do (kernel).

    Sorted first fit where it meets the bound; else an integer programme over every full load, or, where there are
    too many, over the loads that column generation brings up.

    Args:
        pieces: what is to be carried.
        seconds: time to search.
        nodes: of each integer programme, and rounds of generation, at most; None: time alone stops it.
    """
    stop_at = monotonic() + seconds
    sizes: list[Callable[[int], float]] = [
        lambda kind: pieces.kg[kind],
        lambda kind: pieces.m3[kind],
        lambda kind: max(pieces.kg[kind] / pieces.payload_kg, pieces.m3[kind] / pieces.space_m3),
        lambda kind: pieces.kg[kind] / pieces.payload_kg + pieces.m3[kind] / pieces.space_m3,
    ]
    best = min((first_fit(pieces, size) for size in sizes), key=len)
    if len(best) > pieces.bound():
        best = min(best, best_filled(pieces, sizes[2], stop_at) or best, key=len)
    if len(best) <= pieces.bound():
        return best
    patterns = full_loads(pieces)
    if patterns is not None:
        return _chosen(pieces, patterns, stop_at, nodes)
    patterns, least = _generated(pieces, best, stop_at, nodes)
    if len(best) <= least:
        return best
    found = _chosen(pieces, patterns, stop_at, nodes)
    if found is not None and len(found) <= least:
        return found
    return _assigned(pieces, min(found or best, best, key=len), stop_at, nodes)


def best_filled(pieces: Pieces, size: Callable[[int], float], stop_at: float) -> list[list[int]] | None:
    """Loads filled one by one as full as they can be, each round the largest left; None when time is up (kernel)."""
    left = list(pieces.count)
    scarce = np.array([max(part, 1) for part in pieces.part_bounds()], dtype=float)
    rows = np.array([pieces.kg, pieces.m3])
    room = np.array([pieces.payload_kg, pieces.space_m3])
    worth = (scarce / np.where(np.isfinite(room), room, 1e30)) @ rows
    loads = []
    while any(left):
        if monotonic() > stop_at:
            return None
        largest = max((kind for kind, number in enumerate(left) if number), key=size)
        least = np.zeros(len(left))
        least[largest] = 1.0
        loads.append(_fullest(worth, (rows, room + SLACK), (least, np.array(left, dtype=float))))
        left = [number - taken for number, taken in zip(left, loads[-1], strict=True)]
    return loads


def _fullest(worth: Array, room: tuple[Array, Array], numbers: tuple[Array, Array]) -> list[int]:
    """The load of most worth within its room, with least and most numbers of each kind."""
    from scipy.optimize import Bounds, LinearConstraint, milp

    found = milp(
        -worth,
        integrality=np.ones(len(worth)),
        bounds=Bounds(*numbers),
        constraints=LinearConstraint(room[0], ub=room[1]),
        options={"node_limit": _MOST_NODES},
    )
    if found.x is None:
        return [int(number) for number in numbers[0]]
    return [int(number) for number in np.round(found.x)]


def full_loads(pieces: Pieces) -> list[tuple[int, ...]] | None:
    """Every load into which no further piece fits; None where there are too many."""
    kinds = len(pieces.count)
    found: list[tuple[int, ...]] = []
    stack: list[list[int]] = [[]]
    steps = 0
    while stack:
        begun = stack.pop()
        steps += 1
        if len(found) > MOST_PATTERNS or steps > 20 * MOST_PATTERNS:
            return None
        if len(begun) == kinds:
            if not any(pieces.more(begun, kind) for kind in range(kinds)):
                found.append(tuple(begun))
            continue
        load = [*begun, *([0] * (kinds - len(begun)))]
        stack += [[*begun, number] for number in range(pieces.more(load, len(begun)) + 1)]
    return found


def _options(stop_at: float, nodes: int | None) -> dict[str, float]:
    left = max(stop_at - monotonic(), 0.0)
    return {"time_limit": left} if nodes is None else {"time_limit": left, "node_limit": nodes}


def _chosen(
    pieces: Pieces, patterns: Sequence[Sequence[int]], stop_at: float, nodes: int | None = None
) -> list[list[int]] | None:
    """Fewest of these loads that carry every piece, surplus taken off; None without a proof in time."""
    from scipy.optimize import Bounds, LinearConstraint, milp

    matrix = np.array(patterns, dtype=float).T
    found = milp(
        np.ones(matrix.shape[1]), integrality=np.ones(matrix.shape[1]), bounds=Bounds(0, np.inf),
        constraints=LinearConstraint(matrix, lb=np.array(pieces.count)), options=_options(stop_at, nodes),
    )  # fmt: skip
    if found.status != 0:
        return None
    left_over = list(pieces.count)
    loads = []
    for pattern, times in zip(patterns, np.round(found.x).astype(int), strict=True):
        for _ in range(int(times)):
            load = [min(number, rest) for number, rest in zip(pattern, left_over, strict=True)]
            left_over = [rest - number for number, rest in zip(load, left_over, strict=True)]
            loads.append(load)
    return loads


def _generated(
    pieces: Pieces, start: Sequence[Sequence[int]], stop_at: float, rounds: int | None = None
) -> tuple[list[tuple[int, ...]], int]:
    """Loads worth using, and a proven bound: column generation on the linear programme."""
    from scipy.optimize import linprog

    patterns = list(dict.fromkeys(tuple(load) for load in start))
    count = np.array(pieces.count, dtype=float)
    rows = np.array([pieces.kg, pieces.m3])
    room = np.array([pieces.payload_kg, pieces.space_m3]) + SLACK
    turn = 0
    while monotonic() < stop_at and (rounds is None or turn < rounds):
        turn += 1
        matrix = np.array(patterns, dtype=float).T
        whole = linprog(np.ones(matrix.shape[1]), A_ub=-matrix, b_ub=-count)
        worth = -whole.ineqlin.marginals
        new = tuple(_fullest(worth, (rows, room), (np.zeros(len(count)), count)))
        value = float(worth @ np.array(new))
        if value <= 1.0 + 1e-6:
            return patterns, max(ceil(whole.fun / value - 1e-6), pieces.bound())
        patterns.append(new)
    return patterns, pieces.bound()


def _assigned(
    pieces: Pieces, best: list[list[int]], stop_at: float, nodes: int | None = None
) -> list[list[int]] | None:
    """The best packing if no smaller one exists, else the smaller; None without a proof in time."""
    from scipy.optimize import Bounds, LinearConstraint, milp

    kinds, loads = len(pieces.count), len(best) - 1
    each = np.kron(np.ones(loads), np.eye(kinds))
    kg = np.kron(np.eye(loads), np.array(pieces.kg))
    m3 = np.kron(np.eye(loads), np.array(pieces.m3))
    found = milp(
        np.zeros(kinds * loads), integrality=np.ones(kinds * loads), bounds=Bounds(0, np.tile(pieces.count, loads)),
        constraints=[
            LinearConstraint(each, pieces.count, pieces.count),
            LinearConstraint(kg, ub=pieces.payload_kg + SLACK),
            LinearConstraint(m3, ub=pieces.space_m3 + SLACK),
        ],
        options=_options(stop_at, nodes),
    )  # fmt: skip
    if found.status == 2:
        return best
    if found.x is None:
        return None
    fewer = np.round(found.x).astype(int).reshape(loads, kinds).tolist()
    return _assigned(pieces, fewer, stop_at, nodes) if loads > pieces.bound() else fewer

"""The pieces of courses as choices of a programme: each course a path of pieces, joints of neighbours apart."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np

from lynchet.timber.courses import Rules, Span, Spans, cliques, pieces
from lynchet.timber.cut_programme import Choices
from lynchet.timber.values import Array


@dataclass(frozen=True)
class Group:
    """Courses of one wall that are laid alike."""

    wall: int
    courses: tuple[int, ...]
    span: Span


@dataclass(frozen=True, eq=False)
class Laying:
    """All choices of a laying and what they stand for."""

    groups: tuple[Group, ...]
    pieces: tuple[tuple[int, int, int], ...]
    """Group, from and to of each choice."""
    lengths: tuple[int, ...]
    """Every length that may be needed, extras included; longest first."""
    choices: Choices


def groups_of(spans: Spans, alike: bool) -> tuple[list[Group], list[tuple[int, int]]]:
    """Groups, and the pairs of them that are neighbours.

    Args:
        spans: walls and courses.
        alike: lay every other course of a wall alike where those courses have the same ends and forbidden stretches.
            The linear bound stays the same (means of a wall's courses obey the same rules), the choices are few.
    """
    groups: list[Group] = []
    near: list[tuple[int, int]] = []
    for wall, row in enumerate(spans):
        first = len(groups)
        if alike and len(row) > 2 and len(set(row[::2])) == 1 and len(set(row[1::2])) == 1:
            groups += [Group(wall, tuple(range(odd, len(row), 2)), row[odd]) for odd in (0, 1)]
        else:
            groups += [Group(wall, (course,), span) for course, span in enumerate(row)]
        near += [(group, group + 1) for group in range(first, len(groups) - 1)]
    return groups, near


def laying_of(spans: Spans, rules: Rules, extras: Sequence[int], alike: bool) -> Laying:
    """The choices of a laying."""
    groups, near = groups_of(spans, alike)
    held = [(g, start, end) for g, group in enumerate(groups) for start, end in pieces(group.span, rules)]
    lengths = tuple(sorted({end - start for _, start, end in held} | set(extras), reverse=True))
    equal, equal_to = _paths(groups, held)
    use = _use(groups, held, lengths)
    choices = Choices(len(held), equal, equal_to, _apart(groups, near, held, rules), use)
    return Laying(tuple(groups), tuple(held), lengths, choices)


def _sparse(entries: list[tuple[int, int, float]], rows: int, columns: int) -> Any:
    from scipy.sparse import coo_array

    row, column, value = zip(*entries, strict=True) if entries else ((), (), ())
    return coo_array((np.array(value, float), (row, column)), shape=(rows, columns)).tocsr()


def _paths(groups: Sequence[Group], held: Sequence[tuple[int, int, int]]) -> tuple[Any, Array]:
    """One path of pieces through each group: 1 leaves its start, at every joint as many end as begin."""
    numbers: dict[tuple[int, int], int] = {}
    for g, group in enumerate(groups):
        numbers[g, group.span.start] = len(numbers)
    starts = len(numbers)
    for g, start, _ in held:
        numbers.setdefault((g, start), len(numbers))
    for g, _, end in held:
        if end != groups[g].span.end:
            numbers.setdefault((g, end), len(numbers))
    entries = [(numbers[g, start], i, 1.0) for i, (g, start, _) in enumerate(held)]
    entries += [(numbers[g, end], i, -1.0) for i, (g, _, end) in enumerate(held) if end != groups[g].span.end]
    right = np.zeros(len(numbers))
    right[:starts] = 1.0
    return _sparse(entries, len(numbers), len(held)), right


def _apart(
    groups: Sequence[Group], near: Sequence[tuple[int, int]], held: Sequence[tuple[int, int, int]], rules: Rules
) -> Any:
    """Sets of joints of which at most one may exist."""
    ending: dict[tuple[int, int], list[int]] = defaultdict(list)
    for i, (g, _, end) in enumerate(held):
        if end != groups[g].span.end:
            ending[g, end].append(i)
    joints: dict[int, list[int]] = defaultdict(list)
    for g, at in sorted(ending):
        joints[g].append(at)
    entries: list[tuple[int, int, float]] = []
    rows = 0
    for below, above in near:
        for low, high in cliques(joints[below], joints[above], rules):
            for g, stations in ((below, low), (above, high)):
                entries += [(rows, i, 1.0) for at in stations for i in ending[g, at]]
            rows += 1
    return _sparse(entries, rows, len(held))


def _use(groups: Sequence[Group], held: Sequence[tuple[int, int, int]], lengths: Sequence[int]) -> Any:
    """Pieces of each length that a choice needs: one for every course of its group."""
    number = {length: i for i, length in enumerate(lengths)}
    entries = [(number[end - start], i, float(len(groups[g].courses))) for i, (g, start, end) in enumerate(held)]
    return _sparse(entries, len(lengths), len(held))


def joints_of(laying: Laying, spans: Spans, chosen: Array) -> list[list[list[int]]]:
    """Joints by wall and course from the choices taken (1, the others 0)."""
    joints: list[list[list[int]]] = [[[] for _ in wall] for wall in spans]
    for i in np.flatnonzero(chosen):
        g, _, end = laying.pieces[int(i)]
        group = laying.groups[g]
        if end != group.span.end:
            for course in group.courses:
                joints[group.wall][course].append(end)
    return [[sorted(row) for row in wall] for wall in joints]


def demand_of_joints(spans: Spans, joints: Sequence[Sequence[Sequence[int]]], extras: Counter[int]) -> dict[int, int]:
    """Pieces by length that a laying and the extras need, longest first."""
    counts: Counter[int] = Counter(extras)
    for wall, laid in zip(spans, joints, strict=True):
        for span, row in zip(wall, laid, strict=True):
            ends = [span.start, *row, span.end]
            counts.update(b - a for a, b in pairwise(ends))
    return dict(sorted(counts.items(), reverse=True))


def quick_laying(laying: Laying, offset: int, cost: Sequence[float]) -> Array | None:
    """Choices that obey all rules, course by course: each the cheapest that keeps clear of the one below.

    Args:
        laying: its choices.
        offset: least distance of joints of neighbours.
        cost: of each choice by itself.

    Returns:
        None when some course finds no way past the joints of the one below; another choice there might leave one.
    """
    chosen = np.zeros(laying.choices.count)
    held: dict[int, list[int]] = defaultdict(list)
    for i, (g, _, _) in enumerate(laying.pieces):
        held[g].append(i)
    below: list[int] = []
    for g, group in enumerate(laying.groups):
        if g and laying.groups[g - 1].wall != group.wall:
            below = []
        path = _cheapest_path(laying, held[g], group.span, cost, [(at - offset, at + offset) for at in below])
        if path is None:
            return None
        chosen[path] = 1.0
        below = [laying.pieces[i][2] for i in path if laying.pieces[i][2] != group.span.end]
    return chosen


def _cheapest_path(
    laying: Laying, held: Sequence[int], span: Span, cost: Sequence[float], taken: Sequence[tuple[int, int]]
) -> list[int] | None:
    """Cheapest pieces from start to end of a course with no joint strictly inside a stretch taken."""
    best: dict[int, tuple[float, int]] = {span.start: (0.0, -1)}
    for i in sorted(held, key=lambda i: laying.pieces[i][1]):
        _, start, end = laying.pieces[i]
        if start not in best or (end != span.end and any(low < end < high for low, high in taken)):
            continue
        total = best[start][0] + cost[i]
        if end not in best or total < best[end][0]:
            best[end] = (total, i)
    if span.end not in best:
        return None
    path, at = [], span.end
    while at != span.start:
        path.append(best[at][1])
        at = laying.pieces[path[-1]][1]
    return path


def can_be_laid(choices: Choices, cost: Array | None = None, seconds: float = 60.0) -> Array | None:
    """Choices that obey all rules, of least cost where each has one; None when there are none."""
    from scipy.optimize import Bounds, LinearConstraint, milp

    if choices.count == 0:
        return None
    constraints = [LinearConstraint(choices.equal, choices.equal_to, choices.equal_to)]
    if choices.below.shape[0]:
        constraints.append(LinearConstraint(choices.below, ub=1.0))
    done = milp(
        np.zeros(choices.count) if cost is None else cost,
        integrality=np.ones(choices.count),
        bounds=Bounds(0.0, 1.0),
        constraints=constraints,
        options={"time_limit": max(seconds, 1.0), "mip_rel_gap": 1e-3},
    )
    return None if done.x is None else np.rint(done.x)

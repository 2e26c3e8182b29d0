"""Check tapes: lengths between pegs and known corners that show whether what was set out is where it should be."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations
from math import dist, radians, sin

from lynchet.core.plane import Point, cross, minus, unit
from lynchet.terraces.model import Terraces
from lynchet.walls.pegs import CheckTape, SettingPoint

_SAME_M = 0.002
_TURNS = sin(radians(3.0))
"""An outline that turns by less goes on straight: no corner."""


def check_tapes(
    terraces: Terraces, pegs: Sequence[SettingPoint], known: Sequence[tuple[str, Point]]
) -> tuple[CheckTape, ...]:
    """Across every bed its two longest inner distances between corners that something marks on the ground.

    Where no bed has such a pair, the two longest distances from peg to peg.

    Args:
        terraces: for the beds.
        pegs: points set out.
        known: hooks and moved corners.
    """
    marked = [*((peg.id, peg.point_m) for peg in pegs), *known]
    found = [tape for bed in terraces.beds for tape in _across(bed.id, bed.outline_m, marked)]
    return tuple(found or _from_peg_to_peg(pegs))


def _across(bed: str, corners: Sequence[Point], marked: Sequence[tuple[str, Point]]) -> Iterator[CheckTape]:
    last = len(corners) - 1
    names = [_mark_at(corner, marked) for corner in corners]
    turns = [i for i in range(len(corners)) if _turns(corners[i - 1], corners[i], corners[(i + 1) % len(corners)])]
    opposite = {(turns[0], turns[2]), (turns[1], turns[3])} if len(turns) == 4 else set()
    pairs = [(i, j) for i, j in combinations(range(len(corners)), 2)
             if j - i > 1 and (i, j) != (0, last) and names[i] and names[j]]  # fmt: skip
    pairs.sort(key=lambda pair: (-round(dist(corners[pair[0]], corners[pair[1]]), 6), pair))
    for i, j in pairs[:2]:
        what = "diagonal" if (i, j) in opposite else "across"
        yield CheckTape(names[i], names[j], dist(corners[i], corners[j]), what, bed)  # type: ignore[arg-type]


def _turns(before: Point, here: Point, after: Point) -> bool:
    one, two = minus(here, before), minus(after, here)
    if not any(one) or not any(two):
        return False
    return abs(cross(unit(one), unit(two))) > _TURNS or one[0] * two[0] + one[1] * two[1] < 0.0


def _mark_at(point: Point, marked: Sequence[tuple[str, Point]]) -> str:
    """The peg or known corner at a place; empty where nothing marks it."""
    return next((name for name, at in marked if dist(at, point) < _SAME_M), "")


def _from_peg_to_peg(pegs: Sequence[SettingPoint]) -> Iterator[CheckTape]:
    pairs = sorted(combinations(pegs, 2), key=lambda pair: (-round(dist(pair[0].point_m, pair[1].point_m), 6),
                                                            pair[0].id, pair[1].id))  # fmt: skip
    for a, b in pairs[:2]:
        if dist(a.point_m, b.point_m) > _SAME_M:
            yield CheckTape(a.id, b.id, dist(a.point_m, b.point_m), "from peg to peg")

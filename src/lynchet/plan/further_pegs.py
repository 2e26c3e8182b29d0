"""What is set out besides walls: steps, banks, outlets, ends and bends of pipes, cleanouts, drop zone and heaps.

Each by two tapes from known corners, like the pegs of walls (``walls/setting_out.py``), with the level it is laid to.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import dist
from typing import Any, Literal, Protocol

from lynchet.core.plane import distance_to_segment
from lynchet.earth.model import Earth
from lynchet.plan.heap_places import set_down
from lynchet.project.model import Project
from lynchet.terraces.model import Flight, Terraces
from lynchet.walls.bank import Bank
from lynchet.walls.bank_end import BankEnd
from lynchet.walls.model import Walls
from lynchet.walls.pegs import SettingPoint
from lynchet.walls.setting_out import tied
from lynchet.water.model import Water
from lynchet.water.short_names import short_names
from lynchet.water.told_points import bends, is_drop, told_points

Point = tuple[float, float]
Kind = Literal["steps", "bank", "outlet", "pipe", "cleanout", "drop zone", "heap"]
_IN_A_WALL_M = 0.1
"""A corner of steps so near to timber of a wall is found at the wall. PRACTICE."""
_SAME_M = 0.02
_TOE_M = 0.02
"""Soil is raked no straighter. PRACTICE."""


class SetOut(Protocol):
    """A plan, as far as these points need it."""

    @property
    def project(self) -> Project: ...
    @property
    def terraces(self) -> Terraces: ...
    @property
    def walls(self) -> Walls: ...
    @property
    def water(self) -> Water: ...
    @property
    def earth(self) -> Earth: ...


@dataclass(frozen=True)
class FurtherPeg:
    """One of these points."""

    kind: Kind
    peg: SettingPoint
    level_m: float | None = None
    """Of steps the top of their landing at the foot or the head, of pipes and cleanouts the invert (lowest point of the
    bore), of an outlet its mouth, of banks what they are shaped to there; None where the ground is left as it is."""


_Row = tuple[Kind, str, str, Point, float | None]


def further_pegs(plan: SetOut) -> tuple[FurtherPeg, ...]:
    """All of them, steps first; none where neither wall nor bank is pegged."""
    card = plan.walls.setting_out
    if not sets_out(plan):
        return ()
    rows = [*_steps(plan), *_banks(plan), *_outlets(plan), *_pipes(plan), *_cleanouts(plan), *_places(plan)]
    points = tied(plan.project, [(name, what, at) for _, name, what, at, _ in rows], card.known_m)
    return tuple(FurtherPeg(row[0], peg, row[4]) for row, peg in zip(rows, points, strict=True))


def sets_out(plan: SetOut) -> bool:
    """Whether anything is set out: a wall, or a bank outside the area."""
    return bool(plan.walls.setting_out.points or plan.walls.banks)


def _banks(plan: SetOut) -> Iterator[_Row]:
    """Points of the line where each bank meets the ground, edge by edge; a spot that two share is told once."""
    count, told = dict[str, int](), list[tuple[Point, float]]()
    for bank in plan.walls.shaped:
        for n in told_toe(bank):
            at, level = bank.toe_m[n], bank.toe_levels_m[n]
            if any(dist(at, other) < _SAME_M and abs(level - high) < _SAME_M for other, high in told):
                continue
            told.append((at, level))
            count[bank.line] = count.get(bank.line, 0) + 1
            runs_out = dist(at, bank.edge_m[n]) < _SAME_M
            what = "runs out here" if runs_out else "foot of its slope" if bank.raised > 0 else "top of its slope"
            what = f"{what}, round the end of the front" if isinstance(bank, BankEnd) else what
            yield "bank", f"{bank.line}.t{count[bank.line]}", f"bank at {bank.line}, {what}", at, level


def told_toe(bank: Bank | BankEnd) -> tuple[int, ...]:
    """Numbers of the points that tell the line where a bank meets the ground, straight from one to the next."""
    return tuple(_between(bank.toe_m, 0, len(bank.toe_m) - 1))


def _between(points: Sequence[Point], first: int, last: int) -> Iterator[int]:
    """The first and the last, and between them the farthest off, as long as it is off the straight line."""
    off = [(distance_to_segment(points[n], points[first], points[last]), n) for n in range(first + 1, last)]
    far, n = max(off, default=(0.0, first))
    if far > _TOE_M:
        yield from _between(points, first, n)
        yield from (one for one in _between(points, n, last) if one != n)
        return
    yield first
    if last > first:
        yield last


def _steps(plan: SetOut) -> Iterator[_Row]:
    """The corners at the foot and the head that stand at no wall."""
    import shapely

    timber: list[Any] = [run.polygon for run in plan.walls.runs]
    for flight in plan.terraces.flights:
        for letter, (end, hand, at) in zip("abcd", corners(flight, mirrored=plan.project.frame.mirrored), strict=True):
            level = flight.foot_level_m if end == "foot" else flight.head_level_m
            if (shapely.distance(timber, shapely.Point(at)) > _IN_A_WALL_M).all():
                yield "steps", f"{flight.id}.{letter}", f"steps {flight.id}, {hand} corner of the {end}", at, level


def corners(flight: Flight, *, mirrored: bool) -> tuple[tuple[str, str, Point], ...]:
    """Foot left, foot right, head left, head right, the hands as one stands at the foot and looks up.

    Args:
        flight: one flight.
        mirrored: the own frame is of the other hand than the yard.
    """
    (ux, uy), ring = flight.direction, flight.outline_m
    middle = sum(x for x, _ in ring) / len(ring), sum(y for _, y in ring) / len(ring)
    rows = [((x - middle[0]) * ux + (y - middle[1]) * uy, (y - middle[1]) * ux - (x - middle[0]) * uy) for x, y in ring]
    run, half = max(up for up, _ in rows), max(left for _, left in rows)
    hand = -1.0 if mirrored else 1.0
    found = []
    for end, up in (("foot", -run), ("head", run)):
        for name, left in (("left", hand * half), ("right", -hand * half)):
            found.append((end, name, (middle[0] + up * ux - left * uy, middle[1] + up * uy + left * ux)))
    return tuple(found)


def _names(plan: SetOut) -> dict[str, str]:
    water = plan.water
    return short_names(water.outlets, water.drains, water.solids, water.roof_pipes, water.cut_offs)


def _outlets(plan: SetOut) -> Iterator[_Row]:
    names = _names(plan)
    for outlet in plan.water.outlets:
        yield "outlet", names[outlet.id], f"outlet {names[outlet.id]}, mouth", outlet.point_m, outlet.invert_m


def solid_lines(plan: SetOut) -> tuple[tuple[str, tuple[Point, ...], tuple[float, ...]], ...]:
    """Short name, points and inverts of pipes without holes and of cut-off drains, each laid away from the walls."""
    water, names = plan.water, _names(plan)
    return (
        *((names[one.id], one.points_m, one.inverts_m) for one in water.solids),
        *((names[one.id], one.points_m, one.inverts_m) for one in water.roof_pipes),
        *((names[one.id], one.points_m, one.inverts_m) for one in water.cut_offs),
    )


def _pipes(plan: SetOut) -> Iterator[_Row]:
    """Their ends and bends, and where their fall changes; drains behind walls follow the walls."""
    mouths = [(outlet.point_m, outlet.invert_m) for outlet in plan.water.outlets]
    for name, points, inverts in solid_lines(plan):
        told = told_points(points, inverts)
        number = 0
        for place, i in enumerate(told):
            here, level = points[i], inverts[i]
            if any(dist(here, mouth) < _SAME_M and abs(level - low) < _SAME_M for mouth, low in mouths):
                continue  # told as the outlet; one above the bend of another pipe is not that bend
            number += 1
            near = [(points[k], inverts[k]) for k in told[max(0, place - 1) : place + 2]]
            what = _what(near, place == 0, place == len(told) - 1) or ("bend" if bends(points, i) else "fall changes")
            yield "pipe", f"{name}.{number}", f"pipe {name}, {what}", here, level


def _what(near: Sequence[tuple[Point, float]], first: bool, last: bool) -> str:
    """What a point of a pipe is, by those told before and after it: start, end, top or foot of a drop; or nothing."""
    drops = [is_drop(dist(a, b), high - low) for (a, high), (b, low) in pairwise(near)]
    words = ["start"] if first else ["end"] if last else []
    if drops and drops[-1] and not last:
        words.append("top of a drop")
    if drops and drops[0] and not first:
        words.append("foot of a drop")
    return ", ".join(words)


def _cleanouts(plan: SetOut) -> Iterator[_Row]:
    names, count = _names(plan), dict[str, int]()
    for one in plan.water.fittings:
        if one.kind == "cleanout":
            of = names.get(one.drain, one.drain)
            count[of] = count.get(of, 0) + 1
            yield "cleanout", f"{of}.c{count[of]}", f"cleanout of {of}", one.point_m, one.invert_m


def _places(plan: SetOut) -> Iterator[_Row]:
    heaps = {heap.id for heap in plan.earth.heaps}
    for name, what, at in set_down(plan.earth):
        yield "heap" if name in heaps else "drop zone", name, what, at, None

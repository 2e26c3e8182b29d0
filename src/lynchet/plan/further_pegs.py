"""What is set out besides walls: corners of steps, outlets, ends and bends of pipes, cleanouts, drop zone and heaps.

Each by two tapes from known corners, like the pegs of walls (``walls/setting_out.py``), with the level it is laid to.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import acos, degrees, dist, hypot
from typing import Any, Literal, Protocol

from lynchet.earth.model import Earth
from lynchet.plan.heap_places import set_down
from lynchet.project.model import Project
from lynchet.terraces.model import Flight, Terraces
from lynchet.walls.model import Walls
from lynchet.walls.pegs import SettingPoint
from lynchet.walls.setting_out import tied
from lynchet.water.model import Water
from lynchet.water.short_names import short_names

Point = tuple[float, float]
Kind = Literal["steps", "outlet", "pipe", "cleanout", "drop zone", "heap"]
_IN_A_WALL_M = 0.1
"""A corner of steps so near to timber of a wall is found at the wall. PRACTICE."""
_BEND_DEG = 5.0
"""A pipe that turns by less is laid as one straight line. PRACTICE."""
_SAME_M = 0.02


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
    bore), of an outlet its mouth; None where the ground is left as it is."""


_Row = tuple[Kind, str, str, Point, float | None]


def further_pegs(plan: SetOut) -> tuple[FurtherPeg, ...]:
    """All of them, steps first; none where no wall is pegged."""
    card = plan.walls.setting_out
    if not card.points:
        return ()
    rows = [*_steps(plan), *_outlets(plan), *_pipes(plan), *_cleanouts(plan), *_places(plan)]
    points = tied(plan.project, [(name, what, at) for _, name, what, at, _ in rows], card.known_m)
    return tuple(FurtherPeg(row[0], peg, row[4]) for row, peg in zip(rows, points, strict=True))


def _steps(plan: SetOut) -> Iterator[_Row]:
    """The corners at the foot and the head that stand at no wall."""
    import shapely

    timber: Any = shapely.union_all([run.polygon for run in plan.walls.runs])
    for flight in plan.terraces.flights:
        for letter, (end, hand, at) in zip("abcd", corners(flight, mirrored=plan.project.frame.mirrored), strict=True):
            level = flight.foot_level_m if end == "foot" else flight.head_level_m
            if shapely.distance(timber, shapely.Point(at)) > _IN_A_WALL_M:
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
    """Their ends and bends; drains behind walls follow the walls."""
    mouths = [outlet.point_m for outlet in plan.water.outlets]
    for name, points, inverts in solid_lines(plan):
        last, number = len(points) - 1, 0
        for i, (at, level) in enumerate(zip(points, inverts, strict=True)):
            if any(dist(at, mouth) < _SAME_M for mouth in mouths) or not (i in (0, last) or _bends(points, i)):
                continue
            number += 1
            part = {0: "start", last: "end"}.get(i, "bend")
            yield "pipe", f"{name}.{number}", f"pipe {name}, {part}", at, level


def _bends(points: Sequence[Point], i: int) -> bool:
    (ax, ay), (bx, by), (cx, cy) = points[i - 1 : i + 2]
    first, second = (bx - ax, by - ay), (cx - bx, cy - by)
    lengths = hypot(*first) * hypot(*second)
    if lengths < 1e-9:
        return False
    return degrees(acos(max(-1.0, min(1.0, (first[0] * second[0] + first[1] * second[1]) / lengths)))) > _BEND_DEG


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

"""Fronts that stand by their corners: one-stick courses lapped and pinned to returns that run back into the bank."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from lynchet.core.findings import Verdict, Working
from lynchet.project.model import Project
from lynchet.stability.box import Box, box_forces, course_bending, course_sag_mm, course_stiffness_kn_m2
from lynchet.stability.checks import Table, ground_of
from lynchet.stability.constants import ALLOWABLE_BENDING_MPA, MODULUS_MPA, fixings
from lynchet.stability.gravity import BaseForces, overturning_factor_of, sliding_factor_of
from lynchet.stability.helps import base_friction_deg, wall_friction_deg
from lynchet.stability.joints import Stack
from lynchet.stability.kinds import Array, tangent
from lynchet.stability.model import CASES, Case, CornerCheck, Place
from lynchet.stability.places import Yard
from lynchet.stability.words import Word, word_on_corner
from lynchet.walls.joints import stick_m
from lynchet.walls.model import Arm, Leg, Node, Walls

_SQUARE = 0.7
"""Least cosine between a return and the way into the bank: 45 degrees."""
_END_M = 1e-3
_WHOLE = 0.5
"""Of a longer return only this share of a stick counts: its courses have joints further on. PRACTICE."""


@dataclass(frozen=True)
class BoxFront:
    """A leg that can stand by its corners."""

    leg: str
    held: int
    start_m: float
    end_m: float
    return_m: float
    """Shorter return, clear behind the front."""
    cut: frozenset[int]
    """Courses that a notch, another opening or a standing joint cuts, counted down from the top one (0): they lean on
    those beside them."""


def box_fronts(yard: Yard, places: Sequence[Place]) -> list[BoxFront]:
    """Every leg whose courses are single sticks between two lapped corners with returns on the high side."""
    brief = yard.project.brief
    if "returns" in brief.helps_off or not brief.pins:
        return []
    return [front for leg in yard.walls.legs if (front := _front(yard, leg, places)) is not None]


def _front(yard: Yard, leg: Leg, places: Sequence[Place]) -> BoxFront | None:
    own = [place for place in places if place.leg == leg.id]
    if len(leg.segments) != 1 or not own or len({place.held for place in own}) != 1:
        return None
    longest = longest_piece_m(yard.project)
    if leg.length_m > longest + 1e-6 or "house" in {place.front for place in own}:
        return None
    low = max(place.low_m for place in own)
    returns = [_return_m(yard.walls, leg, way, own[0].held, low) for way in (+1, -1)]
    top = leg.segments[0].top
    cut = frozenset(top - course for course in (*(gap[0] for gap in yard.gaps[leg.id]), *_jointed(yard.walls, leg)))
    if min(returns) <= 0 or 0 in cut or any(below + 1 in cut for below in cut):
        return None
    return BoxFront(leg.id, own[0].held, 0.0, leg.length_m, min(*returns, _WHOLE * longest), cut)


def _jointed(walls: Walls, leg: Leg) -> Iterator[int]:
    """Courses that stand with a joint between the ends of the wall."""
    known = walls.standing.leg(leg.id)
    for course, joints in known.cuts if known is not None else ():
        if any(_END_M < joint < leg.length_m - _END_M for joint in joints):
            yield course


def longest_piece_m(project: Project) -> float:
    """The longest stick that may be used; where one stick a course is wished, whatever the longest piece else."""
    longest, brief = stick_m(project), project.brief
    return longest if brief.one_stick else min(longest, brief.longest_piece_m or longest)


def _return_m(walls: Walls, leg: Leg, way: int, held: int, low_m: float) -> float:
    """Length of the return at one end of a leg, clear behind the front; 0 where it does not lap every held course."""
    node = _end_node(walls, leg, way)
    if node is None:
        return 0.0
    into = (held * leg.normal[0], held * leg.normal[1])
    for arm in node.arms:
        other = walls.leg(arm.leg)
        away = (arm.way * other.direction[0], arm.way * other.direction[1])
        if arm.leg == leg.id or away[0] * into[0] + away[1] * into[1] < _SQUARE:
            continue
        segment = leg.segments[0]
        lengths = [
            _reach_m(walls, arm, course)
            for course in range(segment.base, segment.top + 1)
            if _is_held(walls, leg, course, low_m) or _reach_m(walls, arm, course) > 0
        ]
        return max(0.0, min(lengths, default=0.0) - leg.thickness_m)
    return 0.0


def _reach_m(walls: Walls, arm: Arm, course: int) -> float:
    """How far a course of the return runs on from the corner; 0 where it has none there."""
    for run in walls.runs_of(arm.leg, course):
        low, high = run.outer_m
        if low - 0.2 <= arm.station_m <= high + 0.2:
            return max(0.0, high - arm.station_m if arm.way > 0 else arm.station_m - low)
    return 0.0


def _end_node(walls: Walls, leg: Leg, way: int) -> Node | None:
    for node in walls.nodes:
        mine = [arm for arm in node.arms if arm.leg == leg.id]
        if len(mine) == 1 and mine[0].way == way and len(node.arms) > 1:
            return node
    return None


def _is_held(walls: Walls, leg: Leg, course: int, low_m: float) -> bool:
    runs = walls.runs_of(leg.id, course)
    return bool(runs) and runs[0].top_m > low_m + 1e-9


def check_boxes(
    project: Project, table: Table, places: Sequence[Place], fronts: Sequence[BoxFront]
) -> list[CornerCheck]:
    """Each such front as one body with its returns, in every case, at its worst section.

    Source: statics, as box_wall_check; no published allowance for corners was found.
    """
    return [check for front in fronts for check in check_box(project, table, worst_rows(table, places, front), front)]


def worst_rows(table: Table, places: Sequence[Place], wall: BoxFront | Place) -> list[tuple[Place, int]]:
    """The worst section of a leg and the row of its base joint, in every case that applies."""
    own = [number for number, place in enumerate(places) if place.leg == wall.leg and place.held == wall.held]
    turning = table.overturning_bare
    found = []
    for number in range(len(CASES)):
        rows = [(int(table.first[n, number]), n) for n in own if table.first[n, number] >= 0]
        if rows:
            row, worst = min(rows, key=lambda pair: float(turning[pair[0]]))
            found.append((places[worst], row))
    return found


def check_box(project: Project, table: Table, rows: Sequence[tuple[Place, int]], front: BoxFront) -> list[CornerCheck]:
    """One front in every case."""
    return [_check_box(project, table, place, front, row) for place, row in rows]


RETURNS_M = (0.6, 0.9, 1.2, 1.8)


def by_returns(project: Project, table: Table, places: Sequence[Place], word: Word) -> list[CornerCheck]:
    """The checks in every case of the wall a word is on, were it cut into fronts of one stick between returns.

    The longest sticks are tried first, the shortest returns that hold (for a go with care at least); empty where none
    do.
    """
    rows = worst_rows(table, places, word.place)
    stock = sorted({min(one.length_m, longest_piece_m(project)) for one in project.timber.sold}, reverse=True)
    for length in stock or [longest_piece_m(project)]:
        fronts = [BoxFront(word.place.leg, word.place.held, 0.0, length, back, frozenset()) for back in RETURNS_M]
        if not _holds(check_box(project, table, rows, fronts[-1]), word.place):
            continue  # shorter returns hold less
        for front in fronts:
            checks = check_box(project, table, rows, front)
            if _holds(checks, word.place):
                return checks
    return []


def _holds(checks: Sequence[CornerCheck], place: Place) -> bool:
    return max(word_on_corner(check, place).verdict for check in checks) <= Verdict.WATCH


def _check_box(project: Project, table: Table, place: Place, front: BoxFront, row: int) -> CornerCheck:
    timber, length = project.timber, front.end_m - front.start_m
    whole = _whole(project, table, place, front, row)
    load = _held_loads(table, place, front, row)
    height, thickness = place.course_m, timber.thickness_m
    pull, _, bending = course_bending(load, length, height, thickness)
    sag = course_sag_mm(load, length, course_stiffness_kn_m2(MODULUS_MPA, height, thickness))
    more = float(table.more_kn[row]) * length
    return CornerCheck(
        front.leg, front.start_m, front.end_m, front.return_m, _case(table, row),
        sliding=float(sliding_factor_of(whole, tangent(base_friction_deg(project)), more)),
        overturning=float(overturning_factor_of(whole)),
        corner_pull_kn=float(np.max(pull)),
        corner_pulls_kn=tuple(float(one) for one in pull[::-1]),
        fixing_kn=fixings(timber.course_m, thickness).corner_kn,
        bending_mpa=float(np.max(bending)),
        allowable_mpa=ALLOWABLE_BENDING_MPA,
        sag_mm=float(np.max(sag)),
        row=row,
        working=_working(project, table, (place, row), front, load),
    )  # fmt: skip


def _working(project: Project, table: Table, where: tuple[Place, int], front: BoxFront, load: Array) -> Working:
    place, row = where
    f = table.forces
    return "corner_box_check", (
        ("front_length_m", front.end_m - front.start_m), ("return_length_m", front.return_m),
        ("height_m", place.top_m - place.base_m), ("course_height_m", place.course_m),
        ("course_width_m", project.timber.thickness_m),
        ("timber_unit_weight_kn_m3", project.timber.unit_weight_kn_m3),
        ("base_friction_deg", base_friction_deg(project)),
        *((key, float(np.asarray(part)[row])) for key, part in (
            ("vertical_kn_per_m", f.vertical), ("horizontal_kn_per_m", f.horizontal),
            ("resisting_kn_m_per_m", f.resisting), ("overturning_kn_m_per_m", f.overturning))),
        ("held_beside_kn_per_m", float(table.more_kn[row])), ("course_load_kn_per_m", load.tolist()),
        ("modulus_mpa", MODULUS_MPA),
    )  # fmt: skip


def _case(table: Table, row: int) -> Case:
    return CASES[int(table.case[row])]


def _whole(project: Project, table: Table, place: Place, front: BoxFront, row: int) -> BaseForces:
    """Front and both returns as one body, in kN and kN m."""
    weights = ground_of(project)
    stack = Stack(weights.thickness_m, weights.timber_kn_m3, weights.soil_kn_m3, 1.0, wall_friction_deg(project))
    box = Box(front.end_m - front.start_m, front.return_m, place.top_m - place.base_m, place.buried_m)
    one = BaseForces(*(float(np.asarray(part)[row]) for part in (
        table.forces.vertical, table.forces.horizontal, table.forces.resisting, table.forces.overturning)))  # fmt: skip
    whole, _ = box_forces(one, box, stack)
    return whole


def _held_loads(table: Table, place: Place, front: BoxFront, row: int) -> Array:
    """What each held course takes itself in kN per metre, the lowest first; a cut one hands its load to both beside it.

    The push between two joints; its screws to the courses beside carry it.
    """
    push = np.asarray(table.pushes.horizontal)[row : row + place.courses]
    load = push - np.append(push[1:], 0.0)
    for below in front.cut:
        number = place.courses - 1 - below
        if 0 <= number < place.courses - 1:
            load[number + 1] += load[number] / 2.0
            if number > 0:
                load[number - 1] += load[number] / 2.0
            load[number] = 0.0
    held = place.base_m + (np.arange(place.courses) + 1.0) * place.course_m > place.low_m + 1e-9
    return np.asarray(load[held])

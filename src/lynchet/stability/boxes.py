"""Fronts that stand by their corners: one-stick courses lapped and pinned to returns that run back into the bank."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from lynchet.project.model import Project
from lynchet.stability.box import Box, box_forces, course_bending, course_sag_mm
from lynchet.stability.checks import Table, base_friction_deg, wall_friction_deg
from lynchet.stability.constants import ALLOWABLE_BENDING_MPA, MODULUS_MPA, fixings
from lynchet.stability.gravity import BaseForces, overturning_factor_of
from lynchet.stability.joints import Stack
from lynchet.stability.kinds import tangent
from lynchet.stability.model import CASES, CornerCheck, Place
from lynchet.walls.model import Leg, Node, Walls

_SQUARE = 0.7
"""Least cosine between a return and the way into the bank: 45 degrees."""


@dataclass(frozen=True)
class BoxFront:
    """A leg that can stand by its corners."""

    leg: str
    held: int
    start_m: float
    end_m: float
    return_m: float
    """Shorter return, clear behind the front."""


def box_fronts(project: Project, walls: Walls, places: Sequence[Place]) -> list[BoxFront]:
    """Every leg whose courses are single sticks between two lapped corners with returns on the high side."""
    if "returns" in project.brief.helps_off or not project.brief.pins:
        return []
    longest = longest_piece_m(project)
    found = []
    for leg in walls.legs:
        own = [place for place in places if place.leg == leg.id]
        if len(leg.segments) != 1 or not own or len({place.held for place in own}) != 1:
            continue
        if leg.length_m > longest + 1e-6 or "house" in {place.front for place in own}:
            continue
        low = max(place.low_m for place in own)
        returns = [_return_m(walls, leg, way, own[0].held, low) for way in (+1, -1)]
        if min(returns) > 0:
            found.append(BoxFront(leg.id, own[0].held, 0.0, leg.length_m, min(returns)))
    return found


def longest_piece_m(project: Project) -> float:
    """The longest stick that may be used."""
    stock = [stock.length_m for stock in project.timber.stock]
    longest = max(stock, default=4.8)
    return min(longest, project.brief.longest_piece_m or longest)


def _return_m(walls: Walls, leg: Leg, way: int, held: int, low_m: float) -> float:
    """Length of the return at one end of a leg, clear behind the front; 0 where there is none on every held course."""
    node = _end_node(walls, leg, way)
    if node is None:
        return 0.0
    into = (held * leg.normal[0], held * leg.normal[1])
    for arm in node.arms:
        if arm.leg == leg.id:
            continue
        other = walls.leg(arm.leg)
        away = (arm.way * other.direction[0], arm.way * other.direction[1])
        if away[0] * into[0] + away[1] * into[1] < _SQUARE:
            continue
        lengths = [
            max((run.outer_m[1] - arm.station_m) if arm.way > 0 else (arm.station_m - run.outer_m[0]) for run in runs)
            for course in range(leg.segments[0].base, leg.segments[0].top + 1)
            if (runs := walls.runs_of(other.id, course)) or _is_held(walls, leg, course, low_m)
            if runs
        ]
        if len(lengths) == _held_courses(walls, leg, low_m, other.id):
            return max(0.0, min(lengths, default=0.0) - leg.thickness_m)
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


def _held_courses(walls: Walls, leg: Leg, low_m: float, other: str) -> int:
    """Courses of the front that hold ground or that the return has: all of them must be lapped."""
    segment = leg.segments[0]
    return sum(
        _is_held(walls, leg, course, low_m) or bool(walls.runs_of(other, course))
        for course in range(segment.base, segment.top + 1)
    )


def check_boxes(
    project: Project, table: Table, places: Sequence[Place], fronts: Sequence[BoxFront]
) -> list[CornerCheck]:
    """Each such front as one body with its returns, in every case, at its worst section.

    Source: statics, as box_wall_check; no published allowance for corners was found.
    """
    return [
        _check_box(project, table, places, front, number)
        for front in fronts
        for number in range(len(CASES))
        if _rows_of(table, places, front, number).any()
    ]


def _rows_of(
    table: Table, places: Sequence[Place], front: BoxFront, case: int
) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
    mine = np.array([place.leg == front.leg for place in places])
    return np.asarray(mine[table.place] & (table.case == case))


def _check_box(project: Project, table: Table, places: Sequence[Place], front: BoxFront, case: int) -> CornerCheck:
    rows = np.flatnonzero(_rows_of(table, places, front, case))
    at_base = rows[table.joint[rows] == 0]
    worst = at_base[np.argmin(table.overturning_bare[at_base])]
    place = places[table.place[worst]]
    timber, soil = project.timber, project.soil
    stack = Stack(timber.thickness_m, timber.unit_weight_kn_m3, soil.unit_weight_kn_m3, 1.0, wall_friction_deg(project))
    length = front.end_m - front.start_m
    box = Box(length, front.return_m, place.top_m - place.base_m, place.buried_m)
    forces = BaseForces(*(float(np.asarray(part)[worst]) for part in (
        table.forces.vertical, table.forces.horizontal, table.forces.resisting, table.forces.overturning)))  # fmt: skip
    whole, _ = box_forces(forces, box, stack)
    more = max(float(table.buried_kn[worst]), float(table.pins_kn[worst])) * length
    friction = float(tangent(base_friction_deg(project)))
    joints = rows[table.place[rows] == table.place[worst]]
    push = np.asarray(table.forces.horizontal)[joints[np.argsort(table.joint[joints])]]
    load = push - np.append(push[1:], 0.0)  # what each course takes itself, from the base up
    height = (place.top_m - place.base_m) / place.courses
    held = place.base_m + (np.arange(place.courses) + 1.0) * height > place.low_m + 1e-9
    pull, _, bending = course_bending(load[held], length, height, timber.thickness_m)
    sag = course_sag_mm(load[held], length, 1000.0 * MODULUS_MPA * height * timber.thickness_m**3 / 12.0)
    return CornerCheck(
        front.leg, front.start_m, front.end_m, front.return_m, CASES[case],
        sliding=(float(whole.vertical) * friction + more) / float(whole.horizontal),
        overturning=float(overturning_factor_of(whole)),
        corner_pull_kn=float(np.max(pull)),
        corner_pulls_kn=tuple(float(one) for one in pull[::-1]),
        fixing_kn=fixings(timber.course_m).corner_kn,
        bending_mpa=float(np.max(bending)),
        allowable_mpa=ALLOWABLE_BENDING_MPA,
        sag_mm=float(np.max(sag)),
    )  # fmt: skip

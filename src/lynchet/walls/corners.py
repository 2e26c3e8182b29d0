"""The node rule: who runs on, who butts, who laps and who is mitred, course by course.

Per node and course, on the arms present (a leg that passes has two):

a. a leg present on both sides passes unbroken; every other arm butts its near face;
b. one arm alone ends on the far face of the other leg (at a mitred bend on the bisector);
c. two arms: a mitred bend stays on the bisector; else they lap: on even courses the earlier leg of the file goes to
   the far face and the other butts, on odd courses the other way round;
d. anything else: three walls at one point, refused.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from lynchet.core.plane import cross, dot, meet
from lynchet.walls.model import Arm, End, Leg, Node, Point
from lynchet.walls.pads import is_mitre

PARALLEL_SINE = 2e-3
"""Legs nearer to one line than this are cut square."""


class Crossed(Exception):  # noqa: N818 - caught in the stage, becomes a finding
    """Legs meet in a way no lap or butt can follow."""

    def __init__(self, node: Node, legs: tuple[str, ...]) -> None:
        self.node = node
        self.legs = legs
        super().__init__(node.id)


def offset_of(leg: Leg, course: int) -> float:
    """How far the lean has moved a course to the left of the line.

    Courses below the leg's lowest stay on the line, courses above its highest stay over that one.
    """
    if not leg.setback_m or not leg.segments:
        return 0.0
    low, high = leg.lowest_course, max(segment.top for segment in leg.segments)
    return leg.setback_m * (min(max(course, low), high) - low)


def cut_along(leg: Leg, course: int, point: Point, way: Point) -> tuple[float, float] | None:
    """Stations on the line side and the far side where a line in plan cuts a course of a leg; None if parallel."""
    if abs(cross(leg.direction, way)) < PARALLEL_SINE:
        return None
    offset = offset_of(leg, course)
    line = meet(leg.point_at(0.0, offset), leg.direction, point, way)
    far = meet(leg.point_at(0.0, offset + leg.thickness_m), leg.direction, point, way)
    return None if line is None or far is None else (line, far)


def face_cuts(leg: Leg, other: Leg, course: int, way: int) -> tuple[tuple[float, float], tuple[float, float]] | None:
    """Cuts of a leg at the (near, far) face of another, for the arm that leaves the node toward ``way``.

    Near makes the timber shorter, far longer. None if the two are parallel.
    """
    offset = offset_of(other, course)
    first = cut_along(leg, course, other.point_at(0.0, offset), other.direction)
    second = cut_along(leg, course, other.point_at(0.0, offset + other.thickness_m), other.direction)
    if first is None or second is None:
        return None
    later = sum(first) >= sum(second)
    high, low = (first, second) if later else (second, first)
    return (high, low) if way > 0 else (low, high)


def mitre_cut(leg: Leg, other: Leg, course: int, station: float) -> tuple[float, float]:
    """Cut on the bisector: where the two line sides meet and where the two far sides meet."""
    if abs(cross(leg.direction, other.direction)) < PARALLEL_SINE:
        return station, station
    mine, its = offset_of(leg, course), offset_of(other, course)
    line = meet(leg.point_at(0.0, mine), leg.direction, other.point_at(0.0, its), other.direction)
    far = meet(
        leg.point_at(0.0, mine + leg.thickness_m), leg.direction,
        other.point_at(0.0, its + other.thickness_m), other.direction,
    )  # fmt: skip
    assert line is not None and far is not None
    return line, far


def ends_at(node: Node, course: int, present: Sequence[Arm], legs: Mapping[str, Leg]) -> dict[tuple[str, int], End]:
    """Ends of the runs of one course at one node.

    Args:
        node: the node.
        course: course number.
        present: arms that have timber on this course right beside the node.
        legs: all legs.

    Returns:
        (leg, way) -> end, for the arms that end here; none for a leg that passes unbroken.

    Raises:
        Crossed: three walls at one point, or two that pass through each other.
    """
    names = [arm.leg for arm in present]
    passing = sorted({name for name in names if names.count(name) == 2}, key=names.index)
    ending = [arm for arm in present if arm.leg not in passing]
    if len(passing) > 1 or (not passing and len(ending) > 2):
        raise Crossed(node, tuple(dict.fromkeys(names)))
    if passing:
        return {(arm.leg, arm.way): _butt(arm, legs[passing[0]], course, legs, node) for arm in ending}
    if len(ending) == 1:
        return {(ending[0].leg, ending[0].way): _alone(ending[0], course, legs, node)}
    if len(ending) == 2:
        return _pair(node, course, ending, legs)
    return {}


def _butt(arm: Arm, other: Leg, course: int, legs: Mapping[str, Leg], node: Node) -> End:
    cuts = face_cuts(legs[arm.leg], other, course, arm.way)
    if cuts is None:
        return End("butt", arm.station_m, arm.station_m, other.id, node.id)
    return End("butt", *cuts[0], other.id, node.id)


def _alone(arm: Arm, course: int, legs: Mapping[str, Leg], node: Node) -> End:
    """Rule b. Where nothing else meets, or the other goes straight on, the end is square at the node."""
    leg = legs[arm.leg]
    others = [a.leg for a in node.arms if a.leg != arm.leg]
    if not others:
        return End("end", arm.station_m, arm.station_m, "", node.id)
    other = legs[others[0]]
    ways = {name: legs[name].direction for name in {arm.leg, *others}}
    if is_mitre(node, ways):
        return End("mitre", *mitre_cut(leg, other, course, arm.station_m), other.id, node.id)
    cuts = face_cuts(leg, other, course, arm.way)
    if cuts is None:
        return End("end", arm.station_m, arm.station_m, other.id, node.id)
    return End("lap" if other.segments else "end", *cuts[1], other.id, node.id)


def _pair(node: Node, course: int, arms: Sequence[Arm], legs: Mapping[str, Leg]) -> dict[tuple[str, int], End]:
    """Rule c."""
    ways = {arm.leg: legs[arm.leg].direction for arm in node.arms}
    first, second = arms  # arms stand in the order of the file
    if is_mitre(node, ways):
        return {
            (a.leg, a.way): End("mitre", *mitre_cut(legs[a.leg], legs[b.leg], course, a.station_m), b.leg, node.id)
            for a, b in ((first, second), (second, first))
        }
    runs_on, butts = (first, second) if course % 2 == 0 else (second, first)
    cuts = face_cuts(legs[runs_on.leg], legs[butts.leg], course, runs_on.way)
    if cuts is None:
        return {(a.leg, a.way): End("butt", a.station_m, a.station_m, b.leg, node.id)
                for a, b in ((first, second), (second, first))}  # fmt: skip
    return {
        (runs_on.leg, runs_on.way): End("lap", *cuts[1], butts.leg, node.id),
        (butts.leg, butts.way): _butt(butts, legs[runs_on.leg], course, legs, node),
    }


def square_enough(leg: Leg, other: Leg, least_cos: float) -> bool:
    """Whether two legs meet at an angle whose cosine is no more than the limit."""
    return abs(dot(leg.direction, other.direction)) <= least_cos

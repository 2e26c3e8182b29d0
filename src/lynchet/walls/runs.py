"""Runs: each course of each leg from end to end, with its cuts, its plan outline and where an opening may lie."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from lynchet.core.intervals import Interval, joined, without
from lynchet.core.plane import cross
from lynchet.core.standing import Standing
from lynchet.terraces.model import Lattice
from lynchet.walls.corners import ends_at, offset_of
from lynchet.walls.model import Arm, End, Leg, Node, Run
from lynchet.walls.pads import is_mitre, reach

CLEAR_CUT_M = 0.15
CLEAR_STEP_M = 0.30
"""An opening keeps this from laps, butts and mitres, and from steps and free ends. PRACTICE."""
LEAST_RUN_M = 0.02

CourseStretches = dict[int, list[Interval]]


class StubRun(Exception):  # noqa: N818 - caught in the stage, becomes a finding
    """A run whose two cuts cross: the leg is too short for its corners."""

    def __init__(self, run: Run) -> None:
        self.run = run
        super().__init__(run.id)


def courses_of(leg: Leg) -> CourseStretches:
    """For each course the stretches on which the leg has timber."""
    table: CourseStretches = {}
    for segment in leg.segments:
        for course in range(segment.base, segment.top + 1):
            table.setdefault(course, []).append((segment.start_m, segment.end_m))
    return {course: joined(parts) for course, parts in sorted(table.items())}


def _present(arm: Arm, parts: Sequence[Interval]) -> bool:
    if arm.way > 0:
        return any(a <= arm.station_m < b for a, b in parts)
    return any(a < arm.station_m <= b for a, b in parts)


def all_runs(legs: Mapping[str, Leg], nodes: Sequence[Node], lattice: Lattice, standing: Standing) -> list[Run]:
    """Every run, by leg, course, and order along the leg.

    Raises:
        Crossed: three walls at one point.
        StubRun: a leg too short for the cuts at its two ends.
    """
    tables = {name: courses_of(leg) for name, leg in legs.items()}
    cuts: dict[tuple[str, int, float, int], End] = {}
    for node in nodes:
        for course in sorted({c for arm in node.arms for c in tables[arm.leg]}):
            present = [arm for arm in node.arms if _present(arm, tables[arm.leg].get(course, ()))]
            for (arm_leg, way), end in ends_at(node, course, present, legs).items():
                station = next(arm.station_m for arm in node.arms if (arm.leg, arm.way) == (arm_leg, way))
                cuts[arm_leg, course, station, way] = end
    ways = {name: leg.direction for name, leg in legs.items()}
    crossed = [node for node in nodes if not is_mitre(node, ways)]  # at a mitre both legs end at their own cuts
    by_leg = {name: [node for node in crossed if any(arm.leg == name for arm in node.arms)] for name in legs}
    runs = []
    for name, leg in legs.items():
        for course, parts in tables[name].items():
            for number, part in enumerate(parts, start=1):
                ends = (
                    cuts.get((name, course, part[0], 1)) or _plain_end(leg, part[0]),
                    cuts.get((name, course, part[1], -1)) or _plain_end(leg, part[1]),
                )
                blocks = _foreign(leg, course, by_leg[name], legs, tables)
                runs.append(_run(leg, (course, number), ends, _bottom(leg, course, lattice, standing), blocks))
    return runs


def _bottom(leg: Leg, course: int, lattice: Lattice, standing: Standing) -> Interval:
    """Bottom and top of a course of a leg, moved where it was measured to stand otherwise.

    A course over a higher one is thinner by as much; one over a lower one is packed up.
    """
    known = standing.leg(leg.id)
    if known is None:
        return lattice.bottoms_m[course], lattice.bottoms_m[course + 1]
    own = known.offset_m(course)
    under = known.offset_m(course - 1) if course > leg.lowest_course else own
    return lattice.bottoms_m[course] + max(own, under), lattice.bottoms_m[course + 1] + own


def _plain_end(leg: Leg, station: float) -> End:
    """Square: a step where the wall goes on with other courses, else the end of the wall."""
    touching = [s for s in leg.segments if station in (s.start_m, s.end_m)]
    return End("step" if len(touching) == 2 else "end", station, station)


def _foreign(
    leg: Leg, course: int, nodes: Sequence[Node], legs: Mapping[str, Leg], tables: Mapping[str, CourseStretches]
) -> list[Interval]:
    """Stretches taken by other legs' timber on this course, with the clearance of a cut."""
    taken = []
    for node in nodes:
        station = next(arm.station_m for arm in node.arms if arm.leg == leg.id)
        for arm in node.arms:
            if arm.leg != leg.id and _present(arm, tables[arm.leg].get(course, ())):
                other = legs[arm.leg]
                lean = offset_of(other, course) / max(0.3, abs(cross(leg.direction, other.direction)))
                size = reach(leg.direction, other.direction, leg.thickness_m) + lean + CLEAR_CUT_M
                taken.append((station - size, station + size))
    return taken


def _run(leg: Leg, number: tuple[int, int], ends: tuple[End, End], levels: Interval, blocks: Sequence[Interval]) -> Run:
    course, part = number
    start, end = ends
    offset = offset_of(leg, course)
    outline = (
        leg.point_at(start.line_m, offset),
        leg.point_at(end.line_m, offset),
        leg.point_at(end.far_m, offset + leg.thickness_m),
        leg.point_at(start.far_m, offset + leg.thickness_m),
    )
    low = max(start.line_m, start.far_m) + (CLEAR_STEP_M if start.kind in ("step", "end") else CLEAR_CUT_M)
    high = min(end.line_m, end.far_m) - (CLEAR_STEP_M if end.kind in ("step", "end") else CLEAR_CUT_M)
    clear = tuple(without([(low, high)] if high > low else [], blocks))
    name = f"{leg.id}/{course}" + (f".{part}" if part > 1 else "")
    row = course - leg.lowest_course + 1
    run = Run(name, leg.id, course, row, *levels, start, end, outline, offset, clear)
    if end.line_m - start.line_m < LEAST_RUN_M or end.far_m - start.far_m < LEAST_RUN_M:
        raise StubRun(run)
    return run

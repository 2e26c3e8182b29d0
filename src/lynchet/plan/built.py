"""Write down what stands: edits of the project file that keep a wall as the plan has it now."""

from __future__ import annotations

from collections.abc import Sequence

from lynchet.core.errors import Fault, InputError, UnknownNameError
from lynchet.core.standing import Open
from lynchet.plan.model import Plan
from lynchet.plan.standing import joints_of
from lynchet.project.model import Project
from lynchet.units.format import for_file
from lynchet.walls.model import Leg
from lynchet.walls.off_level import FOLLOWED_M

Edit = tuple[str, object]
STRAIGHT = 1.0
"""Plan places are written only where the file's tape needs no correction: they would be corrected again."""
ON_IT_M = 1e-6
"""No nearer are levels written."""


def built_edits(plan: Plan, asked: Sequence[str]) -> list[Edit]:
    """Edits that add walls to what stands.

    Args:
        plan: what they were built by.
        asked: "W2:3" for the three lowest courses of wall W2; "W2" for all of it.

    Returns:
        One entry of ``[[stands]]`` for each wall, with its level, its stretches, its joints and its notches, so that
        later changes of the brief leave it as it is.

    Raises:
        InputError: no such wall, no such course, or it stands in the file already.
    """
    edits: list[Edit] = []
    place = len(plan.project.so_far.stands)
    for text in asked:
        name, _, count = text.partition(":")
        leg = _leg(plan, name.strip())
        top = max(part.top for part in leg.segments) - leg.lowest_course + 1
        course = top if not count.strip() else _course(count.strip(), top, name)
        if any((entry.wall, entry.course) == (leg.id, course) for entry in plan.project.so_far.stands):
            raise InputError(
                Fault(f"course {course} of {leg.id} stands in the file already", "another course", "--built")
            )
        place += 1
        edits.append((f"stands.{place}", _entry(plan, leg, course)))
    return edits


def _leg(plan: Plan, name: str) -> Leg:
    standing = {leg.id: leg for leg in plan.walls.legs if leg.segments}
    if name not in standing:
        known = ", ".join(standing) or "this plan has no wall"
        raise UnknownNameError(Fault(f'there is no wall "{name}"', known, "--built"))
    return standing[name]


def _course(text: str, top: int, name: str) -> int:
    if not text.isdigit() or not 1 <= int(text) <= top:
        raise InputError(Fault(f'"{text}" of wall {name}', f"a course from 1 to {top}", "--built"))
    return int(text)


def _entry(plan: Plan, leg: Leg, course: int) -> dict[str, object]:
    units = plan.project.units
    entry: dict[str, object] = {"wall": leg.id, "course": course}
    low = leg.lowest_course
    before = [known for known in plan.project.so_far.stands if known.wall == leg.id and known.stretches]
    below = max((known.course for known in before), default=0)
    entry["cuts"] = [
        {"course": at - low + 1, "at": [for_file(station, units) for station in joints]}
        for at, joints in joints_of(leg, plan.pieces)
        if below < at - low + 1 <= course
    ]
    laid = max((known.course for known in plan.project.so_far.stands if known.wall == leg.id), default=0)
    entry["notches"] = [
        {"course": at - low + 1, "from": for_file(start, units), "to": for_file(end, units)}
        for at, start, end in notches_of(plan, leg)
        if laid < at - low + 1 <= course
    ]
    entry |= _off(plan, leg, low + course - 1)
    if before:
        return entry  # its level and stretches stand in the file already
    entry["bottom"] = for_file(plan.terraces.lattice.bottoms_m[low], units)
    line = _line(plan.project, leg)
    if line:
        entry["line"] = line
    entry["stretch"] = [
        {
            "from": for_file(part.start_m, units),
            "to": for_file(part.end_m, units),
            "base": part.base - low + 1,
            "top": part.top - low + 1,
        }
        for part in leg.segments
    ]
    return entry


def notches_of(plan: Plan, leg: Leg) -> list[Open]:
    """Openings for pipes in the courses of a wall, the lowest first."""
    return sorted((course, *notch.stations_m) for notch in plan.water.notches_of(leg.id) for course in notch.courses)


def _off(plan: Plan, leg: Leg, course: int) -> dict[str, object]:
    """How far a wall that was planned off the lattice stands off it, as one that followed another; it follows still.

    A course that came back to level says so, for what was measured below would hold for it else.
    """
    tops = {run.course: run.top_m - plan.terraces.lattice.bottoms_m[run.course + 1]
            for run in plan.walls.runs if run.leg == leg.id}  # fmt: skip
    if all(abs(off) < ON_IT_M for off in tops.values()):
        return {}
    off = tops[course]
    found: dict[str, object] = {"low" if off < 0 else "high": for_file(abs(off), plan.project.units)}
    return found | ({"answer": "follow"} if abs(off) > FOLLOWED_M + ON_IT_M else {})


def _line(project: Project, leg: Leg) -> list[list[str]]:
    if abs(project.ground.stretch - STRAIGHT) > 1e-9:
        return []
    ends = (project.frame.outward(point) for point in (leg.start_m, leg.end_m))
    return [[for_file(x, project.units), for_file(y, project.units)] for x, y in ends]

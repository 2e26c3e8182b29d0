"""Timber that stands where a pipe passes through it: open there, to be sawn, or not known."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from lynchet.core.enumerated import enumerated
from lynchet.core.findings import Finding, Verdict
from lynchet.core.standing import LegStanding, Open, Standing
from lynchet.units.format import laid, length, small
from lynchet.walls.joints import LAPPED_M
from lynchet.walls.model import Leg
from lynchet.walls.seen import FROM_LEFT, Seen, all_seen
from lynchet.water.model import Notch
from lynchet.water.yard import Yard

CLEAR_M = 0.15
"""No pin, screw or tie nearer to the side of a notch, as in timber to come."""

_FROM = "(distances from the first point of its `line`, not from the left end)"


def open_at(yard: Yard, leg: str, courses: Sequence[int]) -> list[float]:
    """Middles of the openings that stand in any of some courses of a leg."""
    known = yard.walls.standing.leg(leg)
    return [] if known is None else [(a + b) / 2 for course, a, b in known.notches if course in courses]


def joints_at(yard: Yard, leg: str, courses: Sequence[int]) -> list[float]:
    """Joints that stand in any of some courses of a leg, and ends of what stands where timber is laid on beside it."""
    known = yard.walls.standing.leg(leg)
    if known is None or known.built is None:
        return []
    found = [joint for course, joints in known.cuts if course in courses for joint in joints]
    for course in courses:
        runs = yard.walls.runs_of(leg, course)
        found += [end for part in known.stretches_of(course) for end in part
                  if any(run.outer_m[0] + LAPPED_M < end < run.outer_m[1] - LAPPED_M for run in runs)]  # fmt: skip
    return found


def sawn_courses(yard: Yard, leg: str, courses: Sequence[int], station_m: float) -> list[int]:
    """Which of some courses stand at a place and are known not to be open there for the pipe."""
    known = yard.walls.standing.leg(leg)
    if known is None or known.built is None:
        return []
    closed = known.closed(courses, station_m, yard.settings.radius_m)
    return [course for course in closed if course in known.notches_said]


def stands_open(yard: Yard, leg: str, courses: Sequence[int], station_m: float) -> bool:
    """Whether some of the courses stand at a place and all that do are open there for the pipe."""
    known = yard.walls.standing.leg(leg)
    return (
        known is not None
        and any(known.stands(course, station_m) for course in courses)
        and not known.closed(courses, station_m, yard.settings.radius_m)
    )


@dataclass(frozen=True)
class _Wall:
    """A wall that stands, and the notches planned in it."""

    yard: Yard
    leg: Leg
    known: LegStanding
    seen: Seen
    notches: tuple[Notch, ...]

    def closed(self, notch: Notch, said: bool) -> list[int]:
        """Courses of a notch that stand and have no opening on record, where the file says them all or does not."""
        found = self.known.closed(notch.courses, notch.station_m, self.yard.settings.radius_m)
        return [course for course in found if (course in self.known.notches_said) == said]

    def courses(self, courses: Sequence[int]) -> str:
        """ "course 1", "courses 1 and 2", counted from the wall's lowest."""
        rows = [str(course - self.leg.lowest_course + 1) for course in courses]
        return f"course{'s' if len(rows) > 1 else ''} {enumerated(rows)}"

    def at(self, station_m: float) -> str:
        """A place as sheets tell it."""
        return laid(self.seen.along(station_m), self.yard.project.units)

    def written(self, notch: Notch, courses: Sequence[int]) -> str:
        """What says in the file that it is open: stations from the first point of the file's own line."""
        ends = notch.stations_m
        if self.known.turned:
            ends = self.leg.length_m - ends[1], self.leg.length_m - ends[0]
        start, end = (laid(at, self.yard.project.units) for at in ends)
        return ", ".join(f'{{ course = {course - self.leg.lowest_course + 1}, from = "{start}", to = "{end}" }}'
                         for course in courses)  # fmt: skip


def standing_notch_findings(yard: Yard, notches: Sequence[Notch]) -> list[Finding]:
    """Notches that must be sawn into timber that stands, those of which nobody said whether they are open, and
    openings that no pipe uses any more.

    Args:
        yard: the earlier results.
        notches: of the net that is laid.
    """
    standing: Standing = yard.walls.standing
    if not standing.any_stands:
        return []
    seen = all_seen(yard.walls.legs, yard.walls.runs, mirrored=yard.project.frame.mirrored)
    found: list[Finding] = []
    for leg in yard.walls.legs:
        known = standing.leg(leg.id)
        if known is not None and known.built is not None and leg.segments:
            mine = tuple(notch for notch in notches if notch.leg == leg.id)
            wall = _Wall(yard, leg, known, seen[leg.id], mine)
            found += [*_to_saw(wall), *_asked(wall), *_left_over(wall)]
    return found


def _to_saw(wall: _Wall) -> Iterator[Finding]:
    units, leg = wall.yard.project.units, wall.leg.id
    for notch in wall.notches:
        courses = wall.closed(notch, said=True)
        if not courses:
            continue
        text = (
            f"The pipe of drain {notch.drain} passes through timber of wall {leg} that stands and is not "
            f"{'open wide enough' if _met(wall, notch) else 'open'} there. "
            f"Saw a notch {small(notch.width_m, units)} wide, as high as the timber, into {wall.courses(courses)}, its "
            f"middle {wall.at(notch.station_m)} {FROM_LEFT}, before stone lies behind it; dig it free where it does. "
            "First find the pins, screws, ties and weep holes of what stands: none may lie nearer to the cut than "
            f"{small(CLEAR_M, units)}. Pin the timber down on both sides.{_joints_near(wall, notch)} Treat the cut. "
            f"Once sawn, add "
            f"{wall.written(notch, courses)} to `notches` of its [[stands]] {_FROM}."
        )
        yield Finding("standing.notch_sawn", Verdict.WATCH, text, leg, source="PRACTICE")


def _met(wall: _Wall, notch: Notch) -> bool:
    """Whether an opening on record takes in a part of a notch."""
    mine = [(course, *notch.stations_m) for course in notch.courses]
    return any(_overlap(one, other) for one in wall.known.notches for other in mine)


def _joints_near(wall: _Wall, notch: Notch) -> str:
    """Joints of what stands that lie nearer than joints are kept apart, in the courses cut and those next to them."""
    start, end = notch.stations_m
    reach = wall.yard.project.brief.joint_offset_m
    near = [
        f"course {course - wall.leg.lowest_course + 1} at {wall.at(joint)}"
        for course, joints in wall.known.cuts
        if notch.courses[0] - 1 <= course <= notch.courses[-1] + 1
        for joint in joints
        if start - reach < joint < end + reach
    ]
    if not near:
        return ""
    return f" Joints lie near: {', '.join(near)}; screw a plate of the same timber over the gap from behind there."


def _asked(wall: _Wall) -> Iterator[Finding]:
    places, written = [], []
    for notch in wall.notches:
        courses = wall.closed(notch, said=False)
        if courses:
            places.append(f"{wall.courses(courses)}, {wall.at(notch.station_m)} {FROM_LEFT}")
            written.append(wall.written(notch, courses))
    if places:
        wide = small(wall.notches[0].width_m, wall.yard.project.units)
        text = (
            f"Is the timber of wall {wall.leg.id} that stands open where pipes are to pass, {wide} wide: "
            f"{'; '.join(places)}? If so, say it under `notches` of its [[stands]]: {', '.join(written)} {_FROM}. "
            "Where nothing is open write `notches = []`: then it is told what is to be sawn."
        )
        yield Finding("standing.notch_asked", Verdict.WATCH, text, wall.leg.id)


def _left_over(wall: _Wall) -> Iterator[Finding]:
    used = [(course, *notch.stations_m) for notch in wall.notches for course in notch.courses]
    bare = [one for one in wall.known.notches if not any(_overlap(one, other) for other in used)]
    if bare:
        units = wall.yard.project.units
        places = "; ".join(
            f"{wall.courses([course])}, {length(b - a, units)} wide, {wall.at((a + b) / 2)} {FROM_LEFT}"
            for course, a, b in bare
        )
        text = (
            f"Openings in wall {wall.leg.id} through which no pipe passes any more: {places}. Close each with a block "
            "of the same timber, treated and screwed to the courses, and fabric behind it, before stone lies there. "
            "Then take it out of `notches` and add both its ends to `cuts` of that course: it is no longer one stick."
        )
        yield Finding("standing.notch_unused", Verdict.WATCH, text, wall.leg.id, source="PRACTICE")


def _overlap(one: Open, other: Open) -> bool:
    return one[0] == other[0] and one[1] < other[2] and other[1] < one[2]

"""Timber that stands in one piece longer than any stick: the file leaves out where it is joined or open."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from lynchet.core.findings import Finding, Verdict
from lynchet.project.model import Project
from lynchet.units.format import DIGGING, length
from lynchet.walls.joints import stick_m
from lynchet.walls.model import Piece, Walls
from lynchet.walls.seen import FROM_LEFT, seen_of

MORE_M = 0.02
"""A tape along a course is good to this. PRACTICE."""


def long_pieces(project: Project, walls: Walls, pieces: Sequence[Piece]) -> Iterator[Finding]:
    """One finding for each wall of which the file gives joints that no sticks can have made.

    Args:
        project: the file.
        walls: with what stands.
        pieces: of all walls.
    """
    most = stick_m(project)
    for known in walls.standing.legs:
        said = {course for course, _ in known.cuts}
        long = [one for one in pieces if one.leg == known.leg and one.course in said and one.length_m > most + MORE_M
                and walls.stands(one)]  # fmt: skip
        if long:
            yield _told(project, walls, known.leg, (long, most))


def _told(project: Project, walls: Walls, name: str, found: tuple[list[Piece], float]) -> Finding:
    (long, most), units, leg = found, project.units, walls.leg(name)
    seen = seen_of(leg, walls.runs, mirrored=project.frame.mirrored)
    listed, entries = [], list[int]()
    for piece in sorted(long, key=lambda one: (one.course, min(one.start_m))):
        row = piece.course - leg.lowest_course + 1
        low, high = seen.stretch(min(piece.start_m), max(piece.end_m))
        listed.append(f"course {row} from {length(low, units, DIGGING)} to {length(high, units, DIGGING)} {FROM_LEFT}")
        entries.append(_entry(project, name, row))
    keys = ", ".join(f"stands.{entry}" for entry in dict.fromkeys(entries))
    one = len(listed) == 1
    missing = "A joint or an opening is" if one else "Joints or openings are"
    text = (
        f"Wall {name} stands, as the file has it, with timber in one piece longer than any stick "
        f"({length(most, units)}): {'; '.join(listed)}. {missing} missing in {keys}. Measure where "
        f"{'it is' if one else 'they are'}, from the first point of its `line`, and add {'it' if one else 'each'} to "
        "`cuts` of that course, or to `notches` where a pipe passes: screws, pins and strength count on whole timber "
        "there. If it is one piece after all, nothing is to be done."
    )
    return Finding("standing.long_piece", Verdict.WATCH, text, name, demand=max(piece.length_m for piece in long),
                   capacity=most, unit="m", source="the file's sticks")  # fmt: skip


def _entry(project: Project, wall: str, row: int) -> int:
    """Place in the file's list of the entry that says how a course is joined: the lowest that reaches it."""
    mine = [one for one in project.so_far.stands if one.wall == wall]
    reaching = [one for one in mine if one.course >= row] or mine
    return min(reaching, key=lambda one: one.course).written[2]

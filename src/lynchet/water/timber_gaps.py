"""Where the timber of a wall is not there: notches planned, and openings that stand, used by a pipe or not."""

from __future__ import annotations

from collections.abc import Sequence

from lynchet.core.intervals import joined
from lynchet.core.standing import Open
from lynchet.walls.model import Walls
from lynchet.water.model import Water


def timber_gaps(walls: Walls, water: Water, leg: str) -> Sequence[Open]:
    """Gaps in the courses of a wall; those of one course that touch or overlap are one.

    An opening that no pipe uses any more counts like a notch: a block screwed into it carries nothing along the course.

    Args:
        walls: with what is known of the timber that stands.
        water: its notches.
        leg: id of the wall.

    Returns:
        Course of the lattice, first and last station in metres; in order of courses, then along the wall.
    """
    gaps = [(course, *notch.stations_m) for notch in water.notches_of(leg) for course in notch.courses]
    known = walls.standing.leg(leg)
    if known is not None:
        gaps += known.notches
    if not gaps:
        return gaps
    courses = sorted({course for course, _, _ in gaps})
    return [(course, low, high) for course in courses
            for low, high in joined((a, b) for at, a, b in gaps if at == course)]  # fmt: skip

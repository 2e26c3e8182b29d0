"""Steps that find no room, moved along the wall or made narrower until every flight of them fits: edits of the file."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from lynchet.core.findings import Cure, Finding
from lynchet.core.plane import Point, move
from lynchet.project.model import Project
from lynchet.project.things import StepsWish
from lynchet.terraces.crossings import Plot, crossings
from lynchet.terraces.flight_forms import Form, riser_courses
from lynchet.terraces.flight_refusals import UNFIT
from lynchet.terraces.flights import Placed, climbed, reserve
from lynchet.terraces.taken_ground import TakenGround
from lynchet.units.format import for_file, tape_for_file
from lynchet.units.format import length as length_text
from lynchet.units.measures import INCH

MOVE_STEPS, NARROWER_STEPS = "move-steps", "narrower-steps"
STEP_M = {"metric": 0.1, "us": 4 * INCH}
"""Steps are moved by so much at a time."""
FURTHEST_M = 2.0
"""Moved further, they are other steps. PRACTICE."""
NARROW_M = {"metric": 0.9, "us": 36 * INCH}
"""No steps are made narrower than this: 36 in, International Residential Code R311.7.1 (MEMORY); one person with a
barrow (PRACTICE)."""
_GRID_M = 1e-3


def with_moves(project: Project, plot: Plot, placed: Placed) -> tuple[Finding, ...]:
    """What is told of the flights, each that finds no room with the edits after which all of its wish do.

    Args:
        project, plot: as for placing.
        placed: what was placed.
    """
    known: dict[int, tuple[Cure, ...]] = {}
    found = []
    for finding in placed.findings:
        wish, _, line = finding.place.partition("@")
        if finding.code == UNFIT and line:
            number = int(wish[1:])
            if number not in known:
                known[number] = tuple(_ways(number, project, plot, placed))
            finding = replace(finding, cures=(*known[number], *finding.cures))
        found.append(finding)
    return tuple(found)


def _ways(number: int, project: Project, plot: Plot, placed: Placed) -> Iterator[Cure]:
    """The shortest move of one wish, and the narrower flight, that leave none of it without room."""
    wish, units = project.steps[number], project.units
    if not riser_courses(project.timber.course_m):
        return
    right = _right(number, wish, plot)
    key, apart = f"steps.{number + 1}", f"-{number + 1}" if len(project.steps) > 1 else ""
    steps = f'the steps "{wish.name}"' if wish.name else f"steps {number + 1}"
    for by_m in _moves(STEP_M[units]):
        moved = replace(wish, line_m=tuple(move(point, right, by_m) for point in wish.line_m))
        if _fits(number, moved, project, plot, placed):
            side = "right" if (by_m > 0.0) is not project.frame.mirrored else "left"
            text = f"move {steps} {length_text(abs(by_m), units)} to the {side} along the walls, seen from below"
            yield Cure(MOVE_STEPS + apart, text, ((f"{key}.line", _as_written(moved, project)),))
            break
    least = max(NARROW_M[units], project.access.passage_m or 0.0)
    if wish.width_m > least + _GRID_M and _fits(number, replace(wish, width_m=least), project, plot, placed):
        text = f"make {steps} {length_text(least, units)} wide, not {length_text(wish.width_m, units)}"
        yield Cure(NARROWER_STEPS + apart, text, ((f"{key}.width", tape_for_file(least, units, "up")),))


def _right(number: int, wish: StepsWish, plot: Plot) -> Point:
    """Unit vector along the lowest wall met, to the right of one who climbs it."""
    up = crossings(number, wish, plot)[0].way
    return up[1], -up[0]


def _moves(step_m: float) -> Iterator[float]:
    """Shortest first, right before left."""
    for count in range(1, int(FURTHEST_M / step_m + 1e-9) + 1):
        yield count * step_m
        yield -count * step_m


def _fits(number: int, wish: StepsWish, project: Project, plot: Plot, placed: Placed) -> bool:
    """Whether a wish crosses as many walls as before, and a flight fits over each, beside the flights of the others."""
    met = crossings(number, wish, plot)
    before = crossings(number, project.steps[number], plot)
    if [(one.low, one.high) for one in met] != [(one.low, one.high) for one in before]:
        return False
    taken = TakenGround()
    for form in placed.forms:
        if form.crossing.wish != number:
            reserve(form, taken, project.timber.thickness_m)
    return all(isinstance(one, Form) for one in climbed(met, project, plot, taken))


def _as_written(wish: StepsWish, project: Project) -> list[list[str]]:
    """Its line as a program writes it into the file, to the millimetre."""
    points = (project.frame.outward(point) for point in wish.line_m)
    return [[for_file(round(value / _GRID_M) * _GRID_M, project.units) for value in point] for point in points]

"""Ties where the drain lies in the only course they could use: what they would be, and how far the drain must go down.

In a low wall the one course a tie may lie in, over the lowest and under the top one, is the course that the pipe runs
behind: it must lie over the ground in front to run out by itself. Ties fit once it lies lower, led out under the lowest
course or past an end of the wall to ground that falls away. That is drawn by hand: the plan's pipes cross timber at
notches only.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import ceil

import shapely

from lynchet.core.findings import Cure
from lynchet.core.outlines import polygons_of
from lynchet.project.model import Project
from lynchet.stability.model import Place, TieCheck
from lynchet.stability.obstacles import PIPE_OVER_M
from lynchet.stability.places import Yard
from lynchet.stability.tie_design import Design, check_ties, designs, most_needed, rows_tried
from lynchet.stability.tie_holds import Laid
from lynchet.stability.tying import Untied
from lynchet.stability.words import Word
from lynchet.units.format import force, length
from lynchet.water.model import Body

SHALLOW_M = 0.1
"""Beds that are never dug deeper leave the ground over ties and before walls as it is. PRACTICE: a trowel, no spade."""
MOST_COURSES = 4
"""In a higher wall ties find a course over the pipe."""
DROP_M = 0.05
"""Free fall at the mouth of the pipe. PRACTICE."""


@dataclass(frozen=True)
class ByHand:
    """Ties that would hold a wall, were its drain out of their way."""

    design: Design
    place: Place
    checks: tuple[TieCheck, ...]
    count: int
    spacing_m: float
    """Between ties of a row, laid evenly."""
    lower_m: float
    """How much lower the pipe must lie."""
    outlet_m: float
    """How far under the ground in front it then comes out, the free fall at its mouth included."""


def ties_by_hand(bare: Untied, word: Word) -> ByHand | None:
    """The cheapest ties for the wall a word is on; None where none would hold, or the drain leaves them room.

    Args:
        bare: the walls without ties.
        word: on the wall.
    """
    yard, places = bare.yard, bare.places
    brief, leg = yard.project.brief, yard.walls.leg(word.place.leg)
    numbers = [n for n, one in enumerate(places) if (one.leg, one.held) == (leg.id, word.place.held)]
    if "ties" in brief.helps_off or max((places[n].courses for n in numbers), default=MOST_COURSES + 1) > MOST_COURSES:
        return None
    if any(places[n].surcharge_kpa > 0 for n in numbers):
        return None
    project = replace(yard.project, brief=replace(brief, dig_depth_m=min(brief.dig_depth_m, SHALLOW_M)))
    number = most_needed(bare.table, numbers)
    place = places[number]
    rows = rows_tried(project, place)
    pipes = _pipes_behind(yard, place) if rows else []
    if not pipes or not all(_meets(place, row, pipes) for row in rows):
        return None
    found = designs(project, bare.table, place, number, bare.behind(number))
    return _by_hand(bare, project, (place, number), found[0], pipes) if found else None


def _by_hand(bare: Untied, project: Project, what: tuple[Place, int], design: Design, pipes: Sequence[Body]) -> ByHand:
    """One design with what its ties carry, and the drain under them."""
    place, number = what
    long = bare.yard.walls.leg(place.leg).length_m
    each = max(1, ceil(long / design.spacing_m - 1e-9))
    rows = [Laid(row, design.length_m, design.cross_m, long / each) for row in design.below_top]
    lower = max(body.top_m for body in pipes) + PIPE_OVER_M - _levels(place, design.below_top[0])[0]
    under = min(min(body.bottom_m for body in pipes) - lower, place.base_m - project.drain.outside_m)
    checks = check_ties(project, bare.table, what, rows, bare.behind(number))
    return ByHand(design, place, tuple(checks), len(rows) * each, long / each, lower, place.low_m - under + DROP_M)


def _levels(place: Place, below_top: int) -> tuple[float, float]:
    """Underside and top of a row of ties."""
    top = place.top_m - below_top * place.course_m
    return top - place.course_m, top


def _meets(place: Place, below_top: int, pipes: Sequence[Body]) -> bool:
    """Whether the pipe lies in the way of a row along the wall."""
    low, high = _levels(place, below_top)
    return any(body.bottom_m < high + PIPE_OVER_M and body.top_m > low - PIPE_OVER_M for body in pipes)


def _pipes_behind(yard: Yard, place: Place) -> list[Body]:
    """The pipes that run along behind a wall, where its ties would cross them."""
    leg, held = yard.walls.leg(place.leg), place.held
    back = leg.thickness_m if held > 0 else 0.0
    near, far = back + held * 0.02, back + held * yard.project.drain.stone_width_m
    ring = tuple(leg.point_at(s, n) for s, n in ((0.0, near), (leg.length_m, near), (leg.length_m, far), (0.0, far)))
    bodies = [body for body in yard.water.bodies if body.kind == "drain pipe"]
    strip = shapely.Polygon(ring)
    shapes = polygons_of(body.outline_m for body in bodies)
    return [body for body, shape in zip(bodies, shapes, strict=True) if shapely.intersects(strip, shape)]


def ties_cure(project: Project, found: ByHand) -> Cure:
    """The cure in words."""
    units, design = project.units, found.design
    row = found.place.courses - design.below_top[0]
    dig = min(project.brief.dig_depth_m, SHALLOW_M)
    text = (
        f"tie wall {found.place.leg} back: {found.count} ties {length(design.length_m, units)} long, every "
        f"{length(found.spacing_m, units)}, in course {row} from below, with cross-pieces of "
        f"{length(design.cross_m, units)}, and beds behind it never dug deeper than {length(dig, units)}. The drain "
        f"lies in that course: it must first lie {length(found.lower_m, units)} lower, and come out under the lowest "
        f"course or past an end of the wall, on ground {length(found.outlet_m, units)} under that in front (draw it "
        "by hand)"
    )
    pull = force(max(check.demand_kn for check in found.checks), units)
    least = force(min(min(check.capacity_kn, check.fixing_kn) for check in found.checks), units)
    effect = f"the ties hold it in every load case: each pulls {pull} at most, and the weakest holds {least}"
    return Cure("ties-under-drain", text, (), effect)

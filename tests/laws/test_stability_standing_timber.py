"""What stands counts for its strength as the file records it: open where it is open, jointed where it is jointed.

The box bed: 12 ft front, courses and width 5 1/2 in, 120 pcf, 30 degrees, 20 on the back: Ka cos 20 = 0.2973 x 0.9397 =
0.2794 (Coulomb, NAVFAC DM 7.02, 1986, 3.1). Course in depth z takes w = 0.2794 x 18.85 kN/m3 x z x 0.1397 m: 0.0514,
0.1542, 0.2570 kN/m, and pulls w x 3.6576/2 at each corner: 0.0940, 0.2820, 0.4699 kN. A course that does not reach from
corner to corner hands half to each of those beside it.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest
from test_stability_stage_yards import tied_yards

from by_command import YARDS
from lawbook.fastener_laws import fasteners
from lawbook.whole import Whole, timber_volume_is_the_lists_volume
from lynchet.core.standing import LegStanding, Standing
from lynchet.plan.built import built_edits
from lynchet.plan.effort import LIVE
from lynchet.plan.pipeline import pieces_of, plan_project
from lynchet.project.load import load
from lynchet.project.read import checked
from lynchet.stability.stage import stability

WHOLE_KN = (0.0940, 0.2820, 0.4699)
OPEN_KN = (0.0940 + 0.2820 / 2, 0.0, 0.4699 + 0.2820 / 2)
OPENING = ("5 ft", "5.5 ft")


@cache
def bed(opened=(), jointed=()):
    """The box bed with all its walls standing; courses of A2 (behind, without a pipe) with an opening or a joint."""
    file = load(YARDS / "box_bed.toml")
    before = plan_project(checked(file, []), effort=LIVE)
    walls = [leg.id for leg in before.walls.legs if leg.segments]
    start, end = OPENING
    recorded = {
        "notches": [{"course": course, "from": start, "to": end} for course in opened],
        "cuts": [{"course": n, "at": [start] if n in jointed else []} for n in (1, 2, 3, 4)],
    }
    entries = [entry | (recorded if entry["wall"] == "A2" else {}) for _, entry in built_edits(before, walls)]
    return plan_project(checked(file, [("stands", entries)]), effort=LIVE)


def pulls(plan):
    """What the corners of A2 carry with the drain dry, from the top course down."""
    (dry,) = [one for one in plan.stability.corners if one.leg == "A2" and one.case == "dry"]
    return dry.corner_pulls_kn


def by_corners(plan):
    return next(wall.by_corners for wall in plan.stability.walls if wall.leg == "A2")


def test_a_front_that_stands_whole_carries_by_every_course():
    assert pulls(bed()) == pytest.approx(WHOLE_KN, rel=2e-3) and by_corners(bed())


def test_an_opening_no_pipe_uses_is_a_notch_to_the_front_that_stands_by_its_corners():
    """The middle course of three is open: those over and under it take half of what it took."""
    plan = bed(opened=(3,))
    assert not any(notch.leg == "A2" for notch in plan.water.notches)
    assert pulls(plan) == pytest.approx(OPEN_KN, rel=2e-3) and by_corners(plan)
    bends = next(one for one in plan.timber.checks if (one.leg, one.what) == ("A2", "corner pin"))
    whole = next(one for one in bed().timber.checks if (one.leg, one.what) == ("A2", "corner pin"))
    assert bends.demand > 1.2 * whole.demand
    over = next(one for one in plan.timber.checks if (one.leg, one.what) == ("A2", "bending over a notch"))
    assert over.span_m == pytest.approx(0.5 * 0.3048, abs=1e-6)


def test_a_joint_recorded_in_a_course_cuts_it_like_an_opening():
    """A course laid of two sticks does not reach from corner to corner, whatever length is on sale now."""
    assert pulls(bed(jointed=(3,))) == pytest.approx(OPEN_KN, rel=2e-3)


@pytest.mark.parametrize("courses", [(4,), (2, 3)])
def test_openings_that_leave_no_course_beside_them_end_the_help_of_the_corners(courses):
    """The top course open, or two neighbours: nothing spans there."""
    plan = bed(opened=courses)
    assert not [one for one in plan.stability.corners if one.leg == "A2"]
    assert not by_corners(plan) and plan.verdict > bed().verdict


def test_timber_is_not_there_where_it_is_open():
    """Pieces, their volume and their screws leave the opening out."""
    plan = bed(opened=(3,))
    assert not timber_volume_is_the_lists_volume(Whole(plan))
    course = plan.walls.leg("A2").lowest_course + 2
    ends = sorted((min(piece.start_m), max(piece.end_m)) for piece in plan.pieces
                  if (piece.leg, piece.course) == ("A2", course))  # fmt: skip
    low, high = next((a, b) for at, a, b in plan.standing.leg("A2").notches if at == course)
    assert len(ends) == 2 and ends[0][1] == pytest.approx(low) and ends[1][0] == pytest.approx(high)
    assert not fasteners(plan.walls, plan.pieces, plan.timber.fasteners, Whole(plan).case.avoid)
    near = [one for one in plan.timber.fasteners if one.leg == "A2" and low < one.station_m < high]
    assert not any(one.bottom_m < plan.walls.runs_of("A2", course)[0].top_m - 0.02
                   and one.top_m > plan.walls.runs_of("A2", course)[0].bottom_m + 0.02 for one in near)  # fmt: skip


@pytest.mark.parametrize("how", ["opening", "joint"])
def test_ties_and_pins_keep_off_openings_and_joints_that_stand(how):
    """Where a tie or pin was, the timber that stands is open or jointed: it moves aside."""
    yard = tied_yards()[0]
    for one, before in ((yard.stability.ties[0], "ties"), (yard.stability.pins[1], "pins")):
        known = LegStanding(
            one.leg,
            built=max(part.top for part in yard.walls.leg(one.leg).segments),
            notches=((one.course, one.station_m - 0.08, one.station_m + 0.08),) if how == "opening" else (),
            cuts=((one.course, (one.station_m,)),) if how == "joint" else (),
        )
        stands = replace(yard.walls, standing=Standing((known,)))
        after = stability(yard.project, yard.ground, yard.terraces, stands, yard.water)
        least = (0.15 + 0.08 if how == "opening" else 0.15) - 0.005 - 1e-9
        mine = [two for two in getattr(after, before) if (two.leg, two.course) == (one.leg, one.course)]
        assert mine and all(abs(two.station_m - one.station_m) >= least for two in mine)
        pieces = pieces_of(yard.project, stands, yard.water, after, stands.standing).pieces
        assert pieces

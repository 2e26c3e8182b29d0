"""A yard planned again with walls standing: the same beds, and bases not yet laid as deep as the beds now ask."""

from __future__ import annotations

from dataclasses import replace

import pytest

from built_yards import built_plan, plan_before
from lawbook.level_laws import embedded
from lawbook.whole import Whole, steel_stands_in_timber
from lynchet.core.standing import LegStanding
from lynchet.walls.kept import kept_segments
from lynchet.walls.model import Segment
from standing_yards import as_written


@pytest.mark.parametrize("seed", [92148, 92101, 92110])
def test_beds_stay_where_they_are_when_walls_stand(seed):
    """On the lattice that timber stands on another count of courses moved less soil, by a micrometre of its level: a
    bed went down by a course under walls half built, and a base not yet laid was too shallow."""
    before, again = plan_before(seed), built_plan(seed)
    levels = [[face.level_m for face in plan.terraces.faces if face.kind == "bed"] for plan in (before, again)]
    assert levels[0] and levels[1] == pytest.approx(levels[0], abs=1e-3)
    assert embedded(Whole(again).case) == []


def test_a_base_not_yet_laid_goes_as_deep_as_the_plan_wants_it():
    """Courses 10 and 11 stand on the deep part alone; over there a base planned at 14 is not laid."""
    leg = as_written("garden").walls.legs[0]
    free = replace(leg, segments=(Segment(0.0, 2.0, 10, 16), Segment(2.0, 4.0, 12, 16)), node_stations_m=(0.0, 4.0))
    stands = LegStanding(leg.id, (), ((0.0, 2.0, 10, 16), (2.0, 4.0, 14, 16)), 11)
    assert kept_segments(free, stands).segments == free.segments
    laid = replace(stands, built=14)
    assert [part.base for part in kept_segments(free, laid).segments] == [10, 14]


def test_a_corner_pin_stays_over_timber_of_a_leaning_wall_two_courses_lower():
    """A wall brought back to level leans: two courses lower its timber lies under the pin by 12 mm of its edge."""
    assert steel_stands_in_timber(Whole(built_plan(92136))) == []

"""Walls whose foot is wished deep, as below frost: the courses reach that far down, wherever ground was measured."""

from __future__ import annotations

import pytest

from lawbook.book import broken
from lawbook.case import plan
from lynchet.project.model import Brief
from yards import project_of, readings_over, timber

OUTLINE = [(0.0, 0.0), (8.0, 0.0), (8.0, 5.0), (0.0, 5.0)]


@pytest.mark.parametrize("course_m", [0.089, 0.15, 0.2])
@pytest.mark.parametrize("foot_m", [0.15, 0.9, 1.22, 1.5, 2.0, 3.0])
def test_every_wall_stands_as_deep_as_wished(foot_m: float, course_m: float) -> None:
    """Ground read at its corners alone, 0 m to 0.6 m: every base lies under its top, and the wished depth under the
    lower ground, as all laws hold. Feet of 1.2 m and more were laid over the tops of their walls."""
    readings = [(x, y, 0.12 * y) for x, y in OUTLINE]
    brief = Brief(terraces=2, embedment_m=foot_m)
    case = plan(*project_of(OUTLINE, readings, brief=brief, timber=timber(course_m, 0.15)))
    assert case.refused == "" and broken(case) == []
    assert all(0 <= seg.base <= seg.top for leg in case.walls.legs for seg in leg.segments)


@pytest.mark.parametrize("under_m", [0.5, 2.0, 6.0])
def test_a_bed_far_under_the_ground_has_courses_under_it(under_m: float) -> None:
    """A lowest bed pinned under all measured ground, with a deep foot: the laws hold."""
    readings = readings_over(OUTLINE, lambda x, y: 0.12 * y)
    brief = Brief(terraces=2, levels=(-under_m, -under_m + 0.45), embedment_m=1.8)
    case = plan(*project_of(OUTLINE, readings, brief=brief))
    assert case.refused == "" and broken(case) == []
    assert min(seg.base for leg in case.walls.legs for seg in leg.segments) >= 0

"""Setting-out numbers find the very points; what already stands is accepted."""

from __future__ import annotations

from collections.abc import Callable
from math import dist, sqrt
from typing import Any

import pytest

from filed_yards import filed
from lawbook.book import broken
from lawbook.case import plan
from lynchet.core.standing import LegStanding, Standing
from lynchet.plan.effort import LIVE
from lynchet.plan.pipeline import plan_project
from lynchet.walls.rod import rod_courses
from yards import ell, rectangle


def _two_circles(a: tuple[float, float], ra: float, b: tuple[float, float], rb: float) -> list[tuple[float, float]]:
    """Where two tape arcs cross."""
    d = dist(a, b)
    along = (ra * ra - rb * rb + d * d) / (2 * d)
    beside = sqrt(max(0.0, ra * ra - along * along))
    x, y = (b[0] - a[0]) / d, (b[1] - a[1]) / d
    return [(a[0] + along * x - s * beside * y, a[1] + along * y + s * beside * x) for s in (1, -1)]


def test_two_tapes_find_every_point() -> None:
    """Swung from its two known corners, the two lengths cross at the point to peg."""
    case = plan(*ell())
    out = case.walls.setting_out
    known = dict(out.known_m)
    assert {"house, corner 0", "area, corner 0"} <= set(known)
    for point in out.points:
        crossings = _two_circles(known[point.from_a], point.distance_a_m, known[point.from_b], point.distance_b_m)
        assert min(dist(point.point_m, c) for c in crossings) < 2e-3, point


def test_every_standing_stretch_has_both_ends_pegged() -> None:
    """Two points for each stretch of wall, on the face line."""
    case = plan(*ell())
    ids = [point.id for point in case.walls.setting_out.points]
    assert len(set(ids)) == len(ids)
    for leg in case.walls.legs:
        mine = [p for p in case.walls.setting_out.points if p.id.rsplit(".", 1)[0] == leg.id]
        if leg.segments:
            assert len(mine) >= 2
            assert mine[0].point_m == pytest.approx(leg.point_at(leg.segments[0].start_m))


def test_a_wall_of_many_stretches_has_a_name_for_each_end() -> None:
    """Eight stretches of one wall make sixteen pegs: letters went round after ten, two were the same."""
    made = plan_project(filed(137), effort=LIVE)
    names = [point.id for point in made.walls.setting_out.points if point.id.startswith("A5.")]
    assert names == [f"A5.{letter}" for letter in "abcdefghijklmnop"]


def test_levels_hang_from_the_benchmark() -> None:
    """Level and drop below the mark always add up to the mark; gauge marks are whole courses."""
    case = plan(*rectangle())
    out = case.walls.setting_out
    assert all(mark.level_m + mark.below_mark_m == pytest.approx(out.benchmark_m) for mark in out.levels)
    assert {bed.id for bed in case.terraces.beds} <= {mark.place for mark in out.levels}
    course = case.terraces.lattice.course_m
    assert out.gauge_m == pytest.approx([course * (i + 1) for i in range(len(out.gauge_m))])


def test_every_mark_of_the_rod_names_the_courses_that_end_there() -> None:
    """A course of a wall, counted from that wall's lowest, is named at the mark as high as its top, and there alone."""
    case = plan(*ell())
    walls, out = case.walls, case.walls.setting_out
    foot = min(run.bottom_m for run in walls.runs)
    told = {name: at for at, names in zip(out.gauge_m, rod_courses(walls), strict=True) for name in names}
    assert sum(map(len, rod_courses(walls))) == len(told) == len({(run.leg, run.row) for run in walls.runs})
    assert all(told[run.leg, run.row] == pytest.approx(run.top_m - foot) for run in walls.runs)
    assert any(run.row != run.course - min(one.course for one in walls.runs) + 1 for run in walls.runs)


def test_diagonals_of_a_rectangular_bed_are_equal() -> None:
    """A rectangular bed has two equal diagonals."""
    case = plan(*rectangle())
    wished = sqrt(81 + 4)
    alike = [d for d in case.walls.setting_out.check_tapes if d.distance_m == pytest.approx(wished, abs=1e-3)]
    assert len(alike) >= 2 and {one.what for one in alike} == {"diagonal"}


@pytest.mark.parametrize("make", [rectangle, ell])
def test_a_check_tape_runs_between_what_is_marked_on_the_ground(make: Callable[[], tuple[Any, Any]]) -> None:
    """Its ends are pegs or known corners where these stand there, and its length is theirs from each other."""
    case = plan(*make())
    card = case.walls.setting_out
    at = {peg.id: peg.point_m for peg in card.points} | dict(card.known_m)
    assert card.check_tapes
    for one in card.check_tapes:
        assert dist(at[one.from_point], at[one.to_point]) == pytest.approx(one.distance_m, abs=5e-3)


def test_a_measured_base_moves_its_own_wall_alone() -> None:
    """A base course of A0 measured 12 mm low: the courses on it lie as much lower, every other wall stays."""
    plain = plan(*rectangle())
    lowest = plain.walls.leg("A0").lowest_course
    given = Standing((LegStanding("A0", ((lowest, -0.012),)),))
    case = plan(*rectangle(), given)
    for before, after in zip(plain.walls.runs, case.walls.runs, strict=True):
        shift = -0.012 if before.leg == "A0" else 0.0
        assert after.bottom_m == pytest.approx(before.bottom_m + shift)


def test_pinned_segments_and_datum_give_the_same_plan() -> None:
    """Segments and datum of a plan handed back as standing change nothing."""
    plain = plan(*ell())
    pins = tuple(
        LegStanding(leg.id, (), tuple((s.start_m, s.end_m, s.base, s.top) for s in leg.segments))
        for leg in plain.walls.legs
    )
    case = plan(*ell(), Standing(pins, plain.terraces.lattice.bottoms_m[0]))
    assert broken(case) == []
    assert [r.outline_m for r in case.walls.runs] == [r.outline_m for r in plain.walls.runs]
    assert case.terraces.levels_m == pytest.approx(plain.terraces.levels_m, abs=1e-6)

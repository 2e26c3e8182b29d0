"""Weep holes: bored where sums count on them, clear of joints, ends and steel; nothing counts on what is not bored."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from demo_plans import demo
from lynchet.core.standing import Standing
from lynchet.drawings.figures import Figures
from lynchet.drawings.wall_face import face_of
from lynchet.drawings.wall_order import weep_words
from lynchet.plan.flight_places import flight_places
from lynchet.plan.model import Plan
from lynchet.plan.pipeline import pieces_of
from lynchet.project import model as pm
from lynchet.stability.model import Place, Stability, Weep
from lynchet.stability.stage import stability
from lynchet.stability.weep_holes import Bored
from lynchet.terraces.stage import terraces
from lynchet.walls.model import Leg, Piece, Walls
from lynchet.walls.seen import all_seen
from lynchet.walls.stage import walls
from lynchet.water.model import Water
from lynchet.water.stage import water
from random_yards import realistic
from standing_yards import as_written, courses_of, planned, stands

SPACING_M, HALF_BORE_M, OVER_GROUND_M, CLEAR_JOINT_M = 1.2, 0.0125, 0.02, 0.1
"""What docs and sheets promise; said here again, not taken from the code."""
SEEDS = (3, 8, 11)
Laid = tuple[Walls, Water, Stability, tuple[Piece, ...]]


@cache
def laid(seed: int | None, weeps: bool = True) -> Laid:
    """Walls, water, stability and pieces of a random yard; of the L garden where no seed is given."""
    if seed is None:
        plan = demo("l_garden")
        return plan.walls, plan.water, plan.stability, plan.pieces
    project, ground = realistic(seed)
    project = replace(project, brief=replace(project.brief, weeps=weeps))
    return built(project, ground)


def built(project: pm.Project, ground: object) -> Laid:
    """The stages up to the pieces."""
    faces = terraces(project, ground, Standing())
    made = walls(project, ground, faces, Standing())
    drained = water(project, ground, faces, made, 1)
    held = stability(project, ground, faces, made, drained)
    return made, drained, held, pieces_of(project, made, drained, held).pieces


def stretch(leg: Leg, drained: Water, station_m: float) -> tuple[float, float]:
    """Where base, top, faces and water about a station keep their kind."""
    cuts = {s for one in (*leg.segments, *leg.spans, *drained.levels_of(leg.id)) for s in (one.start_m, one.end_m)}
    return max(s for s in cuts if s <= station_m), min(s for s in cuts if s >= station_m)


def near(made: Walls, holes: tuple[Weep, ...], leg: Leg, station_m: float) -> list[Weep]:
    """Holes no more than half the spacing from a place, along the wall or round a corner."""
    x, y = leg.point_at(station_m)
    feet = [(hole, made.leg(hole.leg).point_at(hole.station_m)) for hole in holes]
    return [hole for hole, (a, b) in feet if ((a - x) ** 2 + (b - y) ** 2) ** 0.5 <= SPACING_M / 2 + 1e-3]


def counting(held: Stability) -> list[Place]:
    return [place for place in held.places if place.weep_m is not None]


@pytest.mark.parametrize("seed", [None, *SEEDS])
def test_where_a_sum_counts_on_weep_holes_they_are_bored_and_no_higher_than_it_says(seed):
    """All along a stretch that counts on holes one lies within half the spacing; the level used is not under theirs."""
    made, drained, held, _ = laid(seed)
    assert seed is not None or (held.weeps and counting(held))
    for place in counting(held):
        leg = made.leg(place.leg)
        low, high = stretch(leg, drained, place.station_m)
        row = drained.level_at(leg.id, (low + high) / 2)
        pocket = tuple(hole for hole in held.weeps if row is not None and hole.chain == row.chain)
        for n in range(21):
            assert near(made, pocket, leg, low + (high - low) * n / 20), (place.leg, low, high)
        here = near(made, pocket, leg, place.station_m)
        assert place.weep_m >= max(hole.level_m + HALF_BORE_M for hole in here) - 1e-9
        assert place.all_shut_m <= max(place.weep_m, place.wet_m) + 1e-9


@pytest.mark.parametrize("seed", [None, *SEEDS])
def test_a_place_without_holes_counts_on_none(seed):
    """Where no hole serves, water stands as high as it does without any, and each hole serves a place."""
    if seed is not None:
        bare = {(p.leg, p.stretch, round(p.station_m, 7)): p for p in laid(seed, False)[2].places}
        for place in laid(seed)[2].places:
            other = bare[place.leg, place.stretch, round(place.station_m, 7)]
            assert other.weep_m is None
            if place.weep_m is None:
                assert (place.one_shut_m, place.all_shut_m) == (other.one_shut_m, other.all_shut_m)
    made, _, held, _ = laid(seed)
    rests = counting(held)
    served = {hole.id for place in rests for hole in near(made, held.weeps, made.leg(place.leg), place.station_m)}
    long = {hole.id for hole in held.weeps} - served
    assert all(any(place.leg == hole.leg for place in rests) for hole in held.weeps if hole.id in long)


@pytest.mark.parametrize("seed", [None, *SEEDS])
def test_holes_go_through_sound_timber_over_the_ground_and_under_what_is_held(seed):
    """Lower edge over the ground in front, upper edge under the ground held, a bore from the edges of the timber; no
    joint, end or notch of its course within 0.1 m."""
    made, drained, held, pieces = laid(seed)
    for hole in held.weeps:
        leg = made.leg(hole.leg)
        left, right = leg.span_at(hole.station_m).levels_at(hole.station_m)
        low, high = min(left, right), max(left, right)
        assert low + OVER_GROUND_M - 1e-9 <= hole.level_m - HALF_BORE_M and hole.level_m + HALF_BORE_M < high
        (own,) = [one for one in pieces if (one.leg, one.course) == (hole.leg, hole.course)
                  and max(one.start_m) < hole.station_m < min(one.end_m)]  # fmt: skip
        assert hole.station_m - max(own.start_m) > CLEAR_JOINT_M < min(own.end_m) - hole.station_m
        assert own.bottom_m + 1.5 * HALF_BORE_M < hole.level_m < own.top_m - 1.5 * HALF_BORE_M
        for notch in drained.notches_of(hole.leg):
            start, end = notch.stations_m
            assert hole.course not in notch.courses or not start - 0.1 < hole.station_m < end + 0.1


def test_steel_keeps_off_weep_holes():
    """No screw, corner pin or base pin stands in the course of a hole within 40 mm of it, no tie within its own width;
    the clash check, which looks at bodies, finds none."""
    plan = demo("l_garden")
    assert plan.stability.weeps
    for hole in plan.stability.weeps:
        leg = plan.walls.leg(hole.leg)
        for one in plan.timber.fasteners:
            crosses = one.bottom_m < hole.level_m + HALF_BORE_M and one.top_m > hole.level_m - HALF_BORE_M
            left = abs(_left(leg, one.point_m) - leg.thickness_m / 2) < leg.thickness_m
            if crosses and left:
                assert abs(leg.station_of(one.point_m) - hole.station_m) > 0.04, (one.id, hole.id)
        for pin in plan.stability.pins_of(hole.leg):
            assert pin.course != hole.course or abs(pin.station_m - hole.station_m) > 0.04
        for tie in plan.stability.ties_of(hole.leg):
            assert tie.course != hole.course or abs(tie.station_m - hole.station_m) > leg.thickness_m / 2
    assert not [finding for finding in plan.findings if finding.code == "clash"]


def _left(leg: Leg, point: tuple[float, float]) -> float:
    return (point[0] - leg.start_m[0]) * leg.normal[0] + (point[1] - leg.start_m[1]) * leg.normal[1]


def test_where_no_place_is_free_nothing_counts_on_holes():
    """Walls whose timber has no free place get no hole, and every sum is as without."""
    project, ground = realistic(SEEDS[0])
    project = replace(project, brief=replace(project.brief, weeps=True))
    faces = terraces(project, ground, Standing())
    made = walls(project, ground, faces, Standing())
    made = replace(made, runs=tuple(replace(run, clear_m=()) for run in made.runs))
    drained = water(project, ground, faces, made, 1)
    held = stability(project, ground, faces, made, drained)
    without = stability(replace(project, brief=replace(project.brief, weeps=False)), ground, faces, made, drained)
    assert held.places and not held.weeps and held.places == without.places and held.joints == without.joints
    (told,) = [finding for finding in held.findings if finding.code == "stability.weeps"]
    assert "find no place" in told.text


def test_weep_holes_are_told_to_those_who_bore_pay_for_and_rinse_them():
    """Days bring each hole with its piece; hours, fabric and care know of them."""
    from lynchet.plan.building_days import days_of
    from lynchet.plan.weep_places import pieces_of_holes, weep_rows

    plan: Plan = demo("l_garden")
    through = pieces_of_holes(plan)
    assert set(through) == {hole.id for hole in plan.stability.weeps}
    days = days_of(plan)
    assert all(days.day_of(hole) == days.day_of(piece) > 0 for hole, piece in through.items())
    assert sum(len(row.from_left_m) for row in weep_rows(plan, plan.stability.weeps)) == len(through)
    (fabric,) = [line for line in plan.works.order if line.key == "fabric"]
    assert f"{len(through)} squares" in fabric.note
    assert any("weep" in one.what for one in plan.works.upkeep)
    named = [task.name for task in plan.works.tasks if "weep holes" in task.name]
    assert named and not any("weep" in one.what for one in demo("side_yard").works.upkeep)


def test_a_hole_half_a_spacing_past_the_end_of_a_stretch_is_counted_at_that_end() -> None:
    """Its place there stands a millionth of a metre inside; whether that is near enough hangs on no last digit."""
    rng, hole = np.random.default_rng(7), Weep("W1/weep1", "W1", 1, 0, 0.0, (0.0, 0.0), 0.07, 100.0, (), "B1/W1")
    for turn, end, x, y in rng.uniform((0.0, 0.5, -20.0, -20.0), (2.0 * np.pi, 30.0, 20.0, 20.0), (200, 4)):
        foot, place, before = ((x + np.cos(turn) * s, y + np.sin(turn) * s)
                               for s in (end + SPACING_M / 2.0, end - 1e-6, end - 1e-5))  # fmt: skip
        assert Bored(hole, foot).reaches(place)
        assert not Bored(hole, foot).reaches(before)


def test_no_hole_is_closed_by_steps() -> None:
    """Steps set against a wall would close a hole behind them, and nobody could rinse it: in front of every wall with
    steps in the L garden no hole lies between the sides of the steps, and there are holes beside them."""
    plan = demo("l_garden")
    seen = all_seen(plan.walls.legs, plan.walls.runs, mirrored=plan.project.frame.mirrored)
    beside = 0
    for place in flight_places(plan):
        flight = next(one for one in plan.terraces.flights if one.id == place.flight)
        own = [seen[hole.leg].x(hole.station_m) for hole in plan.stability.weeps if hole.leg == place.leg]
        assert not flight.treads or not any(place.left_m - 0.03 < at < place.right_m + 0.03 for at in own)
        beside += any(0.0 < place.left_m - at < 0.6 or 0.0 < at - place.right_m < 0.6 for at in own)
    assert beside


def test_holes_in_timber_that_stands_are_to_be_bored_now() -> None:
    """With one wall of the garden standing the finding names it and no other, and its sheet says it of its holes."""
    before = as_written("garden")
    leg = before.stability.weeps[0].leg
    after = planned("garden", stands(leg, courses_of(before, leg)))
    (told,) = [one.text for one in after.findings if one.code == "stability.weeps"]
    assert f"In timber that stands ({leg}) bore them now" in told
    assert "bore them now" not in next(one.text for one in before.findings if one.code == "stability.weeps")
    face = face_of(after, after.walls.leg(leg))
    assert weep_words(face, [(0.0, face.length_m)], Figures("metric")).startswith(
        "in timber that stands, bore now where none is yet: course"
    )
    old = face_of(before, before.walls.leg(leg))
    was = weep_words(old, [(0.0, old.length_m)], Figures("metric"))
    assert weep_words(face, [(0.0, face.length_m)], Figures("metric")).endswith(was)

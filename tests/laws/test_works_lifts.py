"""Laws of walls going up: courses first, drain stone and fill behind them in lifts, over days and inside days."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

import pytest

from demo_plans import DEMOS, demo
from lynchet.plan.building_days import BuildingDays
from lynchet.plan.day_parts import Share, day_parts
from lynchet.plan.model import Plan
from lynchet.works.model import Step
from worked import SEEDS, plan_of

EPS = 1e-6
YARDS = (*DEMOS, *SEEDS)


@cache
def _days(yard: str | int) -> BuildingDays:
    return BuildingDays(demo(yard) if isinstance(yard, str) else plan_of(yard))


def _tops(days: BuildingDays) -> dict[str, list[tuple[str, float, float]]]:
    """Of every stage the pieces of its higher courses: id, the share of the task at which it comes, top."""
    found: dict[str, list[tuple[str, float, float]]] = {}
    for piece in days.plan.pieces:
        coming = days.coming[piece.id]
        if coming.task.endswith("/courses"):
            found.setdefault(coming.task.split("/")[0], []).append((piece.id, coming.share, piece.top_m))
    return found


def _steps(plan: Plan) -> Iterator[Step]:
    for day in plan.works.days:
        yield from day.steps


def _behind(name: str) -> bool:
    return name.endswith(("/stone", "/fill"))


@pytest.mark.parametrize("yard", YARDS)
def test_no_lift_is_higher_than_the_courses_laid_before(yard: str | int) -> None:
    """Step by step: every lift of stone and fill says its level, and every piece of its stage whose top is no higher
    than that is laid before it; lifts only rise, and the last is as high as all the drain stone of the stage."""
    days = _days(yard)
    tops, done, before, checked = _tops(days), dict[str, float](), dict[str, float](), 0
    for step in _steps(days.plan):
        done[step.task] = done.get(step.task, 0.0) + step.share
        if _behind(step.task):
            stage = step.task.split("/")[0]
            assert step.top_m is not None
            laid = done.get(f"{stage}/courses", 0.0)
            for name, share, top in tops.get(stage, ()):
                assert top > step.top_m + EPS or share <= laid + EPS, f"{step.words}: {name} is not laid"
                checked += 1
            assert step.top_m >= before.get(step.task, step.top_m)
            before[step.task] = step.top_m
    for thing in days.things:
        if thing.kind == "stone" and days.coming[thing.id].task.endswith("/stone"):
            ends = (thing.top_m, *(thing.levels_at(point)[1] for point in thing.outline_m))
            assert max(ends) <= before[days.coming[thing.id].task] + 0.01
    assert checked or not any(tops.values()) or not any(map(_behind, before))


@pytest.mark.parametrize("yard", YARDS)
def test_the_days_list_courses_before_what_is_filled_behind_them(yard: str | int) -> None:
    """As a day is read from the top: no line of drain stone or fill stands before that of a course it reaches."""
    days = _days(yard)
    tops, done = _tops(days), dict[str, float]()
    for today in day_parts(days.plan):
        for share in today.shares:
            done[share.task.id] = share.end
            stage = share.task.id.split("/")[0]
            if _behind(share.task.id):
                level = _level(share)
                laid = done.get(f"{stage}/courses", 0.0)
                late = [name for name, at, top in tops.get(stage, ()) if top <= level + EPS and at > laid + EPS]
                assert not late, f"day {today.day.number}: {share.task.name} before {late}"


def _level(share: Share) -> float:
    assert share.top_m is not None
    return share.top_m


@pytest.mark.parametrize("yard", YARDS)
def test_a_course_is_laid_whole_before_the_next_is_begun(yard: str | int) -> None:
    """Within one stage no piece of the courses comes before any piece of a lower course."""
    days = _days(yard)
    courses = {piece.id: piece.course for piece in days.plan.pieces}
    for pieces in _tops(days).values():
        ordered = [courses[name] for name, _, _ in sorted(pieces, key=lambda one: one[1])]
        assert ordered == sorted(ordered)


@pytest.mark.parametrize("yard", YARDS)
def test_every_stage_places_the_drain_stone_it_counts(yard: str | int) -> None:
    """The stone that comes with a task, stretch by stretch as placed, is the amount of that task."""
    days = _days(yard)
    volumes = {stone.id: stone.volume_m3 for stone in days.plan.water.stone}
    placed = dict[str, float]()
    for thing in days.things:
        if thing.id in volumes:
            task = days.coming[thing.id].task
            placed[task] = placed.get(task, 0.0) + volumes[thing.id]
    counted = {task.id: task.quantity for task in days.plan.works.tasks if task.kind == "stone"}
    assert placed == pytest.approx(counted, rel=1e-9, abs=1e-9)

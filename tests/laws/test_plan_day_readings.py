"""Readings of a day: each stands on something laid that very day, and no wall laid goes without one for a shorter."""

from __future__ import annotations

from functools import cache

import pytest

from demo_plans import DEMOS, demo
from flight_yards import SEEDS, flight_plan
from lynchet.plan.building_days import days_of
from lynchet.plan.day_parts import DayParts, day_parts, drains_of
from lynchet.plan.day_readings import MOST, Reading, readings
from lynchet.plan.model import Plan
from lynchet.walls.seen import seen_of

YARDS = (*DEMOS, *SEEDS)
_NEAR_M = 0.02


@cache
def _plan(name: str | int) -> Plan:
    return demo(name) if isinstance(name, str) else flight_plan(name)


def _stone_of(plan: Plan, day: int) -> dict[str, list[tuple[float, float, float]]]:
    """By wall the placed beds of stone that come on a day: distance of their left end from the wall's, top, length."""
    days, found = days_of(plan), dict[str, list[tuple[float, float, float]]]()
    for thing in days.things:
        leg = next((leg for leg in plan.walls.legs if thing.kind == "stone bed" and leg.id == thing.owner), None)
        if leg is not None and days.day_of(thing.id) == day:
            seen = seen_of(leg, plan.walls.runs, mirrored=plan.project.frame.mirrored)
            ends = sorted(leg.station_of(point) for point in thing.outline_m)
            left = seen.end_m - ends[-1] if seen.flipped else ends[0] - seen.start_m
            found.setdefault(leg.id, []).append((left, thing.top_m, ends[-1] - ends[0]))
    return found


def _stands(plan: Plan, today: DayParts, one: Reading) -> bool:
    """Whether what is read is laid or dug on the day."""
    mark = plan.walls.setting_out.benchmark_m
    if one.what == "stone":
        beds = _stone_of(plan, today.day.number).get(one.place, [])
        return any(
            abs(left - one.station_m) < _NEAR_M and abs(mark - top - one.value_m) < 1e-6 for left, top, _ in beds
        )
    if one.what in ("first course", "course"):
        return any(piece.id == one.mark and abs(mark - piece.top_m - one.value_m) < 1e-6 for piece in today.pieces)
    if one.what == "tread":
        return any(piece.flight == one.place for piece in today.treads)
    if one.what == "fall":
        return any(
            one.place in drains_of(plan, share.task.terrace) and share.end > 1 - 1e-9 for share in today.share("drain")
        )
    kind = "bed soil" if one.what == "bed" else "set out"
    return any(share.task.id.startswith(one.place) or kind == "set out" for share in today.share(kind))


@pytest.mark.parametrize("name", YARDS)
def test_every_reading_stands_on_what_is_laid_that_day(name: str | int) -> None:
    """Stone where stone comes that day, at its own level; timber laid that day; a drain whose last pipe is laid."""
    plan = _plan(name)
    found = [(today, one) for today in day_parts(plan) for one in readings(plan, today)]
    assert [(today.day.number, one) for today, one in found if not _stands(plan, today, one)] == []
    assert len(found) > len(plan.works.days) / 4


@pytest.mark.parametrize("name", YARDS)
def test_every_wall_laid_has_a_reading(name: str | int) -> None:
    """Of the walls with stone or timber laid that day each has one, as far as there is room; of walls with first
    courses, with stone, and with higher courses alone none is left out for a shorter one."""
    plan, checked = _plan(name), 0
    for today in day_parts(plan):
        stone = {leg: sum(long for *_, long in beds) for leg, beds in _stone_of(plan, today.day.number).items()}
        firsts = {name for share in today.share("first course") for name in share.lays}
        told = readings(plan, today)
        read = {one.place for one in told if one.what in ("stone", "first course", "course")}
        laid = set(stone) | {piece.leg for piece in today.pieces}
        room = MOST - sum(one.what == "fall" for one in told)
        assert read <= laid and len(read) == min(room, len(laid)), today.day.number
        first: dict[str, float] = {}
        for piece in today.pieces:
            if piece.id in firsts:
                first[piece.leg] = first.get(piece.leg, 0.0) + piece.length_m
        for walls in (first, {leg: long for leg, long in stone.items() if leg not in first}):
            missed = max((long for leg, long in walls.items() if leg not in read), default=0.0)
            assert all(walls[leg] >= missed - 1e-9 for leg in read & set(walls)), today.day.number
        checked += bool(laid)
    assert checked > 1

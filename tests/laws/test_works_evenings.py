"""How a place is left: banks that are there, drains by name, and for how many days a trench stays open."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from days_and_order import not_adding_up
from filed_yards import filed
from flight_yards import SEEDS as FLIGHTS
from flight_yards import flight_plan
from lynchet.book.day_evening import evening_line
from lynchet.book.texts import Words
from lynchet.drawings.pipe_list import pipes
from lynchet.plan.day_parts import drains_of
from lynchet.plan.effort import LIVE
from lynchet.plan.model import Plan
from lynchet.plan.pipeline import plan_project
from lynchet.terraces.built_with import BuiltWith
from worked import SEEDS, plan_of, worked

YARDS = (*(f"yard {seed}" for seed in SEEDS), *(f"flight {seed}" for seed in FLIGHTS))


def _plan(name: str) -> Plan:
    kind, _, seed = name.partition(" ")
    return plan_of(int(seed)) if kind == "yard" else flight_plan(int(seed))


@pytest.mark.parametrize("name", YARDS)
def test_a_bank_told_of_is_as_high_as_the_ground_held_there(name: str) -> None:
    """The most that is held between the bed cut and what lies above it; never nothing."""
    plan = _plan(name)
    built, held = BuiltWith(plan.terraces), dict[int, float]()
    for place in plan.stability.places:
        span = plan.walls.leg(place.leg).span_at(place.station_m)
        stage = built.of(span.high_face, span.low_face)
        held[stage] = max(held.get(stage, 0.0), place.high_m - place.low_m)
    banks = [left for day in plan.works.days for left in day.evening if left.what == "bank"]
    assert all(left.height_m == pytest.approx(held[left.terrace + 1]) and left.height_m > 0.005 for left in banks)
    assert banks or not any(task.kind == "bench" for task in plan.works.tasks) or len(plan.works.days) < 6


@pytest.mark.parametrize("name", YARDS)
def test_drains_that_do_not_run_yet_are_told_by_name(name: str) -> None:
    """Every drain of the stages begun that is not whole yet, as the water sheet names it, and no other."""
    plan, done = _plan(name), dict[str, float]()
    short = {pipe.id: pipe.name for pipe in pipes(plan)}
    drains = {task.terrace: task.id for task in plan.works.tasks if task.kind == "drain"}
    for day in plan.works.days[:-1]:
        for step in day.steps:
            done[step.task] = done.get(step.task, 0.0) + step.share
        begun = {task.terrace for task in plan.works.tasks
                 if done.get(task.id, 0.0) > 0.0 and task.kind not in ("bed soil", "plants", "mulch")}  # fmt: skip
        waiting = [stage for stage in sorted(begun & set(drains)) if done.get(drains[stage], 0.0) < 1.0 - 1e-9]
        wanted = {short[drain] for stage in waiting for drain in drains_of(plan, stage)}
        told = [left for left in day.evening if left.what == "drain not running"]
        assert {drain for left in told for drain in left.drains} == wanted and len(told) == bool(waiting)
        running = {left.what for left in day.evening} >= {"outlets free"}
        assert running == bool(begun & set(drains) - set(waiting)) or "all closed" in {one.what for one in day.evening}
        for left in told if wanted else ():
            assert all(drain in evening_line(Words(), left, "", "") for drain in wanted)


@pytest.mark.parametrize("weekends", [True, False])
def test_an_open_trench_says_for_how_many_days_nobody_comes(weekends: bool) -> None:
    """From the dates alone: one day less than from this working day to the next, said with the stone to be covered; a
    day that another follows has the short line."""
    plan = plan_of(SEEDS[1])
    works = worked(plan, wish=replace(plan.project.works, start="2026-03-05", weekends=weekends))
    gaps = []
    for day, after in zip(works.days, works.days[1:], strict=False):
        gap = (date.fromisoformat(after.date) - date.fromisoformat(day.date)).days - 1
        for left in (one for one in day.evening if one.what == "trench open"):
            said = evening_line(Words(), left, "", "7 m")
            assert left.away_days == gap
            assert (f" {gap} day" in said and "covered" in said) == (gap > 0)
            gaps.append(gap)
    assert max(gaps) == (5 if weekends else 2)
    undated = worked(plan, wish=replace(plan.project.works, start=None))
    assert {one.away_days for day in undated.days for one in day.evening} == {0}


def test_a_second_flight_of_one_wish_is_built_with_its_own_terrace() -> None:
    """A wish that leads to one terrace from two sides gives S0.4 and S0.4b: both are built with terrace 4, and the days
    bring the stone of both landings."""
    plan = plan_project(filed(61046), effort=LIVE)
    names = {flight.id for flight in plan.terraces.flights}
    assert {"S0.4", "S0.4b"} <= names
    built = BuiltWith(plan.terraces)
    assert built.of_flight("S0.4b") == built.of_flight("S0.4") == 4
    assert not_adding_up(plan) == []


def test_stone_of_a_landing_comes_where_its_terrace_lays_no_timber() -> None:
    """Steps of one riser from the highest bed to the ground outside, whose stage has fill alone: the days bring it."""
    plan = flight_plan(63116)
    last = BuiltWith(plan.terraces).of_flight("S0.4")
    assert any(one.stone for flight in plan.terraces.flights if flight.id == "S0.4" for one in flight.landings)
    assert not any(task.terrace == last and task.kind in ("steps", "courses") for task in plan.works.tasks)
    assert not_adding_up(plan) == []

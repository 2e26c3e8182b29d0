"""What a day says of steps: each landing told once, when its stone or terrace is ready; and of hands for a lift."""

from __future__ import annotations

import re
from functools import cache

import pytest

from demo_plans import DEMOS, demo
from lynchet.book.texts import Words
from lynchet.drawings.day_content import DayContent, day_contents
from lynchet.drawings.model import Line
from lynchet.drawings.step_pictures import step_view
from lynchet.plan.building_days import days_of


@cache
def _days(name: str) -> tuple[DayContent, ...]:
    return tuple(day_contents(demo(name), Words("en")))


def _said(name: str, beginning: str, flight: str) -> list[int]:
    """Days on which a sentence that begins so names a flight."""
    return [
        day.number for day in _days(name) for step in day.steps for text in (step.text, *step.more)
        if text.startswith(beginning) and f"{flight} (wall " in text
    ]  # fmt: skip


@pytest.mark.parametrize("name", DEMOS)
def test_landings_are_told_once_and_with_their_stone(name: str) -> None:
    """Stone at foot or head of a flight is told on the day it comes; landings on beds once, even of a single riser."""
    plan = demo(name)
    coming = days_of(plan)
    beds = {bed.id for bed in plan.terraces.beds}
    for flight in plan.terraces.flights:
        for end, beginning in (("foot", "Lay a landing of stone"), ("head", "Make up the ground")):
            stone = [thing for thing in coming.things if thing.id.startswith(f"{flight.id}/{end}.")]
            wished = [max(coming.day_of(thing.id) for thing in stone)] if stone else []
            assert _said(name, beginning, flight.id) == wished, (flight.id, end)
        if not flight.treads and any(landing.face in beds for landing in flight.landings):
            assert len(_said(name, "Build up the landings", flight.id)) == 1, flight.id


@pytest.mark.parametrize("name", DEMOS)
def test_a_lift_beyond_the_crew_calls_for_more_hands(name: str) -> None:
    """A day whose heaviest piece asks for more people than work there says how many more; no other day does."""
    plan = demo(name)
    crew, people = plan.works.programme.crew, {one.piece: one.people for one in plan.timber.weights}
    coming = days_of(plan)
    for day in _days(name):
        laid = [people.get(piece.id, 2) for piece in plan.pieces if coming.day_of(piece.id) == day.number]
        cautions = " ".join(step.caution for step in day.steps)
        if laid:
            wanted = max(laid) - crew
            assert (f"call in {wanted} more" in cautions) == (wanted > 0), day.number


@pytest.mark.parametrize("name", DEMOS)
def test_hands_are_called_for_at_the_step_that_lifts(name: str) -> None:
    """A step that lays timber tells the hands its own heaviest timber asks for, where no step before it that day told
    as many; no step tells more than its timber asks for."""
    plan = demo(name)
    people = {one.piece: one.people for one in plan.timber.weights}
    shown = 0
    for day, content in zip(plan.works.days, _days(name), strict=True):
        told = 0
        for task in dict.fromkeys(step.task for step in content.steps):
            caution = " ".join(step.caution for step in content.steps if step.task == task)
            laid = [one for step in day.steps if step.task == task for one in step.lays]
            if plan.works.task(task).kind not in ("first course", "courses"):
                continue
            wanted = max((2, *(people[one] for one in laid if one in people)))
            number = re.match(r"(\d+) to lift", caution)
            now = int(number[1]) if number else 2 * caution.startswith("Lift with two")
            assert now == (wanted if wanted > told else 0), (day.number, task, caution)
            told, shown = max(told, now), shown + (now > 0)
    assert shown


@pytest.mark.parametrize("name", DEMOS)
def test_the_first_picture_is_no_bare_ground(name: str) -> None:
    """Of a day that only sets out, pegs and strings are seen, each peg upright; no first picture says nothing."""
    view = step_view(demo(name), 1, (0.0, 0.0, 160.0, 90.0))
    assert "Nothing new" not in view.alt
    pegs = [item for item in view.items if isinstance(item, Line) and item.id.startswith("peg-")]
    assert all(item.pts[0][0] == pytest.approx(item.pts[1][0]) for item in pegs)
    assert bool(pegs) == ("pegs, a level string" in view.alt)


@pytest.mark.parametrize("name", DEMOS)
def test_no_step_names_an_empty_list(name: str) -> None:
    """A step that tells what to lay names at least one piece: none ends in a colon and nothing after it."""
    for day in _days(name):
        for step in day.steps:
            assert ": ." not in step.text and not step.text.endswith(":"), (day.number, step.text)

"""Names people read: test holes, spoken percent, places that keep sheets back, weep holes of timber that stands."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest

from lynchet.book.texts import Words
from lynchet.core.findings import Finding, Verdict
from lynchet.drawings.day_content import day_contents
from lynchet.drawings.model import Label
from lynchet.drawings.plan_built import stop_items
from lynchet.drawings.stamp import Stamp
from lynchet.drawings.wall_sheet import wall_sheets
from lynchet.plan.model import Plan
from lynchet.plan.weep_places import weep_rows
from lynchet.project.rough import answer_fault
from lynchet.project.said import size_said
from lynchet.units.measures import System
from lynchet.units.parse import parse_slope
from lynchet.walls.off_level import back_words, brought_back
from lynchet.water.holes_dug import hole_words
from standing_yards import as_written, courses_of, planned, stands


@pytest.mark.parametrize(("name", "told"), [
    ("hole 1", "Test hole 1"), ("Test hole", "Test hole"), ("test hole 2", "Test hole 2"), ("H1", "Test hole H1"),
    ("by the gate", "Test hole by the gate"), ("Holey corner", "Test hole Holey corner"),
])  # fmt: skip
def test_a_hole_is_called_a_hole_once(name: str, told: str) -> None:
    """Whatever its name in the file."""
    assert hole_words(name) == told
    assert hole_words(name, start=False) == told[0].lower() + told[1:]


@pytest.mark.parametrize("said", ["12 percent", "about 12 per cent", "12percent", "12 pct", "12 %"])
def test_percent_may_be_spoken(said: str) -> None:
    """A fall of twelve in a hundred, as people say it."""
    assert parse_slope(size_said(said)) == pytest.approx(0.12)


@pytest.mark.parametrize(("place", "told"), [
    ("outside/W2/stone/52.3", "W2"), ("B6/A1/1/outlet", "A1"), ("outside/A3.2", "A3"), ("W2", "W2"), ("B3", "B3"),
    ("S0.3", "S0.3"), ("hole 1", "hole 1"), ("P1/4", "P1"), ("S0@W2", "steps over W2"),
])  # fmt: skip
def test_what_keeps_a_sheet_back_is_named_as_on_the_sheets(place: str, told: str) -> None:
    """A part of a drain or of its stone by its wall; everything else by the name it has."""
    walls: Any = SimpleNamespace(legs=tuple(SimpleNamespace(id=name) for name in ("A1", "A3", "W2")))
    one = Finding("water.invented", Verdict.STOP, "An invented stop.", place, withholds=("all",))
    plan: Any = SimpleNamespace(findings=(one, replace(one, code="water.other")), walls=walls)
    assert Plan.withheld.fget(plan)["all"] == (told,)  # type: ignore[attr-defined]


def test_weep_holes_of_standing_timber_are_told_before_its_back_is_hidden() -> None:
    """Whether they are bored nobody knows: each is told once, with its wall and course, on a day that goes on with its
    wall; and no other day sends anyone to bore timber that stands."""
    before = as_written("garden")
    wall = next(hole.leg for hole in before.stability.weeps if courses_of(before, hole.leg) > 2)
    plan = planned("garden", stands(wall, courses_of(before, wall) - 1))
    there = [hole for hole in plan.stability.weeps if plan.walls.standing.stands(hole.leg, hole.course, hole.station_m)]
    assert any(hole.leg == wall for hole in there)
    steps = [step for day in day_contents(plan, Words("en")) for step in day.steps]
    said = [text for step in steps for text in (step.text, *step.more)]
    told = " ".join(text for text in said if "in timber that stands" in text)
    to_come = " ".join(text for text in said if "once it lies" in text)
    for row in weep_rows(plan, there):
        head = f"wall {row.leg}, course {row.row}, {round(row.up_m * 1000)} mm over its underside"
        assert told.count(head) == 1 and head not in to_come
    assert sum(f"{round(at * 1000)} mm" in told for row in weep_rows(plan, there) for at in row.from_left_m) == len(
        there
    )


@pytest.mark.parametrize(("way", "told"), [("low", "of treated packing"), ("high", "treat the cut")])
def test_what_brings_a_wall_back_to_level_is_on_its_sheet_and_its_day(way: str, told: str) -> None:
    """A wall measured 20 mm off, to come back to level: the day that lays its next course, and the wall's sheet, say by
    how much and how; so the readings of that day can be met."""
    wall = next(leg.id for leg in as_written("garden").walls.legs if courses_of(as_written("garden"), leg.id) > 2)
    built = courses_of(as_written("garden"), wall) - 1
    plan = planned("garden", stands(wall, built, answer="level", **{way: "20 mm"}))
    steps = [step for day in day_contents(plan, Words("en")) for step in day.steps]
    said = [text for step in steps for text in step.more if told in text]
    assert said and all(f"{wall} {built + 1}" in text and "20 mm" in text for text in said)
    known = plan.walls.standing.leg(wall)
    leg = plan.walls.leg(wall)
    assert brought_back(leg, known)[0] == leg.lowest_course + built and back_words(plan.project, leg, known)
    sheets = " ".join(str(sheet).lower() for sheet in wall_sheets(plan, Stamp(), (wall,)))
    assert ("back to level" in sheets and f"under course {built + 1}" in sheets) or f"course {built + 1} down" in sheets


@pytest.mark.parametrize(("drop", "system", "asked"), [
    ("40", "us", "40 in"), ("24", "us", "24 in"), ("40 ft", "us", ""), ("3.4", "us", ""), ("90", "metric", "90 cm"),
    ("1.1", "metric", ""), ("22 ft", "us", ""),
])  # fmt: skip
def test_a_bare_drop_steeper_than_soil_stands_is_asked_back(drop: str, system: System, asked: str) -> None:
    """40 typed for 40 in would be 40 ft over a run of 30: it is asked with both units; what carries one is taken."""
    run = "30 ft" if system == "us" else "9 m"
    given = {"side_to_side": "24 ft", "up_the_slope": run}
    said = answer_fault(given, "drop", drop, system)
    assert (f'or "{asked}"' in said) if asked else said == ""


@pytest.mark.parametrize(("text", "told"), [
    ("Wall W2 (front of terrace 2), 0.38 m from its left end, holding 0.60 m with 8 courses: pull of a tie with one "
     "outlet shut — what holds is 0.54 times what pushes (1 is enough). It is held by its ties.",
     "W2: pull of a tie with one outlet shut — what holds is 0.54 times what pushes (1 is enough)"),
    ("Wall W2 slides when wet: tie it back.", "Wall W2 slides when wet: tie it back"),
    ("The trench of wall W2 goes deep. Ask.", "The trench of wall W2 goes deep"),
    ("Wall W2 " + "stands in the way of a thing " * 20 + "here. Ask.", ""),
])  # fmt: skip
def test_a_stop_on_the_plan_is_a_whole_sentence(text: str, told: str) -> None:
    """It says what gives way, whole; where there is no room for that, dots show that more is said elsewhere."""
    leg = SimpleNamespace(
        id="W2", thickness_m=0.15, segments=(SimpleNamespace(start_m=0.0, end_m=4.0),),
        span_at=lambda station: SimpleNamespace(held=1), point_at=lambda station, off: (station, off),
    )  # fmt: skip
    walls = SimpleNamespace(legs=(leg,), runs=(SimpleNamespace(leg="W2"),))
    for place in ("W2", "W2/notch1", "outside/W2/stone/52.3"):  # a stop at a part of a wall stands at the wall too
        plan: Any = SimpleNamespace(findings=(Finding("stability.wall", Verdict.STOP, text, place),), walls=walls)
        (label,) = stop_items(plan)
        assert isinstance(label, Label)
        said = " ".join(label.lines)
        assert said == told if told else said.endswith("…") and len(label.lines) == 5

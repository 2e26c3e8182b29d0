"""Yards with keys drawn from their whole range hold every law (the sweep has more), and what such yards brought up."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from days_and_order import not_adding_up
from filed_yards import yard_text
from lawbook.amount_laws import broken_amounts
from lawbook.book import broken
from lawbook.figure_laws import days_hold_the_hours
from lawbook.weep_laws import holes_go_from_held_ground_to_the_open
from lawbook.whole import Whole, broken_whole
from lynchet.book.texts import Words
from lynchet.core.errors import InputError
from lynchet.drawings.day_content import day_contents
from lynchet.exports.plan_json import plan_json
from lynchet.plan.effort import LIVE
from lynchet.plan.model import Plan
from lynchet.plan.pipeline import plan_project
from lynchet.project.load import load_text
from lynchet.project.read import checked
from wide_yards import wide_edits, wide_plan


@pytest.mark.parametrize(
    "seed",
    [
        105004,  # three helps off, deep topsoil
        105012,  # most helps off
        105034,  # one stick, days of sixteen hours, a soakaway 70 mm wide
        105053,  # corner pins of timber 89 mm wide stood 25 mm apart at a skew corner
        105121,  # and 28 mm apart in timber 69 mm wide
    ],
)
def test_every_law_holds_where_keys_are_drawn_from_their_whole_range(seed: int) -> None:
    """No law is broken."""
    found = Whole(wide_plan(seed))
    wrong = [*broken(found.case), *broken_whole(found), *broken_amounts(found.data, found.plan.project)]
    assert [*wrong, *not_adding_up(found.plan)] == []


def test_every_table_is_drawn_from() -> None:
    """Forty yards have keys of these tables among them, and few of them fewer than two that the file takes."""
    edits = [wide_edits(seed) for seed in range(105000, 105040)]
    rooms = {key.split(".")[0] for one in edits for key, _ in one}
    assert {"brief", "timber", "drain", "soil", "earth", "planting", "load", "area", "works", "access"} <= rooms
    assert sum(len(one) < 2 for one in edits) <= 3


def _plan(seed: int, *edits: tuple[str, object]) -> Plan:
    return plan_project(checked(load_text(yard_text(seed), f"yard {seed}", Path()), edits), effort=LIVE)


def test_timber_is_left_under_a_weep_hole_in_thin_courses() -> None:
    """At a quarter of a course of 65 mm, 4 mm were left under the bore: it is bored at half its height."""
    plan = _plan(105005, ("timber.1.section", "65 mm x 150 mm"), ("brief.weeps", True))
    assert plan.stability.weeps
    assert holes_go_from_held_ground_to_the_open(json.loads(plan_json(plan, plan.findings))) == []


def test_a_piece_that_takes_longer_than_a_day_is_laid_over_several() -> None:
    """Days of one hour had more than two hours of work on them, and ended with trenches open."""
    plan = _plan(105004, ("works.hours_a_day", 1.0), ("works.crew", 1))
    data = json.loads(plan_json(plan, plan.findings))
    assert max(step.crew_h for day in plan.works.days for step in day.steps if len(step.lays) == 1) > 0.5
    assert days_hold_the_hours(data) == []
    assert all(day.steps[-1].safe_end for day in plan.works.days)


def test_acidity_is_told_in_two_places() -> None:
    """As a soil test gives it, not in fifteen digits."""
    plan = _plan(105012, ("planting", {"ph": 8.98558039428467, "zone": "7a", "wishes": ["chives"]}))
    told = [one.text for one in plan.findings if one.code == "planting.wish"]
    assert any("and the bed has 8.99." in text for text in told), told


@pytest.mark.parametrize(("stone", "pipe", "told"), [("150 mm", "110 mm", "150 mm"), ("5 in", "4 3/8 in", "127 mm")])
def test_stone_too_narrow_for_its_pipe_is_told_as_such(stone: str, pipe: str, told: str) -> None:
    """No pipe lay in it, and a house or other timber was said to be in the way; with the stone offered one lies."""
    outside = ("drain.outside", pipe)
    (finding,) = (one for one in _plan(105005, ("drain.stone", stone), outside).findings
                  if one.code == "water.undrained")  # fmt: skip
    assert f"drain stone {told} wide" in finding.text and "in the way" not in finding.text
    after = _plan(105005, outside, *finding.cures[0].edits)
    assert after.water.drains and not any(one.code == "water.undrained" for one in after.findings)


def test_stone_wider_than_the_narrowest_bed_is_refused() -> None:
    """Stone a metre wide was laid under the wall behind its bed, and up to two fifths too much of it ordered."""
    with pytest.raises(InputError, match=r"drain\.stone"):
        _plan(105005, ("drain.stone", "0.7 m"))
    assert _plan(105005, ("drain.stone", "24 in")).water.stone


def test_a_stick_too_heavy_for_the_truck_is_told() -> None:
    """A truck said to carry 50 kg came 23 times with sticks of 59 kg, and nothing was said of it."""
    plan = _plan(105005, ("access.payload", "50 kg"))
    heaviest = max(line.kg / line.buy for line in plan.works.order if line.group == "timber" and line.buy > 0)
    (told,) = (one for one in plan.findings if one.code == "works.payload")
    assert heaviest > 50.0 and f"stick weighs {heaviest:.0f} kg, and the truck may carry 50 kg" in told.text
    assert not any(one.code == "works.payload" for one in _plan(105005).findings)
    assert broken_amounts(json.loads(plan_json(plan, plan.findings)), plan.project) == []


def test_days_on_which_a_piece_is_not_yet_laid_say_so() -> None:
    """Each day has something to do on its sheet, also where no timber comes to lie that day."""
    plan = _plan(105004, ("works.hours_a_day", 1.0), ("works.crew", 1))
    told = [step.text for day in day_contents(plan, Words()) for step in day.steps]
    assert all(told) and any(text.startswith("Go on with the next timber") for text in told)

"""Laws of cut-off drains in yards with a spring above them: their stone is dug for, ordered, placed and counted."""

from __future__ import annotations

from copy import deepcopy
from dataclasses import replace
from functools import cache
from math import dist, pi

import pytest
import shapely

from days_and_order import not_adding_up
from lawbook.cut_off_laws import CUT_OFF_LAWS, cut_off_stone_is_ordered
from lawbook.whole import Whole, broken_whole
from lynchet.book.texts import Words
from lynchet.drawings.day_content import day_contents
from lynchet.drawings.model import Area
from lynchet.drawings.stamp import stamp_of
from lynchet.drawings.water_sheet import water_sheet
from lynchet.earth.stage import earth
from lynchet.plan.building_days import days_of
from lynchet.plan.model import Plan
from lynchet.plan.placed import placed
from spring_yards import sprung

SEEDS = (2, 8, 9)
"""Round bends and from one place, in metres and in feet."""


@cache
def yard(seed: int) -> Whole:
    """A yard with its plan."""
    return sprung(seed)


def bare(plan: Plan) -> Plan:
    """The same with its cut-off drains in plain soil."""
    cuts = tuple(replace(cut, stone=()) for cut in plan.water.cut_offs)
    bodies = tuple(body for body in plan.water.bodies if body.kind != "cut-off stone")
    return replace(plan, water=replace(plan.water, cut_offs=cuts, bodies=bodies))


@pytest.mark.parametrize("seed", SEEDS)
def test_the_laws_hold(seed: int) -> None:
    """The law book, and days that need what is ordered; the yards do have such a drain, in stone."""
    assert [cut.id for cut in yard(seed).plan.water.cut_offs if cut.stone] == ["spring/spring"]
    assert broken_whole(yard(seed)) == [] and not_adding_up(yard(seed).plan) == []


def test_faults_are_found() -> None:
    """Stone left off the list, or half of it, stone that hangs off its pipe, a drain without stone, hours forgotten."""
    sound = yard(2).data

    def told(change) -> list[str]:
        data = deepcopy(sound)
        change(data)
        return [text for law in CUT_OFF_LAWS for text in law(data)]

    def short(data) -> None:
        line = next(line for line in data["works"]["order"] if line["key"] == "drain_stone")
        line["quantity"] -= 0.5 * sum(part["volume_m3"] for part in data["water"]["cut_offs"][0]["stone"])

    def untold(data) -> None:
        data["works"]["order"] = [line for line in data["works"]["order"] if line["key"] != "fabric"]

    def hanging(data) -> None:
        data["water"]["cut_offs"][0]["stone"][0]["bottom_end_m"] += 0.02

    def none(data) -> None:
        data["water"]["cut_offs"][0]["stone"] = []

    def idle(data) -> None:
        for task in data["works"]["tasks"]:
            task["origin"] = ""

    assert told(lambda data: None) == []
    assert all(told(change) for change in (short, untold, hanging, none, idle))


@pytest.mark.parametrize("seed", SEEDS)
def test_the_soil_account_knows_the_stone(seed: int) -> None:
    """Against the same yard with the pipe in plain soil: the stone pushes out its own volume, its trench goes deeper,
    and what leaves grows; by the columns (0.2 m apart), hence within 15 %. The account closes either way."""
    plan = yard(seed).plan
    (cut,) = plan.water.cut_offs
    parts = plan.project, plan.ground, plan.terraces, plan.walls
    with_stone, without = earth(*parts, plan.water, plan.stability), earth(*parts, bare(plan).water, plan.stability)
    pushed = [sum(row.volume_m3 for row in one.account.pushed if row.what == "stone") for one in (with_stone, without)]
    assert pushed[0] - pushed[1] == pytest.approx(cut.stone_m3, rel=0.15)
    assert with_stone.account.stone_m3 - without.account.stone_m3 == pytest.approx(cut.stone_m3, abs=1e-9)
    assert with_stone.account.trench_m3 > without.account.trench_m3
    assert with_stone.account.away_bank_m3 > without.account.away_bank_m3
    rows = [move for move in with_stone.moves if move.place == f"{cut.id}/stone" and move.kind == "drain trench"]
    top = plan.project.digging.topsoil_m
    dug = sum(dist(one.start_m, one.end_m) * 0.3 * (one.top_start_m + 0.15 - top - one.bottom_start_m)
              for one in cut.stone)  # fmt: skip
    assert sum(row.volume_m3 for row in rows) == pytest.approx(dug, rel=0.15)
    (brought,) = [row for row in with_stone.account.brought if row.what == "drain stone"]
    assert brought.barrows >= brought.loose_m3 / plan.project.access.barrow_m3 - 1e-9


@pytest.mark.parametrize("seed", SEEDS)
def test_the_stone_is_placed_and_laid_with_its_pipe(seed: int) -> None:
    """Each part is a placed thing of its volume, the pipe in it; it comes on a day of the pipes of springs, before the
    first wall, with its hours (3.27 h a cubic metre, as behind walls, task_rates.csv), and the day says how."""
    plan = yard(seed).plan
    (cut,) = plan.water.cut_offs
    things = {thing.id: thing for thing in placed(plan)}
    for part in cut.stone:
        pipe = pi / 4 * cut.outside_m**2 * dist(part.start_m, part.end_m)
        assert things[part.id].volume_m3 - pipe == pytest.approx(part.volume_m3, abs=1e-9)
    days, tasks = days_of(plan), {task.id: task for task in plan.works.tasks}
    assert {days.coming[part.id].task for part in cut.stone} == {"site/drain"}
    assert all(days.day_of(part.id) == days.day_of(part.pipe) > 0 for part in cut.stone)
    drain = tasks["site/drain"]
    outlet = next(one for one in plan.water.outlets if one.id == cut.outlet)
    apron = things[outlet.id].volume_m3 if outlet.apron_m else 0.0
    assert drain.hours.likely == pytest.approx(0.20 * drain.quantity + 3.27 * (cut.stone_m3 + apron))
    told = [text for day in day_contents(plan, Words()) for step in day.steps for text in (step.text, *step.more)]
    assert any("drain stone" in text and "dig" in text for text in told)
    assert any("line the trench with filter fabric" in text for text in told)


def test_a_plan_without_such_a_drain_is_under_the_law_too() -> None:
    """The order list of a yard where no drain is cut off holds the stone that is placed, and no more."""
    assert cut_off_stone_is_ordered(yard(3).data) == [] and not yard(3).plan.water.cut_offs


@pytest.mark.parametrize("seed", SEEDS)
def test_its_outlet_pours_on_stone_as_others_do(seed: int) -> None:
    """An apron of four diameters of the pipe (FHWA, HEC-14, 2006, chapter 10, class 1), on the ground at its mouth,
    ahead of where it pours; placed, laid with the pipe of the spring, in the order list and on the water sheet."""
    plan = yard(seed).plan
    (cut,) = plan.water.cut_offs
    outlet = next(one for one in plan.water.outlets if one.id == cut.outlet)
    ring = shapely.Polygon(outlet.apron_m)
    (x, y), (dx, dy), bore = outlet.point_m, outlet.direction, cut.bore_m
    far = x + 4 * bore * dx, y + 4 * bore * dy
    assert shapely.distance(ring.exterior, shapely.Point(outlet.point_m)) < 1e-9
    assert shapely.distance(ring.exterior, shapely.Point(far)) < 1e-9
    assert ring.covers(shapely.Point(x + 0.1 * dx, y + 0.1 * dy))
    days, things = days_of(plan), {thing.id: thing for thing in placed(plan)}
    volume = ring.area * (0.1 + min(0.0, outlet.invert_m - outlet.ground_m))
    assert things[outlet.id].volume_m3 == pytest.approx(volume, rel=1e-6)
    assert days.coming[outlet.id].task == "site/drain" and days.day_of(outlet.id) > 0
    (line,) = [line for line in plan.works.order if line.key == "drain_stone"]
    aprons = sum(bool(one.apron_m) for one in plan.water.outlets)
    assert f"{aprons} outlet aprons in it" in line.note and aprons == len(plan.water.outlets)
    sheet = water_sheet(plan, stamp_of(plan))
    assert sheet is not None
    areas = {item.id for view in sheet.views for item in view.items if isinstance(item, Area)}
    assert f"apron-{outlet.id}" in areas

"""Laws of what goes along with a task: holes bored in timber that stands, notches sawn, packing, pipes of springs."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from math import dist, pi
from pathlib import Path
from typing import get_args

import numpy as np
import pytest

from days_and_order import not_adding_up
from demo_plans import DEMOS, demo
from filed_yards import filed, yard_text
from flight_yards import flight_plan
from lynchet.book.texts import Words
from lynchet.drawings.day_content import day_contents
from lynchet.plan.building_days import days_of
from lynchet.plan.effort import LIVE
from lynchet.plan.pipeline import plan_project
from lynchet.project.keys_works import RATES
from lynchet.project.load import load_text
from lynchet.project.read import checked
from lynchet.stability.model import WEEP_CLOTH_M
from lynchet.works.model import TaskKind
from standing_yards import FILES, as_written, courses_of, planned, stands, walls_of
from worked import worked

_LAID = ("first course", "courses")


def line(plan, key):
    """The one line of the order list of a key; None where there is none."""
    return next((one for one in plan.works.order if one.key == key), None)


def said(plan):
    """Every sentence of every day."""
    return [text for day in day_contents(plan, Words()) for step in day.steps for text in (step.text, *step.more)]


@pytest.mark.parametrize("seed", [63165, 63283, 63394])
def test_days_need_what_is_ordered(seed):
    """A drain that cuts off a spring; lifts with less stone than a bucket; the landing of a step of one riser behind
    whose wall no timber is laid: each was ordered and needed on no day."""
    assert not_adding_up(plan_project(filed(seed), effort=LIVE)) == []


def test_days_need_the_stone_of_thin_lifts():
    """The same where yards are walked through on steps."""
    assert not_adding_up(flight_plan(63147)) == []


def test_pipes_of_springs_and_roofs_are_laid_before_the_walls():
    """Each pipe of its own has its trench, its metres and a sentence, before the first wall is dug for; the digging
    of all tasks is no more than was dug in all."""
    plan = plan_project(filed(63165), effort=LIVE)
    (cut,) = plan.water.cut_offs
    long = sum(dist(a, b) for a, b in zip(cut.points_m, cut.points_m[1:], strict=False))
    tasks = {task.id: task for task in plan.works.tasks}
    holed = sum(dist(a, b) for a, b in zip(cut.holed_points_m, cut.holed_points_m[1:], strict=False))
    assert tasks["site/drain"].quantity == pytest.approx(long)
    assert line(plan, "drain_pipe").quantity == pytest.approx(holed)  # the rest has no holes
    assert line(plan, "solid_pipe").quantity == pytest.approx(long - holed)
    order = list(tasks)
    assert order.index("site/drain") < min(n for n, name in enumerate(order) if name.startswith("1/"))
    led = tasks["site/pipe trench"].quantity
    trenches = sum(task.quantity for task in tasks.values() if task.kind == "trench")
    rows = [move for move in plan.earth.moves if move.kind in ("wall trench", "tie trench", "drain trench")]
    others = sum(move.volume_m3 for move in rows if not move.place.startswith(cut.id))
    assert trenches == pytest.approx(others)
    # More than the pipe takes up, and no more than all along as deep as at the spring (0.6 m, PRACTICE).
    wide = max(0.3, cut.outside_m + 2 * plan.project.digging.work_room_m)
    assert long * pi / 4 * cut.outside_m**2 < led < wide * 0.6 * long
    told = [text for text in said(plan) if "C1 (" in text]
    assert len(told) == 4 and sum("roofs and springs" in text for text in told) == 2  # the others tell of its stone
    days = days_of(plan)
    assert all(days.coming[thing.id].task == "site/drain" for thing in days.things if thing.owner == cut.id)


def test_a_soakaway_and_a_roof_pipe_have_hours_and_a_day():
    """The stone of a pit takes the hours of as much drain stone behind walls (3.27 h a cubic metre, task_rates.csv) and
    is told on one day; the roof's own pipe is laid before the walls."""
    roof = ("house.1.roof", {"area": "90 m2", "downspouts": [[-1.0, 10.943]]})
    sides = {"length": "2 m", "width": "1 m", "depth": "1 m"}
    pit = ("soakaway", [{"name": "pit", "at": [3.0, -4.0], **sides}])
    plan = planned("garden", roof, pit)
    assert len(plan.water.roof_pipes) == 1 and not_adding_up(plan) == []
    tasks = {task.id: task for task in plan.works.tasks}
    assert "site/drain" in tasks and "with the stone of soakaways" in tasks["1/drain"].origin
    aprons = {body.id: _filled_m3(body) for body in plan.water.bodies if body.kind == "outlet"}
    of_roof = aprons.pop(plan.water.roof_pipes[0].outlet)
    of_walls = [task for task in tasks.values() if task.kind == "drain" and task.id != "site/drain"]
    for some, stone in ((of_walls, 2.0 + sum(aprons.values())), ([tasks["site/drain"]], of_roof)):
        metres = sum(task.quantity for task in some)
        assert sum(task.hours.likely for task in some) == pytest.approx(0.20 * metres + 3.27 * stone)
    assert sum("Dig the soakaway (pit)" in text for text in said(plan)) == 1


def _filled_m3(body):
    """By the shoelace formula, over its height."""
    ring = np.array(body.outline_m)
    x, y = ring.T
    return abs(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2.0 * (body.top_m - body.bottom_m)


def test_the_stone_of_aprons_takes_hours_once():
    """With the drains of the walls that each outlet serves (3.27 h a cubic metre, task_rates.csv)."""
    plan = demo("l_garden")
    aprons = [_filled_m3(body) for body in plan.water.bodies if body.kind == "outlet"]
    assert len(aprons) == sum(bool(outlet.apron_m) for outlet in plan.water.outlets) > 1
    drains = [task for task in plan.works.tasks if task.kind == "drain"]
    sawn = sum(task.hours.likely for task in drains) - 0.20 * sum(task.quantity for task in drains)
    assert sum("with the stone of outlet aprons" in task.origin for task in drains) == len(aprons)
    notches = 0.5 * round((sawn - 3.27 * sum(aprons)) / 0.5)  # half an hour each, PRACTICE
    assert sawn == pytest.approx(3.27 * sum(aprons) + notches)


@pytest.mark.parametrize("name", FILES)
@pytest.mark.parametrize("low_mm", [5, 12])
def test_packing_is_on_the_order_list_with_its_hours(name, low_mm):
    """Under every piece of the course that brings a wall back: as long as those pieces, as thick as the wall is low,
    with a price where the file has one; a wall that follows, or stands too high, has none."""
    before = as_written(name)
    leg = next(one for one in walls_of(before) if courses_of(before, one) > 1)
    entry = {"wall": leg, "course": 1, "low": f"{low_mm} mm", "answer": "level"}
    price = ("prices", {"currency": "EUR", "items": {"packing": 7.0}})
    plan = planned(name, ("stands", [entry]), price)
    row = line(plan, "packing")
    course = plan.walls.leg(leg).lowest_course + 1
    pieces = [piece for piece in plan.pieces if (piece.leg, piece.course) == (leg, course)]
    deep = plan.project.timber.thickness_m
    area = sum(piece.polygon.area for piece in pieces)
    assert row.places == (leg,) and row.quantity == pytest.approx(area / deep, rel=1e-3)
    each = 0.3048 if plan.project.units == "us" else 1.0
    assert row.unit_price == pytest.approx(7.0) and row.money == pytest.approx(7.0 * row.buy / each, abs=0.006)
    assert not_adding_up(plan) == []
    high = {"wall": leg, "course": 1, "high": f"{low_mm} mm", "answer": "level"}
    follows, high = (planned(name, ("stands", [one])) for one in (entry | {"answer": "follow"}, high))
    assert line(follows, "packing") is None and line(high, "packing") is None
    hours = {task.id: task.hours.likely for task in follows.works.tasks}
    # Of the tasks that lay timber alone: what is dug and filled is another amount at another level.
    more = sum(task.hours.likely - hours[task.id] for task in plan.works.tasks if task.kind in _LAID)
    more -= 0.1 * (len(plan.stability.weeps) - len(follows.stability.weeps))
    assert more == pytest.approx(0.1 * row.quantity, rel=0.02)


def test_packing_of_two_thicknesses_has_two_lines():
    """Two walls low by unlike amounts: a line and a price each, and the days add up to both."""
    before = as_written("garden")
    legs = [leg for leg in walls_of(before) if courses_of(before, leg) > 1][:2]
    rows = [{"wall": leg, "course": 1, "low": f"{5 + 4 * n} mm", "answer": "level"} for n, leg in enumerate(legs)]
    plan = planned("garden", ("stands", rows), ("prices", {"currency": "EUR", "items": {"packing": 7.0}}))
    found = {one.key: one for one in plan.works.order if one.key.startswith("packing")}
    assert sorted(found) == ["packing_5", "packing_9"] and all(
        one.unit_price == pytest.approx(7.0) for one in found.values()
    )
    assert not_adding_up(plan) == []


@pytest.mark.parametrize("count", [1, 99])
def test_holes_in_timber_that_stands_are_bored_once_with_hours_and_cloth(count):
    """Every weep hole of the plan is told on one day; those through timber that stands take hours of their own and a
    square of cloth each, on the order list and on the day."""
    before = planned("garden", ("brief.weeps", True))
    rows = [{"wall": leg, "course": courses_of(before, leg)} for leg in walls_of(before)[:count]]
    plan = planned("garden", ("brief.weeps", True), ("stands", rows))
    stood = plan.walls.standing.stands
    through = {hole.id for hole in plan.stability.weeps if stood(hole.leg, hole.course, hole.station_m)}
    assert through
    told = Counter(name for task in plan.works.tasks for name in task.bores)
    assert set(told) == through and set(told.values()) == {1}
    for task in (task for task in plan.works.tasks if task.bores):
        assert "0.1 h for each weep hole" in task.origin and "first bore" in task.name
        assert task.hours.likely >= 0.1 * len(task.bores)
    cloth = line(plan, "fabric").quantity - sum(part.area_m2 for part in plan.water.fabric)
    assert cloth == pytest.approx(len(plan.stability.weeps) * WEEP_CLOTH_M[plan.project.units] ** 2)
    assert f"{len(through)} of them for timber that stands" in line(plan, "fabric").note
    days = day_contents(plan, Words())
    assert sum(need.amount for day in days for need in day.needs if need.key == "weep_cloth") == len(
        plan.stability.weeps
    )
    assert any("still missing in timber that stands" in text for text in said(plan))


def test_notches_sawn_later_have_hours():
    """A wall that stands with the pipe's notch open in it saves the hours of sawing it: half an hour a course."""
    before = as_written("garden")
    leg = next(notch.leg for notch in before.water.notches)
    top = courses_of(before, leg)
    closed = planned("garden", stands(leg, top))
    notches = closed.water.notches_of(leg)
    low = closed.walls.leg(leg).lowest_course
    known = [{"course": course - low + 1, "from": f"{one.stations_m[0]} m", "to": f"{one.stations_m[1]} m"}
             for one in notches for course in one.courses]  # fmt: skip
    opened = planned("garden", stands(leg, top, notches=known))
    drain, other = ({task.id: task for task in plan.works.tasks if task.kind == "drain"} for plan in (closed, opened))
    more = sum(task.hours.likely - other[name].hours.likely for name, task in drain.items())
    assert more == pytest.approx(0.5 * len(known)) and known
    assert any("notch is sawn" in task.origin for task in drain.values())
    assert not any("notch is sawn" in task.origin for task in other.values())


@pytest.mark.parametrize("seed", [72001, 72013, 72019, 72031])
def test_whatever_stands_only_what_is_to_come_is_ordered_and_laid(seed):
    """Random yards with random walls standing, some low, some high: pins, ties and pieces of what stands are on no day
    and on no list, all others are; every hole through what stands is bored once."""
    loaded = load_text(yard_text(seed), f"yard {seed}", Path())
    before = plan_project(checked(loaded), effort=LIVE)
    rng = np.random.default_rng([seed, 5])
    rows = []
    for n, leg in enumerate(walls_of(before)[:4]):
        row = {"wall": leg, "course": int(rng.integers(1, courses_of(before, leg) + 1)), "answer": "level"}
        rows.append(row | {("low", "high")[n % 2]: f"{4 + n} mm"})
    plan = plan_project(checked(loaded, [("stands", rows), ("brief.weeps", True)]), effort=LIVE)
    stood = plan.walls.standing.stands
    pins = [pin for pin in plan.stability.pins if not stood(pin.leg, pin.course, pin.station_m)]
    assert sum(one.quantity for one in plan.works.order if one.key.startswith("base_pin")) == len(pins)
    coming = {tie.id for tie in plan.stability.ties if not stood(tie.leg, tie.course, tie.station_m)}
    coming |= {one.id for one in plan.pieces if not stood(one.leg, one.course, (one.start_m[0] + one.end_m[0]) / 2)}
    laid = Counter(name for day in plan.works.days for step in day.steps for name in step.lays)
    assert set(laid) == coming and set(laid.values()) <= {1}
    through = {hole.id for hole in plan.stability.weeps if stood(hole.leg, hole.course, hole.station_m)}
    assert sorted(name for task in plan.works.tasks for name in task.bores) == sorted(through)
    assert not_adding_up(plan) == []


def test_every_kind_of_task_takes_a_rate_of_ones_own():
    """Each kind has a key under [[rates]]; the tasks of demos have the hours that a rate of one's own gives."""
    assert set(RATES.table.keys["task"].words) == set(get_args(TaskKind))
    seen = set[str]()
    for name in DEMOS:
        plan = demo(name)
        kinds = {task.kind: task.measure for task in plan.works.tasks}
        seen |= set(kinds)
        units = {"m": "m", "m3": "m3", "each": "each", "job": "job"}
        text = "".join(f'[[rates]]\ntask = "{kind}"\nunit = "{units[measure]}"\nhours = 40\n'
                       for kind, measure in kinds.items())  # fmt: skip
        rates = checked(load_text(yard_text(1) + text, "rates", Path())).works.rates
        own = worked(plan, wish=replace(plan.project.works, rates=rates))
        for task in own.tasks:
            assert "your own rate" in task.origin, task
            assert task.hours.likely >= 40 * task.quantity * (1 - 1e-9), task
    assert seen >= set(get_args(TaskKind)) - {"haul away", "fill"}


def test_no_trench_is_told_where_timber_stands():
    """With all walls standing the days dig for pipes alone and name no timber; with one, they say for which none is
    dug; the timber that stands is bored and sawn in acts of their own, before anything is laid behind it."""
    before = as_written("garden")
    legs = walls_of(before)
    for some in (legs, legs[:1]):
        plan = planned("garden", ("stands", [{"wall": leg, "course": courses_of(before, leg)} for leg in some]))
        text = [one for one in said(plan) if "trenches" in one]
        if some is legs:
            assert text and not any("lowest timber" in one for one in text)
        else:
            assert f"No trench is dug for what stands: {some[0]}." in said(plan)
        steps = [step for day in day_contents(plan, Words()) for step in day.steps]
        for begin in ("Bore the weep holes of", "Where a pipe passes through timber that stands"):
            acts = [n for n, step in enumerate(steps) if step.text.startswith(begin)]
            assert acts
            for n in acts:
                later = next(step for step in steps[n:] if not step.text.startswith(("Bore", "Where a pipe")))
                assert later.task == steps[n].task and steps[n].part and not steps[n].hold

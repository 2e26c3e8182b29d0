"""Laws of the order of work: lowest wall first, every day left safe, the way in closed last, hours that add up."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from math import inf

import pytest

from lynchet.plan.model import Plan
from lynchet.project.money import OwnRate
from lynchet.works.model import Day, Step, Works
from worked import SEEDS, crew, plan_of, worked

EPS = 1e-9


def _walk(works: Works) -> Iterator[tuple[Day, Step, dict[str, float]]]:
    """Every step with what is done after it."""
    done: dict[str, float] = {}
    for day in works.days:
        for step in day.steps:
            done[step.task] = done.get(step.task, 0.0) + step.share
            yield day, step, dict(done)


def _crews(plan: Plan) -> list[Works]:
    return [plan.works, worked(plan, wish=crew(1, 5.0)), worked(plan, wish=crew(4, 8.0))]


@pytest.mark.parametrize("seed", SEEDS)
def test_every_task_is_done_once_and_in_order(seed: int) -> None:
    """All of every task is in the days; nothing begins before all it needs is done, but stone and fill behind walls
    going up: once a lift is placed to a level, nothing that reaches under this level is laid or placed in its stage."""
    bottoms = {one.id: one.bottom_m for one in (*plan_of(seed).pieces, *plan_of(seed).stability.ties)}
    for works in _crews(plan_of(seed)):
        after = {task.id: task.after for task in works.tasks}
        rising = {name for name in after if name.endswith(("/courses", "/stone"))}
        done: dict[str, float] = {}
        level: dict[str, float] = {}
        for _, step, done in _walk(works):
            stage, _, kind = step.task.partition("/")
            begun = kind in ("stone", "fill")
            for before in after[step.task]:
                if not (begun and before in rising):
                    closed = ({f"{stage}/trench", f"{stage}/base"}, {f"{stage}/pipe trench", f"{stage}/drain"})
                    part = done[step.task] if {before, step.task} in closed else 1.0
                    assert done.get(before, 0.0) >= part - EPS, (before, step)
            filled, stoned = level.get(f"{stage}/fill", -inf), level.get(f"{stage}/stone", -inf)
            if kind == "courses":
                assert step.lays and min(bottoms[name] for name in step.lays) >= max(filled, stoned) - 1e-6, step
            if begun:
                assert step.top_m is not None and step.top_m >= level.get(step.task, -inf)
                assert kind == "fill" or step.top_m > filled, "stone goes in under fill"
                level[step.task] = step.top_m
        assert {task: pytest.approx(share, abs=EPS) for task, share in done.items()} == dict.fromkeys(after, 1.0)


@pytest.mark.parametrize("seed", SEEDS)
def test_no_wall_is_begun_over_an_unfilled_one(seed: int) -> None:
    """A wall that stands on a bed is dug for only when all that holds this bed is laid, drained and filled: looked up
    from the faces on both sides of every stretch of wall, not from the tasks' own links."""
    plan = plan_of(seed)
    works = plan.works
    first_dug: dict[int, int] = {}
    last_filled: dict[int, int] = {}
    tasks = {task.id: task for task in works.tasks}
    for place, (_, step, _) in enumerate(_walk(works)):
        task = tasks[step.task]
        if task.kind in ("trench", "first course"):
            first_dug.setdefault(task.terrace, place)
        if task.kind in ("courses", "stone", "fill", "drain", "first course"):
            last_filled[task.terrace] = place
    built: dict[str, set[int]] = {}
    for task in works.tasks:
        if task.kind == "first course":
            for leg in task.legs:
                built.setdefault(leg, set()).add(task.terrace)
    beds = {face.id: face.terrace for face in plan.terraces.beds}
    checked = 0
    for leg in plan.walls.legs:
        for segment in leg.segments:
            for span in leg.spans:
                if min(span.end_m, segment.end_m) - max(span.start_m, segment.start_m) <= 0.01:
                    continue
                low, high = span.low_face, span.high_face
                if high in beds:  # this stretch holds a bed: it belongs to its stage
                    assert beds[high] in built[leg.id]
                if low in beds and beds[low] in last_filled:
                    later = {stage for stage in built[leg.id] if stage > beds[low]}
                    # Laid by pieces that reach over from the bed's own walls: no wider than two of them, all along it.
                    wide = sum(one.end_m - one.start_m for one in leg.spans if one.low_face == low)
                    longest = max(piece.length_m for piece in plan.pieces)
                    assert later or wide < 2.0 * longest, f"{leg.id} stands on {low} and is built no later than it"
                    if not later:
                        continue
                    assert min(first_dug[stage] for stage in later) > last_filled[beds[low]]
                    checked += 1
    assert checked or len(beds) == 1


@pytest.mark.parametrize("seed", SEEDS)
def test_every_day_ends_safe(seed: int) -> None:
    """Looked at afresh each evening: no trench without its stone, no fill over courses not laid or before the drain
    runs, no bank told of but the one that stands, and hours within the day."""
    for works in _crews(plan_of(seed)):
        stages = {task.terrace for task in works.tasks if task.terrace}
        known = {task.id for task in works.tasks}
        done: dict[str, float] = {}
        for day in works.days:
            for step in day.steps:
                done[step.task] = done.get(step.task, 0.0) + step.share
            assert day.used_h <= works.programme.day_h + EPS
            assert day.used_h == pytest.approx(sum(step.crew_h for step in day.steps))
            assert day.used_h + day.idle_h == pytest.approx(works.programme.day_h)
            for stage in stages:
                part = {
                    kind: done.get(f"{stage}/{kind}", 0.0) for kind in ("trench", "base", "fill", "courses", "drain")
                }
                if f"{stage}/base" in known:
                    assert abs(part["trench"] - part["base"]) <= EPS, "a trench is left open"
                if f"{stage}/pipe trench" in known:
                    dug_m = done.get(f"{stage}/pipe trench", 0.0)
                    assert abs(dug_m - part["drain"]) <= EPS, "a trench through a bed is left open"
                if f"{stage}/courses" in known:
                    assert part["fill"] <= part["courses"] + EPS
                if f"{stage}/drain" in known and part["fill"] > 0:
                    assert part["drain"] >= 1 - EPS, "fill went in before the drain ran"
            left = {one.what for one in day.evening}
            assert left <= {"all closed", "outlets free"} if day is works.days[-1] else "way clear" in left
            told_m = sum(one.length_m for one in day.evening if one.what == "trench open")
            assert told_m == day.open_trench_m and ("no open trench" in left) <= (told_m == 0.0)
            dug = [stage for stage in stages if done.get(f"{stage}/trench", 0.0) > 0 and f"{stage}/courses" in known]
            closing = {stage: "fill" if f"{stage}/fill" in known else "courses" for stage in dug}
            if any(done.get(f"{stage}/{kind}", 0.0) == 0 for stage, kind in closing.items()):
                assert told_m > 0.0, "a trench beside timber that nobody filled is not told of"
            if day is works.days[-1]:
                assert told_m == 0.0


@pytest.mark.parametrize("seed", SEEDS)
def test_a_cut_bank_is_sheeted_until_its_wall_is_filled(seed: int) -> None:
    """On every evening on which a bench is cut and the wall at its back is not yet filled, its bank is told of."""
    plan = plan_of(seed)
    works = plan.works
    held = {beds.terrace + 1 for beds in plan.terraces.beds}
    done: dict[str, float] = {}
    told = 0
    for day in works.days[:-1]:
        for step in day.steps:
            done[step.task] = done.get(step.task, 0.0) + step.share
        begun = [task.terrace for task in works.tasks if task.kind == "trench" and done.get(task.id, 0.0) > 0]
        for stage in begun:
            behind = [
                t for t in works.tasks if t.terrace == stage + 1 and t.kind in ("first course", "courses", "fill")
            ]
            open_bank = any(done.get(task.id, 0.0) < 1 - EPS for task in behind)
            standing = stage + 1 in held and open_bank and done.get(f"{stage}/bench", 0.0) > 0
            assert (("bank", stage) in {(left.what, left.terrace) for left in day.evening}) == standing
            told += standing
    assert told or not any(task.kind == "bench" for task in works.tasks) or len(works.days) < 6


@pytest.mark.parametrize("seed", SEEDS)
def test_the_way_in_is_closed_last(seed: int) -> None:
    """Clearing up is the last step; bed soil, plants and mulch come after the last wall, the left-over soil before."""
    works = plan_of(seed).works
    steps = [step.task for day in works.days for step in day.steps]
    assert steps[-1] == "site/clear up"
    kinds = {task.id: task.kind for task in works.tasks}
    order = [kinds[step] for step in steps]
    walls = max(place for place, kind in enumerate(order) if kind in ("courses", "first course", "fill", "steps"))
    finishing = [place for place, kind in enumerate(order) if kind in ("bed soil", "plants", "mulch")]
    assert all(place > walls for place in finishing)
    away = [place for place, kind in enumerate(order) if kind == "haul away"]
    assert all(place > walls for place in away) and all(a < b for a in away for b in finishing)


@pytest.mark.parametrize("seed", SEEDS)
def test_more_work_never_takes_fewer_hours(seed: int) -> None:
    """Half as much digging and filling again: no task takes fewer hours, and bands keep their order."""
    plan = plan_of(seed)
    more = replace(plan.earth, moves=tuple(replace(move, volume_m3=1.5 * move.volume_m3) for move in plan.earth.moves))
    before = {task.id: task for task in plan.works.tasks}
    after = {task.id: task for task in worked(plan, earth=more).tasks}
    assert set(before) <= set(after)
    grown = 0
    for name, task in after.items():
        assert 0 < task.hours.low <= task.hours.likely <= task.hours.high
        if name in before:
            assert task.hours.likely >= before[name].hours.likely - EPS
            grown += task.hours.likely > before[name].hours.likely + EPS
    assert grown or not plan.earth.moves


@pytest.mark.parametrize("seed", SEEDS)
def test_days_are_no_fewer_than_the_least(seed: int) -> None:
    """The day plan is never shorter than the proven least, nor than its own critical chain or its hours allow."""
    plan = plan_of(seed)
    for wish in (crew(1), crew(2), crew(3)):
        works = worked(plan, full=True, wish=wish)
        programme = works.programme
        crew_h = sum(task.hours.likely / task.people for task in works.tasks if task.people == wish.crew)
        assert programme.days >= crew_h / wish.day_h - EPS
        assert programme.least_days is not None
        assert programme.least_days <= programme.days
        assert programme.days_low <= programme.days <= programme.days_high
        end = max(task.day_start + task.hours.likely / task.people / wish.day_h for task in works.tasks)
        chain = sum(works.task(name).hours.likely / works.task(name).people / wish.day_h for name in programme.critical)
        assert chain >= end - EPS


def test_working_days_are_weekends_of_the_calendar() -> None:
    """With a start and weekends only, days fall on Saturdays and Sundays in order, holidays left out."""
    works = worked(plan_of(SEEDS[0]), wish=crew(2, 7.0, start="2027-04-01", weekends=True, holidays=("2027-04-04",)))
    dates = [day.date for day in works.days]
    assert dates[:3] == ["2027-04-03", "2027-04-10", "2027-04-11"]
    assert {day.weekday for day in works.days} <= {"sat", "sun"} and dates == sorted(set(dates))
    assert works.programme.finish == dates[-1]
    assert all(one.date > dates[-1] for one in works.upkeep if one.date)


@pytest.mark.parametrize("seed", SEEDS)
def test_topsoil_is_stripped_before_anything_of_its_stage_is_dug(seed: int) -> None:
    """The topsoil of the tasks is that of the soil account, at the rate of benches; it comes before trench, bench and
    fill of its stage on every day plan; without it the other tasks stand in the same order."""
    plan = plan_of(seed)
    works, order = plan.works, [task.id for task in plan.works.tasks]
    off = [task for task in works.tasks if task.kind == "topsoil"]
    assert sum(task.quantity for task in off) == pytest.approx(plan.earth.account.topsoil_m3, rel=1e-9)
    dug = [task for task in works.tasks if task.kind in ("bench", "topsoil")]
    cut = ("topsoil off", "bench cut", "bank cut", "steps cut")
    moved = sum(move.volume_m3 for move in plan.earth.moves if move.kind in cut)
    assert sum(task.quantity for task in dug) == pytest.approx(moved, rel=1e-9)
    assert len({round(task.rate_h, 9) for task in dug}) <= 1
    steps = [step.task for day in works.days for step in day.steps]
    for task in off:
        for kind in ("trench", "base", "first course", "drain", "bench", "courses", "stone", "fill", "steps"):
            later = f"{task.terrace}/{kind}"
            if later in order:
                assert order.index(task.id) < order.index(later)
                assert max(i for i, one in enumerate(steps) if one == task.id) < steps.index(later)
    bare = replace(plan.earth, moves=tuple(move for move in plan.earth.moves if move.kind != "topsoil off"))
    without = worked(plan, earth=bare)
    kept = [task.id for task in without.tasks]
    assert not any(task.kind == "topsoil" for task in without.tasks)
    assert kept == [name for name in order if name in set(kept)]


def test_ones_own_rate_of_benches_is_that_of_topsoil_too() -> None:
    """Who learned his rate on benches dug them with their topsoil; a rate of topsoil of its own goes before it."""
    plan = plan_of(SEEDS[0])
    for rates, hours in ((("bench",), (3.0, 3.0)), (("bench", "topsoil"), (3.0, 4.0))):
        own = tuple(OwnRate(kind, 3.0 + n, ()) for n, kind in enumerate(rates))
        tasks = worked(plan, wish=replace(plan.project.works, rates=own)).tasks
        for kind, rate in zip(("bench", "topsoil"), hours, strict=True):
            found = [task.rate_h for task in tasks if task.kind == kind]
            assert found and found == pytest.approx([rate] * len(found))

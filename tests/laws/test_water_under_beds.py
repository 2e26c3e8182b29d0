"""Pipes without holes through beds: what a spade reaches is told on every sheet, and no pipe is left bare overnight."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache

import pytest
import shapely
from shapely.geometry import LineString

from demo_plans import DEMOS, demo
from lynchet.book.texts import Words
from lynchet.core.findings import Verdict
from lynchet.drawings.day_content import day_contents
from lynchet.drawings.figures import Figures
from lynchet.drawings.pipe_list import pipes
from lynchet.drawings.pipes_under import shallow_items, shallow_notes
from lynchet.plan.building_days import days_of
from lynchet.plan.effort import LIVE
from lynchet.plan.model import Plan
from lynchet.plan.pipeline import plan_project
from lynchet.water.under_beds import pipes_under_beds, reached, under_findings
from random_yards import realistic

CROSSED = "l_garden"
"""A demo in which a pipe of a higher wall crosses a lower bed."""


def _lies_in(plan: Plan) -> dict[tuple[str, str], float]:
    """Length of each pipe in each bed, by overlay of its line."""
    found = {}
    for solid in plan.water.solids:
        for bed in plan.terraces.beds:
            long = shapely.intersection(LineString(solid.points_m), bed.polygon).length
            if long > 0.3:
                found[solid.id, bed.id] = float(long)
    return found


@pytest.mark.parametrize("name", DEMOS)
def test_pipes_are_found_in_the_beds_they_cross(name: str) -> None:
    """As long in each bed as an overlay says, with no less soil over it than the line's own levels leave."""
    plan = demo(name)
    lies = _lies_in(plan)
    under = {(one.pipe, one.bed): one for one in pipes_under_beds(plan.terraces, plan.water.solids)}
    assert set(lies) <= set(under) and all(abs(under[key].length_m - long) < 0.15 for key, long in lies.items())
    for key, one in under.items():
        solid = next(pipe for pipe in plan.water.solids if pipe.id == key[0])
        bed = next(face for face in plan.terraces.beds if face.id == key[1])
        crown = (solid.outside_m + solid.bore_m) / 2
        assert bed.level_m - max(solid.inverts_m) - crown - 1e-9 <= one.cover_m
        assert one.cover_m <= bed.level_m - min(solid.inverts_m) - crown + 1e-9


def test_a_demo_has_pipes_under_beds() -> None:
    """The laws here have something to look at."""
    assert any(one.length_m > 1.0 for one in pipes_under_beds(demo(CROSSED).terraces, demo(CROSSED).water.solids))


SPADE_M, STUB_M = 0.30, 0.5
"""What sheets promise, said here again: a spade's blade is about 12 in (PRACTICE); a stub goes with its drain."""


def _within_reach(plan: Plan, deep_m: float) -> set[tuple[str, str]]:
    """Pipe of any kind and bed, where any place of it has less soil over its crown: by fine points along its line."""
    water, found = plan.water, {}
    for pipe in (*water.drains, *water.solids, *water.roof_pipes, *water.cut_offs):
        line = LineString([(*at, level) for at, level in zip(pipe.points_m, pipe.inverts_m, strict=True)])
        dots = [line.interpolate(0.02 * (n + 0.5)) for n in range(int(line.length / 0.02))]
        for bed in plan.terraces.beds:
            mine = [dot.z for dot in dots if bed.polygon.contains(dot)]
            if 0.02 * len(mine) > 0.12:
                found[pipe.id, bed.id] = bed.level_m - max(mine) - (pipe.outside_m + pipe.bore_m) / 2, 0.02 * len(mine)
    near = {key for key, (cover, _) in found.items() if cover < max(deep_m, SPADE_M) - 0.004}
    of = {solid.id: solid.drain for solid in water.solids}
    return {(pipe, bed) for pipe, bed in near if found[pipe, bed][1] > STUB_M + 0.1 or (of.get(pipe), bed) not in near}


@cache
def _yard(seed: int | str) -> Plan:
    return demo(seed) if isinstance(seed, str) else plan_project(realistic(seed)[0], effort=LIVE)


@pytest.mark.parametrize("seed", [*DEMOS, 5, 9, 10])
@pytest.mark.parametrize("deep_m", [0.1, 0.2, 0.4])
def test_what_a_spade_reaches_is_told(seed: int | str, deep_m: float) -> None:
    """Each pipe with less soil over it than a spade goes, or than the bed is dug, has its name and bed in the note of
    the water and planting sheets, in a finding of that bed and on the planting plan."""
    plan = _yard(seed)
    plan = replace(plan, project=replace(plan.project, brief=replace(plan.project.brief, dig_depth_m=deep_m)))
    names = {pipe.id: pipe.name for pipe in pipes(plan)}
    notes = " ".join(note.text for note in shallow_notes(plan, Figures("metric")))
    drawn = {item.id for item in shallow_items(plan)}
    expected = _within_reach(plan, deep_m)
    water, others = plan.water, (*plan.water.roof_pipes, *plan.water.cut_offs)
    whole = pipes_under_beds(plan.terraces, (*water.solids, *others))
    told = reached(plan.terraces, water.drains, water.solids, whole, deep_m)
    under = pipes_under_beds(plan.terraces, water.solids)
    findings = [one for one in under_findings(under, told, deep_m, "metric") if "in_bed" in one.code]
    for pipe, bed in expected:
        assert re.search(rf"in bed {re.escape(bed)} ([^;]*, )?{names[pipe]} ", notes) and f"pipe-{names[pipe]}" in drawn
        assert any(re.search(rf"[Ii]n bed {re.escape(bed)}[ ,]([^;]*[ ,])?{re.escape(pipe)}[ ,]", one.text)
                   for one in findings)  # fmt: skip
    care = {one.bed for one in told if one.least_m < deep_m}
    assert {one.place for one in findings if one.verdict is Verdict.WATCH} == care
    assert len(findings) == len(care) + bool({one.bed for one in told} - care)
    assert all(one.least_m < max(deep_m, SPADE_M) for one in told)
    assert bool(notes) == bool(told) and (not expected or told)


def test_the_laws_of_reach_have_something_to_look_at() -> None:
    """A pipe of the demo lies deeper than the file digs, and not as deep as a spade goes; drains and other pipes do."""
    plan = demo(CROSSED)
    reach = _within_reach(plan, plan.project.brief.dig_depth_m)
    kinds = {pipe for pipe, _ in reach}
    assert kinds & {one.id for one in plan.water.drains} and kinds & {one.id for one in plan.water.solids}
    told = [one for one in plan.findings if one.code == "water.pipe_in_bed"]
    assert all(any(f"n bed {bed}" in one.text for one in told) for _, bed in reach)
    assert any("P3 with 237 mm of soil over it" in one.text for one in told)


def test_who_plants_a_bed_is_told_of_its_pipes() -> None:
    """The step that plants a bed names the pipes a spade reaches there."""
    plan, words = demo(CROSSED), Words("en")
    names = {pipe.id: pipe.name for pipe in pipes(plan)}
    told = [" ".join((step.text, *step.more)) for content in day_contents(plan, words) for step in content.steps]
    reach = _within_reach(plan, plan.project.brief.dig_depth_m)
    for bed in {bed for _, bed in reach}:
        mine = [names[pipe] for pipe, at in reach if at == bed]
        assert any("A spade can reach pipes here" in text and all(name in text for name in mine) for text in told)


def _trench_m3(plan: Plan) -> dict[str, float]:
    """By drain, dug a spade wide (0.30 m, PRACTICE) for its pipe through each bed, below where its soil will lie: by
    fine points along the pipe, what is shallower taken off."""
    found: dict[str, float] = {}
    for solid in plan.water.solids:
        line = LineString([(*at, level) for at, level in zip(solid.points_m, solid.inverts_m, strict=True)])
        dots = [line.interpolate(0.005 * (n + 0.5)) for n in range(int(line.length / 0.005))]
        for bed in plan.terraces.beds:
            mine = [bed.level_m - dot.z + (solid.outside_m - solid.bore_m) / 2 for dot in dots
                    if bed.polygon.contains(dot)]  # fmt: skip
            if 0.005 * len(mine) > STUB_M:
                deep = sum(mine) * 0.005 - 0.005 * len(mine) * plan.project.bed_soil_m
                found[solid.drain] = found.get(solid.drain, 0.0) + max(0.0, 0.30 * deep)
    return found


@pytest.mark.parametrize("seed", [CROSSED, 7, 9, 10])
def test_a_trench_through_a_bed_is_a_task_before_the_bed_soil(seed: int | str) -> None:
    """Its soil is that of the pipes through beds, its hours those of other trenches; it comes before the drain of its
    stage and before the soil of every bed, and its day comes no later than its pipe; no digging is counted twice."""
    plan = _yard(seed)
    tasks, order = {task.id: task for task in plan.works.tasks}, [task.id for task in plan.works.tasks]
    mine = [task for task in tasks.values() if task.kind == "pipe trench"]
    expected = sum(_trench_m3(plan).values())
    assert sum(task.quantity for task in mine) == pytest.approx(expected, rel=0.03, abs=0.02)
    assert mine or expected < 0.02
    trenches = [task for task in tasks.values() if task.kind == "trench"]
    assert {round(task.rate_h, 9) for task in mine} <= {round(task.rate_h, 9) for task in trenches}
    steps = [step.task for day in plan.works.days for step in day.steps]
    for task in mine:
        drain = f"{task.terrace}/drain"
        assert tasks[drain].after == (task.id,) and steps.index(task.id) < steps.index(drain)
        assert all(order.index(task.id) < order.index(one) for one in order if one.endswith("/bed soil"))
    kinds = ("wall trench", "tie trench", "drain trench", "soakaway pit")
    moved = [move for move in plan.earth.moves if move.kind in kinds]
    through = sum(move.volume_m3 for move in moved
                  if move.kind == "drain trench" and move.place in {bed.id for bed in plan.terraces.beds})  # fmt: skip
    again = max(0.0, sum(task.quantity for task in mine) - through)  # filled before, and opened
    dug = sum(task.quantity for task in (*mine, *trenches))
    assert dug == pytest.approx(sum(move.volume_m3 for move in moved) + again, rel=1e-6)


def test_a_trench_through_a_bed_is_told_on_its_day() -> None:
    """The step that digs it names each pipe, how far it runs through which bed and how deep, in both languages."""
    plan = demo(CROSSED)
    (task,) = (task for task in plan.works.tasks if task.kind == "pipe trench")
    for language, verb in (("en", "Dig the trench for pipes"), ("es", "Cave la zanja para los tubos")):
        said = [step for content in day_contents(plan, Words(language)) for step in content.steps
                if step.task == task.id]  # fmt: skip
        assert said and all(verb in step.text and "P3, " in step.text and "B1" in step.text for step in said[:1])


def test_no_pipe_is_laid_through_a_bed_without_its_trench() -> None:
    """On the day the first of it comes, the day's steps name its trench and that it is covered the same day."""
    plan, words = demo(CROSSED), Words("en")
    names = {pipe.id: pipe.name for pipe in pipes(plan)}
    days = days_of(plan)
    told = {day.number: " ".join(" ".join(step.more) for step in content.steps)
            for day, content in zip(plan.works.days, day_contents(plan, words), strict=True)}  # fmt: skip
    seen = 0
    for one in pipes_under_beds(plan.terraces, plan.water.solids):
        first = min(days.day_of(thing.id) for thing in days.things
                    if thing.kind == "solid pipe" and thing.owner == one.pipe)  # fmt: skip
        if one.length_m > 0.5 and first > 0:
            assert f"{names[one.pipe]}, " in told[first] and f"through bed {one.bed}" in told[first]
            assert "cover each the same day" in told[first]
            seen += 1
    assert seen

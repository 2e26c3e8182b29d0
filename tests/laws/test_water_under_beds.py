"""Pipes without holes through beds: what a spade reaches is told on every sheet, and no pipe is left bare overnight."""

from __future__ import annotations

from dataclasses import replace

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
from lynchet.plan.model import Plan
from lynchet.water.under_beds import pipes_under_beds, shallow, under_findings

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


@pytest.mark.parametrize("deep_m", [0.1, 0.4])
def test_what_a_spade_reaches_is_told(deep_m: float) -> None:
    """Dug deeper than the soil over a pipe, its bed has a finding and both sheets a note with its name and cover."""
    plan = demo(CROSSED)
    plan = replace(plan, project=replace(plan.project, brief=replace(plan.project.brief, dig_depth_m=deep_m)))
    reached = shallow(pipes_under_beds(plan.terraces, plan.water.solids), deep_m)
    assert (len(reached) > 0) == (deep_m > 0.3)
    names = {pipe.id: pipe.name for pipe in pipes(plan)}
    notes = " ".join(note.text for note in shallow_notes(plan, Figures("metric")))
    drawn = {item.id for item in shallow_items(plan)}
    assert bool(notes) == bool(reached)
    for one in reached:
        assert f"{names[one.pipe]} in bed {one.bed}" in notes and f"pipe-{names[one.pipe]}" in drawn
        assert one.cover_m < deep_m


def test_the_finding_is_that_of_the_depth_the_file_digs() -> None:
    """Of the depth in the file the plan's own findings are these; dug deeper, each bed crossed that high has care."""
    plan = demo(CROSSED)
    under = pipes_under_beds(plan.terraces, plan.water.solids)
    for deep in (0.1, plan.project.brief.dig_depth_m, 0.6):
        told = [one for one in under_findings(under, deep, "metric") if one.code == "water.pipe_in_bed"]
        assert {one.place for one in told} == {one.bed for one in under if one.cover_m < deep}
        assert all(one.verdict is Verdict.WATCH and one.capacity < deep for one in told if one.capacity is not None)
        if deep == plan.project.brief.dig_depth_m:
            own = [one for one in plan.findings if one.code == "water.pipe_in_bed"]
            assert [one.place for one in own] == [one.place for one in told]


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

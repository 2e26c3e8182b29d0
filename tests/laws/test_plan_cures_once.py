"""Cures are planned once each, and what is told of a cure is of the plan it was tried with."""

from __future__ import annotations

from typing import Any

import pytest

from by_command import changed
from lynchet.plan import cures
from lynchet.plan.cure_edits import cure_edits
from lynchet.plan.effort import LIVE
from lynchet.plan.figures import figures
from lynchet.plan.model import Plan
from lynchet.plan.pipeline import plan_project
from lynchet.plan.stone_cures import LOW_PIPES
from lynchet.project.load import load
from lynchet.project.model import Project
from lynchet.project.read import checked

SOUND = 'friction_angle = 30\nwall_friction = 20\nunit_weight = "120 pcf"'
CLAY = {SOUND: 'feel = "sticky"', "lean = 0": "lean = 0\nweeps = true"}
DRAIN = "[drain]\n"


def test_no_cure_is_planned_twice(monkeypatch: pytest.MonkeyPatch, tmp_path: Any) -> None:
    """No project is planned twice; the factor told of a cure is that of its plan made afresh."""
    loaded = load(changed(tmp_path, "ladder_two.toml", {SOUND: 'feel = "sticky"'}))
    plan = plan_project(checked(loaded, []), effort=LIVE)
    asked: list[Project] = []

    def counted(project: Project, **how: Any) -> Plan:
        asked.append(project)
        return plan_project(project, **how)

    monkeypatch.setattr(cures, "plan_project", counted)
    told = [one.cure for one in cures.tried_cures(plan, lambda edits: checked(loaded, edits))]
    assert asked and all(a != b for i, a in enumerate(asked) for b in asked[:i])
    (care,) = [cure for cure in told if cure.name == "weeps"]
    fresh = plan_project(checked(loaded, care.edits), effort=LIVE)
    (wall,) = [wall for wall in fresh.stability.walls if wall.leg == "A0"]
    assert f"→ {wall.factor:.2f} times what pushes" in care.effect


def test_no_cure_of_pipes_where_none_finds_a_way_out(tmp_path: Any) -> None:
    """On ground with no lower place outside the yard the wish for a pipe lays none: it is tried, and is no cure."""
    loaded = load(
        changed(tmp_path, "ladder_two.toml", {**CLAY, "level = -2": "level = 0"}, f"{DRAIN}dig_outside = false\n")
    )
    plan = plan_project(checked(loaded, []), effort=LIVE)
    (asked,) = [cure for cure in cure_edits(plan) if cure.name == LOW_PIPES]
    piped = plan_project(checked(loaded, asked.edits), effort=LIVE)
    assert not piped.water.drains and not plan.water.drains
    assert cures._Bench(plan, figures(plan), lambda edits: checked(loaded, edits)).tried(asked) is None


def test_what_a_cure_does_is_told_beside_a_plan_of_its_own_effort(monkeypatch: Any, tmp_path: Any) -> None:
    """Live effort tells fewer joints than full: the two held beside each other would show a change that is none."""
    loaded = load(changed(tmp_path, "ladder_two.toml", CLAY, f"{DRAIN}outlet = [[45, -11]]\n"))
    plan = plan_project(checked(loaded, []))
    monkeypatch.setattr(cures, "rain_told", lambda *both: [" beside ".join(one.effort.name for one in both)])
    for most, effort in ((0, "live"), (2, "full")):
        monkeypatch.setattr(cures, "MOST_WHOLE", most)
        told = {one.cure.name: one for one in cures.tried_cures(plan, lambda edits: checked(loaded, edits))}
        assert told[LOW_PIPES].cure.effect.startswith(f"{effort} beside {effort}; ")

"""Cures are planned once each, and what is told of a cure is of the plan it was tried with."""

from __future__ import annotations

from typing import Any

import pytest

from by_command import changed
from lynchet.plan import cures
from lynchet.plan.effort import LIVE
from lynchet.plan.model import Plan
from lynchet.plan.pipeline import plan_project
from lynchet.project.load import load
from lynchet.project.model import Project
from lynchet.project.read import checked

SOUND = 'friction_angle = 30\nwall_friction = 20\nunit_weight = "120 pcf"'


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

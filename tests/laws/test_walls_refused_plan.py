"""Walls that timber cannot build stop the whole plan: nothing to build from is told, and nothing breaks on the way."""

from __future__ import annotations

import json

import pytest

from lynchet.exports.plan_json import plan_json
from lynchet.plan.effort import LIVE
from lynchet.plan.pipeline import plan_project
from lynchet.project.read import checked
from lynchet.walls import stage
from lynchet.walls.corners import Crossed
from lynchet.walls.runs import StubRun
from standing_yards import as_written, loaded


@pytest.mark.parametrize("code", ["walls.stub", "walls.three_at_one_point"])
def test_walls_that_cannot_be_built_stop_the_plan(code: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Three walls at one point, a wall too short for its cuts: cleaning keeps both from ever coming up in our random
    yards, so the walls are made to refuse here. The plan says why, with what would help, and keeps back all."""
    built = as_written("steep").walls
    refusal = StubRun(built.runs[0]) if code == "walls.stub" else Crossed(built.nodes[0], ("A0", "W2", "W3"))

    def refuse(*given: object) -> None:
        raise refusal

    monkeypatch.setattr(stage, "all_runs", refuse)
    plan = plan_project(checked(loaded("steep"), []), effort=LIVE)
    (told,) = [finding for finding in plan.findings if finding.code == code]
    assert told.withholds == ("all",) and told.cures
    assert "all" in plan.withheld and not plan.walls.legs and not plan.pieces
    data = json.loads(plan_json(plan, plan.findings))
    assert [line for line in data["works"]["order"] if line["group"] in ("timber", "fixings", "drain")] == []

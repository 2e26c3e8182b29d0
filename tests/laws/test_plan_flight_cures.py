"""Steps without room are offered cures that are edits of the file, tried, and fewer walls are then without room."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest

from lynchet.core.standing import Standing
from lynchet.ground.stage import ground
from lynchet.plan.cures import Tried, named_cure, tried_cures, with_cures
from lynchet.plan.effort import LIVE
from lynchet.plan.figures import figures
from lynchet.plan.flight_cures import COUNT_CURES, UNFIT
from lynchet.plan.model import Plan
from lynchet.plan.pipeline import plan_project, terraces_of
from lynchet.project.edit import edit_file
from lynchet.project.load import load
from lynchet.project.read import checked

# INVENTED.
YARD = """lynchet = 1
units = "{units}"
[ground]
slope = {{ fall = "1.1 m in 5 m" }}
held = "level"
[area]
outline = [{outline}]
[[steps]]
name = "up the middle"
line = [["{x} m", "-1 m"], ["{x} m", "6 m"]]
width = "1.2 m"
[soil]
feel = "gritty"
[drain]
outlet = [["3 m", "-3 m"]]
[brief]
terraces = 5
"""
OUTLINE = '["0 m", "0 m"], ["5.5 m", "0 m"], ["5.5 m", "5 m"], ["0 m", "5 m"]'
MIRRORED = '["5.5 m", "0 m"], ["0 m", "0 m"], ["0 m", "5 m"], ["5.5 m", "5 m"]'


def _written(folder: str | Path, x: float, units: str = "metric", outline: str = OUTLINE) -> Path:
    file = Path(folder) / "yard.toml"
    file.write_text(YARD.format(units=units, x=x, outline=outline), encoding="utf-8")
    return file


@lru_cache(maxsize=1)
def _tried() -> tuple[Plan, tuple[Tried, ...]]:
    with TemporaryDirectory() as folder:
        loaded = load(_written(folder, 2.7))
        plan = plan_project(checked(loaded, []), effort=LIVE)
        return plan, tuple(tried_cures(plan, lambda edits: checked(loaded, edits)))


def _short(plan: Plan) -> int:
    return sum(finding.code == UNFIT for finding in plan.findings)


def test_another_count_told_leaves_fewer_steps_without_room(tmp_path: Path) -> None:
    """Kept in the file, the plan made anew has the figures told and as many walls without room as told."""
    plan, tried = _tried()
    (one,) = [one for one in tried if one.cure.name in COUNT_CURES]
    file = _written(tmp_path, 2.7)
    edit_file(file, one.cure.edits)
    after = plan_project(checked(load(file), []), effort=LIVE)
    assert _short(after) < _short(plan)
    assert f"without room for the steps wished {_short(plan)} → {_short(after)}" in one.cure.effect
    assert figures(after) == one.after


def test_every_finding_on_steps_offers_what_was_tried_and_nothing_untried() -> None:
    """Each wall without room for its steps has a cure with an edit, of those tried, its effect told."""
    plan, tried = _tried()
    known = [one.cure for one in tried]
    found = [finding for finding in with_cures(plan, tried) if finding.code == UNFIT]
    assert found
    for finding in found:
        edits = [cure for cure in finding.cures if cure.edits]
        assert edits and all(cure in known and cure.effect for cure in edits)


@pytest.mark.parametrize("units", ["metric", "us"])
@pytest.mark.parametrize(("outline", "x", "side"), [(OUTLINE, 0.6, "right"), (MIRRORED, 4.9, "left")])
def test_steps_moved_or_narrower_in_the_file_find_room_at_every_wall(
    tmp_path: Path, units: str, outline: str, x: float, side: str
) -> None:
    """Steps half over a side edge: the move and the width offered, in the file, leave no wall without room for them."""
    file = _written(tmp_path, x, units, outline)
    edit_file(file, [("brief.terraces", 2)])
    project = checked(load(file), [])
    surveyed = ground(project)
    made = terraces_of(project, surveyed, Standing())
    unfit = [finding for finding in made.findings if finding.code == UNFIT]
    offered = [[cure for cure in finding.cures if cure.edits] for finding in unfit]
    assert offered and all(cures == offered[0] for cures in offered)
    names = {cure.name: cure for cure in offered[0]}
    assert set(names) == {"move-steps", "narrower-steps"}
    assert f"to the {side} along the walls, seen from below" in names["move-steps"].text
    for cure in names.values():
        after = terraces_of(checked(load(file), cure.edits), surveyed, Standing())
        assert not any(finding.code == UNFIT for finding in after.findings)
        assert len(after.levels_m) == len(made.levels_m) and after.flights


def test_a_count_offered_can_be_asked_for_by_name() -> None:
    """The name told is one that ``--with`` takes, with the same edits."""
    plan, tried = _tried()
    for one in tried:
        if one.cure.name in COUNT_CURES:
            assert named_cure(plan, one.cure.name).edits == one.cure.edits

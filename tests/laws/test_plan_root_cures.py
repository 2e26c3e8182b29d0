"""A tree that stops the plan is offered a cure that is an edit of the file, tried, and rids the plan of that stop."""

from __future__ import annotations

from pathlib import Path

import pytest

from lynchet.plan.cures import tried_cures, with_cures
from lynchet.plan.effort import LIVE
from lynchet.plan.figures import figures
from lynchet.plan.pipeline import plan_project
from lynchet.plan.root_cures import ROOT_CODES, ROOT_CURE
from lynchet.project.edit import edit_file
from lynchet.project.load import load
from lynchet.project.read import checked

# INVENTED.
YARD = """lynchet = 1
units = "{units}"
[ground]
slope = {{ fall = "1.2 m in 8 m" }}
held = "level"
[area]
outline = [["0 m", "0 m"], ["10 m", "0 m"], ["10 m", "8 m"], ["0 m", "8 m"]]
[[fixed]]
kind = "tree"
name = "old pear"
at = {at}
stem = "0.3 m"
[soil]
feel = "gritty"
[drain]
outlet = [["5 m", "-3 m"]]
"""
PLACES = ('["11.5 m", "4 m"]', '["-1.5 m", "3 m"]', '["5 m", "10 m"]')


@pytest.mark.parametrize(("at", "units"), [(at, units) for at in PLACES for units in ("metric", "us")])
def test_the_cure_rids_the_plan_of_the_tree(tmp_path: Path, at: str, units: str) -> None:
    """Tried before it is chosen; kept in the file, the plan made anew has no stop by roots, and the figures told."""
    file = tmp_path / "yard.toml"
    file.write_text(YARD.format(units=units, at=at), encoding="utf-8")
    loaded = load(file)
    plan = plan_project(checked(loaded, []), effort=LIVE)
    assert {finding.code for finding in plan.findings} & ROOT_CODES
    tried = tried_cures(plan, lambda edits: checked(loaded, edits))
    (cure,) = [one for one in tried if one.cure.name == ROOT_CURE]
    assert cure.cure.edits and "old pear" in cure.cure.text and cure.cure.effect
    offered = [finding for finding in with_cures(plan, tried) if finding.code in ROOT_CODES]
    assert all(ROOT_CURE in [one.name for one in finding.cures] for finding in offered)
    edit_file(file, cure.cure.edits)
    after = plan_project(checked(load(file), []), effort=LIVE)
    assert not {finding.code for finding in after.findings} & ROOT_CODES
    assert figures(after) == cure.after

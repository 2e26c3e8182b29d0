"""What schemes and cures are said to lead to is what the whole plan with their edits has: sticks, verdict, money."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

from by_command import YARDS
from lynchet.plan.cures import MOST_WHOLE, tried_cures
from lynchet.plan.effort import FULL
from lynchet.plan.figures import figures
from lynchet.plan.pipeline import plan_project
from lynchet.project.load import Loaded, load
from lynchet.project.read import checked
from lynchet.schemes.compare import compare
from lynchet.schemes.figures import row_of
from lynchet.schemes.table import heading

OWN = {"name": "two benches", "terraces": 2}


@cache
def _file(name: str) -> Loaded:
    return load(YARDS / name)


@pytest.mark.parametrize("yard", ["plain.toml", "two_low_walls.toml"])
def test_a_scheme_shows_what_its_whole_plan_has(yard: str) -> None:
    """Each column of a comparison is the row of the plan made whole of the file with that column's edits."""
    loaded = _file(yard)
    raw = {**loaded.raw, "scheme": [OWN]}
    found = compare(raw, lambda edits: checked(loaded, edits), ["two benches", "fewest-sticks", "lowest-walls"],
                    lambda text: None)  # fmt: skip
    for one in found.all:
        plan = plan_project(checked(loaded, one.edits), effort=FULL)
        assert one.plan is not None and one.plan.effort == FULL, one.name
        assert one.row == row_of(plan), one.name
    plans = len({id(one.plan) for one in found.all})
    told = heading(found)
    assert told.startswith(f"{len(found.all)} scheme")
    assert f"{plans} of them side by side" in told if plans < len(found.all) else told.endswith("side by side")
    fewest = next(one for one in found.others if one.name == "fewest-sticks")
    assert fewest.row.sticks <= found.base.row.sticks


def test_a_cure_tells_what_its_whole_plan_has() -> None:
    """The figures told of a cure beside a whole plan are those of the whole plan with the cure applied."""
    loaded = _file("ladder_three.toml")
    plan = plan_project(checked(loaded, []), effort=FULL)
    told = [one for one in tried_cures(plan, lambda edits: checked(loaded, edits)) if one.after is not None]
    assert told and all(one.whole for one in told[:MOST_WHOLE])
    for one in (one for one in told if one.whole):
        after = figures(plan_project(checked(loaded, one.cure.edits), effort=FULL))
        assert one.after == after, one.cure.name
        assert f"{after.sticks}" in one.cure.effect


def test_what_was_planned_quickly_says_about() -> None:
    """Beyond the few cures made whole, a count of sticks from a quick plan is told as about so many."""
    loaded = _file("ladder_three.toml")
    plan = plan_project(checked(loaded, []), effort=FULL)
    one = next(one for one in tried_cures(plan, lambda edits: checked(loaded, edits)) if one.after is not None)
    quick = replace(one, whole=False)
    assert f"sticks {plan.timber.count} → about " in quick.told(figures(plan), plan.project).effect

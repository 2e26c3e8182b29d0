"""Law: a plan whose walls come out as those of an earlier one is the same plan, taken over or worked out anew."""

from importlib.resources import as_file, files
from pathlib import Path

import pytest

from lynchet.exports.plan_json import plan_json
from lynchet.plan.effort import LIVE
from lynchet.plan.pipeline import plan_project
from lynchet.project.read import read_project, read_project_text
from lynchet.project.rough import RoughYard, rough_project_text

STEEP = RoughYard(side_to_side="16 ft", up_the_slope="18 ft", drop="4 ft", held="level")


def _steep(*edits):
    return read_project_text(rough_project_text(STEEP, "us"), edits=edits)


def test_more_terraces_than_fit_are_planned_once():
    """Two terraces too many or three: the same walls, so the second plan takes all that follows from the first."""
    first = plan_project(_steep(("brief.terraces", 8)), effort=LIVE)
    asked = _steep(("brief.terraces", 9))
    anew = plan_project(asked, effort=LIVE)
    taken = plan_project(asked, effort=LIVE, before=first, known=[first])
    assert taken.water is first.water
    assert taken.works is first.works
    assert plan_json(taken) == plan_json(anew)
    assert plan_json(taken) != plan_json(first)  # what was wished, and what is said of it


@pytest.mark.parametrize("edit", [("brief.weeps", True), ("drain.ways_out", 2)])
def test_nothing_is_taken_from_a_plan_with_another_wish(edit):
    """Same walls or not: a wish that later stages read makes a plan of its own."""
    first = plan_project(_steep(), effort=LIVE)
    asked = _steep(edit)
    anew = plan_project(asked, effort=LIVE)
    taken = plan_project(asked, effort=LIVE, before=first, known=[first])
    assert taken.water is not first.water
    assert plan_json(taken) == plan_json(anew)


def test_a_wish_that_is_met_already_changes_nothing():
    """A highest wall that the demo keeps to anyway: only what was wished differs, and the verdict stays."""
    with as_file(files("lynchet.demos")) as folder:
        file = Path(folder) / "side_yard.toml"
        first = plan_project(read_project(file), effort=LIVE)
        asked = read_project(file, [("brief.highest_wall", "6 ft")])
    taken = plan_project(asked, effort=LIVE, before=first, known=[first])
    assert plan_json(taken) == plan_json(plan_project(asked, effort=LIVE))
    assert taken.timber is first.timber

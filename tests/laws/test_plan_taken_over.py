"""Law: a plan whose walls come out as those of an earlier one is the same plan, taken over or worked out anew."""

from dataclasses import replace
from importlib.resources import as_file, files
from pathlib import Path

import pytest

from lynchet.core.standing import Standing
from lynchet.exports.plan_json import plan_json
from lynchet.ground.stage import ground
from lynchet.plan.effort import LIVE
from lynchet.plan.pipeline import plan_project
from lynchet.project.read import read_project, read_project_text
from lynchet.project.rough import RoughYard, rough_project_text
from lynchet.terraces.stage import terraces
from lynchet.walls.stage import walls
from lynchet.water.stage import water
from random_yards import realistic

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
    assert taken.stability is not first.stability
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


class _Unread:
    """A brief that nobody may look into but for how deep beds are dug."""

    def __init__(self, dig_depth_m):
        self.dig_depth_m = dig_depth_m

    def __getattr__(self, name):
        raise AssertionError(f"the water stage reads brief.{name}")


@pytest.mark.parametrize("project", [
    _steep(("drain.ways_out", 2), ("brief.weeps", True)), _steep(("drain.dig_outside", True)),
    *(realistic(seed)[0] for seed in range(4)),
])  # fmt: skip
def test_the_water_knows_no_brief(project):
    """Nothing of a brief is read by the water stage but how deep beds are dug, so that it may be taken from a plan of
    any other."""
    surveyed = ground(project)
    laid = terraces(project, surveyed, Standing())
    built = walls(project, surveyed, laid, Standing())
    unread = replace(project, brief=_Unread(project.brief.dig_depth_m))
    assert water(unread, surveyed, laid, built) == water(project, surveyed, laid, built)


@pytest.mark.parametrize("edits", [
    (("brief.weeps", True),),
    (("brief.helps_off", ["pins"]), ("brief.ties", "never")),
])  # fmt: skip
def test_another_brief_with_the_same_walls_takes_the_water_alone(edits):
    """Weeps or helps change what holds the walls, not where the water goes; all else is worked out."""
    first = plan_project(_steep(), effort=LIVE)
    asked = _steep(*edits)
    anew = plan_project(asked, effort=LIVE)
    taken = plan_project(asked, effort=LIVE, before=first, known=[first])
    assert taken.water is first.water
    assert taken.stability is not first.stability
    assert plan_json(taken) == plan_json(anew)


def test_water_under_beds_dug_deeper_is_told_anew():
    """What is said of pipes under beds hangs on how deep they are dug: such water is worked out again."""
    first = plan_project(_steep(), effort=LIVE)
    asked = _steep(("brief.dig_depth", "1 in"), ("brief.weeps", True))
    taken = plan_project(asked, effort=LIVE, before=first, known=[first])
    assert plan_json(taken) == plan_json(plan_project(asked, effort=LIVE))


def test_water_of_other_walls_or_another_effort_is_not_taken():
    """Other walls, another drain or more work on the nets: the water is led anew."""
    first = plan_project(_steep(), effort=LIVE)
    for edit in (("brief.highest_wall", "16 in"), ("drain.ways_out", 2)):
        asked = _steep(edit)
        taken = plan_project(asked, effort=LIVE, before=first, known=[first])
        assert taken.water is not first.water
        assert plan_json(taken) == plan_json(plan_project(asked, effort=LIVE))
    harder = replace(LIVE, drain_beam=LIVE.drain_beam + 1)
    assert plan_project(_steep(), effort=harder, before=first, known=[first]).water is not first.water

"""Walls that step up over rock found under them: told, no stub of the deeper base left beside it, never out of the
ground; and yards with things found right by their walls."""

from __future__ import annotations

import numpy as np
import pytest

from found_yards import found_plan
from lawbook.flight_laws import walls_meet_flights
from lawbook.level_laws import embedded, treads
from lawbook.weep_laws import WEEP_LAWS
from lawbook.whole import Whole
from lynchet.core.findings import Verdict
from lynchet.ground.surface import level_at
from lynchet.walls.model import Leg, Segment
from lynchet.walls.over_found import _without_stubs
from standing_yards import as_written, courses_of, planned, stands

SIZE_M = 0.3


def over_rock(at_m: float):
    """The garden with a rock under wall A0, a hand over its base there."""
    plain = as_written("garden")
    leg = plain.walls.leg("A0")
    point = leg.point_at(at_m, leg.thickness_m / 2.0)
    base = plain.terraces.lattice.bottoms_m[leg.segment_at(at_m).base]
    depth = float(level_at(plain.ground.surface, np.array([point]))[0]) - base - 0.08
    x, y = plain.project.frame.outward(point)
    rock = {"name": "the rock", "what": "rock", "at": [f"{x} m", f"{y} m"], "depth": f"{depth} m"}
    return planned("garden", ("found.1", {**rock, "size": f"{SIZE_M} m", "answer": "step up"}))


@pytest.mark.parametrize("beside_m", [0.1, 0.25, 0.5])
def test_no_stub_of_a_base_is_left_beside_a_rock(beside_m):
    """A base that would reach less than a tread past the raised part is raised with it, to where the next begins."""
    end = as_written("garden").walls.leg("A0").segment_at(2.0).end_m
    plan = over_rock(end - beside_m - 0.15 - SIZE_M / 2.0)
    told = [one for one in plan.findings if one.code == "found.over"]
    assert [one.place for one in told] == ["A0"] and "less of it in the ground" in told[0].text
    case = Whole(plan).case
    assert treads(case) == [] and embedded(case) == []
    lowest = [part for part in plan.walls.leg("A0").segments if part.base == 16]
    assert (lowest[-1].end_m == pytest.approx(end)) == (beside_m > 0.3)


def written(plan, leg, at_m, left_m=0.0):
    """A place by a wall, as the file has it."""
    return [f"{part} m" for part in plan.project.frame.outward(plan.walls.leg(leg).point_at(at_m, left_m))]


def down_the_slope(**more):
    """The plain yard with a clay drain from below its lowest wall to over its highest, deeper than any base."""
    plain = as_written("plain")
    line = [written(plain, "W2", 3.0, left) for left in (-3.0, 3.0)]
    return planned("plain", ("found.1", {"what": "pipe", "name": "the drain", "line": line, "depth": "0.45 m",
                                         "size": "0.15 m", **more}))  # fmt: skip


def test_a_drain_down_the_slope_is_as_deep_under_every_wall():
    """Its depth is told from the ground: under the lowest wall it does not lie as high as under the ground on top."""
    plan = down_the_slope()
    (thing,) = plan.project.so_far.found
    fall = level_at(plan.ground.surface, np.array(thing.line_m), reach_m=5.0)
    assert float(fall.max() - fall.min()) > 0.4
    told = {one.code for one in plan.findings if one.code.startswith("found")}
    assert told == {"found.clear"}


def test_what_is_said_to_lie_where_timber_stands_is_asked_about():
    """Before the wall stands it is in the way; once it stands the file is asked, and no base is offered to step up."""
    plain = as_written("plain")
    rock = {"what": "rock", "name": "the rock", "at": written(plain, "W2", 3.0, 0.05), "depth": "0.15 m"}
    before = next(one for one in planned("plain", ("found.1", rock)).findings if one.code == "found.in_the_way")
    assert before.verdict is Verdict.STOP
    assert [cure.name for cure in before.cures] == ["step-up-1", "move", "take-out"]
    course = courses_of(plain, "W2")
    after = planned("plain", stands("W2", course), ("found.1", rock)).findings
    (told,) = [one for one in after if one.code.startswith("found")]
    assert told.code == "found.under_standing" and told.verdict is Verdict.ASK and not told.cures
    assert "W2 stands already" in told.text and "[[found]]" in told.text


@pytest.mark.parametrize("seed", [92105, 92115, 92116])
def test_walls_stand_right_with_things_found_by_them(seed):
    """Bases, treads, steps and weep holes of yards in which bases are raised over what is found."""
    found = Whole(found_plan(seed))
    assert [text for law in (embedded, treads, walls_meet_flights) for text in law(found.case)] == []
    assert [text for law in WEEP_LAWS for text in law(found.data)] == []


@pytest.mark.parametrize(("part", "raised"), [((1.1, 1.72), (1.1, 1.9)), ((1.1, 2.2), (1.1, 2.2))])
def test_where_the_wall_begins_higher_beside_a_thing_the_raised_part_is_a_tread_too(part, raised) -> None:
    """By hand: from 1.6 m the wall begins four courses lower. Of a part raised by three of them up to 1.72 m only
    0.12 m would be new; it goes on to 0.3 m. Where 0.6 m is new it stays."""
    segments = (Segment(1.0, 1.6, 21, 25), Segment(1.6, 3.0, 17, 25))
    leg = Leg("A3", "edge", (0.0, 0.0), (4.0, 0.0), (1.0, 0.0), (0.0, 1.0), 4.0, 0.15, (), (), segments)
    assert _without_stubs(leg, part, 20, 0.3) == pytest.approx(raised)


@pytest.mark.parametrize(("part", "raised"), [((1.1, 2.69), (1.0, 2.9)), ((1.05, 2.5), (1.0, 2.5))])
def test_a_base_goes_on_where_only_the_top_steps(part, raised) -> None:
    """By hand: a base from 1.0 to 2.9 m under tops that step at 1.1 m and 2.7 m. Of a part raised up to 2.69 m the
    0.1 m and 0.21 m left of the base would be no treads, whatever the top does over them; 0.4 m is one."""
    segments = (
        Segment(1.0, 1.1, 17, 26),
        Segment(1.1, 2.7, 17, 25),
        Segment(2.7, 2.9, 17, 24),
        Segment(2.9, 4, 15, 24),
    )
    leg = Leg("A3", "edge", (0.0, 0.0), (4.0, 0.0), (1.0, 0.0), (0.0, 1.0), 4.0, 0.15, (), (), segments)
    assert _without_stubs(leg, part, 20, 0.3) == pytest.approx(raised)

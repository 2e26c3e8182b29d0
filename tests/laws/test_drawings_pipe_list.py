"""The list of pipes: what each runs to is where it ends, and the fall told is the one it is laid to."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from math import dist

import pytest
from shapely import LineString, Point

from demo_plans import DEMOS, demo
from lynchet.drawings.figures import Figures
from lynchet.drawings.model import Dim, Text
from lynchet.drawings.pipe_list import pipes
from lynchet.drawings.section_drains import drain_cuts
from lynchet.drawings.stamp import Stamp
from lynchet.drawings.wall_face import face_of
from lynchet.drawings.wall_sheet import wall_sheets
from lynchet.drawings.wall_sizes import size_items


@pytest.mark.parametrize("name", DEMOS)
def test_a_pipe_runs_into_what_it_ends_at(name: str) -> None:
    """Each pipe's lower end lies on the pipe it is said to run into, or at the outlet of that name."""
    plan = demo(name)
    lines = {pipe.name: LineString(pipe.points_m) for pipe in pipes(plan)}
    ends = [Point(outlet.point_m) for outlet in plan.water.outlets]
    for pipe in pipes(plan):
        end = Point(pipe.points_m[pipe.sink])
        if pipe.into in lines:
            assert lines[pipe.into].distance(end) < 0.02, (pipe.name, pipe.into)
        elif pipe.into.startswith("OUT"):
            assert min(end.distance(at) for at in ends) < 0.3, (pipe.name, pipe.into)


@pytest.mark.parametrize("name", DEMOS)
def test_the_fall_told_is_the_one_laid(name: str) -> None:
    """Some stretch of each arm has the fall told; without drops that fall makes up the whole difference of levels."""
    for pipe in pipes(demo(name)):
        for arm in pipe.arms:
            fall, drops = pipe.laid(arm)
            whole = pipe.inverts_m[arm[0]] - pipe.inverts_m[arm[-1]]
            if drops:
                parts = [((pipe.inverts_m[a] - pipe.inverts_m[b]), dist(pipe.points_m[a], pipe.points_m[b]))
                         for a, b in pairwise(arm)]  # fmt: skip
                assert any(down / long == pytest.approx(fall, rel=1e-6) for down, long in parts if long > 0.3)
                assert fall * pipe.length(arm) < whole
            else:
                assert fall * pipe.length(arm) == pytest.approx(whole, abs=1e-9)


def test_sections_tell_the_fall_of_the_list() -> None:
    """Under the head of a drain's section stands no other fall than an arm of it has in the list."""
    plan = demo("spot_levels")
    figures, listed = Figures(plan.project.units), {pipe.id: pipe for pipe in pipes(plan)}
    for drain, _, (under,), _ in drain_cuts(plan, figures):
        pipe = listed[drain]
        told = {figures.ratio(pipe.laid(arm)[0]) for arm in pipe.arms}
        assert any(f"falling {fall}" in under for fall in told), under
        assert ("with drops" in under) == any(pipe.laid(arm)[1] for arm in pipe.arms)


def test_a_gap_of_a_wall_stands_in_its_chain() -> None:
    """Where a wall has no timber for a stretch, the chain of its base has that stretch, and words say so."""
    plan = demo("spot_levels")
    gaps = {leg.id: next((b.start_m - a.end_m for a, b in pairwise(sorted(leg.segments, key=lambda one: one.start_m))
                          if b.start_m - a.end_m > 0.3), 0.0) for leg in plan.walls.legs}  # fmt: skip
    assert gaps["A0"] > 1.0 and gaps["W3"] == 0.0
    for sheet in wall_sheets(plan, Stamp()):
        items = [item for view in sheet.views for item in view.items]
        words = sum(isinstance(item, Text) and item.text == "no wall here" for item in items)
        chains = [value for item in items if isinstance(item, Dim) and item.id.endswith("chain-base")
                  for value in item.values_m]  # fmt: skip
        legs = {leg.id for leg in plan.walls.legs if f"wall-{leg.id}" == sheet.id}
        for leg in legs:
            assert (words > 0) == (gaps[leg] > 0.0), leg
            assert gaps[leg] == 0.0 or any(value == pytest.approx(gaps[leg], abs=1e-6) for value in chains), leg


def test_a_narrow_gap_of_a_wall_stands_in_its_chain() -> None:
    """Base stone that begins anew beyond a gap, however narrow, has its ends in the chain: else it is dug through."""
    plan = demo("spot_levels")
    leg = next(leg for leg in plan.walls.legs if leg.id == "A0")
    first, second, *rest = sorted(leg.segments, key=lambda one: one.start_m)
    middle = (first.start_m + first.end_m) / 2
    split = (replace(first, end_m=middle - 0.1), replace(first, start_m=middle + 0.1))
    narrow = replace(leg, segments=(*split, second, *rest))
    walls = replace(plan.walls, legs=tuple(narrow if one is leg else one for one in plan.walls.legs))
    face = face_of(replace(plan, walls=walls), narrow)
    ends = sorted(face.x(at) for at in (middle - 0.1, middle + 0.1))
    part = (ends[0] - 0.4, ends[1] + 0.4)
    items = list(size_items(face, part, Figures("metric")))
    found = [value for item in items if isinstance(item, Dim) and item.id == "chain-base" for value in item.values_m]
    assert found == pytest.approx([0.4, 0.2, 0.4])
    assert not any(isinstance(item, Text) and item.text == "no wall here" for item in items)

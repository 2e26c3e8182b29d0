"""What the drawings work out for many things in one go, or only where a box tells it may matter, is what each gives."""

from __future__ import annotations

from functools import cache
from itertools import pairwise
from math import hypot
from pathlib import Path

import numpy as np
import pytest
import shapely
from shapely.geometry import Polygon, box

import lynchet.demos
from lynchet.drawings.axo_faces import Face, newell, outwards
from lynchet.drawings.axo_ground import Block, reached
from lynchet.drawings.axo_ground_parts import _split, existing, sound
from lynchet.drawings.clipping import clip_area
from lynchet.drawings.kept import united
from lynchet.drawings.leaders import leaders
from lynchet.drawings.letters import RESERVE, width, wrap
from lynchet.drawings.model import View
from lynchet.drawings.plan_signs import _SIGN_MM, _may_reach
from lynchet.drawings.planting_names import _spot
from lynchet.drawings.section_data import stretches
from lynchet.drawings.section_kept import kept_of
from lynchet.drawings.section_line import Cut
from lynchet.drawings.wall_elevation import _clear_of
from lynchet.plan.building_days import days_of
from lynchet.plan.effort import LIVE
from lynchet.plan.model import Plan
from lynchet.plan.pipeline import plan_project
from lynchet.project.read import read_project


@cache
def _plan() -> Plan:
    return plan_project(read_project(Path(lynchet.demos.__file__).with_name("side_yard.toml")), effort=LIVE)


def _cuts() -> list[Cut]:
    rng = np.random.default_rng(4)
    middle = np.array(_plan().project.area.outline_m).mean(axis=0)
    ends = middle + rng.uniform(-12.0, 12.0, (30, 2, 2))
    return [Cut((float(a[0]), float(a[1])), (float(b[0]), float(b[1]))) for a, b in ends]


def test_normals_of_many_faces_are_those_of_each() -> None:
    """Known normals are kept, the others are to the bit what each ring gives alone, whatever its corners."""
    rng = np.random.default_rng(1)
    faces = [Face((rng.normal(size=(count, 3)),), "x") for count in (3, 4, 4, 5, 12, 4, 12, 13)]
    faces += [
        Face((np.zeros((4, 3)),), "flat"),
        Face((rng.normal(size=(4, 3)),), "x", normal=np.array([0.0, 1.0, 0.0])),
    ]
    assert (outwards(faces) == np.array([face.outward() for face in faces])).all()
    assert (outwards(faces[:1])[0] == newell(faces[0].rings[0])).all()


def test_what_a_box_keeps_off_a_cut_is_not_cut() -> None:
    """Timber, stone, treads, beds and faces looked at through their boxes are met as when all are looked at."""
    plan = _plan()
    kept = kept_of(plan)
    met = 0
    for cut in _cuts():
        line = cut.line()
        for some in (kept.timber, kept.beds, kept.stone, kept.treads, kept.faces):
            every = [(id(thing), part) for thing, shape in zip(some.things, some.shapes, strict=True)
                     for part in stretches(cut, shape, line)]  # fmt: skip
            near = [(id(thing), part) for thing, shape in some.near(cut) for part in stretches(cut, shape, line)]
            assert near == every
            met += len(near)
    assert met > 50
    assert len(kept.timber.things) == len(plan.walls.runs)
    assert len(kept.faces.things) == len(plan.terraces.faces)


def test_pipes_are_kept_with_their_own_ends() -> None:
    """Every straight part of every pipe once, with its length and the levels at its ends."""
    plan, pipes = _plan(), kept_of(_plan()).pipes
    parts = [(pipe.id, a, b) for pipe in (*plan.water.drains, *plan.water.solids)
             for a, b in zip(pipe.points_m, pipe.points_m[1:], strict=False)
             if hypot(b[0] - a[0], b[1] - a[1]) >= 1e-6]  # fmt: skip
    lines = [tuple(line.coords) for line in pipes.lines]
    assert [(name, *line) for (name, *_), line in zip(pipes.of, lines, strict=True)] == parts
    for (start, _, length), line in zip(pipes.ends, lines, strict=True):
        assert start == line[0]
        assert length == hypot(line[1][0] - line[0][0], line[1][1] - line[0][1])


def test_things_reached_by_a_block_are_all_whose_boxes_touch_it() -> None:
    """None is left out, none is doubled, and their order is kept."""
    days = days_of(_plan())
    x, y = np.array(_plan().project.area.outline_m).mean(axis=0).tolist()
    counts = set()
    for half in (0.3, 1.5, 40.0):
        shape = box(x - half, y - half, x + half, y + half)
        block = Block(shape, 0.0, np.empty((0, 3)))
        wanted = [thing for thing in days.things if box(*thing.polygon.bounds).intersects(shape)]
        assert list(reached(days, block)) == wanted
        counts.add(len(wanted))
    assert len(counts) == 3


def test_leaders_of_many_places_are_those_of_each() -> None:
    """To the nearest side, at half the height of a place beside, off the corners of others; none for the first."""
    rng = np.random.default_rng(2)
    low = rng.uniform(-20.0, 20.0, (200, 2))
    boxes = np.column_stack([low, low + rng.uniform(1.0, 12.0, (200, 2))])
    ways = leaders(np.full((200, 2), (1.0, -2.0)), boxes, np.arange(200) >= 5)
    assert np.isnan(ways[:5]).all()
    for (x, y, u, v), (left, top, right, bottom) in zip(ways[5:].tolist(), boxes[5:].tolist(), strict=True):
        assert (x, y) == (1.0, -2.0)
        if not left < x < right:
            assert (u, v) == (left if x <= left else right, (top + bottom) / 2)
        else:
            assert v == (bottom if y > bottom else top)
            assert left + 1.0 <= u <= right - 1.0 or right - left < 2.0
            assert u == x or abs(u - x) <= 1.0


@pytest.mark.parametrize("mirrored", [False, True])
@pytest.mark.parametrize("turn_deg", [0.0, 30.0])
def test_many_points_come_to_lie_where_each_does(turn_deg: float, mirrored: bool) -> None:
    """An upright view leaves out the turning, and its numbers are to the bit those of turning by nothing."""
    view = View("v", "plan", 50, (), (0.0, 0.0, 1.0, 1.0), at_world=(3.3, -1.7), at_paper=(101.0, 77.0),
                turn_deg=turn_deg, mirrored=mirrored)  # fmt: skip
    points = tuple(map(tuple, np.random.default_rng(3).uniform(-9.0, 9.0, (200, 2)).tolist()))
    assert view.papers(points) == tuple(view.paper(point) for point in points)


def test_a_sign_is_kept_off_by_every_area_near_it() -> None:
    """An area nearer than a sign is large is never passed over for its box."""
    rng = np.random.default_rng(5)
    near = 0
    for _ in range(300):
        ring = tuple(map(tuple, (rng.uniform(-25.0, 25.0, 2) + rng.uniform(-5.0, 5.0, (4, 2))).tolist()))
        if Polygon(ring).distance(Polygon([(0.0, 0.0)] * 3).centroid) < _SIGN_MM:
            near += 1
            assert _may_reach(ring, (-_SIGN_MM, -_SIGN_MM, _SIGN_MM, _SIGN_MM))
    assert near > 20


def test_an_area_beside_the_box_leaves_nothing() -> None:
    """Wholly beside it, or touching its side from without: no piece; half within it: one."""
    inside = (0.0, 0.0, 10.0, 10.0)
    for left, pieces in ((20.0, 0), (10.0, 0), (5.0, 1), (-4.0, 0), (-2.0, 1)):
        ring = ((left, 2.0), (left + 4.0, 2.0), (left + 4.0, 6.0), (left, 6.0))
        assert len(clip_area((ring,), inside)) == pieces


def test_what_is_kept_of_shapes_is_what_is_worked_out_anew() -> None:
    """Joined shapes, ground under a shape and shapes split by planes, asked for twice, then without what is kept."""
    surface = _plan().ground.surface
    shapes = tuple(face.polygon for face in _plan().terraces.beds)
    for grid in (0.0, 1e-4):
        fresh = shapely.union_all(shapes, grid_size=grid or None)
        assert united(shapes, grid).wkb == united(shapes, grid).wkb == fresh.wkb
    for shape in shapes:
        first, again = existing(surface, shape), existing(surface, shapely.from_wkb(shape.wkb))
        cut = shapely.intersection(surface.polygons, shape)
        assert first == again
        assert sum(part.area for part, _ in first) == pytest.approx(shapely.area(cut).sum(), abs=1e-5)
        for part, plane in first:
            level = np.mean([plane[0] * x + plane[1] * y + plane[2] for x, y in part.exterior.coords])
            over, under = _split(part, plane, (0.0, 0.0, float(level)))
            anew = _split.__wrapped__(part, plane, (0.0, 0.0, float(level)))
            assert [one.wkb for one in (*over, *under)] == [one.wkb for one in (*anew[0], *anew[1])]


def test_a_name_stands_at_the_free_place_nearest_to_the_middle() -> None:
    """Held to all places looked at, one after the other, with plants in the middle so that some rounds are needed."""
    shape, half = Polygon([(0, 0), (9, 0), (9, 6), (4, 6), (4, 3), (0, 3)]), np.array([0.5, 0.25])
    plants = np.array([(x, y, 0.45) for x in np.arange(3.0, 8.5) for y in np.arange(0.7, 5.0)])
    found = _spot(shape, half, plants, 0.05)
    assert found is not None
    best = None
    for x in np.arange(half[0], 9 - half[0], 0.075):
        for y in np.arange(half[1], 6 - half[1], 0.075):
            far = round(float(np.hypot(x - shape.centroid.x, y - shape.centroid.y)), 6)
            name = box(x - half[0], y - half[1], x + half[0], y + half[1])
            gap = shapely.distance(name, shapely.points(plants[:, :2])) - plants[:, 2]
            if shape.contains(name) and (gap > (0.6 - 1.2) * 0.05).all() and (best is None or far < best[0]):
                best = far, (x, y)
    assert best is not None
    assert np.hypot(*(np.array(found) - (shape.centroid.x, shape.centroid.y))) == pytest.approx(best[0], abs=1e-5)


def test_words_are_wrapped_as_if_every_line_were_measured_whole() -> None:
    """Words of many lengths, one longer than the width among them: no line too wide, none that could take more."""
    rng = np.random.default_rng(6)
    words = ["".join(rng.choice(list("abcdefgilmW."), rng.integers(1, 12)).tolist()) for _ in range(80)]
    words[40] = "W" * 40
    for wide in (12.0, 30.0, 55.0):
        lines = wrap(" ".join(words), wide, 2.5, "semibold")
        assert "".join(lines).replace(" ", "") == "".join(words)
        for line, after in pairwise(lines):
            assert width(line, 2.5, "semibold") <= wide / RESERVE
            first = after.split(" ")[0]  # a broken word begins a line of its own
            assert width(f"{line} {first}", 2.5, "semibold") > wide / RESERVE or first in words[40]


def test_only_pieces_wholly_over_the_ground_are_passed_over() -> None:
    """Held to the overlap itself, over ground that climbs, steps and lies level."""
    ground = [(0.0, 0.0), (1.0, 0.3), (1.0, 0.6), (2.0, 0.6), (3.0, 0.1)]
    under = Polygon([(0.0, -9.0), *ground, (3.0, -9.0)])
    passed = 0
    for start in np.arange(0.05, 2.8, 0.1):
        for bottom in np.arange(-0.05, 0.8, 0.1):
            over = box(start, bottom, start + 0.2, bottom + 0.15).intersection(under).area < 1e-9
            clear = _clear_of(ground, (float(start), float(start) + 0.2), float(bottom))
            assert over or not clear
            passed += clear
    assert passed > 50


def test_a_hole_past_its_rim_stops_no_picture() -> None:
    """Overlays off the grid may leave a hole that reaches past its rim by less than a hair: what is drawn is sound and
    keeps the area, and can be cut further."""
    hole = [(1.0, 1.0), (2.0, 1.0), (2.0, 4.0 + 1e-9), (1.0, 4.0 + 1e-9)]
    left = sound(shapely.Polygon([(0.0, 0.0), (4.0, 0.0), (4.0, 4.0), (0.0, 4.0)], [hole]))
    assert shapely.is_valid(left) and abs(left.area - 13.0) < 1e-6
    assert abs(shapely.difference(left, shapely.box(0.0, 0.0, 4.0, 0.5)).area - 11.0) < 1e-6

"""Laws of ways for pipes: shortest through free ground, parted at high points, clear of flights."""

from __future__ import annotations

import sys
from itertools import pairwise, permutations
from math import dist
from pathlib import Path

import numpy as np
import pytest
import shapely

from lynchet.water.ways import Room

sys.path.insert(0, str(Path(__file__).parents[1]))

from lawbook.across import PLACINGS
from lawbook.book import broken
from lawbook.case import plan
from lawbook.water_laws import broken_water
from lawbook.whole import Whole, broken_whole, whole
from lynchet.water.stage import water
from random_yards import realistic

HOLLOW = shapely.Polygon([(0, 0), (10, 0), (10, 4), (7, 4), (7, 1), (3, 1), (3, 4), (0, 4)])


@pytest.mark.parametrize("shape", [HOLLOW, HOLLOW.reverse()], ids=["anticlockwise", "clockwise"])
def test_a_way_turns_at_inward_corners_and_is_the_shortest(shape):
    """Between random points of a U the way stays inside and no detour over any corners is shorter."""
    rng, room = np.random.default_rng(5), Room(shape)
    grown = shape.buffer(1e-6)
    corners = [(3.0, 1.0), (7.0, 1.0)]
    for _ in range(40):
        start, end = (float(rng.uniform(0, 3)), float(rng.uniform(1, 4))), (float(rng.uniform(7, 10)), 3.0)
        way = room.way(start, end)
        assert way is not None and grown.covers(shapely.LineString(way))
        tried = [(start, *middle, end) for n in range(3) for middle in permutations(corners, n)]
        free = [path for path in tried if grown.covers(shapely.LineString(path))]
        best = min(sum(dist(a, b) for a, b in pairwise(path)) for path in free)
        assert sum(dist(a, b) for a, b in pairwise(way)) == pytest.approx(best, abs=1e-9)


def _yard(seed: int) -> Whole:
    return whole(*realistic(seed))


@pytest.mark.parametrize("seed", [67, 68, 75])
def test_drains_at_flights_and_high_points_meet_nothing(seed):
    """Stone and cleanouts keep off the timber of steps; two drains at one high point share a cleanout."""
    found = _yard(seed)
    assert not [f.text for f in found.plan.clashes if f.code == "clash"]
    assert not broken_water(found.wet)


@pytest.mark.parametrize(
    ("seed", "kinds"),
    [
        (99, {"within"}),
        (296, {"across"}),
        (10, {"within", "inside"}),
        (355, {"tail", "direct", "join"}),
        (36, {"inside"}),
    ],
    ids=[
        "through its own ground",
        "across a bench",
        "laid after the rest",
        "notches in a curved front",
        "round a house",
    ],
)
def test_yards_that_need_another_way_out_are_drained(seed, kinds):
    """A yard that the usual ways leave undrained finds its way out, and breaks no law."""
    found = _yard(seed)
    assert not found.plan.water.refused
    assert kinds & {drain.sink_kind for drain in found.plan.water.drains}
    assert not broken_water(found.wet)


def test_a_drain_too_high_is_told():
    """Where only a drain over half the held height finds a way out, it says so and water stands up to it."""
    found = _yard(71)
    high = [f for f in found.plan.water.findings if f.code == "water.high_drain"]
    assert high and not found.plan.water.refused
    drains = {drain.id: drain for drain in found.plan.water.drains}
    for finding in high:
        drain = drains[finding.place]
        rows = [row for row in found.plan.water.levels if row.chain == drain.chain and row.drained == "pipe"]
        assert max(row.wet_m for row in rows) >= max(drain.inverts_m)


@pytest.mark.parametrize("seed", [296, 355])
def test_further_ways_are_the_same_in_a_turned_mirrored_or_shifted_yard(seed):
    """The same drains, ends and lengths of pipe wherever the yard lies and whichever way it is drawn."""
    seen = []
    for placing in PLACINGS:
        project, ground = realistic(seed, placing)
        case = plan(project, ground)
        found = water(project, ground, case.terraces, case.walls)
        seen.append(
            (
                [(drain.id, drain.sink_kind, drain.into) for drain in found.drains],
                [round(solid.length_m, 2) for solid in found.solids],
                [notch.id for notch in found.notches],
            )
        )
    assert all(other == seen[0] for other in seen)


@pytest.mark.parametrize(
    ("seed", "why"),
    [
        (88, "the stone of a drain is wider than the gap of its pipe to the walls beside it"),
        (97, "a cleanout would come up through a higher wall"),
        (120, "a cleanout would come up through a higher wall and its screws"),
        (145, "the solid pipe of one drain ran through the stone apron of another"),
        (170, "base pins of two short stretches stood in one place"),
        (80081, "two drains of one bed ended side by side where a corner between them is barred"),
    ],
)
def test_drains_and_pins_keep_off_what_stands_beside_them(seed: int, why: str) -> None:
    """Yards once stopped by a told clash: no clash is left, and every law holds."""
    found = whole(*realistic(seed))
    assert [f.text for f in found.plan.clashes if f.code == "clash"] == [], why
    assert [*broken(found.case), *broken_whole(found)] == []

"""Laws of the way round corners: as short as a rival method finds it, and asked of the outline no more than needed."""

from __future__ import annotations

from itertools import pairwise
from math import dist, pi

import numpy as np
import pytest
import shapely

from lynchet.water.ways import Room

YARD = shapely.box(0, 0, 12, 8)


def _pads(rng: np.random.Generator, across: int, up: int) -> list[shapely.Polygon]:
    """Pads of 8 to 24 corners in a grid, none touching another."""
    found = []
    for i in range(across):
        for j in range(up):
            middle = 12 * (i + 0.5) / across, 8 * (j + 0.5) / up
            radius = float(rng.uniform(0.5, 0.8)) * 4 / max(across, up)
            turns = np.sort(rng.uniform(0, 2 * pi, int(rng.integers(8, 25))))
            found.append(shapely.Polygon([(middle[0] + radius * np.cos(t), middle[1] + radius * np.sin(t))
                                          for t in turns]).convex_hull)  # fmt: skip
    return found


def _rival(free: shapely.Polygon, start: tuple[float, float], end: tuple[float, float]) -> float:
    """Shortest way over every corner that sees another: the whole graph of what is seen, then all shortest ways.

    T. Lozano-Perez, M. A. Wesley, An algorithm for planning collision-free paths among polyhedral obstacles,
    Communications of the ACM 22 (1979): a shortest way turns at corners of what is in its way.
    R. W. Floyd, Algorithm 97, Communications of the ACM 5 (1962). MEMORY
    """
    places = np.vstack([[start, end], shapely.get_coordinates(free)])
    lines = shapely.linestrings(np.stack(np.broadcast_arrays(places[:, None], places[None]), axis=2))
    away = np.where(shapely.covers(free.buffer(1e-6), lines), shapely.length(lines), np.inf)
    for k in range(len(places)):
        away = np.minimum(away, away[:, k, None] + away[None, k])
    return float(away[0, 1])


@pytest.mark.parametrize("seed", range(6))
def test_a_way_round_many_corners_is_as_short_as_a_rival_finds_it(seed):
    """Random pads, random ends asked in any order, each way inside and no longer than the shortest over all corners."""
    rng = np.random.default_rng(seed)
    room = Room(YARD, _pads(rng, 3, 2))
    free, ends = room.shape, []
    while len(ends) < 6:
        point = (float(rng.uniform(0, 12)), float(rng.uniform(0, 8)))
        if free.buffer(-0.02).covers(shapely.Point(point)):
            ends.append(point)
    plain, turned = free.simplify(0.01), 0
    for start in ends[:3]:
        for end in ends[3:]:
            way = room.way(start, end)
            assert way is not None and plain.buffer(2e-6).covers(shapely.LineString(way))
            turned += len(way) > 2
            assert sum(dist(a, b) for a, b in pairwise(way)) == pytest.approx(_rival(plain, start, end), abs=1e-5)
    assert turned


def _lines_asked(monkeypatch: pytest.MonkeyPatch, room: Room, pairs: list) -> int:
    """How many lines are held against the outline for some ways."""
    asked, covers = [0], shapely.covers
    monkeypatch.setattr(shapely, "covers", lambda shape, lines: (asked.__setitem__(0, asked[0] + np.size(lines)),
                                                                 covers(shape, lines))[1])  # fmt: skip
    for pair in pairs:
        room.way(*pair)
    monkeypatch.setattr(shapely, "covers", covers)
    return asked[0]


@pytest.mark.parametrize("across", [2, 4, 8])
def test_lines_looked_at_grow_with_pads_and_not_with_their_corners(monkeypatch, across):
    """Two round pads have four lines that touch both, however many corners they have; each is looked at from either
    end. To these come the sides of the pads, and two lines a pad from every start and end."""
    rng = np.random.default_rng(across)
    pads = _pads(rng, across, across)
    room = Room(YARD, pads)
    starts, ends = ([(x, float(y)) for y in np.linspace(0.01, 7.99, 12)] for x in (0.01, 11.99))
    asked = _lines_asked(monkeypatch, room, [(start, end) for start in starts for end in ends])
    count, corners = len(pads), len(shapely.get_coordinates(room.shape))
    straight, touching, sides = 144, 8 * count * (count - 1) // 2, 2 * corners
    assert asked <= 1.1 * (straight + touching + sides + 24 * 2 * count)
    assert corners > 6 * count, "pads of many corners"

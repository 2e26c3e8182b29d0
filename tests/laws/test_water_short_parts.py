"""What of a strip of stone may lie where it was drawn: told without an overlay where nothing is near, and the same."""

from types import SimpleNamespace

import numpy as np
import pytest
import shapely

from lynchet.water.short_places import _allowed, _polygons

GRID = 1e-5


@pytest.mark.parametrize("seed", range(100))
def test_parts_are_those_two_overlays_leave(seed):
    """Strips far from what bars them and from the rim of their bed come out corner for corner as by both overlays, in
    one piece and in several."""
    rng = np.random.default_rng(seed)
    bars = shapely.union_all([shapely.Point(*rng.uniform(-2, 6, 2)).buffer(0.5) for _ in range(3)], grid_size=GRID)
    room = shapely.box(*rng.uniform(-2, 1, 2), *rng.uniform(2, 5, 2)).buffer(1e-3)
    wood = shapely.box(*rng.uniform(0, 1, 2), *rng.uniform(1, 2, 2))
    turn = shapely.affinity.rotate(shapely.box(0.2, 0.3, 1.9, 0.6), rng.uniform(0, 180))
    if seed >= 60:  # posts across it, which leave two or three parts
        wood = shapely.union_all([shapely.Point(x, 0.45).buffer(0.2) for x in rng.uniform(0.3, 1.8, 2)], grid_size=GRID)
        turn = shapely.box(0.2, 0.3, 1.9, 0.6)
        bars, room = (shapely.affinity.translate(one, *rng.uniform(-3, 3, 2)) for one in (bars, room))
    strip = shapely.difference(turn, wood, grid_size=GRID)
    for shape in (bars, room):
        shapely.prepare(shape)
    rim = shapely.boundary(room)
    bed = room if seed % 3 else None
    yard = SimpleNamespace(bars_stone=bars, bed_room=lambda face: bed, bed_rim=lambda face: rim)
    parts = _polygons(strip)
    plain = shapely.difference(shapely.MultiPolygon(parts), bars, grid_size=GRID)
    if bed is not None and _polygons(plain):
        plain = shapely.intersection(shapely.MultiPolygon(_polygons(plain)), room, grid_size=GRID)
    assert [part.wkb for part in _allowed(yard, "B1", parts)] == [part.wkb for part in _polygons(plain)]

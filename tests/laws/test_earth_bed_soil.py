"""Soil and mulch of beds: rows ever closer come to what the law book works out from outlines; what was once counted
wrong, by itself."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
import shapely

from banked_yards import banked
from found_yards import found_plan
from lawbook.bed_laws import beds_have_their_soil, rooms_of
from lawbook.whole import Whole, whole
from lynchet.earth.columns import Columns, Depths, columns_of
from lynchet.earth.finishes import BED, Finish
from lynchet.earth.rows import rows_over
from lynchet.earth.solids import Owners, Solid, in_arrays, solids_of
from lynchet.earth.stage import earth
from lynchet.ground.surface import build_surface
from spring_yards import sprung
from wished_yards import wished_plan

YARDS = {
    "a wall that leans": lambda: Whole(found_plan(95099)),
    "cleanouts in beds": lambda: sprung(95125),
    "a bed of 0.9 m2": lambda: whole(*banked(95103)),
    "ends of fronts": lambda: whole(*banked(95105)),
    "pipes that come down a wall": lambda: whole(*banked(93159)),
    "a pipe through a wide trench": lambda: Whole(wished_plan(95108)),
}


@cache
def yard(name: str) -> Whole:
    """Planned once."""
    return YARDS[name]()


@pytest.mark.parametrize("name", YARDS)
def test_beds_of_the_yards_have_their_soil(name: str) -> None:
    """As they are planned, rows apart as ever."""
    found = yard(name)
    assert beds_have_their_soil(found.data, found.plan.project) == []


@pytest.mark.parametrize("name", YARDS)
def test_rows_ever_closer_come_to_the_outlines(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """With rows 2 cm apart soil and mulch are those of the outlines within 0.15 % of the bed and a thousandth more:
    what is left otherwise is the rows' alone, nothing is counted on one side only."""
    found = yard(name)
    made = found.plan
    monkeypatch.setattr("lynchet.earth.stage.STEP_M", 0.02)
    monkeypatch.setattr("lynchet.earth.stage.SMALL_M2", 0.0)
    fine = earth(made.project, made.ground, made.terraces, made.walls, made.water, made.stability)
    rooms = {room.bed["face"]: room for room in rooms_of(found.data, made.project)}
    assert set(rooms) == {bed.face for bed in fine.beds}
    for bed in fine.beds:
        room = rooms[bed.face]
        assert bed.planted_m2 == pytest.approx(room.open_m2, abs=0.0015 * room.whole_m2 + 0.001), bed.face
        layer = room.whole_m2 * made.project.bed_soil_m
        assert bed.soil_m3 == pytest.approx(room.soil_m3, abs=0.0015 * layer + 0.001), bed.face


def test_a_cleanout_is_as_high_as_it_is_and_as_large_as_its_round() -> None:
    """It was squeezed in height like a pipe that lies: it ended under the soil, and mulch was counted over its lid."""
    made = yard("cleanouts in beds").plan
    owners = Owners(made.terraces, made.walls, made.water)
    thick = made.project.timber.thickness_m
    solids = solids_of(made.terraces, made.walls, made.water, made.stability, thick, owners)
    upright = [body for body in made.water.bodies if body.kind == "fitting"]
    assert upright
    for body in upright:
        whole_m2 = shapely.Polygon(body.outline_m).area
        at = shapely.Polygon(body.outline_m).centroid
        (own,) = [one for one in solids if one.bottom[2] == body.bottom_m and one.top[2] == body.top_m
                  and shapely.Polygon(one.rings[0]).centroid.distance(at) < 1e-6]  # fmt: skip
        assert shapely.Polygon(own.rings[0]).area == pytest.approx(whole_m2 * np.pi / 4.0, rel=1e-6)


BOX = ((0.0, 0.0), (6.0, 0.0), (6.0, 4.0), (0.0, 4.0))
HIGH, LOW, LONG, HALF, ROOM_M = 11.0, 9.2, 0.25, 0.06, 0.3


def _come_down(room_m: float) -> Columns:
    """A bed at 10 m on level ground, and a pipe that comes down to 0.8 m under it within 0.25 m, in rows 1 cm apart."""
    ground = build_surface([(x, y, 10.0) for x in (-3.0, 9.0) for y in (-3.0, 7.0)])
    fall = (LOW - HIGH) / LONG
    ring = ((3.0, 2.0 - HALF), (3.0 + LONG, 2.0 - HALF), (3.0 + LONG, 2.0 + HALF), (3.0, 2.0 + HALF))
    pipe = Solid((ring,), (fall, 0.0, HIGH - 3.0 * fall), (fall, 0.0, HIGH - 3.0 * fall + 0.09), 4, 0, "D", 1, True)
    bed = Finish(BED, "B1", 1, (BOX,), (0.0, 0.0, 10.0))
    rows = rows_over(np.array(BOX), [(1.0, 0.0)], 0.01)
    return columns_of(ground, [bed], in_arrays([pipe], room_m), rows, Depths(0.0, 0.2))


def test_room_beside_a_steep_pipe_ends_where_the_pipe_does(monkeypatch: pytest.MonkeyPatch) -> None:
    """The trench is as wide as the room to work all round, and no deeper past the end of the pipe than there: its slope
    went on, and dug 2 m too deep. By hand: level at the bottom past its end, a triangle along the pipe."""
    monkeypatch.setattr("lynchet.earth.columns.PIECE_M", 0.02)
    found = _come_down(ROOM_M)
    wide = 2.0 * (HALF + ROOM_M)
    assert found.ground_m.max() - (found.ground_m - found.dug_m).min() == pytest.approx(10.0 - LOW, abs=1e-9)
    under = 9.8 - LOW  # under what is dug for the bed's soil
    along = LONG * under / (HIGH - LOW)
    by_hand = wide * under * (ROOM_M + along / 2.0)
    assert float((found.area_m2 * found.trench_m).sum()) == pytest.approx(by_hand, rel=0.005)


def test_mulch_lies_on_all_but_the_pipe_itself() -> None:
    """Room beside a pipe that comes down from above is ground again: it was taken for something that stands there."""
    for room in (0.0, ROOM_M):
        found = _come_down(room)
        reaches = LONG * (HIGH + 0.09 - 10.0) / (HIGH - LOW)
        open_m2 = 24.0 - reaches * 2.0 * HALF
        assert float((found.area_m2 * found.mulched).sum()) == pytest.approx(open_m2, abs=0.01)

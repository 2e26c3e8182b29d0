"""Laws of scale on the ground: short sides, narrow grids, low steps, places just apart."""

import numpy as np
import pytest
import shapely

from lynchet.calculators.checked import call
from lynchet.ground.elevation_text import read_elevation
from lynchet.ground.outlines import distance_to_segments, same_place
from lynchet.ground.section_volumes import end_area_volume
from lynchet.ground.stairs import riser_bounds
from lynchet.ground.triangle_net import delaunay


def test_distances_from_short_sides_are_those_of_a_library():
    """Segments from a centimetre to some metres, a point among them without length, seen from anywhere."""
    rng = np.random.default_rng(6)
    starts = rng.uniform(-2, 2, (60, 2))
    turn, length = rng.uniform(0, 2 * np.pi, 60), 10 ** rng.uniform(-2, 0.6, 60)
    ends = starts + length[:, None] * np.stack([np.cos(turn), np.sin(turn)], axis=1)
    ends[0] = starts[0]
    for point in rng.uniform(-3, 3, (10, 2)):
        wanted = [shapely.LineString([a, b]).distance(shapely.Point(point)) for a, b in zip(starts, ends, strict=True)]
        assert distance_to_segments(point, starts, ends) == pytest.approx(wanted, abs=1e-12)


def test_places_are_the_same_up_to_the_distance_and_no_further():
    """Two of four points a millimetre apart: one place within 1.0 mm, two within 0.96 mm; the rest of them far off."""
    points = [[0.0, 0.0], [5.0, 0.0], [5.0, 0.001], [2.0, 7.0]]
    assert same_place(points, 0.001) == (1, 2)
    assert same_place(points, 0.00096) is None


@pytest.mark.parametrize("columns, rows", [(1, 3), (3, 1), (3, 3)])
def test_narrow_grids_and_places_near_their_low_edge(columns, rows):
    """A grid of one column or row is read; a twentieth of a cell in from the low corner has a twentieth of the fall."""
    x, y = np.meshgrid(np.arange(columns), np.arange(rows)[::-1])
    levels = 1.0 + 0.4 * x + 0.7 * y
    head = f"ncols {columns}\nnrows {rows}\nxllcenter 0\nyllcenter 0\ncellsize 1\n"
    text = head + "\n".join(" ".join(f"{level:.3f}" for level in row) for row in levels)
    at = (0.05 if columns > 1 else 0.0, 0.05 if rows > 1 else 0.0)
    found = call(read_elevation, {"format": "esri_ascii", "text": text, "unit": "m", "sample_x_m": at[0],
                                  "sample_y_m": at[1]})  # fmt: skip
    assert found.points == columns * rows
    assert found.sample_m == pytest.approx(1.0 + 0.4 * at[0] + 0.7 * at[1])


def test_sections_smaller_than_a_square_metre_have_their_volume():
    """A cone of half a square metre at its foot by the middle section: a third of foot times height."""
    rows = [{"chainage_m": 0.0, "area_m2": 0.5, "mid_area_m2": 0.125}, {"chainage_m": 3.0, "area_m2": 0.0}]
    found = call(end_area_volume, {"sections": rows, "rule": "prismoidal"})
    assert found.volume_m3 == pytest.approx(0.5)


def test_a_low_step_is_one_riser():
    """Ten centimetres of rise are one riser at least, two risers' worth two."""
    assert [int(riser_bounds(rise, 0.1, 0.2)[0]) for rise in (0.1, 0.2, 0.21)] == [1, 1, 2]


@pytest.mark.parametrize("halvings", [-20, -8, 8, 20])
def test_a_net_is_the_same_in_every_unit(halvings):
    """Points strewn about, and a turned square lattice whose diagonals rounding alone could choose, doubled or halved
    many times (which no float rounds): the very same triangles, free and held to a break line."""
    rng = np.random.default_rng(11)
    turn = np.array([[np.cos(0.3), np.sin(0.3)], [-np.sin(0.3), np.cos(0.3)]])
    lattice = np.stack(np.meshgrid(np.arange(5.0), np.arange(5.0)), axis=-1).reshape(-1, 2) @ turn
    for points, edge in (
        (rng.uniform(-9, 9, (30, 2)), []),
        (rng.uniform(-9, 9, (30, 2)), [(3, 8)]),
        (lattice, [(0, 7)]),
    ):
        one, two = (delaunay(points * scale, edge).tolist() for scale in (1.0, 2.0**halvings))
        assert sorted(map(sorted, one)) == sorted(map(sorted, two))

"""Laws at the edges of reading levels: lines that break off, places just beside a net, a break along its rim."""

import numpy as np
import pytest

from lynchet.calculators.checked import call
from lynchet.core.errors import InputError
from lynchet.ground.elevation_points import EDGE_M, level_on_triangles
from lynchet.ground.elevation_text import read_elevation
from lynchet.ground.plan_areas import offset_area
from lynchet.ground.triangle_net import _is_whole, delaunay


@pytest.mark.parametrize(
    "form, text, words",
    [
        ("xyz_csv", "0,0,1\n5,0\n", ("line 2", "columns 1, 2, 3")),
        ("esri_ascii", "ncols 2\nnrows", ("nrows", "finite number")),
        ("esri_ascii", "ncols 2\nnrows east\n", ("nrows", "east")),
    ],
)
def test_text_that_breaks_off_is_refused_by_name(form, text, words):
    """The refusal names the line and the columns looked into, counted from one, or the keyword without its number."""
    with pytest.raises(InputError) as error:
        call(read_elevation, {"format": form, "text": text, "unit": "m"})
    assert all(word in str(error.value) for word in words)


@pytest.mark.parametrize("turn", [1, -1])
def test_a_place_beside_the_net_is_outside_it(turn):
    """Beside the long side of a triangle of ten by one metre: within the slack it has the level of the side, past it
    none; the slack is a distance, whichever way the triangle turns and lies."""
    corners = np.array([[0.0, 0.0, 1.0], [10.0, 0.0, 3.0], [10.0, -1.0, 3.0]])
    triangles = np.array([[0, 1, 2][::turn]])
    for shift in (np.zeros(3), np.array([-7.0, 3.0, 0.0])):
        points = corners + shift
        inside = level_on_triangles(points, triangles, 5.0 + shift[0], 0.5 * EDGE_M + shift[1])
        assert inside == pytest.approx(2.0, abs=1e-6)
        assert level_on_triangles(points, triangles, 5.0 + shift[0], 1.5 * EDGE_M + shift[1]) is None


def test_a_break_along_the_rim_changes_no_net():
    """Lines along the sides of a single triangle, either way, and along an inner side of four points."""
    three = np.array([[0.0, 0.0], [4.0, 0.0], [1.0, 3.0]])
    for edge in ((0, 1), (1, 0), (2, 1)):
        assert sorted(delaunay(three, [edge])[0].tolist()) == [0, 1, 2]
    four = np.array([[0.0, 0.0], [4.0, 0.0], [5.0, 3.0], [0.5, 2.5]])
    free = {tuple(sorted(row)) for row in delaunay(four).tolist()}
    (shared,) = [tuple(sorted(set(a) & set(b))) for a in free for b in free if a < b]
    for edge in (shared, shared[::-1], (0, 1)):
        assert {tuple(sorted(row)) for row in delaunay(four, [edge]).tolist()} == free


def test_an_area_by_trapezia_is_one_run():
    """Offsets summed by trapezia count as one run, Simpson's rule counts its own."""
    given = {"chainage_m": [0.0, 1.0, 3.0], "offsets_m": [1.0, 2.0, 2.0]}
    found = call(offset_area, {**given, "rule": "trapezoid"})
    assert (found.area_m2, found.runs) == (pytest.approx(1.5 + 4.0), 1)


def test_a_net_is_whole_only_with_every_point_no_edge_twice_and_no_hole():
    """Two triangles over four points are; with a point left out, a triangle written twice or a hole in a ring of
    eight they are not, each by itself."""
    square = np.array([[0, 1, 2], [0, 2, 3]])
    ring = np.array(
        [[a, (a + 1) % 4, 4 + a] for a in range(4)] + [[(a + 1) % 4, 4 + (a + 1) % 4, 4 + a] for a in range(4)]
    )
    assert _is_whole(square, 4) and _is_whole(np.vstack([ring, square + 4]), 8)
    assert not _is_whole(square, 5)
    assert not _is_whole(np.vstack([square, square[:1]]), 4)
    assert not _is_whole(ring, 8)

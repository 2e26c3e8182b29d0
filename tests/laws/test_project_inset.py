"""Edges moved inward: areas and distances against shapely, refusals by name."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from lynchet.core.errors import InputError
from lynchet.project.inset import edge_rows, inset_outline
from lynchet.project.read import read_project_text

YARD = """
lynchet = 1
units = "metric"
[ground]
slope = {{ fall = "1 in 6" }}
[area]
outline = {outline}
edges = {edges}
"""


def test_all_edges_moved_alike_is_the_mitred_buffer() -> None:
    """Moving every edge of a convex outline by the same amount is what a general library's mitred buffer gives."""
    rng = np.random.default_rng(5)
    for _ in range(100):
        points = shapely.MultiPoint(rng.uniform(0.0, 20.0, (12, 2))).convex_hull
        outline = tuple(points.exterior.coords)[:-1]
        by = float(rng.uniform(0.01, 0.4))
        moved = inset_outline(outline, dict.fromkeys(range(len(outline)), by), "metric")
        expected = points.buffer(-by, join_style="mitre", mitre_limit=1e6)
        if len(expected.exterior.coords) - 1 < len(outline):
            continue  # a side is used up: told instead, below
        assert not isinstance(moved, str)
        assert shapely.Polygon(moved).symmetric_difference(expected).area < 1e-9


@pytest.mark.parametrize("hand", [1, -1])
def test_one_edge_moves_by_its_inset_and_the_others_stay(hand: int) -> None:
    """The moved edge lies its inset inside the old one, every other edge on its old line, either hand of outline."""
    outline = ((0.0, 0.0), (9.0, 1.0), (8.0, 7.0), (4.0, 4.0), (-1.0, 6.0))[::hand]
    whole = shapely.Polygon(outline)
    for edge in range(5):
        moved = inset_outline(outline, {edge: 0.4}, "metric")
        assert not isinstance(moved, str)
        for i in range(5):
            old = shapely.LineString([outline[i], outline[(i + 1) % 5]])
            ends = [shapely.Point(moved[i]), shapely.Point(moved[(i + 1) % 5])]
            line = shapely.LineString([outline[i], outline[(i + 1) % 5]])
            long = shapely.affinity.scale(line, 10.0, 10.0, origin=line.centroid)
            assert all(long.distance(end) == pytest.approx(0.4 if i == edge else 0.0, abs=1e-9) for end in ends), old
        assert shapely.Polygon(moved).area < whole.area


@pytest.mark.parametrize(
    ("edges", "told"),
    [
        ("[{ from = 2, inset = 7 }]", "area.edges.1.inset: 7.00 m inside edge 2: nothing is left of edge"),
        ("[{ from = 2, inset = 7 }]", "less than 6.00 m there"),
        ("[{ from = 0, inset = 0.2 }, { from = 3, inset = 9 }, { from = 2, inset = 1 }]", "less than 8.00 m there"),
        ("[{ from = 0, inset = 4 }, { from = 2, inset = 3 }]", "area.edges.1.inset: 4.00 m inside edge 0"),
        ("[{ from = 1, inset = -1 }]", "inset"),
        ('[{ from = 1, finish = "house", inset = 0.3 }]', "an inset on the edge of a house"),
    ],
)
def test_an_inset_that_cannot_be_is_told(edges: str, told: str) -> None:
    """Too much, less than nothing, or at a house: refused with the key named."""
    text = YARD.format(outline="[[0, 0], [8, 0], [8, 6], [0, 6]]", edges=edges)
    with pytest.raises(InputError) as error:
        read_project_text(text)
    assert told in str(error.value)
    assert "edges" in str(error.value)


def test_rows_read_back_say_the_same() -> None:
    """What a cure writes of the edges is read back as the same area."""
    edges = '[{ from = 0, finish = "bank", width = 1.5 }, { from = 2, inset = 0.35, dig_beyond = 0 }]'
    outline = "[[0, 0], [8, 0], [8, 6], [0, 6]]"
    first = read_project_text(YARD.format(outline=outline, edges=edges)).area
    rows = edge_rows(first, {}, "metric")
    again = read_project_text(YARD.format(outline=outline, edges="[]"), edits=[("area.edges", rows)]).area
    assert first == again
    assert first.rule(2).dig_beyond_m == pytest.approx(0.35)
    assert shapely.Polygon(first.outline_m).area == pytest.approx(8.0 * 5.65)

"""Laws on fall, lines and levels of terraces."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest

from lawbook.case import plan
from lynchet.core.standing import Standing
from lynchet.ground.prisms import cut_fill, prisms
from lynchet.project.model import Brief
from lynchet.terraces.levels import COMPACTION
from lynchet.terraces.lines import Band, placed_offsets
from lynchet.terraces.stage import terraces
from random_yards import realistic
from yards import project_of, readings_over, rectangle

OUTLINE = [(0.0, 0.0), (12.0, 1.0), (13.0, 9.0), (6.0, 7.0), (-1.0, 10.0)]


def test_fall_of_a_plane_is_exact() -> None:
    """On a plane the mean fall is its gradient, whatever the outline."""
    project, ground = project_of(OUTLINE, readings_over(OUTLINE, lambda x, y: 50 + 0.08 * x + 0.21 * y))
    made = terraces(project, ground, Standing())
    turned = project.frame
    gx, gy = made.fall
    ux, uy = turned.axis
    assert (gx * ux - gy * uy, gx * uy + gy * ux) == pytest.approx((0.08, 0.21), abs=1e-5)


def test_fall_is_the_mean_over_the_triangles() -> None:
    """On uneven ground the boundary integral equals the area-weighted mean of the triangles' slopes."""
    project, ground = realistic(5)
    made = terraces(project, ground, Standing())
    total, weight = np.zeros(2), 0.0
    import shapely

    area = shapely.union_all([shapely.Polygon(p[0], p[1:]) for p in made.area_outlines_m])
    for triangle, plane in zip(ground.surface.polygons, ground.surface.planes, strict=True):
        share = triangle.intersection(area).area
        total, weight = total + share * plane[:2], weight + share
    assert made.fall == pytest.approx(tuple(total / weight), abs=1e-4)


@pytest.mark.parametrize("seed", range(6))
def test_offsets_are_the_nearest_free_ones(seed: int) -> None:
    """Placed offsets cost no more than any combination on a fine grid that keeps bands and spacing."""
    rng = np.random.default_rng(seed)
    bands = [Band(low, low + float(rng.uniform(0.3, 1.5)), "x") for low in rng.uniform(0, 9, 4).tolist()]
    found = placed_offsets(2, (0.0, 10.0), bands, 1.0)
    grid = [x for x in np.arange(1.0, 9.0001, 0.02) if not any(b.low_m < x < b.high_m for b in bands)]
    wishes = (10 / 3, 20 / 3)
    costs = [abs(a - wishes[0]) + abs(b - wishes[1]) for a, b in combinations(grid, 2) if b - a >= 1.0]
    if not costs:
        return
    assert found is not None
    assert found[1] - found[0] >= 1.0 - 1e-9
    assert not any(b.low_m + 1e-6 < x < b.high_m - 1e-6 for b in bands for x in found)
    assert sum(abs(a - b) for a, b in zip(found, wishes, strict=True)) <= min(costs) + 1e-6


@pytest.mark.parametrize("seed", [1, 4, 8, 13])
def test_balance_leaves_no_soil_over(seed: int) -> None:
    """With levels in balance the bank volume cut is the compacted volume filled over the compaction."""
    case = plan(*realistic(seed))
    cut = sum(bed.cut_m3 for bed in case.terraces.beds)
    fill = sum(bed.fill_m3 for bed in case.terraces.beds)
    assert cut == pytest.approx(fill / COMPACTION, abs=1e-6)


def test_soil_of_beds_is_that_of_their_outline() -> None:
    """Cut and fill told of a bed are those under its polygon."""
    case = plan(*realistic(2))
    for bed in case.terraces.beds:
        cut, fill = cut_fill(prisms(case.ground.surface, bed.polygon), bed.level_m)
        assert (bed.cut_m3, bed.fill_m3) == pytest.approx((cut[0], fill[0]), abs=1e-6)


def test_equal_levels_rise_alike() -> None:
    """``equal``: every terrace rises by the same number of courses."""
    project, ground = rectangle(brief=Brief(terraces=4, levels="equal"))
    made = terraces(project, ground, Standing())
    assert np.ptp(np.diff(made.levels_m)) < 1e-9


def test_listed_levels_are_kept_or_moved_with_a_word() -> None:
    """A list of levels whole courses apart stands as written; another is moved, and the finding says by how much."""
    project, ground = rectangle(brief=Brief(levels=(100.2, 100.62, 101.04)))
    made = terraces(project, ground, Standing())
    assert made.levels_m == pytest.approx((100.2, 100.62, 101.04))
    assert not any(f.code == "terraces.levels_moved" for f in made.findings)
    project = replace(project, brief=Brief(levels=(100.2, 100.6, 101.1)))
    made = terraces(project, ground, Standing())
    assert made.levels_m == pytest.approx((100.2, 100.62, 101.04))
    assert any(f.code == "terraces.levels_moved" for f in made.findings)


def test_terraces_are_chosen_from_the_drop() -> None:
    """With no count given there are as many terraces as keep each rise near the highest wall wished."""
    project, ground = rectangle(brief=Brief(highest_wall_m=0.3))
    assert len(terraces(project, ground, Standing()).levels_m) == 4  # 1.2 m of drop
    project = replace(project, brief=Brief(highest_wall_m=0.6))
    assert len(terraces(project, ground, Standing()).levels_m) == 2


def test_flat_ground_gives_one_terrace_and_no_wall() -> None:
    """Flat ground with three terraces wished: one terrace, a finding why, no wall, a word that none is needed."""
    outline = [(0.0, 0.0), (8.0, 0.0), (8.0, 6.0), (0.0, 6.0)]
    case = plan(*project_of(outline, readings_over(outline, lambda x, y: 10.0), brief=Brief(terraces=3)))
    assert len(case.terraces.levels_m) == 1
    assert [f.code for f in case.terraces.findings if f.code == "terraces.fewer"]
    assert case.walls.runs == ()
    assert [f for f in case.walls.findings if f.code == "walls.none"]


def test_fall_lines_lie_across_the_fall() -> None:
    """``lines = "fall"``: the lines between benches lie square to the mean fall."""
    outline = [(0.0, 0.0), (10.0, 0.0), (10.0, 8.0), (0.0, 8.0)]
    readings = readings_over(outline, lambda x, y: 0.2 * y + 0.05 * x)
    made = terraces(*project_of(outline, readings, brief=Brief(terraces=3, lines="fall")), Standing())
    assert abs(made.along[0] * made.fall[0] + made.along[1] * made.fall[1]) < 1e-9
    straight = terraces(*project_of(outline, readings, brief=Brief(terraces=3)), Standing())
    assert straight.along == pytest.approx((1.0, 0.0))

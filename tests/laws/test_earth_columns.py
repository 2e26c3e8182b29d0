"""Laws of the columns: published solids, an independent grid, overlaps counted once, a bed split in two."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from lynchet.earth.columns import STEP_M, Columns, Depths, columns_of
from lynchet.earth.finishes import BED, Finish
from lynchet.earth.rows import chords, rings_of, rows_over, widened
from lynchet.earth.solids import Solid, in_arrays
from lynchet.ground.model import Surface
from lynchet.ground.prisms import cut_fill, prisms
from lynchet.ground.surface import beyond, build_surface, level_at

BOX = ((0.0, 0.0), (6.0, 0.0), (6.0, 4.0), (0.0, 4.0))
NOTHING = Depths(0.0, 0.0)


def rough(seed: int) -> Surface:
    """A sloping, rough surface over -3 to 9 by -3 to 7."""
    rng = np.random.default_rng(seed)
    x, y = np.meshgrid(np.arange(-3.0, 9.5, 1.5), np.arange(-3.0, 7.5, 1.5))
    at = np.column_stack([x.ravel(), y.ravel()]) + rng.normal(0.0, 0.15, (x.size, 2))
    slope = rng.normal(0.0, 0.15, 2)
    return build_surface(np.column_stack([at, 10.0 + at @ slope + rng.normal(0.0, 0.05, len(at))]))


def flat(level: float = 10.0) -> Surface:
    """Level ground."""
    return build_surface([(x, y, level) for x in (-3.0, 9.0) for y in (-3.0, 7.0)])


def bed(level: float, ring=BOX, place: str = "B1") -> Finish:
    """A bed finished level."""
    return Finish(BED, place, 1, (ring,), (0.0, 0.0, level))


def block(ring, bottom: float, top: float, material: int = 3) -> Solid:
    """An upright solid with level bottom and top, its trench a wall's."""
    return Solid((tuple(ring),), (0.0, 0.0, bottom), (0.0, 0.0, top), material, 4, "W", 1)


def turned_box(x: float, y: float, long: float, wide: float, turn: float):
    """A rectangle anywhere, anticlockwise."""
    c, s = np.cos(turn), np.sin(turn)
    corners = np.array([(-long, -wide), (long, -wide), (long, wide), (-long, wide)]) / 2.0
    return tuple(map(tuple, (corners @ np.array([(c, s), (-s, c)]) + (x, y)).tolist()))


def looked_at(surface, finishes, solids, depths=NOTHING, step=STEP_M) -> Columns:
    """Columns over everything, rows aslant to the sides of the solids."""
    arrays = in_arrays(solids, 0.0)
    corners = np.concatenate([arrays.rings.start, *(np.array(ring) for one in finishes for ring in one.rings)])
    ways = [tuple(np.subtract(s.rings[0][1], s.rings[0][0]) / np.hypot(*np.subtract(s.rings[0][1], s.rings[0][0])))
            for s in solids]  # fmt: skip
    return columns_of(surface, finishes, arrays, rows_over(corners, ways, step), depths)


def sums(found: Columns) -> dict[str, float]:
    """Volumes of a set of columns."""
    a = found.area_m2
    return {name: float((a * getattr(found, name)).sum()) for name in
            ("topsoil_m", "bench_m", "trench_m", "fill_m", "laid_m", "dug_m")} | {
                "taken": float((a[:, None] * found.taken_m).sum())}  # fmt: skip


def test_a_box_dug_into_level_ground_is_its_length_by_width_by_depth():
    """The plainest prism: a trench 3 by 0.4 by 0.7 m, dug, and as much taken up by what lies in it."""
    ring = turned_box(3.0, 2.0, 3.0, 0.4, 0.3)
    got = sums(looked_at(flat(), [bed(10.0)], [block(ring, 9.3, 10.0)]))
    assert got["trench_m"] == pytest.approx(3.0 * 0.4 * 0.7, rel=0.01)
    assert got["taken"] == pytest.approx(got["trench_m"], rel=1e-9)
    assert got["bench_m"] == pytest.approx(0.0, abs=1e-12)
    assert got["fill_m"] == pytest.approx(0.0, abs=1e-9)


def test_a_wedge_of_cut_is_the_prismoid_of_its_end_areas():
    """Ground falling evenly over a level bed: V = L/6 (A1 + 4 Am + A2), the prismoidal formula of every surveyor."""
    surface = build_surface([(x, y, 10.0 + 0.2 * x) for x in (-3.0, 9.0) for y in (-3.0, 7.0)])
    got = sums(looked_at(surface, [bed(10.0)], [block(turned_box(-2, -2, 0.1, 0.1, 0.4), 9.0, 9.0)]))
    ends = [4.0 * 0.2 * x for x in (0.0, 3.0, 6.0)]
    assert got["bench_m"] == pytest.approx(6.0 / 6.0 * (ends[0] + 4.0 * ends[1] + ends[2]), rel=2e-3)


@pytest.mark.parametrize("seed", range(6))
def test_bench_volumes_agree_with_exact_prisms(seed):
    """On rough ground the columns' cut and fill are within half a hundredth of what the triangles give exactly."""
    surface = rough(seed)
    level = float(np.median(surface.points[:, 2]))
    found = looked_at(surface, [bed(level)], [block(turned_box(3, 2, 1, 0.3, 0.7), level - 0.4, level - 0.1)])
    over = found.ground_m - level
    in_bed = found.face >= 0
    cut, fill = (
        float((found.area_m2 * np.maximum(sign * over, 0.0))[in_bed].sum()) for sign in (1.0, -1.0)
    )  # fmt: skip
    exact = cut_fill(prisms(surface, shapely.Polygon(BOX)), level)
    assert cut == pytest.approx(float(exact[0][0]), abs=0.005 * (cut + fill))
    assert fill == pytest.approx(float(exact[1][0]), abs=0.005 * (cut + fill))


@pytest.mark.parametrize("seed", range(4))
def test_volumes_agree_with_a_fine_grid(seed):
    """Against points 2 cm apart, each looked at by plain if and min: dug, filled and taken up within 1.5 %."""
    rng = np.random.default_rng([seed, 7])
    surface, level = rough(seed), 10.0
    solids = [
        block(turned_box(*rng.uniform((2.0, 1.5), (4.0, 2.5)), *rng.uniform((1.0, 0.2, 0.0), (2.5, 0.5, 3.0))),
              level - rng.uniform(0.3, 0.9), level - rng.uniform(0.0, 0.2), int(rng.integers(0, 5)))
        for _ in range(5)
    ]  # fmt: skip
    depths = Depths(0.15, 0.2)
    got = sums(looked_at(surface, [bed(level)], solids, depths))
    want = by_grid(surface, level, solids, depths)
    for name, value in want.items():
        assert got[name] == pytest.approx(value, rel=0.015, abs=0.01), name


def by_grid(surface, level, solids, depths, step=0.02) -> dict[str, float]:
    """The same sums, point by point: sets of heights in place of sorted intervals."""
    x, y = np.meshgrid(np.arange(step / 2, 6.0, step), np.arange(step / 2, 4.0, step))
    at = np.column_stack([x.ravel(), y.ravel()])
    ground = level_at(surface, at)
    inside = [shapely.contains_xy(shapely.Polygon(s.rings[0]), at[:, 0], at[:, 1]) for s in solids]
    under = np.full(len(at), level - depths.bed_soil_m)
    dug = np.minimum(np.minimum(ground - depths.topsoil_m, under), ground)
    for solid, within in zip(solids, inside, strict=True):
        dug = np.where(within, np.minimum(dug, solid.bottom[2]), dug)
    heights = np.arange(level - 1.5, level, 0.01) + 0.005
    full = np.zeros((len(at), len(heights)), dtype=bool)
    for solid, within in zip(solids, inside, strict=True):
        full |= within[:, None] & (heights > solid.bottom[2]) & (heights < solid.top[2])
    low = heights[None, :] < under[:, None]
    counted = full & (heights[None, :] > dug[:, None])
    cell = step * step
    taken_low, taken = (0.01 * (counted & low).sum(axis=1), 0.01 * counted.sum(axis=1))
    return {
        "dug_m": float((ground - dug).sum() * cell),
        "taken": float(taken.sum() * cell),
        "fill_m": float((under - dug - taken_low).sum() * cell),
        "laid_m": float((depths.bed_soil_m - (taken - taken_low)).sum() * cell),
    }


def test_what_two_solids_share_is_dug_and_counted_once():
    """A solid laid twice changes nothing; a pipe within stone adds no digging and takes its room from the stone."""
    ring = turned_box(3.0, 2.0, 4.0, 0.5, 0.2)
    stone = block(ring, 9.2, 9.8)
    pipe = block(turned_box(3.0, 2.0, 4.0, 0.1, 0.2), 9.3, 9.4, 4)
    once, twice, both = (
        looked_at(flat(), [bed(10.0)], solids) for solids in ([stone], [stone, stone], [stone, pipe])
    )  # fmt: skip
    assert sums(twice) == pytest.approx(sums(once), rel=1e-9)
    assert sums(both)["trench_m"] == pytest.approx(sums(once)["trench_m"], rel=0.01)
    taken = (both.area_m2[:, None] * both.taken_m).sum(axis=0)
    assert taken[4] == pytest.approx(4.0 * 0.1 * 0.1, rel=0.05)
    assert taken[3] + taken[4] == pytest.approx(sums(once)["taken"], rel=0.01)


@pytest.mark.parametrize("seed", range(4))
def test_a_bed_split_in_two_gives_the_whole(seed):
    """Exact prisms: cut and fill of the two parts of a bed add up to those of the bed, to 1e-9."""
    rng = np.random.default_rng([seed, 3])
    surface, level = rough(seed), 10.0 + float(rng.normal(0.0, 0.1))
    whole = shapely.Polygon(BOX)
    a, b = rng.uniform(1.0, 5.0, 2)
    left = shapely.Polygon([(0.0, 0.0), (a, 0.0), (b, 4.0), (0.0, 4.0)])
    right = shapely.Polygon([(a, 0.0), (6.0, 0.0), (6.0, 4.0), (b, 4.0)])
    for one, two, both in zip(*(cut_fill(prisms(surface, part), level) for part in (left, right, whole)), strict=True):
        assert float(one[0] + two[0]) == pytest.approx(float(both[0]), abs=1e-9)


def test_chords_of_parts_are_those_of_the_whole():
    """The rows within the two parts of a bed are together as long as those within the bed, to 1e-9; so are areas."""
    left, right = ((0.0, 0.0), (2.0, 0.0), (3.0, 4.0), (0.0, 4.0)), ((2.0, 0.0), (6.0, 0.0), (6.0, 4.0), (3.0, 4.0))
    rows = rows_over(np.array(BOX), [(1.0, 0.0)], 0.2)
    lengths = [float((c.end - c.start).sum()) for c in (chords(rings_of([[r]]), rows) for r in (left, right, BOX))]
    assert lengths[0] + lengths[1] == pytest.approx(lengths[2], abs=1e-9)
    assert lengths[2] * 0.2 == pytest.approx(24.0, rel=2e-3)


def test_a_hole_is_left_out():
    """A ring with a hole has the area of the one less the other."""
    hole = ((2.0, 1.0), (4.0, 1.0), (4.0, 3.0), (2.0, 3.0))
    rows = rows_over(np.array(BOX), [(1.0, 0.0)], 0.05)
    found = chords(rings_of([[BOX, hole]]), rows)
    assert float((found.end - found.start).sum()) * 0.05 == pytest.approx(20.0, rel=2e-3)


@pytest.mark.parametrize("seed", range(5))
def test_narrow_trenches_are_met_evenly(seed):
    """A strip 10 cm wide, half a row, keeps its area within 2 % whichever way it runs: rows are laid aslant to it."""
    turn = np.random.default_rng(seed).uniform(0.0, np.pi)
    ring = turned_box(0.0, 0.0, 8.0, 0.1, turn)
    rows = rows_over(np.array(ring), [(float(np.cos(turn)), float(np.sin(turn)))], 0.2)
    found = chords(rings_of([[ring]]), rows)
    assert float((found.end - found.start).sum()) * 0.2 == pytest.approx(0.8, rel=0.02)


def test_widened_is_a_mitred_buffer():
    """Room beside a solid is what a mitred buffer gives, whichever hand the ring has, inward too."""
    ring = np.array([(0.0, 0.0), (3.0, 0.2), (3.4, 1.1), (-0.2, 0.9)])
    for corners in (ring, ring[::-1]):
        for by in (0.1, -0.1):
            wide = shapely.Polygon(widened(corners[None], by)[0])
            assert shapely.symmetric_difference(wide, shapely.Polygon(ring).buffer(by, join_style="mitre")).area < 1e-9


def test_more_topsoil_is_no_more_digging_where_the_bench_is_deeper():
    """Where the whole bed is cut below its topsoil, stripping deeper moves soil from one heap to the other only."""
    solids = [block(turned_box(3, 2, 1, 0.3, 0.7), 9.0, 9.2)]
    thin, thick = (sums(looked_at(flat(), [bed(9.5)], solids, Depths(t, 0.2))) for t in (0.05, 0.15))
    assert thin["dug_m"] == pytest.approx(thick["dug_m"], rel=1e-9)
    assert thick["topsoil_m"] == pytest.approx(3.0 * thin["topsoil_m"], rel=1e-9)


def test_deeper_bed_soil_never_digs_less():
    """Each centimetre of bed soil is dug out first: digging grows with it, by its area where all is cut."""
    solids = [block(turned_box(3, 2, 1, 0.3, 0.7), 9.5, 9.6)]
    shallow, deep = (sums(looked_at(flat(), [bed(10.0)], solids, Depths(0.1, d))) for d in (0.2, 0.3))
    assert deep["dug_m"] - shallow["dug_m"] == pytest.approx(24.0 * 0.1 - 0.3 * 0.1, rel=0.02)


def test_levels_beyond_the_ground_are_those_of_its_rim():
    """Off the measured ground the level is that of the nearest place on its rim, as the slower look-up says."""
    surface = rough(3)
    rng = np.random.default_rng(5)
    turn = rng.uniform(0.0, 2.0 * np.pi, 50)
    at = np.column_stack([3.0 + 12.0 * np.cos(turn), 2.0 + 12.0 * np.sin(turn)])
    assert beyond(surface, at) == pytest.approx(level_at(surface, at, np.inf), abs=0.02)


def test_turned_and_mirrored_ground_gives_the_same_volumes():
    """Everything turned by some angle, or mirrored, is the same soil within what rows laid otherwise differ by."""
    surface, level = rough(1), 10.0
    solids = [block(turned_box(3, 2, 3, 0.3, 0.4), 9.3, 9.9), block(turned_box(2, 1, 2, 0.4, 1.2), 9.5, 9.8)]
    before = sums(looked_at(surface, [bed(level)], solids, Depths(0.15, 0.2)))
    for turn, hand in ((0.7, 1.0), (2.1, -1.0)):
        matrix = np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]]) * [1.0, hand]

        def moved(ring, matrix=matrix):
            return tuple(map(tuple, (np.array(ring) @ matrix).tolist()))

        points = np.column_stack([surface.points[:, :2] @ matrix, surface.points[:, 2]])
        others = [s._replace(rings=(moved(s.rings[0]),)) for s in solids]
        after = sums(looked_at(build_surface(points), [bed(level, moved(BOX))], others, Depths(0.15, 0.2)))
        assert after == pytest.approx(before, rel=0.015)

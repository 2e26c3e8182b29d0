"""Laws of volumes: sections, pits, grids, benches, terraces, heaps, loads."""

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.optimize import brentq

from lynchet.calculators.checked import call
from lynchet.core.errors import InputError
from lynchet.ground.bench_sections import balanced_cut_width, bench_cut_fill, bench_section, terrace_quantities
from lynchet.ground.earth_states import earth_states, full_load, load_count, whole_loads
from lynchet.ground.grid_volume import bilinear_positive, corner_weights, grid_cut_fill, grid_volume
from lynchet.ground.section_volumes import (
    battered_pit,
    battered_volume,
    end_area_volume,
    frustum,
    pipe_volume,
    prismoid,
    trench_gravel,
)
from lynchet.ground.stockpile import cone_height, ridge_height, stockpile


def refused(function, given, word):
    """The call is refused with a text that holds the word."""
    with pytest.raises(InputError) as error:
        call(function, given)
    assert word in str(error.value).lower(), str(error.value)


def test_prismoid_is_exact_for_battered_pits():
    """A battered pit by layers (numerical integral of the plan area over depth) is the closed form."""
    rng = np.random.default_rng(1)
    for _ in range(40):
        length, width, depth = rng.uniform(0.3, 8, 3)
        side, end = rng.uniform(0, 2, 2)
        given = {
            "bottom_length_m": length,
            "bottom_width_m": width,
            "depth_m": depth,
            "batter": side,
            "end_batter": end,
        }
        got = call(battered_pit, {key: float(value) for key, value in given.items()})
        layers = quad(lambda z, v=(length, width, side, end): (v[0] + 2 * v[3] * z) * (v[1] + 2 * v[2] * z), 0, depth)[
            0
        ]
        assert got.volume_m3 == pytest.approx(layers)
        assert got.volume_m3 == pytest.approx(float(battered_volume(length, width, depth, side, end)))
        across = quad(lambda z, v=(width, side): v[0] + 2 * v[1] * z, 0, depth)[0]
        assert got.section_area_m2 == pytest.approx(across)
    plain = call(battered_pit, {"bottom_length_m": 3.0, "bottom_width_m": 1.0, "depth_m": 2.0, "batter": 0.5})
    same = call(
        battered_pit, {"bottom_length_m": 3.0, "bottom_width_m": 1.0, "depth_m": 2.0, "batter": 0.5, "end_batter": 0.5}
    )
    assert plain == same


def test_a_trench_with_upright_ends_is_its_section_times_its_length():
    """End batter 0 gives a prism."""
    given = {"bottom_length_m": 7.0, "bottom_width_m": 0.4, "depth_m": 1.1, "batter": 0.7, "end_batter": 0.0}
    got = call(battered_pit, given)
    assert got.volume_m3 == pytest.approx(7.0 * got.section_area_m2)
    assert got.top_length_m == 7.0


def test_rules_for_sections_agree_where_they_must():
    """A pyramid by frustum, prismoid and Simpson is a third of base times height; end areas give more."""
    side = np.array([4.0, 3.0, 2.0, 1.0, 0.0])
    rows = [{"chainage_m": float(4 - s), "area_m2": float(s**2), "mid_area_m2": float((s - 0.5) ** 2)} for s in side]
    volume = {rule: call(end_area_volume, {"sections": rows, "rule": rule}).volume_m3 for rule in
              ("frustum", "prismoidal", "simpson", "average_end_area")}  # fmt: skip
    for rule in ("frustum", "prismoidal", "simpson"):
        assert volume[rule] == pytest.approx(64 / 3), rule
    assert volume["average_end_area"] > 64 / 3
    assert prismoid([16], [4], [0], [4])[0] == pytest.approx(64 / 3)
    assert frustum([16, 9], [9, 4], [1, 1]) == pytest.approx([(64 - 27) / 3, (27 - 8) / 3])


def test_a_split_line_of_sections_adds_up():
    """Parts before and after any section add up to the whole."""
    rng = np.random.default_rng(2)
    x, areas = np.cumsum(rng.uniform(0.5, 4, 9)), rng.uniform(0, 5, 9)
    middles = rng.uniform(0, 5, 9)
    rows = [
        {"chainage_m": float(a), "area_m2": float(b), "mid_area_m2": float(c)}
        for a, b, c in zip(x, areas, middles, strict=True)
    ]
    for rule in ("average_end_area", "prismoidal", "frustum"):
        whole = call(end_area_volume, {"sections": rows, "rule": rule})
        parts = [call(end_area_volume, {"sections": part, "rule": rule}).volume_m3 for part in (rows[:5], rows[4:])]
        assert sum(parts) == pytest.approx(whole.volume_m3)
        assert sum(whole.parts_m3) == pytest.approx(whole.volume_m3)
        assert len(whole.parts_m3) == 8


@pytest.mark.parametrize(
    ("changes", "rule", "word"),
    [
        ({"chainage_m": 0.0}, "average_end_area", "chainage"),
        ({"area_m2": -1.0}, "average_end_area", "area"),
        ({"mid_area_m2": None}, "prismoidal", "mid"),
        ({"mid_area_m2": -1.0}, "prismoidal", "mid"),
        ({"area": 1.0}, "average_end_area", "area"),
        ({}, "pyramid", "rule"),
    ],
)
def test_section_refusals(changes, rule, word):
    """One fault in the middle of three sections is refused by its word."""
    rows = [{"chainage_m": float(i), "area_m2": 1.0, "mid_area_m2": 1.0} for i in range(3)]
    rows[1] = {key: value for key, value in {**rows[1], **changes}.items() if value is not None}
    refused(end_area_volume, {"sections": rows, "rule": rule}, word)


def test_gravel_and_pipes_fill_the_trench():
    """Gravel and pipes together are the trench; the kernel gives the calculator's pipes."""
    rng = np.random.default_rng(3)
    for _ in range(20):
        given = {"length_m": rng.uniform(1, 20), "width_m": rng.uniform(0.3, 1), "depth_m": rng.uniform(0.3, 1)}
        given = {key: float(value) for key, value in given.items()} | {"pipe_diameter_mm": 110.0, "pipes": 2}
        got = call(trench_gravel, given)
        assert got.gravel_m3 + got.pipe_m3 == pytest.approx(got.trench_m3)
        assert got.pipe_m3 == pytest.approx(float(pipe_volume(given["length_m"], 110.0, 2)))
        assert got.pipe_m3 == pytest.approx(2 * np.pi * 0.055**2 * given["length_m"])
    fits = {"length_m": 1.0, "width_m": 0.2, "depth_m": 0.2, "pipe_diameter_mm": 100.0, "pipes": 2}
    assert call(trench_gravel, fits).trench_m3 == pytest.approx(0.04)
    refused(trench_gravel, {**fits, "width_m": 0.1999}, "pipe")
    refused(trench_gravel, {**fits, "pipe_diameter_mm": -1.0}, "pipe")
    for key in ("length_m", "width_m", "depth_m"):
        refused(trench_gravel, {**fits, key: 0.0}, "positive")


def brute_positive(corner, n=400):
    """Midpoint sum of the positive part of a bilinear surface."""
    u = (np.arange(n) + 0.5) / n
    v = u[:, None]
    a, b, c, d = corner
    return np.maximum(a * (1 - u) * (1 - v) + b * u * (1 - v) + c * (1 - u) * v + d * u * v, 0).mean()


def test_bilinear_cells_by_brute_force_and_by_quadrature():
    """The positive part of random bilinear cells, also extreme ones, by sampling and by adaptive quadrature."""
    rng = np.random.default_rng(4)
    cells = rng.normal(0, 1, (30, 4))
    cells = np.concatenate([cells, [[1, -1, -1, 1], [1, -1e-4, 1e-5, -1], [1e-6, -1, -1, -1], [0, 0, 0, 0],
                                    [1, 0, 0, -1], [-1, 1e-3, 1e-3, -1], [1, -1e-7, -1e-7, 1e-3]]])  # fmt: skip
    ours = bilinear_positive(cells)
    for corner, value in zip(cells, ours, strict=True):
        assert value == pytest.approx(brute_positive(corner), abs=3e-4)

        def over_v(u, k=corner):
            p, q = k[0] * (1 - u) + k[1] * u, k[2] * (1 - u) + k[3] * u
            return max(p, q) ** 2 / (2 * abs(p - q)) if p * q < 0 else max(p + q, 0) / 2

        roots = [s / (s - e) for s, e in (corner[:2], corner[2:]) if s * e < 0]
        exact = quad(over_v, 0, 1, points=roots or None, limit=200, epsabs=1e-11)[0]
        assert abs(value - exact) <= 1e-7 * np.abs(corner).max()


def random_grid(rng):
    levels = rng.uniform(9, 11, tuple(rng.integers(2, 6, 2)))
    return levels, rng.uniform(9.5, 10.5, levels.shape)


def test_grid_net_is_the_same_by_every_method():
    """Cut less fill is the weighted net by all three methods, and the kernel is the calculator."""
    rng = np.random.default_rng(5)
    for _ in range(15):
        levels, formation = random_grid(rng)
        for method in ("corner_clip", "four_point", "bilinear"):
            given = {"levels_m": levels.tolist(), "formation_m": formation.tolist(), "spacing_x_m": 2.0,
                     "spacing_y_m": 1.5, "method": method}  # fmt: skip
            got = call(grid_volume, given)
            assert got.cut_m3 - got.fill_m3 == pytest.approx(got.net_m3, abs=1e-9)
            cut, fill = grid_cut_fill(levels - formation, method)
            assert (cut.sum() * 3.0, fill.sum() * 3.0) == pytest.approx((got.cut_m3, got.fill_m3))
            assert got.method == method


def test_grid_split_and_balance():
    """Two halves of a grid add up; with the formation at the balance level cut equals fill."""
    rng = np.random.default_rng(6)
    levels = rng.uniform(9, 11, (4, 7))
    common = {"spacing_x_m": 1.0, "spacing_y_m": 2.0, "formation_m": 10.0}
    whole = call(grid_volume, {"levels_m": levels.tolist(), **common})
    halves = [call(grid_volume, {"levels_m": part.tolist(), **common}) for part in (levels[:, :4], levels[:, 3:])]
    assert sum(half.cut_m3 for half in halves) == pytest.approx(whole.cut_m3)
    assert sum(half.fill_m3 for half in halves) == pytest.approx(whole.fill_m3)
    even = call(grid_volume, {"levels_m": levels.tolist(), **common, "formation_m": whole.balance_level_m})
    assert even.cut_m3 == pytest.approx(even.fill_m3)
    counted = np.zeros((4, 7))
    for i in range(3):
        for j in range(6):
            counted[i : i + 2, j : j + 2] += 1
    assert corner_weights(4, 7).tolist() == counted.tolist()


@pytest.mark.parametrize(
    ("given", "word"),
    [
        ({"levels_m": [[1.0, 2.0]]}, "rectangular"),
        ({"levels_m": [[1.0, 2.0], [1.0]]}, "rectangular"),
        ({"levels_m": [[1.0], [1.0]]}, "rectangular"),
        ({"levels_m": []}, "rectangular"),
        ({"spacing_x_m": -1.0}, "spacing"),
        ({"formation_m": [[0.0, 0.0], [0.0]]}, "formation"),
        ({"formation_m": "level"}, "formation"),
        ({"method": "mean"}, "method"),
    ],
)
def test_grid_refusals(given, word):
    """A grid that is none is refused by its word."""
    whole = {"levels_m": [[1.0, 2.0], [1.0, 2.0]], "spacing_x_m": 1.0, "spacing_y_m": 1.0, "formation_m": 0.0}
    refused(grid_volume, {**whole, **given}, word)


def test_bench_areas_are_triangles():
    """Cut and fill of a bench are the triangles between ground and bench; a balanced cut makes its fill."""
    rng = np.random.default_rng(7)
    for _ in range(50):
        slope, batter, k = rng.uniform(0.05, 0.9), rng.uniform(0, 1), rng.uniform(0.6, 1.4)
        bench = rng.uniform(0.5, 5)
        given = {"bench_width_m": bench, "slope_pct": 100 * slope, "cut_batter": batter, "compacted_per_bank": k}
        got = call(bench_section, {key: float(value) for key, value in given.items()})
        assert got.fill_area_m2 == pytest.approx(k * got.cut_area_m2)
        c, f = got.cut_width_m, got.fill_width_m
        # corners of the cut: edge of cut on the ground, foot of the face, head of the face on the ground
        head = np.array([c + batter * got.cut_face_m, got.cut_face_m])
        assert head[1] == pytest.approx(slope * head[0])
        assert got.cut_area_m2 == pytest.approx(c * head[1] / 2)
        assert got.fill_area_m2 == pytest.approx(f * got.fill_face_m / 2)
        assert float(balanced_cut_width(bench, slope, batter, k)) == pytest.approx(c)
        cut, fill = bench_cut_fill([c, c], [f, f], slope, batter)
        assert (cut[1], fill[0]) == pytest.approx((got.cut_area_m2, got.fill_area_m2))
    refused(bench_section, {"bench_width_m": 2.0, "slope_pct": 50.0, "cut_batter": 2.0}, "batter")
    refused(bench_section, {"bench_width_m": 2.0, "slope_pct": 50.0, "cut_batter": -0.1}, "batter")
    refused(bench_section, {"bench_width_m": 2.0, "slope_pct": 50.0, "cut_width_m": -0.1}, "cut width")


TERRACE = {"bench_width_m": 1.7, "slope_pct": 25.0, "retained_courses": 3, "buried_courses": 1}


def section_of(function, start, end, n=20_000):
    """Area between a function and zero by sampling."""
    x = start + (np.arange(n) + 0.5) * (end - start) / n
    return function(x).mean() * (end - start)


def test_terrace_areas_by_sampling_the_section():
    """Cut, fill and overdig of a terrace by sampling ground and bench along the section, for random terraces."""
    rng = np.random.default_rng(8)
    for _ in range(25):
        slope = rng.uniform(0.1, 0.4)
        bench, t, stone = rng.uniform(1, 3), 0.14, rng.uniform(0, 0.5)
        cut_width = rng.uniform(0, bench)
        given = {"bench_width_m": bench, "slope_pct": 100 * slope, "retained_courses": 3.0, "buried_courses": 1.0,
                 "timber_width_m": t, "stone_width_m": stone, "cut_width_m": cut_width}  # fmt: skip
        got = call(terrace_quantities, {key: float(value) for key, value in given.items()})
        # x = 0 at the wall's face, uphill; the lower bench ends there at level 0; its head of cut lies c downhill
        fall = got.bench_fall_pct / 100
        rise = slope - fall
        r = got.retained_m

        def bench_below(x, fall=fall):
            return fall * x

        def ground(x, slope=slope, start=rise * cut_width):
            return start + slope * x  # old ground stands q c over the lower bench at the wall's face

        def bench_above(x, r=r, fall=fall, t=t):
            return r + fall * (x - t)

        cut = section_of(lambda x, g=ground: g(x) - bench_below(x), -cut_width, 0)
        fill = section_of(lambda x, g=ground, a=bench_above: a(x) - g(x), t, t + bench - cut_width)
        assert got.cut_area_m2 == pytest.approx(cut, rel=1e-6)
        assert got.fill_area_m2 == pytest.approx(fill, rel=1e-5)
        over = section_of(lambda x, g=ground, a=bench_above, t=t: np.where(x < t, g(x), np.minimum(g(x), a(x))), 0,
                          t + stone)  # fmt: skip
        assert got.overdig_area_m2 == pytest.approx(over, rel=1e-4)
        bare = section_of(lambda x, g=ground, r=r: r - g(x), 0, t)
        assert got.timber_above_ground_area_m2 == pytest.approx(bare, rel=1e-6)


def test_terrace_account_adds_up():
    """What is pushed out is cut less fill in bank measure plus all that is brought in; lengths scale it."""
    got = call(terrace_quantities, {**TERRACE, "bed_soil_m": 0.1, "compacted_per_bank": 0.9, "loose_per_bank": 1.3,
                                    "length_m": 12.0})  # fmt: skip
    brought = got.stone_area_m2 + got.timber_area_m2 + got.bed_soil_area_m2
    assert got.pushed_out_area_m2 == pytest.approx(got.cut_area_m2 - got.fill_area_m2 / 0.9 + brought)
    for name in ("cut", "fill", "trench", "overdig", "stone", "timber", "bed_soil"):
        assert getattr(got, f"{name}_m3") == pytest.approx(12 * getattr(got, f"{name}_area_m2")), name
    assert got.pushed_out_loose_m3 == pytest.approx(12 * 1.3 * got.pushed_out_area_m2)
    assert call(terrace_quantities, {**TERRACE, "loose_per_bank": 1.3}).pushed_out_loose_m3 is None
    half = call(terrace_quantities, {**TERRACE, "cut_width_m": 0.85})
    assert half == call(terrace_quantities, TERRACE)


@pytest.mark.parametrize(
    ("given", "word"),
    [
        ({"bench_width_m": 0.0}, "bench"), ({"course_height_m": 0.0}, "timber"), ({"retained_courses": 0}, "courses"),
        ({"buried_courses": -1}, "courses"), ({"cut_width_m": -0.1}, "cut width"),
        ({"retained_courses": 0.2}, "retained"), ({"stone_width_m": -0.1}, "stone"), ({"stone_cover_m": -0.1}, "stone"),
        ({"stone_cover_m": 0.6}, "stone"), ({"base_depth_m": -0.1}, "base"),
        ({"compacted_per_bank": 0.49}, "compacted"),
        ({"compacted_per_bank": 1.61}, "compacted"), ({"loose_per_bank": 2.6}, "loose"), ({"length_m": -1.0}, "length"),
    ],
)  # fmt: skip
def test_terrace_refusals(given, word):
    """Each size out of place is refused by its word."""
    refused(terrace_quantities, {**TERRACE, **given}, word)


def test_soil_states_round_trip():
    """Bank to loose to compacted and back is the same soil, from every source of factors."""
    sources = [
        {"soil": "clay"},
        {"loose_per_bank": 1.2, "compacted_per_bank": 0.85},
        {"bank_kg_m3": 1600.0, "loose_kg_m3": 1280.0, "compacted_kg_m3": 1760.0},
    ]
    for source in sources:
        one = call(earth_states, {"volume_m3": 7.0, "state": "bank", **source})
        for state in ("loose", "compacted"):
            volume = getattr(one, f"{state}_m3")
            back = call(earth_states, {"volume_m3": volume, "state": state, **source})
            assert back.bank_m3 == pytest.approx(7.0)
    assert one.loose_per_bank == pytest.approx(1.25)
    assert one.compacted_per_bank == pytest.approx(1600 / 1760)


@pytest.mark.parametrize(
    ("given", "word"),
    [
        ({}, "factor"), ({"soil": "sand", "loose_per_bank": 1.2}, "factor"),
        ({"soil": "sand", "bank_kg_m3": 1600.0, "loose_kg_m3": 1300.0}, "factor"), ({"loose_kg_m3": 1300.0}, "factor"),
        ({"bank_kg_m3": 1600.0, "loose_kg_m3": 0.0}, "factor"), ({"bank_kg_m3": -1.0, "loose_kg_m3": 1.0}, "factor"),
        ({"loose_per_bank": 2.51}, "loose"), ({"compacted_per_bank": 1.61}, "compacted"),
        ({"bank_kg_m3": 1000.0, "loose_kg_m3": 1300.0}, "loose"), ({"state": "dug", "soil": "sand"}, "state"),
        ({"state": "loose", "compacted_per_bank": 0.9}, "loose"),
        ({"state": "compacted", "loose_per_bank": 1.2}, "compacted"),
        ({"state": "compacted", "bank_kg_m3": 1600.0, "loose_kg_m3": 1300.0}, "compacted"),
    ],
)  # fmt: skip
def test_soil_state_refusals(given, word):
    """Each want or excess of factors is refused by its word."""
    refused(earth_states, {"volume_m3": 1.0, "state": "bank", **given}, word)


def test_loads_carry_everything_and_no_load_is_idle():
    """Loads hold the volume, one load fewer would not; the smaller of volume and weight governs."""
    rng = np.random.default_rng(9)
    volume, truck = rng.uniform(0, 60, 60), rng.uniform(0.05, 6, 60)
    payload, density = rng.uniform(80, 9000, 60), rng.uniform(1000, 1900, 60)
    for i in range(60):
        given = {"loose_m3": volume[i], "truck_m3": truck[i], "payload_kg": payload[i], "loose_kg_m3": density[i]}
        got = call(load_count, {key: float(value) for key, value in given.items()})
        assert got.loads * got.load_m3 >= volume[i] - 1e-6
        assert (got.loads - 1) * got.load_m3 < volume[i]
        assert got.load_kg <= payload[i] + 1e-6
        assert got.governed_by == ("weight" if payload[i] / density[i] < truck[i] else "volume")
        load = full_load(truck[i], payload[i], density[i])
        assert (float(load), int(whole_loads(volume[i], load))) == (got.load_m3, got.loads)
    assert call(load_count, {"loose_m3": 0.0, "truck_m3": 5.0}).loads == 0
    refused(load_count, {"loose_m3": 1.0, "truck_m3": 0.0}, "truck")
    refused(load_count, {"loose_m3": 1.0, "truck_m3": 1.0, "payload_kg": 0.0, "loose_kg_m3": 1.0}, "payload")
    refused(load_count, {"loose_m3": 1.0, "truck_m3": 1.0, "payload_kg": 1.0, "loose_kg_m3": 0.0}, "density")


def heap_volume(height, tangent, crest, sloping):
    """Volume of a heap by slices of level area."""

    def area(z):
        half = (height - z) / tangent
        return 2 * half * crest + (np.pi * half**2 if sloping else 0.0)

    return quad(area, 0, height)[0]


def test_heaps_hold_their_volume():
    """Slices of the heap add up to its volume, for cones and ridges of both ends; kernels are the calculator."""
    rng = np.random.default_rng(10)
    for _ in range(40):
        volume, repose, crest = rng.uniform(0.05, 200), rng.uniform(5, 60), rng.uniform(0.1, 20)
        tangent = np.tan(np.radians(repose))
        given = {"loose_m3": float(volume), "repose_deg": float(repose)}
        cone = call(stockpile, given)
        assert heap_volume(cone.height_m, tangent, 0.0, True) == pytest.approx(volume)
        assert float(cone_height(volume, repose)) == cone.height_m
        for ends in ("cone", "square"):
            got = call(stockpile, {**given, "shape": "ridge", "crest_length_m": float(crest), "ends": ends})
            assert heap_volume(got.height_m, tangent, crest, ends == "cone") == pytest.approx(volume)
            solved = brentq(
                lambda h, e=ends, v=volume, t=tangent, c=crest: heap_volume(h, t, c, e == "cone") - v, 1e-6, 90
            )
            assert got.height_m == pytest.approx(solved, rel=1e-6)
            assert float(ridge_height(volume, repose, crest, ends == "cone")) == got.height_m
            assert got.length_m == pytest.approx(crest + (got.width_m if ends == "cone" else 0))
            assert got.centre_from_edge_m == pytest.approx(got.width_m / 2 + 0.6096)
    assert call(stockpile, {**given, "toe_to_edge_m": 0.6096}).clear is True
    assert call(stockpile, {**given, "toe_to_edge_m": 0.6095}).clear is False


@pytest.mark.parametrize(
    ("given", "word"),
    [
        ({"loose_m3": 0.0}, "volume"), ({"repose_deg": 0.0}, "repose"), ({"ends": "round"}, "ends"),
        ({"crest_length_m": 2.0}, "crest"), ({"shape": "ridge", "crest_length_m": 0.0}, "crest"),
    ],
)  # fmt: skip
def test_heap_refusals(given, word):
    """A heap that cannot stand is refused by its word."""
    refused(stockpile, {"loose_m3": 1.0, "repose_deg": 35.0, **given}, word)


@pytest.mark.parametrize("soil, loose, compacted", [
    ("sand", 1.11, 0.95), ("common_earth", 1.25, 0.90), ("clay", 1.43, 0.90), ("blasted_rock", 1.50, 1.30),
])  # fmt: skip
def test_soils_swell_and_shrink_as_printed(soil, loose, compacted):
    """US Army FM 5-434, table 1-1, typed once more: loose and compacted volume of one cubic metre in the bank."""
    found = call(earth_states, {"volume_m3": 1.0, "state": "bank", "soil": soil})
    assert (found.loose_m3, found.compacted_m3) == pytest.approx((loose, compacted))
    assert (found.swell_pct, found.shrink_pct) == pytest.approx((100 * (loose - 1), 100 * (1 - compacted)))

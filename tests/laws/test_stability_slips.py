"""Laws of slip circles: two implementations, closed forms, mirrors, the search against brute force."""

from __future__ import annotations

import numpy as np
import pytest

from laws.slip_by_hand import PlainSection, circle_by_loop
from lynchet.calculators.checked import call
from lynchet.stability.slices import slice_factor
from lynchet.stability.slip_arcs import prepared, x_at
from lynchet.stability.slip_bulges import Chords, arcs_of, bulge_through, chords_of, first_touch, open_bulges
from lynchet.stability.slip_circle import lowest_over, slip_circle_factor
from lynchet.stability.slip_factors import factors
from lynchet.stability.slip_search import FULL, LIVE, Hunt, first_look, least_circle, slip_search
from lynchet.stability.slip_section import SectionGiven, SlipLayer, SlipTie, build_section

BANK = [[-4.0, 0.0], [0.0, 0.0], [2.0, 3.0], [9.0, 3.0]]
TERRACES = [[-5.0, 0.0], [0.0, 0.0], [0.05, 0.8], [2.0, 0.85], [2.05, 1.7], [5.0, 2.2], [12.0, 3.4]]


def _section(seed: int, crack_water: float = 0.3):
    """A terraced section with pinching layers, water, shaking, a crack or ties by turns."""
    rng = np.random.default_rng(seed)
    layers = [
        SlipLayer(
            17.5, rng.uniform(20, 32), rng.uniform(1, 5), [[-5.0, -0.2], [1.0, rng.uniform(0, 0.6)], [12.0, 2.0]]
        ),
        SlipLayer(19.0, rng.uniform(8, 20), rng.uniform(2, 6), [[-5.0, rng.uniform(-1.5, -0.5)], [12.0, 1.0]]),
        SlipLayer(20.0, rng.uniform(25, 35), rng.uniform(4, 9), None),
    ]
    wet = [[-5.0, -0.3], [0.0, -0.1], [2.0, 0.3], [12.0, 2.0]] if seed % 3 else None
    ties = [SlipTie(3.0, 0.5, 1.5), SlipTie(2.0, 1.3, 3.5)] if seed % 2 else None
    return build_section(
        SectionGiven(
            TERRACES,
            layers,
            water_line=wet,
            pore_ratio=None if wet else 0.15,
            seismic_coefficient=0.08 if seed % 4 == 1 else 0.0,
            crack_depth_m=0.4 if seed % 4 == 2 else 0.0,
            crack_water_m=crack_water if seed % 4 == 2 else 0.0,
            ties=ties,
            tie_convention="driving" if seed % 4 == 3 else "resisting",
        )
    )


def _random_arcs(section, seed: int, count: int):
    rng = np.random.default_rng(seed)
    left = rng.uniform(-3, 2.5, count)
    chords = chords_of(section, left, left + rng.uniform(1, 7, count))
    bulges = open_bulges(section, chords, 0.2)
    good = bulges.high > bulges.low
    chords = Chords(*(value[good] for value in chords))
    bulge = (bulges.low + rng.uniform(0.02, 0.98, count) * (bulges.high - bulges.low))[good]
    return chords, bulge


@pytest.mark.parametrize("seed", range(8))
@pytest.mark.parametrize("method, form", [("bishop", "buoyant"), ("ordinary", "buoyant"), ("ordinary", "total")])
def test_compiled_and_array_kernels_agree(seed, method, form):
    """numba and NumPy give the same factor, and the same refusals, circle by circle, with few slices and with many."""
    section = _section(seed)
    chords, bulge = _random_arcs(section, seed, 120)
    arcs = prepared(section, arcs_of(chords, bulge))
    for cut in (5, 25, 40):
        quick = factors(section.soil, arcs, method, form, cut, "numba")
        plain = factors(section.soil, arcs, method, form, cut, "numpy")
        assert np.array_equal(np.isnan(quick), np.isnan(plain))
        assert quick == pytest.approx(plain, rel=1e-6, nan_ok=True)
    assert np.isfinite(quick).sum() > 20


@pytest.mark.parametrize("seed", range(4))
def test_circles_by_a_plain_loop(seed):
    """A loop over 3,000 slices of equal width, written apart, gives Bishop's factor of random circles."""
    rng = np.random.default_rng(seed)
    lines = [[[-5.0, -0.2], [1.0, 0.5], [12.0, 2.0]], [[-5.0, -1.0], [12.0, 1.0]]]
    rows = [(17.0, 2.0, 28.0), (19.0, 4.0, 14.0), (20.0, 6.0, 30.0)]
    water = [[-5.0, -0.3], [0.0, -0.1], [2.0, 0.3], [12.0, 2.0]]
    layers = [SlipLayer(w, p, c, base) for (w, c, p), base in zip(rows, [*lines, None], strict=True)]
    section = build_section(SectionGiven(TERRACES, layers, water_line=water, seismic_coefficient=0.05))
    plain = PlainSection(
        [tuple(p) for p in TERRACES],
        [
            (*row, None if base is None else [tuple(p) for p in base])
            for row, base in zip(rows, [*lines, None], strict=True)
        ],
        [tuple(p) for p in water],
        0.05,
    )
    chords, bulge = _random_arcs(section, seed, 12)
    arcs = prepared(section, arcs_of(chords, bulge))
    ours = factors(section.soil, arcs, "bishop", "buoyant", 400, "numpy")
    compared = 0
    for i in rng.permutation(len(bulge))[:5]:
        circle = (float(arcs.x[i]), float(arcs.y[i]), float(arcs.radius[i]))
        hand = circle_by_loop(plain, circle, (float(chords.left_x[i]), float(chords.right_x[i])), 3000)
        if hand is not None and np.isfinite(ours[i]):
            assert ours[i] == pytest.approx(hand, rel=2e-3)
            compared += 1
    assert compared >= 2


@pytest.mark.parametrize("seed", range(4))
def test_factor_settles_with_finer_slices(seed):
    """Exact cuts make 120 slices as good as 1,200, also where the arc only just dips into a stronger layer."""
    section = _section(seed)
    chords, bulge = _random_arcs(section, seed, 60)
    touch = first_touch(section, chords, 1)
    dip = np.where(np.isfinite(touch), touch * (1 + 1e-5), bulge)
    for some in (bulge, dip):
        arcs = prepared(section, arcs_of(chords, some))
        coarse, fine = (factors(section.soil, arcs, "bishop", "buoyant", n, "numpy") for n in (120, 1200))
        plain = (fine < 5) & (np.abs(arcs.start) < 1.3) & (np.abs(arcs.end) < 1.3)
        assert plain.sum() > 5
        assert coarse[plain] == pytest.approx(fine[plain], rel=3e-3)


def test_cohesive_circle_in_closed_form():
    """No friction: F = c x arc length x R/(weight moment), the moment by exact integrals of circle and ground."""
    given = {"ground": BANK, "layers": [{"unit_weight_kn_m3": 18.0, "cohesion_kpa": 12.0}]}
    xc, yc, r = 0.5, 5.0, 5.3
    found = call(slip_circle_factor, {**given, "centre_x_m": xc, "centre_y_m": yc, "radius_m": r})
    left, right = found.left_x_m, found.right_x_m
    for x, y in ((left, 0.0), (right, 3.0)):
        assert (x - xc) ** 2 + (y - yc) ** 2 == pytest.approx(r**2)
    x = np.linspace(left, right, 400_001)
    depth = np.interp(x, *np.array(BANK).T) - (yc - np.sqrt(r**2 - (x - xc) ** 2))
    moment = 18.0 * np.trapezoid(depth * (x - xc), x)
    arc = r * (np.arcsin((right - xc) / r) - np.arcsin((left - xc) / r))
    for method in ("bishop", "ordinary"):
        circle = {**given, "centre_x_m": xc, "centre_y_m": yc, "radius_m": r, "method": method}
        assert call(slip_circle_factor, circle).factor == pytest.approx(12.0 * arc * r / moment, rel=2e-5)


def test_bishop_is_the_ordinary_method_without_friction_and_on_level_bases():
    """Both methods hold the same where tan p = 0, and a level-based slice adds the same to both."""
    rng = np.random.default_rng(2)
    rows = [
        {"width_m": 1.0, "base_angle_deg": a, "weight_kn_per_m": w, "cohesion_kpa": 5.0}
        for a, w in zip(np.linspace(-20, 45, 9).tolist(), rng.uniform(5, 20, 9).tolist(), strict=True)
    ]
    factors_ = [call(slice_factor, {"slices": rows, "method": m}).factor for m in ("ordinary", "bishop")]
    assert factors_[0] == pytest.approx(factors_[1], abs=1e-7)
    level = {
        "width_m": 1.0,
        "base_angle_deg": 0.0,
        "weight_kn_per_m": 30.0,
        "friction_angle_deg": 30.0,
        "pore_pressure_kpa": 4.0,
    }
    held = (
        26.0
        * np.tan(np.radians(30.0))
        / sum(r["weight_kn_per_m"] * np.sin(np.radians(r["base_angle_deg"])) for r in rows)
    )
    for method, form in (("ordinary", "total"), ("ordinary", "buoyant"), ("bishop", "buoyant")):
        found = call(slice_factor, {"slices": [*rows, level], "method": method, "ordinary_form": form})
        assert found.factor == pytest.approx(factors_[0] + held, abs=1e-7)


def test_bishop_factor_balances_every_slice():
    """Put back into vertical balance and moments, Bishop's factor closes both."""
    rows = [(0.8, -12.0, 6.0, 2.0), (1.0, 8.0, 15.0, 5.0), (0.9, 30.0, 16.0, 3.0), (0.6, 52.0, 8.0, 0.0)]
    slices = [
        {
            "width_m": b,
            "base_angle_deg": a,
            "weight_kn_per_m": w,
            "cohesion_kpa": 3.0,
            "friction_angle_deg": 24.0,
            "pore_pressure_kpa": u,
        }
        for b, a, w, u in rows
    ]
    f = call(slice_factor, {"slices": slices}).factor
    t = np.tan(np.radians(24.0))
    driving = shear = 0.0
    for b, a, w, u in rows:
        s, c = np.sin(np.radians(a)), np.cos(np.radians(a))
        length = b / c
        # vertical: W = N' c + u l c + (c' l + N' t)/F s
        normal = (w - u * b - 3.0 * length * s / f) / (c + t * s / f)
        shear += (3.0 * length + normal * t) / f
        driving += w * s
    assert shear == pytest.approx(driving, rel=1e-7)


def _mirror(points):
    return [[-x, y] for x, y in reversed(points)]


def test_mirrored_section_gives_the_same():
    """Facing the other way changes nothing: circle with water, ties, crack and shaking."""
    base = [[-4.0, -0.5], [9.0, 1.0]]
    water = [[-4.0, -0.2], [0.4, 0.0], [4.0, 1.5]]
    given = {
        "ground": BANK,
        "layers": [
            {"unit_weight_kn_m3": 18.0, "friction_angle_deg": 20.0, "cohesion_kpa": 5.0, "base": base},
            {"unit_weight_kn_m3": 20.0, "friction_angle_deg": 30.0, "cohesion_kpa": 8.0},
        ],
        "water_line": water,
        "seismic_coefficient": 0.05,
        "crack_depth_m": 0.5,
        "crack_water_m": 0.3,
        "ties": [{"force_kn_per_m": 2.0, "y_m": 1.0, "anchor_x_m": 6.0}],
        "tie_convention": "driving",
        "radius_m": 5.3,
        "centre_y_m": 5.0,
    }
    one = call(slip_circle_factor, {**given, "centre_x_m": 0.5})
    turned = {
        **given,
        "ground": _mirror(BANK),
        "layers": [{**given["layers"][0], "base": _mirror(base)}, given["layers"][1]],
        "water_line": _mirror(water),
        "ties": [{"force_kn_per_m": 2.0, "y_m": 1.0, "anchor_x_m": -6.0}],
    }
    two = call(slip_circle_factor, {**turned, "centre_x_m": -0.5})
    assert one.factor == pytest.approx(two.factor, rel=1e-9)
    assert (one.left_x_m, one.right_x_m) == pytest.approx((-two.right_x_m, -two.left_x_m))


def test_scaled_section_gives_the_same():
    """Twice the size with twice the cohesion has the same factor."""

    def at(size):
        ground = [[size * x, size * y] for x, y in BANK]
        layers = [{"unit_weight_kn_m3": 18.0, "friction_angle_deg": 22.0, "cohesion_kpa": 4.0 * size}]
        circle = {"centre_x_m": 0.5 * size, "centre_y_m": 5.0 * size, "radius_m": 5.3 * size}
        return call(slip_circle_factor, {"ground": ground, "layers": layers, **circle}).factor

    assert at(1.0) == pytest.approx(at(2.0), rel=1e-9)


def test_spencer_balances_and_lies_near_bishop():
    """On a circle with shaking and water Spencer's factor is within a few per cent of Bishop's."""
    given = {
        "ground": BANK,
        "layers": [{"unit_weight_kn_m3": 18.0, "friction_angle_deg": 28.0, "cohesion_kpa": 4.0}],
        "water_line": [[-4.0, -0.1], [0.4, 0.0], [9.0, 1.8]],
        "centre_x_m": 0.5,
        "centre_y_m": 5.0,
        "radius_m": 5.3,
    }
    bishop = call(slip_circle_factor, given).factor
    spencer = call(slip_circle_factor, {**given, "method": "spencer"}).factor
    assert spencer == pytest.approx(bishop, rel=0.03) and spencer != bishop


def test_tie_moves_the_factor_by_its_moment():
    """A resisting tie adds T (yc - y)/R over the driving sum; without friction that is exact."""
    given = {"ground": BANK, "layers": [{"unit_weight_kn_m3": 18.0, "cohesion_kpa": 12.0}]}
    circle = {**given, "centre_x_m": 0.5, "centre_y_m": 5.0, "radius_m": 5.3}
    bare = call(slip_circle_factor, circle).factor
    tie = {"ties": [{"force_kn_per_m": 4.0, "y_m": 1.5, "anchor_x_m": 7.0}]}
    held = call(slip_circle_factor, {**circle, **tie, "tie_convention": "resisting"}).factor
    eased = call(slip_circle_factor, {**circle, **tie, "tie_convention": "driving"}).factor
    share = (held - bare) / bare
    assert eased == pytest.approx(bare / (1 - share * bare), rel=1e-9)  # both moments over the same driving sum
    assert held > bare


def test_bulges_are_what_they_say():
    """Circles through a point pass it; touching circles just touch; deeper bulges lie deeper everywhere."""
    section = _section(0)
    chords = chords_of(section, np.array([-1.0, 0.0]), np.array([5.0, 7.0]))
    bulge = bulge_through(chords, np.array([1.5]), np.array([-0.4]))[:, 0]
    arcs = arcs_of(chords, bulge)
    assert (arcs.x - 1.5) ** 2 + (arcs.y + 0.4) ** 2 == pytest.approx(arcs.radius**2)
    assert (arcs.x - chords.left_x) ** 2 + (arcs.y - chords.left_y) ** 2 == pytest.approx(arcs.radius**2)
    touch = arcs_of(chords, first_touch(section, chords, 2))
    for i in range(2):
        one = type(touch)(*(field[i : i + 1] for field in touch))
        assert lowest_over(one, section.soil.x, section.soil.lines[2]) == pytest.approx(0.0, abs=1e-9)


def _brute(section, method="bishop"):
    """Least factor over a dense grid of ends and bulges."""
    x = np.unique([*np.linspace(-5, 12, 70), *section.ground_x])
    left, right = (grid.ravel() for grid in np.meshgrid(x, x))
    apart = right - left > 0.05
    chords = chords_of(section, left[apart], right[apart])
    bulges = open_bulges(section, chords, 0.1)
    best = np.inf
    for share in np.linspace(0, 1, 25):
        good = bulges.high > bulges.low
        bulge = (bulges.low + share * (bulges.high - bulges.low))[good]
        arcs = prepared(section, arcs_of(Chords(*(v[good] for v in chords)), bulge))
        best = min(best, np.nanmin(factors(section.soil, arcs, method, "buoyant", 30)))
    return best


@pytest.mark.parametrize("seed", range(6))
def test_search_beats_a_dense_grid(seed):
    """The search, full or quick, finds a factor no worse than 50,000 circles tried one by one."""
    section = _section(seed, crack_water=0.0)  # a wet crack behind an upright face would slide at any strength
    dense = _brute(section)
    for fineness, slack in ((FULL, 1.002), (LIVE, 1.01)):
        _, _, factor = least_circle(Hunt(section, fineness=fineness))
        assert factor <= dense * slack
        assert factor > 0.9 * dense


def test_search_without_numba_finds_the_same():
    """The array fallback leads to the same circle."""
    section = _section(1)
    one, two = (least_circle(Hunt(section, fineness=LIVE, engine=engine)) for engine in ("numba", "numpy"))
    assert one[2] == pytest.approx(two[2], rel=1e-6)
    assert one[0].x_m == pytest.approx(two[0].x_m, abs=LIVE.least_step * np.ptp(section.ground_x))  # its last step


@pytest.mark.parametrize("method", ["ordinary", "bishop", "spencer"])
def test_reported_circle_has_the_reported_factor(method):
    """slip_circle_factor on the circle found, cut at the ends found, gives the factor found."""
    given = {
        "ground": BANK,
        "layers": [
            {
                "unit_weight_kn_m3": 18.0,
                "friction_angle_deg": 22.0,
                "cohesion_kpa": 4.0,
                "base": [[-4.0, 0.2], [9.0, 0.5]],
            },
            {
                "unit_weight_kn_m3": 19.0,
                "friction_angle_deg": 30.0,
                "cohesion_kpa": 12.0,
                "base": [[-4.0, -3.0], [9.0, -3.0]],
            },
        ],
        "crack_depth_m": 0.5,
        "method": method,
    }
    found = call(slip_search, given)
    circle = {"centre_x_m": found.centre_x_m, "centre_y_m": found.centre_y_m, "radius_m": found.radius_m}
    again = call(slip_circle_factor, {**given, **circle, "from_x_m": found.left_x_m, "to_x_m": found.right_x_m})
    assert again.factor == pytest.approx(found.factor, rel=1e-4)


def test_loose_skin_goes_to_the_infinite_slope():
    """A long slope without cohesion: the thinnest skin allowed tends to tan p/tan slope from above; where no depth is
    asked for, it is there to a ten-millionth."""
    ground = [[-10.0, 0.0], [0.0, 0.0], [20.0, 10.0], [30.0, 10.0]]
    layers = [{"unit_weight_kn_m3": 18.0, "friction_angle_deg": 32.0}]
    limit = np.tan(np.radians(32.0)) / 0.5
    bare, thin, thick = (
        call(slip_search, {"ground": ground, "layers": layers, "min_depth_m": d}).factor for d in (0.0, 0.02, 0.5)
    )
    assert limit <= bare < limit * (1.0 + 1e-7) < thin < limit * 1.001 < thick < limit * 1.01


def test_more_to_search_never_finds_better():
    """Wider windows give the same or a lower factor; so does a smaller least depth."""
    layers = [{"unit_weight_kn_m3": 18.0, "friction_angle_deg": 20.0, "cohesion_kpa": 3.0}]
    wide = call(slip_search, {"ground": BANK, "layers": layers}).factor
    narrow = call(slip_search, {"ground": BANK, "layers": layers, "right_x_m": [5.0, 9.0]}).factor
    deep = call(slip_search, {"ground": BANK, "layers": layers, "min_depth_m": 2.0}).factor
    assert wide <= narrow * (1 + 1e-4) and wide <= deep * (1 + 1e-4)


def test_first_look_counts_touching_circles():
    """Circles that touch the base of the upper layer are among those tried."""
    section = _section(0)
    tried = first_look(Hunt(section, fineness=LIVE))
    chords = chords_of(section, tried.left, tried.right)
    bulges = open_bulges(section, chords, 0.1)
    bulge = bulges.low + tried.share * (bulges.high - bulges.low)
    assert np.any(np.abs(bulge - first_touch(section, chords, 1)) < 1e-9)


STEEP_TOES = [
    ([[0.0, -0.3997], [3.85, -0.0345], [3.9, 0.0107], [7.05, 0.0107], [7.1, 0.2738], [11.95, 0.7339]],
     [[0.0, -0.4017], [3.85, -0.0893], [7.0596, -0.0893], [7.1, 0.0116], [7.1596, 0.1607], [7.4096, -0.0893],
      [11.95, -0.0893]]),
    ([[0.0, -0.4117], [4.0, -0.0323], [4.05, 0.0046], [7.15, 0.0046], [7.2, 0.2713], [12.05, 0.7314]],
     [[0.0, -0.4137], [4.0, -0.0954], [7.1861, -0.0954], [7.2, -0.0607], [7.2861, 0.1546], [7.5361, -0.0954],
      [12.05, -0.0954]]),
]  # fmt: skip


@pytest.mark.parametrize(("ground", "water"), STEEP_TOES)
def test_a_circle_without_a_factor_is_looked_for_again(ground: list[list[float]], water: list[list[float]]) -> None:
    """Water behind a low wall draws the search to a toe so steep that the slices it is reported by have no factor there
    (Bishop's m is not above 0 at F = 1). The circle told has one, that of the calculator, within a tenth of the least
    of the same search in finer steps."""
    section = build_section(SectionGiven(ground, [SlipLayer(20.4, 38.0)], water_line=water))
    found = least_circle(Hunt(section, min_depth_m=0.495, fineness=LIVE))
    assert found is not None and np.isfinite(found[2])
    circle, mass, factor = found
    left, right = sorted(float(x_at(mass, angle)[0]) for angle in (mass.start, mass.end))
    given = {"ground": ground, "layers": [{"unit_weight_kn_m3": 20.4, "friction_angle_deg": 38.0}], "water_line": water}
    given |= {"centre_x_m": circle.x_m, "centre_y_m": circle.y_m, "radius_m": circle.radius_m}
    told = call(slip_circle_factor, {**given, "from_x_m": left, "to_x_m": right}).factor
    assert told == pytest.approx(factor, rel=1e-6)
    full = least_circle(Hunt(section, min_depth_m=0.495, fineness=FULL))
    assert full is not None and factor == pytest.approx(full[2], rel=0.1)

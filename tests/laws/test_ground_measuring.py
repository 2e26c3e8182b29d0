"""Laws of taping, tape ties, levelling checks and plan areas."""

import numpy as np
import pytest
from scipy.optimize import least_squares
from shapely.geometry import Polygon

from lynchet.calculators.checked import call
from lynchet.core.errors import InputError
from lynchet.ground.levelling import setting_out_readings, sight_line_slope, two_peg_test, wanted_readings
from lynchet.ground.plan_areas import offset_area, polygon_area, simpson_by_runs, trapezoid_parts
from lynchet.ground.tape_ties import corner_angle, squareness, tape_fix, two_tape_point
from lynchet.ground.taping import chance_sum, level_length, slope_convert, slope_factor, stepping

LENGTHS = ("slope_length_m", "horizontal_m", "rise_m")
SLOPES = ("slope_pct", "slope_deg", "run_per_rise")


def test_slope_round_trips():
    """From any one slope with any one length, and from any two lengths, the same triangle comes back."""
    rng = np.random.default_rng(1)
    for _ in range(40):
        run, rise = rng.uniform(0.5, 30), rng.uniform(0.01, 30)
        whole = {
            "horizontal_m": run, "rise_m": rise, "slope_length_m": np.hypot(run, rise), "slope_pct": 100 * rise / run,
            "slope_deg": np.degrees(np.arctan2(rise, run)), "run_per_rise": run / rise,
        }  # fmt: skip
        pairs = [(a, b) for a in SLOPES for b in LENGTHS] + [LENGTHS[:2], LENGTHS[1:], (LENGTHS[0], LENGTHS[2])]
        for pair in pairs:
            got = call(slope_convert, {key: float(whole[key]) for key in pair})
            for key, value in whole.items():
                assert getattr(got, key) == pytest.approx(value, rel=1e-9), (pair, key)
            assert got.slope_factor == pytest.approx(whole["slope_length_m"] / run)


def test_slope_kernels_are_the_calculator():
    """Array kernels of taping equal the calculators one by one."""
    rng = np.random.default_rng(2)
    slope, tape = rng.uniform(0, 2, 50), rng.uniform(0.1, 40, 50)
    for ratio, length, factor, level in zip(slope, tape, slope_factor(slope), level_length(tape, slope), strict=True):
        got = call(slope_convert, {"slope_pct": 100 * float(ratio), "slope_length_m": float(length)})
        assert got.slope_factor == pytest.approx(factor, rel=1e-12)
        assert got.horizontal_m == pytest.approx(level, rel=1e-12)
    count = np.array([1, 2, 5])
    for n, together in zip(count, chance_sum(0.003, count), strict=True):
        rows = [{"rise_m": 0.1, "run_m": 1.0}] * int(n)
        assert call(stepping, {"steps": rows, "error_m": 0.003}).rise_chance_m == pytest.approx(together)


@pytest.mark.parametrize(
    ("given", "word"),
    [
        ({"slope_pct": -1.0}, "slope"),
        ({"slope_deg": 95.0}, "slope"),
        ({"run_per_rise": 0.0}, "slope"),
        ({"run_per_rise": -2.0}, "slope"),
        ({}, "give"),
        ({"rise_m": 1.0}, "give"),
        ({"slope_pct": 5.0, "slope_deg": 3.0}, "give"),
        ({"slope_length_m": 5.0, "horizontal_m": 4.0, "rise_m": 3.0}, "give"),
        ({"slope_length_m": 1.0, "rise_m": 1.0}, "rise"),
        ({"slope_length_m": 1.0, "rise_m": 2.0}, "rise"),
        ({"horizontal_m": 0.0, "rise_m": 2.0}, "horizontal"),
        ({"horizontal_m": 2.0, "slope_length_m": 1.9}, "horizontal"),
        ({"slope_pct": 5.0, "rise_m": -1.0}, "rise"),
    ],
)
def test_slope_refusals(given, word):
    """What is no slope, or too much or too little of one, is refused by the word for it."""
    with pytest.raises(InputError) as error:
        call(slope_convert, given)
    assert word in str(error.value).lower()


def test_chance_errors_by_simulation():
    """The error by chance is the standard deviation of a simulated sum of steps."""
    rng = np.random.default_rng(3)
    sums = rng.normal(0, 0.004, (200_000, 9)).sum(axis=1)
    got = call(stepping, {"steps": [{"rise_m": -0.2, "run_m": 1.0}] * 9, "error_m": 0.004})
    assert got.rise_chance_m == pytest.approx(sums.std(), rel=0.01)
    assert got.rise_one_way_m == pytest.approx(0.036)
    assert got.slope_pct == pytest.approx(-20.0)


def test_two_tapes_put_back():
    """The fixed point has the taped distances, on the side asked for, in any position and turn of the base."""
    rng = np.random.default_rng(4)
    for _ in range(60):
        a, b, point = rng.uniform(-20, 20, (3, 2)) + 1e5
        side = np.sign((b - a)[0] * (point - a)[1] - (b - a)[1] * (point - a)[0])
        tapes = [float(np.hypot(*(point - a))), float(np.hypot(*(point - b)))]
        bases = [{"x_m": float(x), "y_m": float(y)} for x, y in (a, b)]
        got = call(tape_fix, {"bases": bases, "tapes_m": tapes, "side": "left" if side > 0 else "right"})
        assert (got.x_m, got.y_m) == pytest.approx(tuple(point), abs=1e-6)
        if side > 0:
            assert two_tape_point(a, b, *tapes) == pytest.approx(point, abs=1e-6)


def test_touching_tapes_meet_on_the_line():
    """Tapes that just reach meet on the base line; a tenth of a millimetre short they are refused."""
    bases = [{"x_m": 0.0, "y_m": 0.0}, {"x_m": 10.0, "y_m": 0.0}]
    got = call(tape_fix, {"bases": bases, "tapes_m": [4.0, 6.0], "side": "left"})
    assert (got.x_m, got.y_m) == pytest.approx((4.0, 0.0), abs=1e-6)
    for tapes in ([4.0, 5.9999], [15.0, 4.9999]):
        with pytest.raises(InputError, match="meet"):
            call(tape_fix, {"bases": bases, "tapes_m": tapes, "side": "left"})


def best_by_brute_force(bases, tapes, side):
    """Best local minimum of the squared residuals by a general solver from many starts."""

    def residuals(p):
        return np.hypot(*(p - bases).T) - tapes

    found = []
    rng = np.random.default_rng(9)
    low, high = bases.min(axis=0) - tapes.max(), bases.max(axis=0) + tapes.max()
    for start in rng.uniform(low, high, (60, 2)):
        got = least_squares(residuals, start, xtol=1e-14, ftol=1e-14, gtol=1e-14)
        along = bases[1] - bases[0]
        off = (along[0] * (got.x - bases[0])[1] - along[1] * (got.x - bases[0])[0]) / np.hypot(*along)
        if side == 0 or side * off > 1e-6:
            found.append((got.cost, tuple(got.x)))
    return min(found)


def test_many_tapes_against_a_general_solver():
    """Three to six tapes with errors: no general solver from sixty starts finds a better point."""
    rng = np.random.default_rng(5)
    for _ in range(15):
        n = int(rng.integers(3, 7))
        bases, point = rng.uniform(0, 10, (n, 2)), rng.uniform(-5, 15, 2)
        tapes = np.hypot(*(point - bases).T) + rng.normal(0, 0.01, n)
        rows = [{"x_m": float(x), "y_m": float(y)} for x, y in bases]
        got = call(tape_fix, {"bases": rows, "tapes_m": tapes.tolist()})
        cost, best = best_by_brute_force(bases, tapes, 0)
        assert sum(r * r for r in got.residuals_m) / 2 <= cost + 1e-12
        assert (got.x_m, got.y_m) == pytest.approx(best, abs=2e-5)
        assert got.sigma_m == pytest.approx(np.sqrt(2 * cost / (n - 2)), rel=1e-4)


def test_side_is_obeyed():
    """With nails nearly on one line, each side gives its own best point, a mirror image where the line is exact."""
    bases = [{"x_m": 0.0, "y_m": 0.0}, {"x_m": 10.0, "y_m": 0.0}, {"x_m": 5.0, "y_m": 0.0}]
    given = {"bases": bases, "tapes_m": [7.211, 5.657, 4.124]}
    left, right = (call(tape_fix, {**given, "side": side}) for side in ("left", "right"))
    assert (left.x_m, left.y_m) == pytest.approx((right.x_m, -right.y_m), abs=1e-5)
    assert left.y_m > 3.9


def test_no_point_on_that_side():
    """Three well spread bases fix a point on one side only; the other side is refused."""
    bases = [{"x_m": 0.0, "y_m": 0.0}, {"x_m": 6.0, "y_m": 0.0}, {"x_m": 2.0, "y_m": 9.0}]
    tapes = [float(np.hypot(3 - x, 8 - y)) for x, y in ((0, 0), (6, 0), (2, 9))]
    left = call(tape_fix, {"bases": bases, "tapes_m": tapes, "side": "left"})
    assert (left.x_m, left.y_m) == pytest.approx((3, 8), abs=1e-6)
    either = call(tape_fix, {"bases": bases, "tapes_m": tapes})
    assert (either.x_m, either.y_m) == pytest.approx((3, 8), abs=1e-6)
    with pytest.raises(InputError, match="side"):
        call(tape_fix, {"bases": bases, "tapes_m": tapes, "side": "right"})


@pytest.mark.parametrize(
    ("given", "word"),
    [
        ({"side": None}, "side"),
        ({"tapes_m": [5.0, -1.0]}, "tape"),
        ({"tapes_m": [5.0, 5.0, 5.0]}, "tape"),
        ({"bases": [{"x_m": 0.0, "y_m": 0.0}, {"x_m": 5e-7, "y_m": 0.0}]}, "coincide"),
        ({"side": "north"}, "side"),
    ],
)
def test_tape_fix_refusals(given, word):
    """A tie that fixes nothing is refused by the word for it."""
    bases = [{"x_m": 0.0, "y_m": 0.0}, {"x_m": 8.0, "y_m": 0.0}]
    whole = {"bases": bases, "tapes_m": [5.0, 5.0], "side": "left", **given}
    with pytest.raises(InputError) as error:
        call(tape_fix, {key: value for key, value in whole.items() if value is not None})
    assert word in str(error.value).lower()


def test_squareness_of_planted_corners():
    """Six lengths measured off a planted four-sided figure give its corner angles back, adding up to 360."""
    rng = np.random.default_rng(6)
    for _ in range(40):
        a, b, c, d = np.array([[0, 0], [7, 0], [7, 4], [0, 4]]) + rng.uniform(-0.4, 0.4, (4, 2))
        gap = lambda p, q: float(np.hypot(*(p - q)))  # noqa: E731
        got = call(
            squareness,
            {
                "length_m": gap(a, b), "width_m": gap(b, c), "opposite_length_m": gap(c, d),
                "opposite_width_m": gap(d, a), "diagonal_1_m": gap(a, c), "diagonal_2_m": gap(b, d),
            },
        )  # fmt: skip
        corners = [a, b, c, d]
        for index, angle in enumerate(got.corner_angles_deg):
            one, two = corners[index - 1] - corners[index], corners[(index + 1) % 4] - corners[index]
            planted = np.degrees(np.arccos(one @ two / np.hypot(*one) / np.hypot(*two)))
            assert angle == pytest.approx(planted, abs=1e-6)
        assert got.angle_sum_deg == pytest.approx(360.0)
    assert corner_angle([3.0, 5.0], [4.0, 5.0], [5.0, 5.0]) == pytest.approx([90.0, 60.0])


@pytest.mark.parametrize(
    ("given", "word"),
    [
        ({"opposite_length_m": 0.0}, "side"),
        ({"opposite_width_m": -1.0}, "side"),
        ({"diagonal_2_m": 5.0}, "diagonals"),
        ({"diagonal_1_m": 7.5, "diagonal_2_m": 5.0}, "triangle"),
        ({"diagonal_1_m": 5.0, "diagonal_2_m": 0.9}, "triangle"),
    ],
)
def test_squareness_refusals(given, word):
    """Sides and diagonals that make no frame are refused by the word for it."""
    with pytest.raises(InputError) as error:
        call(squareness, {"length_m": 4.0, "width_m": 3.0, **given})
    assert word in str(error.value).lower()


def test_peg_test_finds_the_planted_tilt():
    """Readings made with a planted sight-line slope give that slope, and correct readings that differ by the rise."""
    rng = np.random.default_rng(7)
    planted, rise = rng.uniform(-0.02, 0.02, 40), rng.uniform(-2, 2, 40)
    arm_a, arm_b = rng.uniform(20, 60, 40), rng.uniform(0, 15, 40)
    far_a, far_b = 1.5 + rise + planted * arm_a, 1.5 + planted * arm_b
    assert sight_line_slope(rise, far_a, far_b, arm_a, arm_b) == pytest.approx(planted, abs=1e-12)
    for i in range(40):
        keys = {"far_a_m": far_a, "far_b_m": far_b, "distance_a_m": arm_a, "distance_b_m": arm_b}
        got = call(two_peg_test, {k: float(v[i]) for k, v in keys.items()} | {"known_rise_m": float(rise[i])})
        assert got.line_slope == pytest.approx(planted[i], abs=1e-12)
        assert got.correct_a_m - got.correct_b_m == pytest.approx(rise[i])
        wanted = "ok" if abs(planted[i]) <= 1e-4 else "blunder" if abs(planted[i]) > 0.01 else "adjust"
        assert got.verdict == wanted


@pytest.mark.parametrize("given", [{}, {"mid_a_m": 1.0}, {"mid_a_m": 1.0, "mid_b_m": 1.0, "known_rise_m": 0.0},
                                   {"mid_b_m": 1.0, "known_rise_m": 0.0}])  # fmt: skip
def test_peg_test_needs_one_rise(given):
    """The true rise comes from one source."""
    whole = {"far_a_m": 1.0, "far_b_m": 1.0, "distance_a_m": 30.0, "distance_b_m": 2.0, **given}
    with pytest.raises(InputError, match="rise"):
        call(two_peg_test, whole)


def test_setting_out_round_trip():
    """A staff at the wanted reading stands at the wanted level; cut is ground less wanted."""
    rng = np.random.default_rng(8)
    levels, taken = rng.uniform(8, 12, 30), rng.uniform(0, 5, 30)
    rows = [
        {"point": str(i), "level_m": float(v), "reading_m": float(r)}
        for i, (v, r) in enumerate(zip(levels, taken, strict=True))
    ]
    got = call(setting_out_readings, {"points": rows, "known_level_m": 10.0, "backsight_m": 1.3, "staff_m": 3.0})
    assert got.readings_m == wanted_readings(11.3, levels).tolist()
    assert 11.3 - np.array(got.readings_m) == pytest.approx(levels)
    assert got.cut_m == pytest.approx(np.array(got.ground_levels_m) - levels)
    assert got.reachable == [bool(0 <= 11.3 - v <= 3) for v in levels]


def star(rng, n):
    """A random simple outline: corners by increasing angle about a centre."""
    angle = np.sort(rng.uniform(0, 2 * np.pi, n))
    return np.stack([np.cos(angle), np.sin(angle)], axis=1) * rng.uniform(2, 9, (n, 1)) + rng.uniform(-5, 5, 2)


def test_areas_against_shapely():
    """Area, length round and centroid as a general geometry library has them, whatever the turning and the shift."""
    rng = np.random.default_rng(10)
    for _ in range(60):
        ring = star(rng, int(rng.integers(3, 12)))
        shape = Polygon(ring)
        if not shape.is_valid:
            continue
        for turn in (1, -1):
            shift = np.array([500_000.0, 4_000_000.0])
            points = [{"x_m": float(x), "y_m": float(y)} for x, y in (ring + shift)[::turn]]
            got = call(polygon_area, {"points": [*points, points[0]]})
            assert got.area_m2 == pytest.approx(shape.area, rel=1e-6)
            assert got.perimeter_m == pytest.approx(shape.length, rel=1e-8)
            centre = (shape.centroid.x + shift[0], shape.centroid.y + shift[1])
            assert (got.centroid_x_m, got.centroid_y_m) == pytest.approx(centre, abs=1e-5)
            assert (got.turning == "anticlockwise") == Polygon(ring[::turn]).exterior.is_ccw


def test_crossing_outlines_as_shapely_judges():
    """Random corner orders are refused exactly when a general geometry library calls the outline invalid."""
    rng = np.random.default_rng(11)
    refused = 0
    for _ in range(150):
        ring = rng.uniform(0, 10, (int(rng.integers(4, 7)), 2))
        points = [{"x_m": float(x), "y_m": float(y)} for x, y in ring]
        if Polygon(ring).is_valid:
            assert call(polygon_area, {"points": points}).area_m2 == pytest.approx(Polygon(ring).area)
        else:
            refused += 1
            with pytest.raises(InputError, match="cross"):
                call(polygon_area, {"points": points})
    assert refused > 20


@pytest.mark.parametrize(
    "ring",
    [
        [(0, 0), (4, 0), (4, 3), (2, 0), (0, 3)],  # a corner on a side
        [(0, 0), (4, 0), (4, 0), (0, 3)],  # a side of no length
        [(0, 0), (2, 2), (4, 0), (4, 4), (2, 2), (0, 4)],  # a corner used twice
        [(0, 0), (4, 0), (6, 0), (4, 0), (4, 3)],  # out and back
        [(0, 0), (4, 0), (4, 3), (4, 1)],  # a side back along its neighbour
    ],
)
def test_touching_sides_are_refused(ring):
    """Sides may share their corner only."""
    with pytest.raises(InputError, match="cross"):
        call(polygon_area, {"points": [{"x_m": float(x), "y_m": float(y)} for x, y in ring]})


def test_simpson_is_exact_for_cubics():
    """Simpson over even runs is exact for a cubic edge; the trapezium rule for a straight one; runs are counted."""
    x = np.array([0, 1, 2, 3, 4, 6, 8, 8.5, 9, 9.5, 10])
    cubic, primitive = (
        (lambda v: 2 + v - 0.2 * v**2 + 0.02 * v**3),
        (lambda v: 2 * v + v**2 / 2 - v**3 / 15 + v**4 / 200),
    )
    area, runs = simpson_by_runs(x, cubic(x))
    assert (area, runs) == (pytest.approx(primitive(10)), 3)
    got = call(offset_area, {"chainage_m": x.tolist(), "offsets_m": cubic(x).tolist(), "rule": "simpson"})
    assert (got.area_m2, got.runs) == (area, runs)
    straight = call(offset_area, {"chainage_m": x.tolist(), "offsets_m": (1 + 0.3 * x).tolist()})
    assert straight.area_m2 == pytest.approx(10 + 0.15 * 100)
    assert trapezoid_parts(x, 1 + 0.3 * x).sum() == pytest.approx(straight.area_m2)


def test_odd_runs_end_in_a_trapezium():
    """Three strips: Simpson on two, trapezium on the last; a lone strip is a trapezium."""
    given = {"chainage_m": [0.0, 1.0, 2.0, 3.0, 5.0], "offsets_m": [1.0, 4.0, 2.0, 6.0, 2.0], "rule": "simpson"}
    got = call(offset_area, given)
    assert got.area_m2 == pytest.approx((1 + 16 + 2) / 3 + 4 + 8)
    assert got.runs == 2

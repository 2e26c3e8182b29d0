"""Laws of triangle nets: Delaunay, break lines, cut and fill, volumes between surfaces, mean slope."""

import numpy as np
import pytest
from scipy.spatial import ConvexHull
from shapely.geometry import Polygon, box

from lynchet.calculators.checked import call
from lynchet.core.errors import InputError
from lynchet.ground.net_overlay import clip, cut_fill_area, integrals
from lynchet.ground.net_volumes import net_cut_fill, tin_between, tin_volume
from lynchet.ground.plane_fit import fitted_slopes, plane_fit
from lynchet.ground.triangle_net import anticlockwise, delaunay, sweep, twice_areas


def refused(function, given, word):
    """The call is refused with a text that holds the word."""
    with pytest.raises(InputError) as error:
        call(function, given)
    assert word in str(error.value).lower(), str(error.value)


def edges_of(triangles):
    """Undirected edges of a net."""
    return {tuple(sorted(pair)) for t in triangles.tolist() for pair in ((t[0], t[1]), (t[1], t[2]), (t[2], t[0]))}


def sees(points, edges, p, q):
    """Whether the open line from p to q crosses no edge."""

    def turn(a, b, c):
        (ax, ay), (bx, by), (cx, cy) = points[a], points[b], points[c]
        return (bx - ax) * (cy - ay) - (by - ay) * (cx - ax)

    return all(
        {p, q} & {a, b} or not (turn(p, q, a) * turn(p, q, b) < 0 and turn(a, b, p) * turn(a, b, q) < 0)
        for a, b in edges
    )


def random_breaks(rng, points, wanted):
    """Random edges that neither cross nor run through points."""
    found = []
    for _ in range(40):
        a, b = sorted(int(i) for i in rng.choice(len(points), 2, replace=False))
        if (a, b) not in found and sees(points, found, a, b):
            found.append((a, b))
        if len(found) == wanted:
            break
    return found


@pytest.mark.parametrize("wanted", [0, 1, 6])
def test_constrained_delaunay(wanted):
    """The net covers the convex outline once, holds every break line, and no circle of a triangle holds a point that
    its triangle can see past the break lines."""
    rng = np.random.default_rng(wanted)
    for _ in range(12):
        points = rng.uniform(0, 10, (int(rng.integers(4, 18)), 2))
        breaks = random_breaks(rng, points, wanted)
        net = delaunay(points, breaks)
        areas = twice_areas(points, net)
        assert (areas > 0).all()
        assert areas.sum() / 2 == pytest.approx(ConvexHull(points).volume)
        assert set(breaks) <= edges_of(net)
        for a, b, c in net.tolist():
            (ax, ay), (bx, by), (cx, cy) = points[[a, b, c]]
            d = 2 * (ax * (by - cy) + bx * (cy - ay) + cx * (ay - by))
            ux = ((ax**2 + ay**2) * (by - cy) + (bx**2 + by**2) * (cy - ay) + (cx**2 + cy**2) * (ay - by)) / d
            uy = ((ax**2 + ay**2) * (cx - bx) + (bx**2 + by**2) * (ax - cx) + (cx**2 + cy**2) * (bx - ax)) / d
            radius = np.hypot(ax - ux, ay - uy)
            for p in set(range(len(points))) - {a, b, c}:
                inside = np.hypot(*(points[p] - (ux, uy))) < radius - 1e-9
                assert not (inside and all(sees(points, breaks, p, q) for q in (a, b, c)))


def testsweep_leaves_no_point_out():
    """The slow net uses every point and covers the convex outline, on grids and on points a micrometre apart too."""
    rng = np.random.default_rng(3)
    grid = np.stack(np.meshgrid(np.arange(5) * 0.1, np.arange(4) * 0.1), axis=-1).reshape(-1, 2)
    close = np.concatenate([rng.uniform(0, 30, (15, 2)), [[3, 3], [3, 3.000002], [3.000002, 3]]])
    line = np.concatenate([np.stack([np.zeros(5), np.arange(5.0)], axis=1), [[2, 1], [3, 7]]])
    for points in (grid, close, line, rng.uniform(0, 9, (30, 2))):
        slow = np.array(sweep(points))
        assert set(slow.ravel().tolist()) == set(range(len(points)))
        assert twice_areas(points, slow).sum() / 2 == pytest.approx(ConvexHull(points).volume, abs=1e-9)
        net = delaunay(points)
        assert set(net.ravel().tolist()) == set(range(len(points)))
        assert twice_areas(points, net).sum() / 2 == pytest.approx(ConvexHull(points).volume, abs=1e-9)


def test_clip_against_shapely():
    """Triangles cut by a random line keep the area a general geometry library gives them."""
    rng = np.random.default_rng(4)
    triangles = rng.uniform(0, 10, (200, 3, 2))
    net = anticlockwise(triangles.reshape(-1, 2), np.arange(600).reshape(-1, 3))
    corners = triangles.reshape(-1, 2)[net]
    direction, off = np.array([0.6, 0.8]), 6.0
    pieces, left = clip(corners, corners @ direction - off)
    ours = np.zeros(200)
    ours[left] = integrals(np.concatenate([pieces, np.ones((*pieces.shape[:2], 1))], axis=2))[0]
    normal = np.array([-0.8, 0.6])
    middle = direction * off
    half = Polygon([middle + 99 * normal, middle - 99 * normal, middle - 99 * normal + 99 * direction,
                    middle + 99 * normal + 99 * direction])  # fmt: skip
    for corner, area in zip(corners, ours, strict=True):
        assert area == pytest.approx(Polygon(corner).intersection(half).area, abs=1e-9)


def rough_yard(rng, n=25):
    """Random levels over a random set of points."""
    points = rng.uniform(0, 20, (n, 2))
    return np.column_stack([points, 3 + 0.1 * points[:, 0] + rng.normal(0, 0.4, n)])


def sampled(points, net, outline, formation, n=200):
    """Cut and fill by sampling a grid over the outline."""
    low, high = np.array(outline.bounds[:2]), np.array(outline.bounds[2:])
    step = (high - low) / n
    x, y = np.meshgrid(*[low[i] + (np.arange(n) + 0.5) * step[i] for i in range(2)])
    at = np.stack([x.ravel(), y.ravel()], axis=1)
    depth = np.full(len(at), np.nan)
    for a, b, c in points[net]:
        m = np.linalg.inv(np.array([b[:2] - a[:2], c[:2] - a[:2]]).T)
        uv = (at - a[:2]) @ m.T
        inside = (uv >= 0).all(axis=1) & (uv.sum(axis=1) <= 1)
        depth[inside] = a[2] + uv[inside] @ np.array([b[2] - a[2], c[2] - a[2]]) - formation
    from shapely import contains_xy

    within = contains_xy(outline, at[:, 0], at[:, 1]) & ~np.isnan(depth)
    cell = step[0] * step[1]
    return np.maximum(depth[within], 0).sum() * cell, np.maximum(-depth[within], 0).sum() * cell


def test_volume_in_a_reentrant_outline_by_sampling():
    """Cut and fill inside an L-shaped outline agree with sampling of the same net."""
    rng = np.random.default_rng(5)
    points = rough_yard(rng, 40)
    points = np.concatenate([points, [[0, 0, 3], [20, 0, 5], [20, 20, 5], [0, 20, 3]]])
    outline = [[4.0, 3.0], [15.0, 5.0], [14.0, 9.0], [9.0, 8.0], [7.0, 16.0], [3.0, 12.0]]
    got = call(tin_volume, {"points": points.tolist(), "formation_m": 4.0, "boundary": outline})
    cut, fill = sampled(points, delaunay(points), Polygon(outline), 4.0)
    assert (got.cut_m3, got.fill_m3) == pytest.approx((cut, fill), rel=1e-2)
    assert got.plan_area_m2 == pytest.approx(Polygon(outline).area)
    assert got.cut_m3 - got.fill_m3 == pytest.approx(got.net_m3)


def test_parts_of_a_bed_add_up():
    """A bed cut in two by any line has the volumes of its two parts."""
    rng = np.random.default_rng(6)
    points = np.concatenate([rough_yard(rng), [[-1, -1, 3], [21, -1, 5], [21, 21, 5], [-1, 21, 3]]])
    whole = {"points": points.tolist(), "formation_plane": {"level_m": 3.0, "x_slope": 0.08, "y_slope": 0.01}}
    parts = [[[2, 2], [9, 2], [11, 15], [2, 15]], [[9, 2], [17, 2], [17, 15], [11, 15]]]
    together = call(tin_volume, {**whole, "boundary": [[2.0, 2.0], [17.0, 2.0], [17.0, 15.0], [2.0, 15.0]]})
    split = [call(tin_volume, {**whole, "boundary": [[float(x), float(y)] for x, y in part]}) for part in parts]
    for key in ("cut_m3", "fill_m3", "net_m3", "plan_area_m2"):
        assert sum(getattr(part, key) for part in split) == pytest.approx(getattr(together, key), rel=1e-9), key


def test_prism_is_prismoid():
    """A wedge under one plane is its area times the mean of its corner levels, and the prismoidal rule along it."""
    points = [[0.0, 0.0, 1.0], [6.0, 0.0, 2.5], [6.0, 3.0, 2.5], [0.0, 3.0, 1.0]]
    got = call(tin_volume, {"points": points, "formation_m": 0.0})
    assert got.cut_m3 == pytest.approx(6 / 6 * (3 * 1 + 4 * 3 * 1.75 + 3 * 2.5))


def test_shift_turn_and_scale():
    """Volumes do not change with a shift to grid numbers or a turn of the page, and scale with the cube."""
    rng = np.random.default_rng(7)
    points = rough_yard(rng)
    base = call(tin_volume, {"points": points.tolist(), "formation_m": 4.0})
    shifted = points + np.array([400_000.0, 5_000_000.0, 0.0])
    turned = points @ np.array([[0.6, 0.8, 0], [-0.8, 0.6, 0], [0, 0, 1]])
    for other in (shifted, turned):
        got = call(tin_volume, {"points": other.tolist(), "formation_m": 4.0})
        assert (got.cut_m3, got.fill_m3) == pytest.approx((base.cut_m3, base.fill_m3), rel=1e-6)
    bigger = call(tin_volume, {"points": (2 * points).tolist(), "formation_m": 8.0})
    assert (bigger.cut_m3, bigger.fill_m3) == pytest.approx((8 * base.cut_m3, 8 * base.fill_m3))


def test_kernel_is_the_calculator():
    """The net kernel over the same triangles is the calculator."""
    points = rough_yard(np.random.default_rng(8))
    net = delaunay(points - points[0] * [1, 1, 0])
    got = call(tin_volume, {"points": points.tolist(), "formation_m": 4.0, "triangles": net.tolist()})
    assert net_cut_fill(points[net] - [0, 0, 4.0])[:2] == pytest.approx((got.cut_m3, got.fill_m3))
    assert cut_fill_area(points[net] - [0, 0, 4.0])[3] == pytest.approx(got.plan_area_m2)
    assert got.triangles == len(net)


def test_between_a_net_and_a_plane():
    """Between the ground and a net of one plane is the same as against that plane."""
    rng = np.random.default_rng(9)
    points = rough_yard(rng)
    far = [[-5.0, -5.0], [30.0, -5.0], [30.0, 30.0], [-5.0, 30.0]]
    proposed = [[x, y, 3.2 + 0.05 * x - 0.02 * y] for x, y in far]
    plane = {"level_m": 3.2, "x_slope": 0.05, "y_slope": -0.02}
    one = call(tin_between, {"existing_points": points.tolist(), "proposed_points": proposed})
    two = call(tin_volume, {"points": points.tolist(), "formation_plane": plane})
    for key in ("cut_m3", "fill_m3", "net_m3", "plan_area_m2"):
        assert getattr(one, key) == pytest.approx(getattr(two, key)), key


def test_between_two_nets_by_sampling_and_swapped():
    """Between two rough nets: sampling agrees, and swapping them swaps cut and fill."""
    rng = np.random.default_rng(10)
    old, new = rough_yard(rng), rough_yard(rng)
    given = {"existing_points": old.tolist(), "proposed_points": new.tolist()}
    one = call(tin_between, given)
    two = call(tin_between, {"existing_points": new.tolist(), "proposed_points": old.tolist()})
    assert (one.cut_m3, one.fill_m3) == pytest.approx((two.fill_m3, two.cut_m3))
    hulls = [Polygon(points[ConvexHull(points[:, :2]).vertices, :2]) for points in (old, new)]
    shared = hulls[0].intersection(hulls[1])
    assert one.plan_area_m2 == pytest.approx(shared.area)
    volume = [sampled(points, delaunay(points), shared, 0.0)[0] for points in (old, new)]
    assert one.net_m3 == pytest.approx(volume[0] - volume[1], rel=0.03)


def test_break_line_order_and_turning_do_not_matter():
    """The same break line named backwards, twice or in pieces gives the same volume."""
    rng = np.random.default_rng(11)
    points = rough_yard(rng, 12)
    plan = points[:, :2]
    path = next(
        (a, b, c) for a, b, c in np.stack(np.meshgrid(*[np.arange(12)] * 3), axis=-1).reshape(-1, 3).tolist()
        if len({a, b, c}) == 3 and (min(a, b), max(a, b)) not in edges_of(delaunay(plan))
        and sees(plan, [(b, c)], a, b)
    )  # fmt: skip
    a, b, c = path
    plain = call(tin_volume, {"points": points.tolist(), "formation_m": 4.0})
    ways = [[[a, b, c]], [[c, b, a]], [[a, b], [b, c]], [[a, b, c], [b, a]]]
    volumes = [
        call(tin_volume, {"points": points.tolist(), "formation_m": 4.0, "break_lines": way}).net_m3 for way in ways
    ]
    assert volumes == pytest.approx([volumes[0]] * 4, rel=1e-12)
    assert volumes[0] != pytest.approx(plain.net_m3, rel=1e-6)


SQUARE = [[0.0, 0.0, 1.0], [2.0, 0.0, 1.0], [2.0, 2.0, 1.0], [0.0, 2.0, 1.0], [0.9, 1.2, 2.0]]


@pytest.mark.parametrize(
    ("given", "word"),
    [
        ({"formation_plane": {"level_m": 0.0, "x_slope": 0.0, "y_slope": 0.0}}, "formation"),
        ({"points": [*SQUARE, [2.0, 5e-7, 3.0]]}, "duplicate"),
        ({"points": []}, "three"),
        ({"triangles": [[0, 1, 1]]}, "index"),
        ({"triangles": [[0, 1, -1]]}, "index"),
        ({"triangles": [[0, 1, 2], [2, 1, 0]]}, "overlap"),
        ({"triangles": [[0, 1, 4], [0, 1, 2]]}, "overlap"),
        ({"break_lines": [[0]]}, "break"),
        ({"break_lines": [[0, 5]]}, "break"),
        ({"break_lines": [[0, -1]]}, "break"),
        ({"break_lines": [[0, 4, 4, 1]]}, "break"),
        ({"break_lines": [[0, 2], [1, 3]]}, "break"),
        ({"boundary": [[0.0, 0.0], [1.0, 0.0], [2.0, 0.0]]}, "boundary"),
        ({"boundary": [[0.1, 0.1], [1.0, 0.1], [1.0, 1.0], [0.55, 0.1]]}, "boundary"),
        ({"boundary": [[0.1, 0.1], [2.1, 0.1], [1.0, 1.0]]}, "outside"),
        ({"boundary": [[0.1, 0.1], [1.0]]}, "boundary"),
        ({"formation_m": None, "formation_plane": {"level_m": 0.0, "x_slope": 0.0}}, "y_slope"),
    ],
)
def test_net_refusals(given, word):
    """One fault of a net, its break lines or its outline is refused by its word."""
    whole = {"points": SQUARE, "formation_m": 0.0, **given}
    refused(tin_volume, {key: value for key, value in whole.items() if value is not None}, word)


@pytest.mark.parametrize(
    ("given", "word"),
    [
        ({"proposed_points": SQUARE[:2]}, "three"),
        ({"existing_triangles": [[0, 1, 9]]}, "index"),
        ({"proposed_triangles": [[0, 1, 2], [0, 1, 2]]}, "overlap"),
        ({"existing_break_lines": [[0, 0]]}, "break"),
        ({"proposed_points": [[x + 2, y, z] for x, y, z in SQUARE]}, "share"),
        ({"proposed_points": [[x + 50, y, z] for x, y, z in SQUARE]}, "share"),
    ],
)
def test_between_refusals(given, word):
    """One fault of either net, or nets that share no ground, is refused by its word."""
    refused(tin_between, {"existing_points": SQUARE, "proposed_points": SQUARE, **given}, word)


def test_an_outline_on_the_net_s_own_edge_is_covered():
    """An outline that is the net's own outline is not outside, a closing corner is dropped."""
    ring = [[0.0, 0.0], [2.0, 0.0], [2.0, 2.0], [0.0, 2.0], [0.0, 0.0]]
    got = call(tin_volume, {"points": SQUARE, "formation_m": 0.0, "boundary": ring})
    assert got.plan_area_m2 == pytest.approx(box(0, 0, 2, 2).area)


def test_planted_plane_comes_back():
    """Levels on a plane give its slopes, no residuals, and the bearing of the steepest fall found by search."""
    rng = np.random.default_rng(12)
    for _ in range(30):
        slopes, centre = rng.uniform(-0.5, 0.5, 2), rng.uniform(-1e5, 1e5, 2)
        at = rng.uniform(0, 30, (int(rng.integers(3, 12)), 2)) + centre
        level = 7 + (at - centre) @ slopes
        points = np.column_stack([at, level])
        got = call(plane_fit, {"points": points.tolist()})
        assert (got.x_slope, got.y_slope) == pytest.approx(tuple(slopes), abs=1e-8)
        assert got.residuals_m == pytest.approx([0] * len(at), abs=1e-8)
        bearings = np.radians(np.arange(0, 360, 0.01))
        falls = -(np.sin(bearings) * slopes[0] + np.cos(bearings) * slopes[1])
        best = np.degrees(bearings[np.argmax(falls)])
        assert (got.fall_bearing_deg - best + 180) % 360 - 180 == pytest.approx(0, abs=0.01)
        assert got.fall_pct == pytest.approx(100 * falls.max(), rel=1e-6)
        assert fitted_slopes(points)[1] == pytest.approx(slopes, abs=1e-8)


def test_plane_is_the_least_squares_plane():
    """No other plane has a smaller sum of squares; the residuals add up to nothing; sigma is theirs."""
    rng = np.random.default_rng(13)
    points = rough_yard(rng, 9)
    got = call(plane_fit, {"points": points.tolist()})
    residuals = np.array(got.residuals_m)
    assert residuals.sum() == pytest.approx(0, abs=1e-9)
    assert (residuals @ points[:, 0], residuals @ points[:, 1]) == pytest.approx((0, 0), abs=1e-8)
    assert got.sigma_m == pytest.approx(np.sqrt((residuals**2).sum() / 6))
    refused(plane_fit, {"points": [[0.0, 0.0, 1.0], [1.0, 1.0, 1.0], [2.0, 2.0, 5.0]]}, "line")


def test_bearing_stays_under_360():
    """Water that runs due north has bearing 0, also when rounding puts it a hair to the west."""
    assert (
        call(plane_fit, {"points": [[0.0, 0.0, 1.0], [3.0, 0.0, 1.0 + 1e-17], [0.0, 3.0, 0.0]]}).fall_bearing_deg < 360
    )
    west = call(plane_fit, {"points": [[0.0, 0.0, 0.0], [3.0, 0.0, 3.0], [0.0, 3.0, 0.0]]})
    assert west.fall_bearing_deg == pytest.approx(270)


@pytest.mark.parametrize("seed", range(8))
def test_a_net_far_from_the_origin_is_the_same(seed):
    """Points of a yard in a map's coordinates, millions of metres from its origin, are joined as they are close by."""
    away = np.array([512_000.25, 5_210_000.5])
    far = np.random.default_rng(seed).uniform(0, 20, (40, 2)) + away
    nets = [{tuple(sorted(corners)) for corners in delaunay(points).tolist()} for points in (far - away, far)]
    assert nets[0] == nets[1]

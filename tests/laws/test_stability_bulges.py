"""Laws of slip circles by their bulge: where circles through two points touch a line, and bearing's square footing."""

import numpy as np
import pytest
from scipy.optimize import minimize_scalar
from shapely.geometry import Polygon

from lynchet.calculators.checked import call
from lynchet.core.errors import InputError
from lynchet.stability.bearing import bearing_capacity
from lynchet.stability.slip_arcs import cut_at_crack, uphill_sides, x_at, y_at
from lynchet.stability.slip_bulges import Chords, arcs_of, bulge_through, chords_of, open_bulges, touching_bulges
from lynchet.stability.slip_circle import slip_circle_factor
from lynchet.stability.slip_section import SectionGiven, SlipLayer, build_section


def _least_gap(chords, bulge, line):
    """Least height of the arc over a straight line through two points, found along the chord."""
    arcs = arcs_of(chords, np.array([bulge]))
    (x0, y0), (x1, y1) = line

    def gap(x):
        arc = arcs.y[0] - np.sqrt(max(arcs.radius[0] ** 2 - (x - arcs.x[0]) ** 2, 0.0))
        return arc - (y0 + (y1 - y0) * (x - x0) / (x1 - x0))

    found = minimize_scalar(
        gap, bounds=(chords.left_x[0], chords.right_x[0]), method="bounded", options={"xatol": 1e-9}
    )
    return float(found.fun)


@pytest.mark.parametrize("seed", range(12))
def test_touching_circles_touch(seed):
    """The circle of the first touch reaches the line to the micrometre and goes no lower, also where the line runs
    along the chord."""
    rng = np.random.default_rng(seed)
    left, right = (0.0, rng.uniform(0, 1)), (rng.uniform(2, 5), rng.uniform(1, 3))
    slope = (right[1] - left[1]) / (right[0] - left[0])
    lean = slope if seed % 3 == 0 else slope + rng.uniform(-0.12, 0.12)
    level = left[1] - rng.uniform(0.5, 1.2)
    line = ((-30.0, level - 30.0 * lean), (30.0, level + 30.0 * lean))
    chords = Chords(*(np.array([v]) for v in (left[0], left[1], right[0], right[1])))
    bulges = touching_bulges(chords, np.array([-30.0, 30.0]), np.array([line[0][1], line[1][1]]))[0]
    reached = [b for b in bulges[2:] if np.isfinite(b) and 0.05 < b < np.pi / 2]
    assert reached
    assert min(abs(_least_gap(chords, b, line)) for b in reached) < 1e-6


def test_bulge_through_a_point_gives_a_circle_through_it():
    """A circle of the bulge goes through both ends and the point."""
    rng = np.random.default_rng(5)
    for _ in range(50):
        chords = Chords(*(np.array([v]) for v in (0.0, rng.uniform(-1, 1), rng.uniform(2, 5), rng.uniform(0, 3))))
        x = rng.uniform(0.2, 0.8) * chords.right_x[0]
        chord_y = chords.left_y[0] + (chords.right_y[0] - chords.left_y[0]) * x / chords.right_x[0]
        y = chord_y - rng.uniform(0.05, 1.0)
        arcs = arcs_of(chords, bulge_through(chords, np.array([x]), np.array([y]))[0])
        for px, py in ((chords.left_x[0], chords.left_y[0]), (chords.right_x[0], chords.right_y[0]), (x, y)):
            assert np.hypot(px - arcs.x[0], py - arcs.y[0]) == pytest.approx(arcs.radius[0], rel=1e-9)


@pytest.mark.parametrize("mirrored", [False, True])
def test_a_mass_ends_where_it_is_as_deep_as_the_crack(mirrored):
    """Each mass cut off at the crack ends uphill where the arc lies the crack's depth under the ground, steep or flat;
    one that is deeper at its end already, or nowhere as deep, is left whole or dropped."""
    ground = [[-4.0, 0.0], [0.0, 0.0], [2.0, 2.5], [9.0, 3.0]]
    if mirrored:
        ground = [[-x, y] for x, y in reversed(ground)]
    section = build_section(SectionGiven(ground, [SlipLayer(18.0, 28.0, 4.0, None)], crack_depth_m=0.5))
    rng = np.random.default_rng(6)
    toe, top = rng.uniform(-1, 0.5, 200), rng.uniform(2.5, 6, 200)
    ends = (-top, -toe) if mirrored else (toe, top)
    arcs = arcs_of(chords_of(section, *ends), rng.uniform(0.2, 1.2, 200))
    arcs = arcs._replace(uphill=uphill_sides(section, arcs))
    cut = cut_at_crack(section, arcs)
    outer, before = (np.where(a.uphill > 0, a.end, a.start) for a in (cut, arcs))
    deep = section.ground_at(x_at(cut, outer)) - y_at(cut, outer)
    ends_at_crack = np.isfinite(outer)
    assert ends_at_crack.sum() > 100 and np.abs(outer[ends_at_crack]).max() > np.arcsin(0.95)
    assert deep[ends_at_crack] == pytest.approx(0.5, abs=1e-9)
    assert np.all(np.abs(outer) < np.abs(before) + 1e-12, where=ends_at_crack)
    along = np.linspace(0, 1, 400)
    x = ends[0] + (ends[1] - ends[0]) * along[1:-1, None]
    arc = arcs.y - np.sqrt(np.maximum(arcs.radius**2 - (x - arcs.x) ** 2, 0.0))
    deepest = (section.ground_at(x.ravel()).reshape(x.shape) - arc).max(axis=0)
    assert np.all(deepest[~ends_at_crack] < 0.5 + 1e-3)


def test_terzaghis_square_footing_by_its_terms():
    """1.3 c Nc + g D Nq + 0.4 g B Ngamma (Terzaghi and Peck, Soil Mechanics in Engineering Practice; MEMORY)."""
    given = {"method": "terzaghi", "width_m": 0.8, "depth_m": 0.4, "unit_weight_kn_m3": 18.0,
             "friction_angle_deg": 25.0, "cohesion_kpa": 6.0, "shape": "square"}  # fmt: skip
    found = call(bearing_capacity, given)
    by_hand = 1.3 * 6.0 * found.n_c + 18.0 * 0.4 * found.n_q + 0.4 * 18.0 * 0.8 * found.n_gamma
    assert found.ultimate_kpa == pytest.approx(by_hand)


def test_of_level_ends_the_side_with_the_weight_goes_up():
    """Between ends at one level the mass turns down where its weight lies: the other side of the centre from its
    centroid, by the area between ground and arc in plain polygons."""
    rng, seen = np.random.default_rng(11), []
    for _ in range(60):
        peaks = np.sort(rng.uniform(0.4, 5.6, 2))
        heights = rng.uniform(0.0, 2.5, 2)
        ground = [[-9.0, 0.0], [0.0, 0.0], *np.stack([peaks, heights], axis=1).tolist(), [6.0, 0.0], [15.0, 0.0]]
        section = build_section(SectionGiven(ground, [SlipLayer(18.0, 28.0, 4.0, None)]))
        arcs = arcs_of(chords_of(section, np.zeros(1), np.full(1, 6.0)), np.array([rng.uniform(0.15, 1.5)]))
        angle = np.linspace(float(arcs.start[0]), float(arcs.end[0]), 400)
        under = np.stack([x_at(arcs, angle), y_at(arcs, angle)], axis=1)
        mass = Polygon([*under.tolist(), *reversed(np.array(ground)[2:4].tolist())])
        lean = mass.centroid.x - float(arcs.x[0])
        if abs(lean) > 0.01:
            seen.append(lean > 0)
            assert float(uphill_sides(section, arcs)[0]) == np.sign(lean)
    assert 10 < sum(seen) < len(seen) - 10


@pytest.mark.parametrize("depth", [0.0, 0.3])
def test_open_circles_stay_under_hollow_ground(depth):
    """Over ground with hollows between the ends: from the least open bulge up the arc lies nowhere over the ground and
    somewhere as deep as asked; a little flatter, one of the two fails."""
    ground = np.array([[-6.0, 0.0], [0.0, 0.0], [1.0, 1.6], [2.0, 1.1], [3.0, 2.8], [9.0, 3.0]])
    section = build_section(SectionGiven(ground.tolist(), [SlipLayer(18.0, 28.0, 4.0, None)]))
    rng = np.random.default_rng(8)
    left, right = rng.uniform(-1.5, 1.0, 200), rng.uniform(2.6, 7.0, 200)
    chords = chords_of(section, left, right)
    bulges = open_bulges(section, chords, depth)
    x = left + (right - left) * np.linspace(0.0, 1.0, 3001)[:, None]
    level = np.interp(x, *ground.T)

    def held(bulge):
        arcs = arcs_of(chords, bulge)
        under = level - (arcs.y - np.sqrt(np.maximum(arcs.radius**2 - (x - arcs.x) ** 2, 0.0)))
        return (under.min(axis=0) > -1e-6) & (under.max(axis=0) > depth - 1e-6)

    some = (bulges.high > bulges.low + 0.02) & (bulges.low > 0.03)
    assert some.sum() > 60
    assert np.all(held(bulges.low)[some]) and np.all(held(0.5 * (bulges.low + bulges.high))[some])
    assert not np.any(held(bulges.low - 0.01)[some])


@pytest.mark.parametrize("aside", [-60.0, 0.0, 45.0])
def test_a_section_moved_sideways_keeps_its_factor(aside):
    """A circle with both ends of its mass given, moved with its section along x, has the same factor; one that does
    not reach its left end is refused wherever it lies."""
    ground = [[-4.0 + aside, 0.0], [aside, 0.0], [2.0 + aside, 2.0], [8.0 + aside, 2.0]]
    layers = [{"unit_weight_kn_m3": 18.0, "friction_angle_deg": 25.0, "cohesion_kpa": 2.0}]
    given = {"ground": ground, "layers": layers, "centre_x_m": 0.5 + aside, "centre_y_m": 4.0, "radius_m": 4.1,
             "from_x_m": aside, "to_x_m": 3.5 + aside}  # fmt: skip
    assert call(slip_circle_factor, given).factor == pytest.approx(call(slip_circle_factor, HERE).factor, rel=1e-9)
    with pytest.raises(InputError, match="reach"):
        call(slip_circle_factor, given | {"from_x_m": aside - 3.7})


HERE = {
    "ground": [[-4.0, 0.0], [0.0, 0.0], [2.0, 2.0], [8.0, 2.0]],
    "layers": [{"unit_weight_kn_m3": 18.0, "friction_angle_deg": 25.0, "cohesion_kpa": 2.0}],
    "centre_x_m": 0.5, "centre_y_m": 4.0, "radius_m": 4.1, "from_x_m": 0.0, "to_x_m": 3.5,
}  # fmt: skip

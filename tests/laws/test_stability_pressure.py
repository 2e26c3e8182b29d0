"""Laws of earth pressure: rival methods, limits, integrals."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from scipy.integrate import quad

from lynchet.calculators.checked import call
from lynchet.stability import pressure
from lynchet.stability.diagrams import Diagram, last_turn_m, push
from lynchet.stability.pressure import active_coefficient, passive_coefficient, seismic_active_coefficient
from lynchet.stability.thrust import lateral_thrust


def _angles(seed: int, count: int) -> list[tuple[float, float, float, float]]:
    """Friction, wall friction, backslope, lean that have an active solution."""
    rng = np.random.default_rng(seed)
    rows = []
    for _ in range(count):
        p = rng.uniform(5, 45)
        rows.append((p, p * rng.uniform(0, 1), rng.uniform(-20, 0.95 * p), rng.uniform(-15, 20)))
    return rows


def _trial_wedge(p: float, d: float, b: float, lean: float, kh: float = 0.0, kv: float = 0.0) -> float:
    """Greatest thrust over planes through the heel of a wall 1 m high, over half the weight, by force polygons."""
    p, d, b, lean = (np.radians(v) for v in (p, d, b, lean))
    top = np.array([np.tan(lean), 1.0])  # back of the wall leans into the fill (fill on the right)
    best = 0.0
    for a in np.linspace(b + 0.002, np.pi / 2 + lean + 0.6, 40_000):
        ray, along = np.array([np.cos(a), np.sin(a)]), np.array([np.cos(b), np.sin(b)])
        side = ray[0] * along[1] - ray[1] * along[0]
        if side >= -1e-9:
            continue
        reach = (top[0] * along[1] - top[1] * along[0]) / side
        if reach <= 0:
            continue
        end = ray * reach
        area = 0.5 * (top[1] * end[0] - top[0] * end[1])
        if area <= 0:
            continue
        # wall pushes back up by the wall friction, the plane by the friction angle; both known in direction
        wall = np.array([np.cos(d - lean), np.sin(d - lean)])
        plane = np.array([-np.sin(a - p), np.cos(a - p)])
        load = area * np.array([-kh, -(1 - kv)])
        det = wall[0] * plane[1] - wall[1] * plane[0]
        if det <= 1e-9:
            continue
        best = max(best, (-load[0] * plane[1] + load[1] * plane[0]) / det)
    return 2 * best


def test_coulomb_without_wall_friction_is_rankine():
    """On a plumb smooth wall with level ground both methods agree, active and passive."""
    p = np.linspace(0, 50, 101)
    assert pressure.coulomb_active(p) == pytest.approx(pressure.rankine_active(p), rel=1e-12)
    assert pressure.coulomb_passive(p) == pytest.approx(pressure.rankine_passive(p), rel=1e-12)
    assert pressure.log_spiral_passive(p[1:]) == pytest.approx(pressure.rankine_passive(p[1:]), rel=1e-12)


def test_active_and_passive_are_inverse_on_level_ground():
    """Ka Kp = 1 and Ka = tan²(45 - p/2)."""
    p = np.linspace(0, 50, 51)
    assert pressure.rankine_active(p) * pressure.rankine_passive(p) == pytest.approx(1)
    assert pressure.rankine_active(p) == pytest.approx(np.tan(np.radians(45 - p / 2)) ** 2)


def test_sloping_rankine_is_coulomb_with_friction_along_the_slope():
    """On a plumb plane, Rankine's thrust parallel to the ground is Coulomb's with wall friction = backslope."""
    for p, b in ((30.0, 10.0), (35.0, 25.0), (26.0, 20.0)):
        assert float(pressure.rankine_active(p, b)) == pytest.approx(float(pressure.coulomb_active(p, b, b)), rel=1e-9)


@pytest.mark.parametrize("row", _angles(1, 5))
def test_coulomb_is_the_greatest_trial_wedge(row):
    """The closed form equals the greatest thrust of wedges tried one by one."""
    assert float(pressure.coulomb_active(*row)) == pytest.approx(_trial_wedge(*row), rel=2e-4)


def test_shaken_coefficient_is_the_greatest_shaken_wedge():
    """Mononobe-Okabe times (1 - kv) equals the greatest thrust of shaken wedges."""
    p, d, b, lean, kh, kv = 33.0, 12.0, 6.0, 5.0, 0.12, 0.05
    s = float(pressure.seismic_angle(kh, kv))
    ours = (1 - kv) * float(pressure.coulomb_active(p, d, b, lean, s))
    assert ours == pytest.approx(_trial_wedge(p, d, b, lean, kh, kv), rel=2e-4)


def test_no_shaking_adds_nothing():
    """At kh = 0 the coefficient is the static one whatever kv is, and the increment is -kv times it."""
    found = call(
        seismic_active_coefficient,
        {"friction_angle_deg": 31.0, "horizontal_coefficient": 0.0, "vertical_coefficient": 0.2, "backslope_deg": 5.0},
    )
    assert found.coefficient == pytest.approx(found.static_coefficient)
    assert found.increment_coefficient == pytest.approx(-0.2 * found.static_coefficient)


def test_kernels_and_calculators_agree():
    """Kernel over arrays gives, entry by entry, what the calculator gives."""
    rows = np.array(_angles(2, 60))
    kernel = pressure.coulomb_active(*rows.T)
    for (p, d, b, lean), value in zip(rows.tolist(), kernel, strict=True):
        given = {"friction_angle_deg": p, "method": "coulomb", "wall_friction_deg": d, "backslope_deg": b}
        found = call(active_coefficient, {**given, "lean_deg": lean})
        assert found.coefficient == pytest.approx(float(value), rel=1e-12)
        assert found.thrust_angle_deg == pytest.approx(d - lean)
    p, d = rows[:, 0], 0.4 * rows[:, 1]
    for method, kernel in (
        ("coulomb", pressure.coulomb_passive(p, d)),
        ("log_spiral", pressure.log_spiral_passive(p, d)),
    ):
        for one, wall, value in zip(p.tolist(), d.tolist(), kernel, strict=True):
            found = call(passive_coefficient, {"friction_angle_deg": one, "method": method, "wall_friction_deg": wall})
            assert found.coefficient == pytest.approx(float(value), rel=1e-12)
            assert found.overestimates == (method == "coulomb" and wall / one > 0.4)


@pytest.mark.parametrize("wall_friction, flag", [(12.4, False), (12.41, True), (0.0, False)])
def test_overestimate_flag_starts_just_above_two_fifths(wall_friction, flag):
    """A ratio of exactly 0.4 is not flagged, rounding notwithstanding."""
    given = {"friction_angle_deg": 31.0, "method": "coulomb", "wall_friction_deg": wall_friction}
    assert call(passive_coefficient, given).overestimates is flag


def _layers(seed: int) -> list[dict[str, float]]:
    rng = np.random.default_rng(seed)
    return [
        {
            "thickness_m": rng.uniform(0.2, 1.2),
            "unit_weight_kn_m3": rng.uniform(15, 20),
            "saturated_unit_weight_kn_m3": rng.uniform(17, 22),
            "friction_angle_deg": rng.uniform(15, 38),
            "cohesion_kpa": rng.choice([0.0, rng.uniform(0, 6)]),
        }
        for _ in range(3)
    ]


def _stress(layers, surcharge, water, z):
    """Horizontal stress straight from Rankine's formula, by walking down."""
    vertical, top = surcharge, 0.0
    for layer in layers:
        bottom = top + layer["thickness_m"]
        dry = min(max(water - top, 0.0), min(z, bottom) - top)
        wet = min(z, bottom) - top - dry
        vertical += dry * layer["unit_weight_kn_m3"] + wet * (layer["saturated_unit_weight_kn_m3"] - 9.81)
        if z <= bottom or layer is layers[-1]:
            k = np.tan(np.radians(45 - layer["friction_angle_deg"] / 2)) ** 2
            return k * vertical - 2 * layer["cohesion_kpa"] * np.sqrt(k)
        top = bottom
    raise AssertionError


@pytest.mark.parametrize("seed", range(6))
def test_thrust_is_the_integral_of_the_pushing_stress(seed):
    """Force and height equal numerical integrals of Rankine's stress, negative stretches left out, plus water."""
    layers = _layers(seed)
    height = sum(layer["thickness_m"] for layer in layers)
    water = 0.55 * height
    found = call(lateral_thrust, {"layers": layers, "surcharge_kpa": 3.0, "water_depth_m": water})
    bends = np.unique([*np.cumsum([layer["thickness_m"] for layer in layers])[:-1], water])
    pieces = np.concatenate([[0.0], bends, [height]])

    def integral(arm):
        total = 0.0
        for a, b in pairwise(pieces):
            total += quad(
                lambda z: max(_stress(layers, 3.0, water, z), 0.0) * arm(z), a + 1e-9, b - 1e-9, limit=400, epsabs=1e-9
            )[0]
        return total

    wet = height - water
    force, moment = integral(lambda z: 1.0), integral(lambda z: height - z)
    pressed = 0.5 * 9.81 * wet**2
    assert found.soil_kn_per_m == pytest.approx(force, abs=1e-4)
    assert found.total_kn_per_m == pytest.approx(force + pressed, abs=1e-4)
    assert found.height_m == pytest.approx((moment + pressed * wet / 3) / (force + pressed), abs=1e-4)


def test_a_layer_cut_in_two_changes_nothing():
    """Splitting a layer at any depth leaves thrust, height and tension depth as they were."""
    whole = {"thickness_m": 1.4, "unit_weight_kn_m3": 18.0, "friction_angle_deg": 24.0, "cohesion_kpa": 4.0}
    one = call(lateral_thrust, {"layers": [whole], "surcharge_kpa": 2.0})
    parts = [{**whole, "thickness_m": 0.35}, {**whole, "thickness_m": 1.05}]
    two = call(lateral_thrust, {"layers": parts, "surcharge_kpa": 2.0})
    for name in ("total_kn_per_m", "height_m", "tension_depth_m"):
        assert getattr(one, name) == pytest.approx(getattr(two, name), abs=1e-12)


@pytest.mark.parametrize(
    "depth, stress, turn",
    [
        ([0.0, 1.0], [1.0, 4.0], 0.0),
        ([0.0, 1.0], [-1.0, 3.0], 0.25),
        ([0.0, 1.0], [-3.0, -1.0], 1.0),
        ([0.0, 1.0, 1.0, 2.0], [-2.0, -1.0, 1.0, 5.0], 1.0),
        ([0.0, 1.0, 1.0, 2.0], [-2.0, 2.0, -2.0, -1.0], 0.5),
        ([0.0, 1.0, 1.0, 2.0], [1.0, 2.0, -2.0, -1.0], 2.0),
        ([0.0, 1.0, 1.0, 2.0], [-2.0, 0.0, 0.0, 3.0], 1.0),
        ([0.0, 1.0], [0.0, 2.0], 0.0),
        ([0.0, 1.0, 2.0], [0.0, 0.0, 4.0], 0.0),
        ([0.0, 1.0, 2.0, 3.0], [2.0, 0.0, 0.0, 3.0], 0.0),
        ([0.0, 1.0], [0.0, 0.0], 0.0),
        ([0.0, 1.0], [-2.0, 0.0], 1.0),
    ],
)
def test_tension_depth_is_the_last_turn_to_positive(depth, stress, turn):
    """Inside a layer, at a boundary, never negative, never turning: as the contract words it."""
    assert last_turn_m(Diagram(np.array(depth), np.array(stress))) == pytest.approx(turn)


def test_water_at_a_boundary_cuts_nothing_despite_rounding():
    """Three tenths and six tenths are nine tenths: no hair-thin sub-layer appears."""
    layer = {"unit_weight_kn_m3": 18.0, "friction_angle_deg": 30.0}
    layers = [{"thickness_m": t, **layer} for t in (0.1, 0.2, 0.6, 0.5)]
    found = call(lateral_thrust, {"layers": layers, "water_depth_m": 0.9})
    assert len(found.depth_m) == 8


def test_push_between_depths_adds_up():
    """The parts of a diagram between any cuts add up to the whole, force and moment."""
    diagram = Diagram(np.array([0.0, 0.7, 0.7, 1.5]), np.array([-2.0, 3.0, 1.0, 6.0]))
    cuts = [0.0, 0.1, 0.33, 0.7, 0.9, 1.5]
    parts = [push(diagram, a, b) for a, b in pairwise(cuts)]
    assert np.sum(parts, axis=0) == pytest.approx(push(diagram))

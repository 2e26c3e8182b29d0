"""Laws of scale: a thousandth of every weight, cohesion and force gives a thousandth of every stress, and no factor
moves; no formula hangs on a unit of force."""

import numpy as np
import pytest

from lynchet.calculators.checked import call
from lynchet.stability.bearing import bearing_capacity
from lynchet.stability.loads import strip_load_pressure
from lynchet.stability.slices import slice_factor
from lynchet.stability.slip_circle import slip_circle_factor
from lynchet.stability.thrust import lateral_thrust

SMALL = 1e-3


def of_both(function, given_at):
    """What a calculator gives at full scale and at a thousandth."""
    return call(function, given_at(1.0)), call(function, given_at(SMALL))


@pytest.mark.parametrize("method", ["meyerhof", "general", "vesic", "undrained"])
def test_bearing_scales_with_weight_and_cohesion(method):
    """A leaning load on soil of a thousandth of weight and cohesion: a thousandth of the pressure, the same numbers."""

    def given(scale):
        keys = {"method": method, "width_m": 0.6, "depth_m": 0.4, "unit_weight_kn_m3": 18.0 * scale,
                "cohesion_kpa": 9.0 * scale, "horizontal_kn_per_m": 2.0 * scale, "eccentricity_m": 0.04}  # fmt: skip
        keys |= {} if method == "undrained" else {"friction_angle_deg": 24.0, "vertical_kn_per_m": 14.0 * scale,
                                                   "water_depth_m": 0.3}  # fmt: skip
        return keys

    whole, small = of_both(bearing_capacity, given)
    assert small.ultimate_kpa == pytest.approx(SMALL * whole.ultimate_kpa, rel=1e-9)
    assert (small.n_c, small.n_q) == pytest.approx((whole.n_c, whole.n_q))


def test_thrust_and_strip_load_scale():
    """Cohesive layers, partly in tension, under a load with water: forces a thousandth, heights the same."""

    def layered(scale):
        layers = [{"thickness_m": 1.0, "unit_weight_kn_m3": 17.0 * scale, "friction_angle_deg": 24.0,
                   "cohesion_kpa": 5.0 * scale},
                  {"thickness_m": 1.4, "unit_weight_kn_m3": 19.0 * scale, "saturated_unit_weight_kn_m3": 20.0 * scale,
                   "friction_angle_deg": 30.0}]  # fmt: skip
        return {"layers": layers, "surcharge_kpa": 2.0 * scale, "water_depth_m": 1.2,
                "water_unit_weight_kn_m3": 9.81 * scale}  # fmt: skip

    whole, small = of_both(lateral_thrust, layered)
    assert small.total_kn_per_m == pytest.approx(SMALL * whole.total_kn_per_m, rel=1e-9)
    assert (small.height_m, small.tension_depth_m) == pytest.approx((whole.height_m, whole.tension_depth_m))

    def strip(scale):
        return {"pressure_kpa": 3.0 * scale, "near_m": 0.4, "width_m": 0.8, "wall_height_m": 1.2, "depth_m": 0.6}

    whole, small = of_both(strip_load_pressure, strip)
    assert small.thrust_kn_per_m == pytest.approx(SMALL * whole.thrust_kn_per_m, rel=1e-9)
    assert small.height_m == pytest.approx(whole.height_m) and 0.0 < small.height_m < 1.2
    assert call(strip_load_pressure, strip(0.0)).height_m == 0.0


@pytest.mark.parametrize("method", ["bishop", "ordinary"])
def test_factors_of_a_circle_do_not_hang_on_the_unit_of_force(method):
    """A table of slices, and a circle with water, a crack and a tie: the same factor."""
    rng = np.random.default_rng(3)
    angles, weights = np.linspace(-20, 50, 8), rng.uniform(2, 20, 8)

    def table(scale):
        rows = [{"width_m": 0.5, "base_angle_deg": float(a), "weight_kn_per_m": float(w) * scale,
                 "cohesion_kpa": 4.0 * scale, "friction_angle_deg": 26.0, "pore_pressure_kpa": 1.0 * scale}
                for a, w in zip(angles, weights, strict=True)]  # fmt: skip
        return {"slices": rows, "method": method}

    def circle(scale):
        layers = [{"unit_weight_kn_m3": 18.0 * scale, "friction_angle_deg": 25.0, "cohesion_kpa": 3.0 * scale,
                   "base": [[-5.0, -0.5], [14.0, 0.5]]},
                  {"unit_weight_kn_m3": 20.0 * scale, "friction_angle_deg": 30.0,
                   "cohesion_kpa": 6.0 * scale}]  # fmt: skip
        return {"ground": [[-5.0, 0.0], [2.0, 0.0], [6.0, 2.4], [14.0, 2.6]], "layers": layers, "centre_x_m": 3.0,
                "centre_y_m": 5.0, "radius_m": 5.6, "method": method,
                "water_line": [[-5.0, -0.2], [2.0, -0.2], [14.0, 1.6]],
                "water_unit_weight_kn_m3": 9.81 * scale, "crack_depth_m": 0.4, "crack_water_m": 0.2,
                "ties": [{"force_kn_per_m": 2.0 * scale, "y_m": 1.0, "anchor_x_m": 9.0}],
                "tie_convention": "resisting"}  # fmt: skip

    for function, given in ((slice_factor, table), (slip_circle_factor, circle)):
        whole, small = of_both(function, given)
        assert 0.3 < whole.factor < 20.0
        assert small.factor == pytest.approx(whole.factor, rel=1e-9)
